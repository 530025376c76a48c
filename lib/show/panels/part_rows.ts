/** What a part asks of its player, bar by bar and breath by breath, as rows to draw. */
import { breathSeconds } from "../../instruments/breath.ts";
import type { Instrument } from "../../instruments/catalogue.ts";
import {
  legatoLimit,
  repeatedNoteLimit,
  separateNoteLimit,
  type SpeedLimit,
} from "../../instruments/rates.ts";
import { lengthOf, stretchesOf } from "../../measures/playability/judge.ts";
import { isBlurred } from "../../measures/playability/strokes.ts";
import { soundingNotes } from "../../score/build.ts";
import { DEFAULT_DYNAMIC } from "../../score/dynamics.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf, clockOf } from "../../score/time.ts";
import { strokeCount, strokesPerSecond, strokeTicks, TREMOLO_RATES } from "../../score/tremolo.ts";

export interface RateRow {
  readonly barIndex: number;
  readonly perSecond: number;
}

/** Playing without a place to breathe. */
export interface BreathRow {
  /** Start, in bars from 0 with fractions. */
  readonly from: number;
  /** End, in bars with fractions. */
  readonly to: number;
  readonly seconds: number;
  /** How long one breath lasts at its dynamics and registers, in seconds. */
  readonly limitSeconds: number;
}

interface RateRows {
  /** One row per bar that has enough of them. */
  readonly rows: readonly RateRow[];
  /** The limit, or null where none is known. */
  readonly limit: SpeedLimit | null;
}

/** Over how many steps a rate is taken: five, as playability does; fewer are a flick and no rate. */
export const RATE_STEPS = 5;

interface Onset {
  readonly ticks: number;
  readonly pitch: number;
  readonly slurred: boolean;
  readonly plucked: boolean;
}

export function notesOfPart(score: Score, part: number): readonly Note[] {
  return soundingNotes(score).filter((n) => n.part === part);
}

/** Whether an instrument is played with the breath, as winds and voices are. */
export function needsBreath(instrument: Instrument): boolean {
  return breathSeconds(instrument, DEFAULT_DYNAMIC) !== null;
}

/** A position in bars from 0, with the fraction of the bar that has gone. */
export function barsAt(score: Score, ticks: number): number {
  const index = barIndexOf(score, ticks);
  const bar = score.bars[index];
  if (bar === undefined) return index;
  return index + Math.min(1, Math.max(0, (ticks - bar.startTicks) / bar.durationTicks));
}

/**
 * The fastest strokes of tongue, bow or hand in each bar, and the fastest notes where slurs are among them.
 */
export function rateRows(
  score: Score,
  notes: readonly Note[],
  { instrument, settings }: {
    readonly instrument: Instrument;
    readonly settings: Readonly<Record<string, number>>;
  },
): { readonly strokes: RateRows; readonly slurred: RateRows } {
  const clock = clockOf(score);
  const onsets = onsetsOf(score, notes, {
    clock,
    judge: { instrument, settings: { ...TREMOLO_RATES, ...settings } },
  });
  const strokes = onsets.filter((o) => !o.slurred);
  const moves =
    strokes.filter((o, i) => i > 0 && o.pitch !== strokes[i - 1]?.pitch).length * 2 >= strokes.length;
  const plucked = strokes.filter((o) => o.plucked).length * 2 > strokes.length;
  return {
    strokes: {
      rows: fastest(score, strokes, { clock, counts: () => true }),
      limit: strokeLimit(instrument, { moves, plucked }),
    },
    slurred: {
      rows: fastest(score, onsets, { clock, counts: (run) => isSlurredRun(run, clock) }),
      limit: legatoLimit(instrument),
    },
  };
}

/** Notes with slurs among them that follow each other without a rest: no step is far longer than another. */
function isSlurredRun(run: readonly Onset[], clock: (ticks: number) => number): boolean {
  const steps = run.slice(1).map((o, i) => clock(o.ticks) - clock(run[i]?.ticks ?? 0));
  return run.some((o, i) => i > 0 && o.slurred) && Math.max(...steps) <= 4 * Math.min(...steps);
}

/** Tongue and bow repeat as fast as they move; keys, bars and strings have fingers or hands for other notes. */
function strokeLimit(
  instrument: Instrument,
  { moves, plucked }: { readonly moves: boolean; readonly plucked: boolean },
): SpeedLimit | null {
  if (plucked && instrument.soundProduction === "bowed") {
    return repeatedNoteLimit(instrument, { technique: "pizzicato" });
  }
  return moves ? separateNoteLimit(instrument) : repeatedNoteLimit(instrument);
}

