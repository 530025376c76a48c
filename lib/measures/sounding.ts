/** How much of a note sounds within a span of time: articulation shortens, plucked and struck notes die away. */
import { decaySeconds } from "../instruments/sound/decay.ts";
import type { Instrument } from "../instruments/catalogue.ts";
import type { Note, Score } from "../score/model.ts";
import type { SpanRow } from "./rows.ts";
import type { Seconds, Ticks } from "../base/units.ts";

/** Share of the written length that sounds. Model assumptions, after common practice. */
const SOUNDING_SHARE = { staccatissimo: 0.25, staccato: 0.5, spiccato: 0.5, portato: 0.75 } as const;

/** Ticks a note really sounds. */
export function soundingTicks(note: Note): Ticks {
  let share = 1;
  for (const a of note.articulations) {
    const s = SOUNDING_SHARE[a as keyof typeof SOUNDING_SHARE];
    if (s !== undefined) share = Math.min(share, s);
  }
  return note.durationTicks * share;
}

/** Notes of a score that sound in some bars. */
export function notesIn(
  score: Pick<Score, "bars" | "notes">,
  { fromBarIndex, toBarIndex }: SpanRow,
  isWanted: (note: Note) => boolean,
): readonly Note[] {
  const last = score.bars[toBarIndex]!;
  const from = score.bars[fromBarIndex]!.startTicks;
  const to = last.startTicks + last.durationTicks;
  return score.notes.filter((n) => n.onsetTicks < to && n.onsetTicks + n.durationTicks > from && isWanted(n));
}

/** How the power of a note goes over time: at full strength from its start on, or dying away from there. */
interface PowerOverTime {
  readonly fromTicks: Ticks;
  readonly toTicks: Ticks;
  /** Time in which the power falls to 1/e; null while it is held. */
  readonly decaySeconds: Seconds | null;
}

/**
 * How the power of a note goes over time. The rise of bowed and blown notes (20 to 60 ms) is left out: it is shorter
 * than any stretch that is judged.
 */
export function powerOverTime(note: Note, instrument: Instrument): PowerOverTime {
  return {
    fromTicks: note.onsetTicks,
    toTicks: note.onsetTicks + soundingTicks(note),
    decaySeconds: decayOf(note, instrument),
  };
}

/** Time in which the power of a note falls to 1/e; null while it is held. */
export function decayOf(note: Note, instrument: Instrument): Seconds | null {
  // Slashes and trills are rolls on what is struck or plucked.
  const rolled = note.tremoloSlashes > 0 || note.trill;
  return rolled ? null : decaySeconds(instrument, note.technique);
}

/**
 * How far a note that dies away falls before it is silent, in dB. Model assumption: the loudest that reaches a listener
 * lies no further above the threshold of hearing, so that nothing audible is cut off. However long a note is written,
 * its power ends in silence and never in a number too small to count with.
 */
const SILENT_BELOW_DB = 120;
/** The same in times in which the power falls to 1/e. */
const DECAYS_HEARD = SILENT_BELOW_DB / 10 * Math.LN10;

/** Mean power of a note over a span, as a share of its full power. What has died away by 120 dB is silent. */
export function meanPower(power: PowerOverTime, from: Ticks, to: Ticks, secondsPerTick: number): number {
  const start = Math.max(from, power.fromTicks);
  const tau = power.decaySeconds;
  const silent = tau === null ? Infinity : power.fromTicks + DECAYS_HEARD * tau / secondsPerTick;
  const end = Math.min(to, power.toTicks, silent);
  if (end <= start) return 0;
  if (tau === null) return (end - start) / (to - from);
  const left = (ticks: number) => Math.exp(-(ticks - power.fromTicks) * secondsPerTick / tau);
  return tau * (left(start) - left(end)) / ((to - from) * secondsPerTick);
}

/** Mean power of a note over a span, as a share of its full power. */
export function shareSounding(
  note: Note,
  instrument: Instrument,
  from: Ticks,
  to: Ticks,
  secondsPerTick: number,
): number {
  return meanPower(powerOverTime(note, instrument), from, to, secondsPerTick);
}
