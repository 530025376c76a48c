/** How far a trombone's slide has to travel between quick notes. */
import type { Note } from "../score/model.ts";
import { pitchName } from "../units.ts";
import { COMMON_PRACTICE, type Judge, type Place } from "./playability_place.ts";

/** Sounding pitch of the first position's fundamental, by kind. Standard facts, recalled. */
const FUNDAMENTALS: Readonly<Record<string, number>> = {
  "alto trombone": 39,
  "tenor trombone": 34,
  "bass trombone": 34,
};
/** Semitones by which the trigger lowers the tube: to F on the tenor and bass trombone. */
const TRIGGER_SEMITONES = 5;
/** Positions of the slide: seven, six with the trigger, whose tube is longer. */
const POSITIONS = { open: 7, trigger: 6 } as const;
/** Highest partial in use. */
const HIGHEST_PARTIAL = 12;

/**
 * Positions of the slide, 1 to 7, in which a note speaks.
 *
 * @param kind kind of trombone
 * @param soundingPitch the note
 * @returns the positions; empty where there is none or the kind has no figures
 */
export function slidePositions(kind: string, soundingPitch: number): readonly number[] {
  const fundamental = FUNDAMENTALS[kind];
  if (fundamental === undefined) return [];
  const positions = new Set<number>();
  const tubes: { readonly lowered: number; readonly most: number }[] = [{ lowered: 0, most: POSITIONS.open }];
  if (kind !== "alto trombone") tubes.push({ lowered: TRIGGER_SEMITONES, most: POSITIONS.trigger });
  for (const { lowered, most } of tubes) {
    for (let partial = 1; partial <= HIGHEST_PARTIAL; partial++) {
      // The seventh and eleventh partials are too flat to use as they are.
      if (partial === 7 || partial === 11) continue;
      const position = Math.round(fundamental - lowered + 12 * Math.log2(partial)) - soundingPitch + 1;
      if (position >= 1 && position <= most) positions.add(position);
    }
  }
  return [...positions].sort((a, b) => a - b);
}

/**
 * Places where the slide has to travel far between quick notes, whatever positions are chosen for the two.
 *
 * @param line notes of one voice, one per onset
 * @param judge instrument, tempo and constants
 * @returns the places
 */
export function slidePlaces(line: readonly Note[], judge: Judge): Place[] {
  const { instrument, settings, clock } = judge;
  if (instrument.family !== "brass") return [];
  const places: Place[] = [];
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1]!, line[i]!];
    const seconds = clock(b.onsetTicks) - clock(a.onsetTicks);
    if (seconds >= settings.slideSeconds) continue;
    const from = slidePositions(instrument.kind, a.soundingPitch);
    const to = slidePositions(instrument.kind, b.soundingPitch);
    if (from.length === 0 || to.length === 0) continue;
    const travel = Math.min(...from.flatMap((p) => to.map((q) => Math.abs(p - q))));
    if (travel < settings.slidePositions) continue;
    places.push({
      ...judge.at,
      onsetTicks: a.onsetTicks,
      endTicks: b.onsetTicks + b.durationTicks,
      severity: seconds < settings.slideSeconds / 2 ? "risky" : "note",
      rule: "slide",
      what: `${pitchName(a.soundingPitch)} to ${
        pitchName(b.soundingPitch)
      } moves the slide ${travel} positions in ${
        Math.round(seconds * 100) / 100
      } s; it takes about ${settings.slideSeconds} s`,
      figure: seconds,
      limit: settings.slideSeconds,
      unit: "seconds",
      source: COMMON_PRACTICE,
      remedy: "Choose notes in nearer positions, slow the figure down, or give it to a valved instrument",
    });
  }
  return places;
}
