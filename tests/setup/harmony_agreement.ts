/** How far a reading of harmony agrees with annotated chords, their spans given and found. */
import { type ChordUse, chordUse } from "../../lib/harmony/chord_use.ts";
import type { HarmonySpan } from "../../lib/harmony/harmony_results.ts";
import { readHarmonyBy, type ReadHarmonyOptions } from "../../lib/harmony/read_harmony.ts";
import type { Score } from "../../lib/score/model.ts";
import {
  type AnnotatedChord,
  annotatedChords,
  CHORD_MOVEMENTS,
  chordScore,
  countedUse,
} from "./annotated_chords.ts";

/** A movement with its annotation. */
export interface ChordMovement {
  readonly name: string;
  /** The work it is of. */
  readonly work: string;
  readonly score: Score;
  readonly chords: readonly AnnotatedChord[];
}

/** All annotated movements. */
export function chordMovements(folder: URL): readonly ChordMovement[] {
  return CHORD_MOVEMENTS.map((name) => ({
    name,
    work: name.slice(0, 2),
    score: chordScore(folder, name),
    chords: annotatedChords(folder, name),
  }));
}

/** What agrees, in chords or in quarters. */
export interface Agreement {
  readonly weight: number;
  readonly root: boolean;
  readonly whole: boolean;
  readonly key: boolean;
  readonly inversion: boolean;
  readonly confidence: number;
  readonly explained: number;
}

/** Annotators name no ninths: a chord with one is compared without it. */
const WITHOUT_NINTH: Readonly<Record<string, string>> = {
  "add9": "major",
  "madd9": "minor",
  "dominant ninth": "seventh",
  "major ninth": "major seventh",
  "minor ninth": "minor seventh",
};

function agreement(span: HarmonySpan, chord: AnnotatedChord, weight: number): Agreement {
  const root = span.root === chord.root;
  return {
    weight,
    root,
    whole: root && (WITHOUT_NINTH[span.quality ?? ""] ?? span.quality) === chord.quality,
    key: span.key?.tonic === chord.tonic && span.key.mode === chord.mode,
    inversion: span.inversion === chord.inversion,
    confidence: span.confidence,
    explained: span.explainedShare,
  };
}

/** Agreement by time: a row for each stretch in which neither changes. */
function byTime(spans: readonly HarmonySpan[], chords: readonly AnnotatedChord[], ticksPerQuarter: number) {
  return chords.flatMap((chord) =>
    spans.flatMap((span): readonly Agreement[] => {
      const from = Math.max(chord.fromQuarters, span.startTicks / ticksPerQuarter);
      const to = Math.min(chord.toQuarters, span.endTicks / ticksPerQuarter);
      return to > from ? [agreement(span, chord, to - from)] : [];
    })
  );
}

/** A movement's agreement: a row for each annotated chord, and by time; and how many spans were found to one annotated. */
export interface MovementAgreement {
  readonly given: readonly Agreement[];
  readonly own: readonly Agreement[];
  readonly found: number;
}

/** Reads a movement by a table of chord use, the annotated spans given and its own found. */
export function movementAgreement(
  { score, chords }: ChordMovement,
  options: ReadHarmonyOptions & { readonly use: ChordUse },
): MovementAgreement {
  const tick = (quarters: number) => Math.round(quarters * score.ticksPerQuarter);
  const spans = chords.map((c) => ({ startTicks: tick(c.fromQuarters), endTicks: tick(c.toQuarters) }));
  const own = readHarmonyBy(score, options).spans;
  return {
    given: readHarmonyBy(score, { ...options, spans }).spans.map((span, i) => agreement(span, chords[i]!, 1)),
    own: byTime(own, chords, score.ticksPerQuarter),
    found: own.length / chords.length,
  };
}

/** Chord use counted in some movements. */
export function useIn(movements: readonly ChordMovement[]): ChordUse {
  return chordUse(countedUse(movements.map(({ chords }) => chords)));
}

/** Share of all for which something agrees. */
export function shareOf(rows: readonly Agreement[], what: (row: Agreement) => boolean): number {
  const all = rows.reduce((sum, row) => sum + row.weight, 0);
  return rows.reduce((sum, row) => sum + (what(row) ? row.weight : 0), 0) / all;
}

/** Root, root with kind, key: shares that agree. */
export function sharesOf(rows: readonly Agreement[]): readonly [root: number, whole: number, key: number] {
  return [shareOf(rows, (r) => r.root), shareOf(rows, (r) => r.whole), shareOf(rows, (r) => r.key)];
}

/** The same in words. */
export function inWords(rows: readonly Agreement[]): string {
  return sharesOf(rows).map((share) => share.toFixed(3)).join(" / ");
}