function onsetsOf(
  score: Score,
  notes: readonly Note[],
  { clock, judge }: {
    readonly clock: (ticks: number) => number;
    readonly judge: Parameters<typeof isBlurred>[2];
  },
): readonly Onset[] {
  const onsets = new Map<number, Onset>();
  for (const n of notes) {
    const step = strokeTicks(n, score.ticksPerQuarter);
    const perSecond = strokesPerSecond(n, { ticksPerQuarter: score.ticksPerQuarter, clock });
    const measured = n.tremoloSlashes > 0 && !isBlurred(n, perSecond, judge);
    const count = measured ? strokeCount(n, score.ticksPerQuarter) : 1;
    for (let k = 0; k < count; k++) {
      const ticks = n.onsetTicks + k * step;
      const onset = {
        ticks,
        pitch: n.soundingPitch,
        slurred: n.slurred && k === 0,
        plucked: n.technique === "pizzicato",
      };
      const other = onsets.get(ticks);
      if (other === undefined || other.slurred) onsets.set(ticks, onset);
    }
  }
  return [...onsets.values()].sort((a, b) => a.ticks - b.ticks);
}

/** Per bar the fastest of the runs that begin in it or reach into it. */
function fastest(
  score: Score,
  onsets: readonly Onset[],
  { clock, counts }: {
    readonly clock: (ticks: number) => number;
    readonly counts: (run: readonly Onset[]) => boolean;
  },
): readonly RateRow[] {
  const perBar = new Map<number, number>();
  onsets.forEach((first, i) => {
    const last = onsets[i + RATE_STEPS];
    if (last === undefined || !counts(onsets.slice(i, i + RATE_STEPS + 1))) return;
    const perSecond = RATE_STEPS / Math.max(1e-9, clock(last.ticks) - clock(first.ticks));
    const lastBar = barIndexOf(score, onsets[i + RATE_STEPS - 1]?.ticks ?? first.ticks);
    for (let bar = barIndexOf(score, first.ticks); bar <= lastBar; bar++) {
      perBar.set(bar, Math.max(perBar.get(bar) ?? 0, perSecond));
    }
  });
  return [...perBar].map(([barIndex, perSecond]) => ({ barIndex, perSecond })).sort((a, b) =>
    a.barIndex - b.barIndex
  );
}

/**
 * Spans in which a player finds no place to breathe, as playability counts them: rests and breath marks are places,
 * and in a span longer than one breath so are the ends of longer notes that no slur leads away from.
 */
export function breathRows(
  score: Score,
  notes: readonly Note[],
  { instrument, gapSeconds, stealFromSeconds }: {
    readonly instrument: Instrument;
    readonly gapSeconds: number;
    readonly stealFromSeconds: number;
  },
): readonly BreathRow[] {
  if (!needsBreath(instrument)) return [];
  const at = { clock: clockOf(score) };
  const rowOf = (span: readonly Note[]): BreathRow => {
    const from = span[0]?.onsetTicks ?? 0;
    const to = span.reduce((end, n) => Math.max(end, n.onsetTicks + n.durationTicks), from);
    const written = span.reduce((sum, n) => sum + lengthOf(n, at), 0);
    const breaths = span.reduce((sum, n) => sum + lengthOf(n, at) / breathOf(n, instrument), 0);
    return {
      from: barsAt(score, from),
      to: barsAt(score, to),
      seconds: at.clock(to) - at.clock(from),
      limitSeconds: written / breaths,
    };
  };
  return stretchesOf(notes, at, gapSeconds).flatMap((span) => {
    const whole = rowOf(span);
    if (whole.seconds <= whole.limitSeconds) return [whole];
    const phrases: Note[][] = [];
    for (const n of span) {
      const phrase = phrases.at(-1);
      const before = phrase?.at(-1);
      const free = before && !n.slurred && lengthOf(before, at) >= stealFromSeconds;
      if (phrase === undefined || free) phrases.push([n]);
      else phrase.push(n);
    }
    return phrases.map(rowOf);
  });
}

/** How long one breath would hold a note, in seconds. */
function breathOf(note: Note, instrument: Instrument): number {
  const pitch = note.unpitched ? {} : { soundingPitch: note.soundingPitch };
  return breathSeconds(instrument, note.dynamic, pitch) ?? Infinity;
}
