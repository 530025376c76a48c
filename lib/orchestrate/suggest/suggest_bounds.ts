/** What a search for ways goes by. */
import type { Share } from "../../base/units.ts";
import type { Measured, PassageScene } from "./scene.ts";
import type { PassageWish } from "./suggest_results.ts";
import type { TrialWay } from "./trial_way.ts";

/** How far a search has come. */
export interface SuggestProgress {
  /** Ways tried so far. */
  readonly done: number;
  /** Ways to be tried in all, as far as is known. */
  readonly of: number;
}

/** Bounds that every way must keep. */
export interface Bounds {
  readonly momentumAtLeast: number;
  readonly leadAudibleAtLeast: Share;
}

/** A search under way. */
export interface Search {
  readonly wish: PassageWish;
  readonly scene: PassageScene;
  /** The passage as it is. */
  readonly measured: Measured;
  readonly bounds: Bounds;
  readonly onProgress: ((progress: SuggestProgress) => void) | undefined;
}

/** A way that was written and measured. */
export interface TriedWay {
  readonly way: TrialWay;
  readonly measured: Measured;
}
