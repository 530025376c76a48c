/** How much of a note sounds within a span of time: articulation shortens, plucked and struck notes die away. */
import type { Instrument } from "../instruments/catalogue.ts";
import type { Note } from "../score/model.ts";
import type { Ticks } from "../units.ts";

/** Share of the written length that sounds. Model assumptions, after common practice. */
const SOUNDING_SHARE = { staccatissimo: 0.25, staccato: 0.5, spiccato: 0.5, portato: 0.75 } as const;

/** Time in which a plucked or struck note falls to 1/e of its power, in seconds. Model assumption. */
const DECAY_SECONDS = 0.5;

/**
 * Ticks a note really sounds.
 *
 * @param note the note
 * @returns ticks
 */
export function soundingTicks(note: Note): Ticks {
  let share = 1;
  for (const a of note.articulations) {
    const s = SOUNDING_SHARE[a as keyof typeof SOUNDING_SHARE];
    if (s !== undefined) share = Math.min(share, s);
  }
  return note.durationTicks * share;
}

/**
 * Mean power of a note over a span, as a share of its full power.
 *
 * @param note the note
 * @param instrument its instrument
 * @param from start of the span in ticks
 * @param to end of the span in ticks
 * @param secondsPerTick tempo there
 * @returns 0 to 1
 */
export function shareSounding(
  note: Note,
  instrument: Instrument,
  from: Ticks,
  to: Ticks,
  secondsPerTick: number,
): number {
  const start = Math.max(from, note.onsetTicks);
  const end = Math.min(to, note.onsetTicks + soundingTicks(note));
  if (end <= start) return 0;
  // Slashes and trills are rolls on what is struck or plucked.
  const rolled = note.tremoloSlashes > 0 || note.trill;
  if (rolled || instrument.sustains && note.technique !== "pizzicato") {
    return (end - start) / (to - from);
  }
  const decay = (ticks: number) => Math.exp(-(ticks - note.onsetTicks) * secondsPerTick / DECAY_SECONDS);
  return DECAY_SECONDS * (decay(start) - decay(end)) / ((to - from) * secondsPerTick);
}
