/** A way to meet a wish, before it is tried in the notes. */
import type { Wish } from "../rewrite/wish.ts";

/** Who could do what else, and why. */
export interface TrialWay {
  readonly what: string;
  readonly why: string;
  readonly wishes: readonly Wish[];
}
