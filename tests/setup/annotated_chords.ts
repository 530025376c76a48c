/** Chords that another team annotated in the movements of the S3 set, beside the checkout. */
import type { ChordCount } from "../../lib/harmony/chord_use.ts";
import type { Score } from "../../lib/score/model.ts";
import { csvRows } from "./shared_data.ts";
import { openScore } from "./open_scores.ts";

/** The movements, by work. */
export const CHORD_MOVEMENTS = ["mo1", "mo2", "mo3", "mo4", "dv1", "dv2", "dv3", "dv4"] as const;

/** Their words for kinds of chord that are told apart here. */
const QUALITIES: Readonly<Record<string, string>> = {
  M: "major",
  m: "minor",
  d: "diminished",
  a: "augmented",
  D7: "seventh",
  M7: "major seventh",
  m7: "minor seventh",
  d7: "diminished seventh",
  h7: "half-diminished seventh",
};
const LETTERS: Readonly<Record<string, number>> = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

/** An annotated chord. */
export interface AnnotatedChord {
  readonly fromQuarters: number;
  readonly toQuarters: number;
  /** Pitch class of the root. */
  readonly root: number;
  /** Kind in our words; undefined for minor chords with a major seventh, which are read as wrong. */
  readonly quality: string | undefined;
  readonly inversion: number;
  readonly tonic: number;
  readonly mode: "major" | "minor";
}

/** The annotated chords of a movement, in order. */
export function annotatedChords(folder: URL, name: string): readonly AnnotatedChord[] {
  return csvRows(new URL(`${name}/chords.csv`, folder)).map((row) => {
    const key = row["key"]!;
    const letter = key[0]!.toUpperCase();
    const alter = [...key.slice(1)].reduce((sum, sign) => sum + (sign === "+" || sign === "#" ? 1 : -1), 0);
    const tonic = (LETTERS[letter]! + alter + 12) % 12;
    return {
      fromQuarters: Number(row["onset_quarters"]),
      toQuarters: Number(row["offset_quarters"]),
      inversion: Number(row["inversion"]),
      ...(isAugmentedSixth(row)
        ? { root: (tonic + 8) % 12, quality: "seventh" }
        : { root: Number(row["root_pitch_class"]), quality: QUALITIES[row["quality"]!] }),
      tonic,
      mode: key[0] === letter ? "major" : "minor",
    };
  });
}

/**
 * An augmented sixth on its usual place: its notes are those of a dominant seventh chord on the flattened sixth step, as
 * which it is read here. The data's root is the fourth step as it is in the scale, which such a chord does not contain.
 */
function isAugmentedSixth(row: Readonly<Record<string, string>>): boolean {
  return row["quality"] === "a6" && row["degree"] === "4";
}

/** How often chords are used and follow one another in some movements. */
export function countedUse(movements: readonly (readonly AnnotatedChord[])[]): readonly ChordCount[] {
  const counts = new Map<string, ChordCount>();
  for (const chords of movements) {
    chords.forEach(({ root, quality, tonic, mode }, i) => {
      if (quality === undefined) return;
      const last = chords[i - 1];
      const before = last?.quality === undefined
        ? {}
        : { before: { semitones: (last.root - tonic + 12) % 12, quality: last.quality } };
      const row = { mode, semitones: (root - tonic + 12) % 12, quality, ...before };
      const name = JSON.stringify(row);
      counts.set(name, { ...row, count: (counts.get(name)?.count ?? 0) + 1 });
    });
  }
  return [...counts.entries()].sort(([a], [b]) => a < b ? -1 : 1).map(([, row]) => row);
}

/** A movement's score. */
export function chordScore(folder: URL, name: string): Score {
  const file = `${name}.mid`;
  return openScore(new URL(`${name}/${file}`, folder));
}
