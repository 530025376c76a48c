/** The harmony as a table. */
import { A_HARMONY, A_SCORE, checkArgument } from "../base/arguments.ts";
import type { Score } from "../score/model.ts";
import { barBeatOf, clockOf } from "../score/time.ts";
import type { HarmonyReading } from "./harmony_results.ts";

/** One span of {@linkcode harmonyTable}; columns in snake_case when saved. */
export type HarmonyRow = {
  /** Bar it starts in, as printed. */
  readonly bar: string;
  /** Beat it starts on, from 1. */
  readonly beat: number;
  /** Bar it ends in, as printed. */
  readonly endBar: string;
  /** Start in quarters. */
  readonly onsetQuarters: number;
  /** Length in quarters. */
  readonly durationQuarters: number;
  /** Start in seconds. */
  readonly onsetSeconds: number;
  /** Chord symbol. */
  readonly chord: string;
  /** Step of the key. */
  readonly degree: string;
  /** Local key. */
  readonly key: string;
  /** Pitch class of the root, 0 for C; empty for no chord. */
  readonly rootPitchClass: number | null;
  /** Kind of chord. */
  readonly quality: string | null;
  /** Pitch class of the bass. */
  readonly bassPitchClass: number | null;
  /** 0 root position to 3; empty with a foreign bass. */
  readonly inversion: number | null;
  /** From 0 to 1. */
  readonly confidence: number;
  /** Share of the sound that belongs to the chord. */
  readonly explainedShare: number;
  /** `notes` or `symbol`. */
  readonly origin: string;
  /** Notes that are not of the chord, by kind, for example `2 passing, 1 suspension`. */
  readonly nonChordNotes: string;
};

/** Rounded to a millionth, so that thirds of a beat do not fill the table. */
const millionths = (value: number): number => Math.round(value * 1e6) / 1e6;

/**
 * One row for each span of a harmony, to be saved as comma-separated text or charted.
 *
 * @param score the score
 * @param harmony what `readHarmony` gave for it
 * @returns rows for `tableToCsv`
 * @throws {InputError} when an argument is of another kind
 *
 * @example
 * ```ts
 * import { demoScore, readHarmony } from "ripieno";
 * import { tableToCsv } from "ripieno/formats";
 * import { harmonyTable } from "ripieno/harmony";
 * import { assertMatch } from "@std/assert";
 * const rows = harmonyTable(demoScore(), readHarmony(demoScore()));
 * assertMatch(tableToCsv(rows), /^bar,beat,end_bar,.*\r\n1,1,2,0,8,0,Dm,i,D minor,/);
 * ```
 */
export function harmonyTable(score: Score, harmony: HarmonyReading): readonly HarmonyRow[] {
  checkArgument("write the table", score, A_SCORE);
  checkArgument("write the table", harmony, A_HARMONY);
  const seconds = clockOf(score);
  const foreign = Map.groupBy(harmony.nonChordNotes, (note) => note.span);
  return harmony.spans.map((span, index) => {
    const kinds = Map.groupBy(foreign.get(index) ?? [], (note) => note.kind);
    return {
      bar: span.bar,
      beat: millionths(span.beat),
      endBar: barBeatOf(score, span.endTicks - 1).bar,
      onsetQuarters: millionths(span.startTicks / score.ticksPerQuarter),
      durationQuarters: millionths((span.endTicks - span.startTicks) / score.ticksPerQuarter),
      onsetSeconds: millionths(seconds(span.startTicks)),
      chord: span.symbol,
      degree: span.degree,
      key: span.key?.name ?? "",
      rootPitchClass: span.root,
      quality: span.quality,
      bassPitchClass: span.bass,
      inversion: span.inversion,
      confidence: millionths(span.confidence),
      explainedShare: millionths(span.explainedShare),
      origin: span.origin,
      nonChordNotes: [...kinds].map(([kind, notes]) => `${notes.length} ${kind}`).join(", "),
    };
  });
}
