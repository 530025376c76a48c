/** Harmony read off the notes of a score: chords, keys, and the notes beside the chords. */
import {
  A_NUMBER,
  A_RECORD,
  A_SCORE,
  A_SWITCH,
  A_TEXTURE,
  checkArgument,
  checkOptions,
  type Kind,
  listOf,
} from "../base/arguments.ts";
import { applySettings, type Settings } from "../base/settings.ts";
import type { Score } from "../score/model.ts";
import type { Texture } from "../texture/model.ts";
import { type ChordUse, knownChordUse } from "./chord_use.ts";
import { HARMONY_CONSTANTS } from "./harmony_constants.ts";
import type { HarmonyReading, TickSpan } from "./harmony_results.ts";
import { harmonySpans } from "./harmony_spans.ts";
import { nonChordNotes } from "./non_chord_notes.ts";
import { noteMotions } from "./note_motion.ts";
import { soundSlots } from "./sound_slots.ts";

/** Options of {@linkcode readHarmony}. */
export interface ReadHarmonyOptions {
  /**
   * What each part does, as `textureOf` gives it: notes of the lead then weigh less, and the bass is the lowest note of
   * the parts that have it.
   */
  readonly texture?: Texture;
  /** Where each chord begins and ends, where that is known; in order, without overlap. By default it is found. */
  readonly spans?: readonly TickSpan[];
  /** False to leave chord symbols in the file aside. Default true: they hold where they stand. */
  readonly symbols?: boolean;
  /** Constants that differ from {@linkcode HARMONY_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof HARMONY_CONSTANTS>>;
}

const A_STRETCH: Kind = {
  ...A_RECORD,
  give: "Give { startTicks, endTicks } of each",
  fits: (value) => {
    const { startTicks, endTicks } = (value ?? {}) as Partial<TickSpan>;
    return A_NUMBER.fits(startTicks) && A_NUMBER.fits(endTicks) && startTicks! < endTicks!;
  },
};

const OPTIONS = {
  texture: A_TEXTURE,
  spans: listOf(A_STRETCH, "a list of spans"),
  symbols: A_SWITCH,
  constants: undefined,
};

/**
 * Reads the harmony of a score: stretches of one chord with root, kind, bass, inversion, local key and step, how sure each
 * is and how much of the sound it explains; and the notes that are not of the chord, told apart. Chord symbols in the
 * score hold where they stand. Silence of a bar or more, and drums alone, are spans of no chord.
 *
 * A guide, not a verdict: against other people's annotations of Mozart and Dvořák some four roots of five agree, nine of
 * ten where `confidence` is 0.9 or more (`tests/published/s3_chords_test.ts` prints the figures). Triads and seventh
 * chords are told apart, suspended fourths and ninths where they stand for a bar; symbols may say more. Augmented sixths are
 * written as the dominant seventh chords they sound as, and named by `degree`: `It6`, `Ger65`, `Fr43`.
 *
 * @param score the score
 * @param options texture, spans, symbols, constants
 * @returns spans, notes that are not of the chord, and the constants used
 * @throws {InputError} when an argument is of another kind, or a constant is unknown or makes no sense
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { readHarmony } from "ripieno/harmony";
 * import { assertEquals } from "@std/assert";
 * const { spans } = readHarmony(demoScore(), { symbols: false });
 * assertEquals(spans.slice(0, 2).map((s) => [s.bar, s.symbol, s.degree]), [["1", "Dm", "i"], ["3", "Bb", "VI"]]);
 * ```
 */
export function readHarmony(score: Score, options: ReadHarmonyOptions = {}): HarmonyReading {
  checkArgument("read the harmony", score, A_SCORE);
  checkOptions("read the harmony", options, OPTIONS);
  return readHarmonyBy(score, { ...options, use: knownChordUse() });
}

/** {@linkcode readHarmony} with a table of chord use of one's own. */
export function readHarmonyBy(
  score: Score,
  { use, ...options }: ReadHarmonyOptions & { readonly use: ChordUse },
): HarmonyReading {
  const settings = applySettings("harmony", HARMONY_CONSTANTS, options.constants);
  const motions = noteMotions(score);
  const slots = soundSlots(score, { texture: options.texture, motions, settings });
  const spans = harmonySpans(score, {
    slots,
    settings,
    use,
    given: options.spans,
    symbols: options.symbols ?? true,
  });
  return { spans, nonChordNotes: nonChordNotes(score, { spans, motions }), settings };
}
