/** Clarinets in A or in B flat: which of the two has less to read. */
import { A_SCORE, checkArgument } from "../base/arguments.ts";
import { instrumentById } from "../instruments/names/instrument_by_id.ts";
import type { Note, Notice, Part, Score } from "./model.ts";
import { spellingOf } from "./spelled_name.ts";
import { fifthsOf, fifthsOfInterval, transposedKey } from "./spelling.ts";
import { barIndexOf } from "./time.ts";

/** The two clarinets that orchestral players carry. */
const PAIR = ["clarinet in Bb", "clarinet in A"] as const;

/** What the clarinets of a score would read on one of their two instruments. */
export interface ClarinetChoice {
  /** Catalogue id: `clarinet in Bb` or `clarinet in A`. */
  readonly instrument: "clarinet in Bb" | "clarinet in A";
  /** Notes that are sharp or flat as the player reads them, by the key signature or by an accidental. */
  readonly alteredNotes: number;
  /** Notes in all. */
  readonly notes: number;
  /** Whether all of them lie in the instrument's range. */
  readonly isPlayable: boolean;
}

/** A clarinet that may be taken in A or in B flat; what a page prints is left as it is. */
export const isClarinet = ({ instrument, notation }: Part): boolean =>
  !notation && PAIR.some((id) => id === instrument);

/**
 * What the clarinets of a score would read in B flat and in A, over the whole of it. Players carry both and take the one
 * with fewer sharps and flats; between movements they change.
 *
 * @param score the score
 * @returns a row for each, B flat first; none where no part is for either, or its page is printed already
 *
 * Source: common practice, no source.
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise } from "ripieno";
 * import { clarinetChoices } from "ripieno/score";
 * import { assert } from "@std/assert";
 * const [inBFlat, inA] = clarinetChoices(realise(demoSketch(), demoPlans().rotating));
 * assert(inBFlat!.alteredNotes < inA!.alteredNotes); // D minor: one sharp against four flats
 * ```
 */
export function clarinetChoices(score: Score): readonly ClarinetChoice[] {
  checkArgument("choose the clarinets", score, A_SCORE);
  const parts = new Set(score.parts.flatMap((p, i) => (isClarinet(p) ? [i] : [])));
  if (parts.size === 0) return [];
  const notes = score.notes.filter((n) => parts.has(n.part) && !n.cue);
  return PAIR.map((id): ClarinetChoice => {
    const { transposeSemitones, transposeSteps, rangeExtreme: { low, high } } = instrumentById(id);
    const shift = fifthsOfInterval({ semitones: -transposeSemitones, steps: -transposeSteps });
    return {
      instrument: id,
      alteredNotes: notes.filter((n) => isAltered(score, n, shift)).length,
      notes: notes.length,
      isPlayable: notes.every((n) => n.soundingPitch >= low && n.soundingPitch <= high),
    };
  });
}

/** Places of the white keys on the line of fifths, from F to B. */
const [FIRST_WHITE, LAST_WHITE] = [-1, 5];

/** Whether a note is sharp or flat for a player who reads so many fifths from concert pitch. */
function isAltered(score: Score, note: Note, shift: number): boolean {
  const { keyFifths } = score.bars[barIndexOf(score, note.onsetTicks)]!;
  const place = fifthsOf(spellingOf(score, note)) + transposedKey(keyFifths, shift) - keyFifths;
  return place < FIRST_WHITE || place > LAST_WHITE;
}

/** Share of what is read with a sharp or flat that the other instrument leaves where it is worth being told of. Model assumption. */
const WORTH_TELLING = 0.5;

/** Sharps of a key up to which clarinets in B flat have the easier key to read; beyond, those in A. */
const EASIER_IN_B_FLAT = 0;

/**
 * What is told of clarinets that would read half the sharps and flats or fewer on their other instrument; undefined where that
 * is not so.
 *
 * @param score the score
 * @param choicesOf what its clarinets would read, for callers who may know
 */
export function otherClarinets(
  score: Score,
  choicesOf: (score: Score) => readonly ClarinetChoice[] = clarinetChoices,
): Notice | undefined {
  const given = new Set(score.parts.filter(isClarinet).map((p) => p.instrument));
  if (given.size !== 1) return undefined;
  const isInA = given.has("clarinet in A");
  if (score.bars.every(({ keyFifths }) => (keyFifths > EASIER_IN_B_FLAT) === isInA)) return undefined;
  const choices = choicesOf(score);
  const [own, other] = [true, false].map((isOwn) => choices.find((c) => given.has(c.instrument) === isOwn)!);
  const isWorth = own!.alteredNotes > 0 && other!.alteredNotes <= WORTH_TELLING * own!.alteredNotes;
  if (!other!.isPlayable || !isWorth) return undefined;
  const [here, there] = isInA ? ["A", "B flat"] : ["B flat", "A"];
  return {
    what: `the clarinets in ${here} read ${own!.alteredNotes} of ${
      own!.notes
    } notes sharp or flat, in ${there} they would read ${
      other!.alteredNotes
    }: list them in ${there}, or have them chosen by key`,
    count: 1,
    file: score.source,
  };
}

/** Notes of the clarinets that lie beyond where an instrument plays with comfort. */
function beyondComfort(score: Score, instrument: string): number {
  const { low, high } = instrumentById(instrument).rangeComfortable;
  return score.notes.filter(({ part, soundingPitch }) =>
    isClarinet(score.parts[part]!) && (soundingPitch < low || soundingPitch > high)
  ).length;
}

/**
 * The score with its clarinets in B flat or in A, all of them on the one that has fewer sharps and flats to read, can
 * play every note, and has no more of them beyond where it plays with comfort than the one they have; as it is where neither is better.
 * What sounds stays the same.
 *
 * @param score the score
 * @returns the score with its clarinets
 *
 * @example
 * ```ts
 * import { demoSketch, demoPlans, realise } from "ripieno";
 * import { clarinetsByKey } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * const score = realise(demoSketch(), demoPlans().rotating);
 * const inE = { ...score, bars: score.bars.map((bar) => ({ ...bar, keyFifths: 4 })) };
 * const notes = score.notes.map(({ spelling: _, ...note }) => ({ ...note, soundingPitch: note.soundingPitch + 2 }));
 * const clarinet = clarinetsByKey({ ...inE, notes }).parts.find((part) => part.name === "Clarinet 1");
 * assertEquals(clarinet?.instrument, "clarinet in A");
 * ```
 */
export function clarinetsByKey(score: Score): Score {
  checkArgument("choose the clarinets", score, A_SCORE);
  const given = score.parts.find(isClarinet)?.instrument;
  if (given === undefined) return score;
  const choices = clarinetChoices(score).filter(({ instrument, isPlayable }) =>
    isPlayable && (instrument === given || beyondComfort(score, instrument) <= beyondComfort(score, given))
  );
  const best =
    choices.toSorted((a, b) =>
      a.alteredNotes - b.alteredNotes || Number(b.instrument === given) - Number(a.instrument === given)
    )[0];
  if (!best) return score;
  const { transposeSemitones, transposeSteps } = instrumentById(best.instrument);
  const parts = score.parts.map((part) =>
    isClarinet(part) ? { ...part, instrument: best.instrument, transposeSemitones, transposeSteps } : part
  );
  return { ...score, parts };
}
