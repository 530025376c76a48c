/** How often chords are used in a key, and which follow which. */
import { once } from "../base/memo.ts";
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import counted from "../../data/chord_use.csv" with { type: "text" };
import { CHORD_TYPES } from "../score/chord_types.ts";
import { chordAt, CHORDS } from "./chord_space.ts";
import { type Mode, relatedChords, scaleChords } from "./chords_of_key.ts";

/** A chord in a key, counted. */
export interface ChordCount {
  readonly mode: Mode;
  /** Semitones from the tonic up to the root. */
  readonly semitones: number;
  /** Kind of chord. */
  readonly quality: string;
  /** The chord before it in the same key or another, seen from this key; undefined at the start. */
  readonly before?: { readonly semitones: number; readonly quality: string };
  readonly count: number;
}

/** Logarithms by mode, 0 major and 1 minor, of chords as they stand to the tonic. */
export interface ChordUse {
  /** How often each is used. */
  readonly use: readonly [Float64Array, Float64Array];
  /** How much more often than elsewhere it follows another: at that one's number times all chords plus its own. */
  readonly follow: readonly [Float64Array, Float64Array];
}

/**
 * Counts that chords start with, so that none is impossible and what a book of harmony lists is not thought rare for want
 * of annotated music: chords of the scale, chords related to them, all others. Chosen on the annotated movements, each
 * read by the counts of the others.
 */
const STARTING_COUNTS = { scale: 6, related: 2, other: 0.3 };
/** Counts by which what follows a chord leans on the use of chords anywhere; model assumption. */
const BACKING = 10;

const KIND_OF = new Map(CHORD_TYPES.map(({ quality }, kind) => [quality, kind]));

/** The tables that counts make. */
export function chordUse(counts: readonly ChordCount[]): ChordUse {
  const [major, minor] = (["major", "minor"] as const).map((mode) =>
    inMode(counts.filter((c) => c.mode === mode), mode)
  );
  return { use: [major!.use, minor!.use], follow: [major!.follow, minor!.follow] };
}

function inMode(
  counts: readonly ChordCount[],
  mode: Mode,
): { readonly use: Float64Array; readonly follow: Float64Array } {
  const use = startingCounts(mode);
  const pairs = new Float64Array(CHORDS * CHORDS);
  const leading = new Float64Array(CHORDS);
  for (const row of counts) {
    const chord = numberOf(row);
    if (chord === undefined) continue;
    use[chord]! += row.count;
    const before = row.before && numberOf(row.before);
    if (before === undefined) continue;
    pairs[before * CHORDS + chord]! += row.count;
    leading[before]! += row.count;
  }
  const all = use.reduce((sum, one) => sum + one, 0);
  const follow = pairs.map((count, i) => {
    const share = use[i % CHORDS]! / all;
    return Math.log((count + BACKING * share) / (leading[Math.floor(i / CHORDS)]! + BACKING) / share);
  });
  return { use: use.map((count) => Math.log(count / all)), follow };
}

function startingCounts(mode: Mode): Float64Array {
  const use = new Float64Array(CHORDS).fill(STARTING_COUNTS.other);
  for (const chord of relatedChords(mode)) use[chord] = STARTING_COUNTS.related;
  for (const chord of scaleChords(mode)) use[chord] = STARTING_COUNTS.scale;
  return use;
}

function numberOf({ semitones, quality }: { readonly semitones: number; readonly quality: string }) {
  const kind = KIND_OF.get(quality);
  return kind === undefined ? undefined : chordAt(semitones, kind);
}

/** The tables of `data/chord_use.csv`. */
export const knownChordUse: () => ChordUse = once(() => chordUse(readCounts(counted)));

function readCounts(text: string): readonly ChordCount[] {
  const { data } = Papa.parse<Record<string, string>>(text, { header: true, skipEmptyLines: true });
  return data.map((row) => ({
    mode: row["mode"] === "minor" ? "minor" : "major",
    semitones: Number(row["semitones"]),
    quality: row["quality"] ?? "",
    count: Number(row["count"]),
    ...(row["before_quality"]
      ? { before: { semitones: Number(row["before_semitones"]), quality: row["before_quality"] } }
      : {}),
  }));
}
