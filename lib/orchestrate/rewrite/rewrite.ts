/** Some parts of a finished score written anew in some bars. */
import {
  A_LIST,
  A_SCORE,
  A_SWITCH,
  A_TEXTURE,
  checkArgument,
  checkOptions,
  HARMONY_SPANS,
} from "../../base/arguments.ts";
import type { HarmonyReading } from "../../harmony/harmony_results.ts";
import { readHarmony } from "../../harmony/read_harmony.ts";
import type { Score } from "../../score/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import type { Texture } from "../../texture/model.ts";
import type { Figure } from "../../texture/figures.ts";
import { FIGURES_OF_ONES_OWN } from "../plan/plan.ts";
import { writtenAsAsked } from "./as_asked.ts";
import { placeWishes } from "./place_wishes.ts";
import type { Rewritten } from "./rewrite_results.ts";
import { type Wish, withOwnFigures } from "./wish.ts";

/** Options of {@linkcode rewrite}. */
export interface RewriteOptions {
  /** Who does what, where it is known or was corrected by hand; by default it is read. */
  readonly texture?: Texture;
  /** The chords, where they are known or were corrected by hand; by default they are read off the notes. */
  readonly harmony?: Pick<HarmonyReading, "spans">;
  /** Figures of one's own, made by `defineFigure`, which wishes name. */
  readonly figures?: readonly Figure[];
  /** Write also what would be heard as something else in most of its bars. By default it is refused. */
  readonly insist?: boolean;
}

const ACTION = "rewrite the score";

/**
 * Writes some parts of a finished score anew in some bars: another role and figure over the chords that are there, under the
 * lead and over the bass that are there; or the same notes with another articulation, dynamic, octave or way of playing; or
 * silence. Everything else stays, to the note and to the sign. Notes held into the bars end before them, notes held out of them begin after
 * them, slurs and hairpins that would cross end and begin at the edges, and the dynamic a part had is printed again where it goes on.
 *
 * The chords are read off the notes unless they are given: look at them first (`readHarmony`) where much depends on them. What
 * was written is read again by who was not told what it is for: where it is heard as something else, such as a pad as the bass because
 * nothing lies below it, it is tried an octave lower and higher, unless the octave is wished for, and refused where most of its bars are
 * heard so in none. What nobody can play is refused; limits are guides, and the players and their teachers decide.
 *
 * @param score the score; not changed
 * @param wishes what is wished, one after the other of each part and bar once; the empty list gives the score as it is
 * @param options texture and harmony
 * @returns the new score, its texture, and what became of each part
 * @throws {InputError} for bars or parts the score does not have, a part with two wishes in one bar, words the library
 *   does not know, bars whose chords are too doubtful to write on, what would be heard as something else, and what nobody can play
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { rewrite } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const { changes } = rewrite(demoScore(), [
 *   { fromBar: 5, toBar: 8, parts: ["Violins II"], role: "pulse", figure: "repeated eighths", dynamic: "p" },
 * ]);
 * assertEquals(changes.map((c) => [c.partName, c.fromBar, c.after]), [["Violins II", "5", "pulse: repeated eighths"]]);
 * ```
 */
export function rewrite(score: Score, wishes: readonly Wish[], options: RewriteOptions = {}): Rewritten {
  checkArgument(ACTION, score, A_SCORE);
  checkArgument(ACTION, wishes, A_LIST, "the wishes");
  checkOptions(ACTION, options, {
    texture: A_TEXTURE,
    harmony: HARMONY_SPANS,
    figures: FIGURES_OF_ONES_OWN,
    insist: A_SWITCH,
  });
  const texture = givenTexture(ACTION, score, options.texture);
  if (wishes.length === 0) return { score, texture, changes: [] };
  const asked = withOwnFigures(wishes, options.figures ?? []);
  const placed = placeWishes(score, asked, ACTION);
  const harmony = options.harmony ?? readHarmony(score, { texture });
  const { insist } = options;
  const { score: after, texture: now, changes } = writtenAsAsked(score, placed, { texture, harmony, insist });
  return { score: after, texture: now, changes };
}
