/** What a search for ways goes by. */
import type { Score } from "../../score/model.ts";
import type { Ground } from "../rewrite/new_notes.ts";
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
  /** The score with the passage in it, and its chords. */
  readonly whole: { readonly score: Score } & Ground;
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
