/** How the parts of a bar stand beside each other: register, loudness, pace, motion. */
import type { Instrument } from "../../instruments/catalogue.ts";
import { COUNT } from "./counts.ts";
import type { Counted } from "./span_clues.ts";
import { lengthOf, paceOf } from "./span_clues.ts";

/** What is compared of a part, over the bar and what is near it. */
interface PartStanding {
  readonly pitch: number;
  readonly loud: number;
  readonly pace: number;
  readonly length: number;
  readonly moving: number;
  readonly repeating: number;
  readonly held: number;
  /** Whether notes of definite pitch are near. */
  readonly pitched: boolean;
}

/** The parts that sound in a bar. */
export interface Beside {
  /** Parts that sound. */
  readonly parts: readonly number[];
  /** By part; undefined where silent. */
  readonly standing: readonly (PartStanding | undefined)[];
  /** Parts of definite pitch more than half a semitone above each, by part. */
  readonly above: readonly number[];
  /** Pitches of the parts that have one, from the lowest. */
  readonly pitches: readonly number[];
  /** Loudness of the loudest. */
  readonly loudest: number;
}

function standingOf(n: Counted, { unpitched }: Instrument): PartStanding {
  const onsets = Math.max(1, n(COUNT.onsets));
  const moves = Math.max(1, n(COUNT.moves));
  const length = lengthOf(n);
  return {
    pitch: n(COUNT.pitches) / onsets,
    loud: n(COUNT.dynamics) / onsets,
    pace: paceOf(n),
    length,
    moving: (n(COUNT.steps) + n(COUNT.leaps)) / moves,
    repeating: n(COUNT.repeats) / moves,
    held: Math.min(1, length / 2),
    pitched: !unpitched && n(COUNT.onsets) > 0,
  };
}

/** The parts of a bar beside each other, from the counts of what is near. */
export function besideOf(
  parts: readonly number[],
  { near, instruments }: {
    readonly near: (part: number) => Counted;
    readonly instruments: readonly Instrument[];
  },
): Beside {
  const standing: (PartStanding | undefined)[] = instruments.map(() => undefined);
  for (const p of parts) standing[p] = standingOf(near(p), instruments[p]!);
  const heights = parts.map((p) => standing[p]!).filter((s) => s.pitched).map((s) => s.pitch)
    .sort((a, b) => a - b);
  const above = standing.map((s) =>
    s?.pitched ? heights.filter((pitch) => pitch > s.pitch + 0.5).length : heights.length
  );
  return {
    parts,
    standing,
    above,
    pitches: heights,
    loudest: parts.reduce((most, p) => Math.max(most, standing[p]!.loud), 1),
  };
}

/** Mean of something over the other parts. */
export function meanOfOthers(
  { parts, standing }: Beside,
  part: number,
  what: (standing: PartStanding) => number,
): number {
  let sum = 0;
  for (const p of parts) if (p !== part) sum += what(standing[p]!);
  return sum / Math.max(1, parts.length - 1);
}
