/** Harp pedals and timpani: whether there is time to tune. */
import { changeTimes } from "../instruments/changes.ts";
import { HARP_NATURAL, HARP_PEDALS, type HarpPedal, harpPedals } from "../instruments/harp_pedals.ts";
import { timpaniDrums, timpaniTuning } from "../instruments/timpani.ts";
import type { Note } from "../score/model.ts";
import { pitchName, type Seconds, type SoundingPitch } from "../units.ts";
import { inTenths, type Judge, type Place } from "./playability_place.ts";

/** Pedals of the left foot; the others belong to the right. */
const LEFT_FOOT: readonly HarpPedal[] = ["D", "C", "B"];

/**
 * Pedal changes of a harp that come too fast: a pedal can move once its strings have been plucked for the last
 * time, each foot moves one at a time. The harp is set before it begins, so the first of each letter is free.
 * Notes without a spelling (from MIDI) say nothing about pedals.
 *
 * @param notes notes of the part
 * @param judge instrument and tempo
 * @returns the places; none for other instruments
 */
export function harpPlaces(notes: readonly Note[], judge: Judge): Place[] {
  const { instrument, clock } = judge;
  const move = changeTimes(instrument).find((each) => each.change === "move one pedal");
  if (instrument.kind !== "harp" || move === undefined) return [];
  const places: Place[] = [];
  const lastUse = new Map<HarpPedal, Seconds>();
  let setting = HARP_NATURAL;
  for (const chord of Map.groupBy(notes.filter((n) => n.spelling), (n) => n.onsetTicks).values()) {
    const now = clock(chord[0]!.onsetTicks);
    const at = {
      ...judge.at,
      onsetTicks: chord[0]!.onsetTicks,
      endTicks: chord[0]!.onsetTicks + chord[0]!.durationTicks,
      rule: "harp pedals",
    } as const;
    const change = harpPedals(chord.map((n) => n.spelling!), setting);
    if (!change.possible) {
      places.push({
        ...at,
        severity: "risky",
        what: change.reason.replace(/\.$/, ""),
        figure: 0,
        limit: move.leastSeconds,
        unit: "seconds",
        source: move.source,
        remedy: "Respell one of the notes on the neighbouring string, or leave it out",
      });
      continue;
    }
    const moved = change.moved.filter((pedal) => lastUse.has(pedal));
    for (const left of [true, false]) {
      const windows = moved.filter((pedal) => LEFT_FOOT.includes(pedal) === left)
        .map((pedal) => ({ pedal, seconds: now - lastUse.get(pedal)! }))
        .sort((a, b) => a.seconds - b.seconds);
      const short = windows.find(({ seconds }, k) => seconds < (k + 1) * move.leastSeconds);
      if (!short) continue;
      const needed = (windows.indexOf(short) + 1) * move.leastSeconds;
      places.push({
        ...at,
        severity: "risky",
        what: `the ${left ? "left" : "right"} foot has ${inTenths(short.seconds)} s for ${
          windows.length === 1 ? "pedal" : "pedals"
        } ${windows.map((w) => w.pedal).join(", ")}; it needs ${inTenths(needed)} s`,
        figure: short.seconds,
        limit: needed,
        unit: "seconds",
        source: move.source,
        remedy:
          "Respell the notes so that other strings give them, leave a beat before the change, or use a second harp",
      });
    }
    setting = change.setting;
    for (const { spelling } of chord) {
      const pedal = HARP_PEDALS.find((each) => each === spelling!.step);
      if (pedal) lastUse.set(pedal, now);
    }
  }
  return places;
}

/**
 * Timpani that have to be retuned faster than a drum can be, or more notes at once than drums. The set is tuned
 * before it begins; then the drum that is not needed for longest is taken.
 *
 * @param notes notes of the part
 * @param judge instrument and tempo
 * @returns the places; none for other instruments
 */
export function timpaniPlaces(notes: readonly Note[], judge: Judge): Place[] {
  const { instrument, clock } = judge;
  const retune = changeTimes(instrument).find((each) => each.change === "retune one drum");
  if (instrument.kind !== "timpani" || retune === undefined) return [];
  const drums = timpaniDrums();
  const strokes = notes.filter((n) => !n.unpitched && drums.some((d) => holds(d, n.soundingPitch)));
  const tuned: (SoundingPitch | null)[] = [...firstTuning(strokes)];
  const lastUse = drums.map(() => -Infinity);
  return strokes.flatMap((n, i): Place[] => {
    const now = clock(n.onsetTicks);
    let drum = tuned.indexOf(n.soundingPitch);
    let place: Place[] = [];
    if (drum < 0) {
      const next = (pitch: SoundingPitch | null) => {
        const later = strokes.findIndex((m, j) => j > i && m.soundingPitch === pitch);
        return later < 0 ? Infinity : later;
      };
      const fit = drums.flatMap((d, at) => holds(d, n.soundingPitch) ? [at] : []);
      const ready = fit.filter((at) => now - lastUse[at]! >= retune.leastSeconds);
      drum = ready.length > 0
        ? ready.reduce((a, b) => next(tuned[b]!) > next(tuned[a]!) ? b : a)
        : fit.reduce((a, b) => lastUse[b]! < lastUse[a]! ? b : a);
      const seconds = now - lastUse[drum]!;
      if (seconds < retune.leastSeconds) {
        place = [{
          ...judge.at,
          onsetTicks: n.onsetTicks,
          endTicks: n.onsetTicks + n.durationTicks,
          severity: "risky",
          rule: "timpani retuning",
          what: `${pitchName(n.soundingPitch)} needs a drum retuned in ${
            inTenths(seconds)
          } s; it takes ${retune.leastSeconds} s, ${retune.comfortableSeconds} s to do it calmly`,
          figure: seconds,
          limit: retune.leastSeconds,
          unit: "seconds",
          source: retune.source,
          remedy:
            `Keep to ${drums.length} notes at a time, leave rests before the new note, or use a second player with drums of his own`,
        }];
      }
      tuned[drum] = n.soundingPitch;
    }
    lastUse[drum] = now;
    return place;
  });
}

function holds(drum: { readonly low: number; readonly high: number }, pitch: SoundingPitch): boolean {
  return pitch >= drum.low && pitch <= drum.high;
}

/** The tuning that serves longest from the start: drums free for the notes that come first. */
function firstTuning(strokes: readonly Note[]): readonly (SoundingPitch | null)[] {
  let tuning: readonly (SoundingPitch | null)[] = timpaniDrums().map(() => null);
  const pitches: SoundingPitch[] = [];
  for (const { soundingPitch } of strokes) {
    if (pitches.includes(soundingPitch)) continue;
    pitches.push(soundingPitch);
    const next = timpaniTuning(pitches);
    if (!next.possible) break;
    tuning = next.pitches;
  }
  return tuning;
}
