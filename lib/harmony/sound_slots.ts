/** What sounds, in short slots: half beats, or thirds of a beat in 6/8 and its like. */
import type { Score } from "../score/model.ts";
import { beatTicks, isCompound } from "../score/time.ts";
import { modulo12 } from "./chord_space.ts";
import { type SoundedTone, soundedTones, type ToneInput } from "./sounded_tones.ts";

/** Where in its bar a slot begins. */
export const PLACES = ["bar", "half bar", "beat", "off the beat"] as const;

/** Slots in order, without gaps; one entry per slot in each list, twelve in `sound`. */
export interface SoundSlots {
  readonly count: number;
  /** Start in ticks; one more entry, the end of the score. */
  readonly startTicks: Float64Array;
  /** Length in beats. */
  readonly beats: Float64Array;
  /** Index into {@linkcode PLACES}. */
  readonly place: Uint8Array;
  /** Index of the bar. */
  readonly barIndex: Int32Array;
  /** How strongly each pitch class sounds, counted from `reference`. */
  readonly sound: Float64Array;
  /** Pitch class of the bass from `reference`; -1 where nothing sounds. */
  readonly bass: Int8Array;
  /** Pitch class that all others are counted from, so that a transposed score is worked out in the very same figures. */
  readonly reference: number;
}

/** The slots of a score and what sounds in each. */
export function soundSlots(score: Score, input: ToneInput): SoundSlots {
  const slots = emptySlots(score);
  const tones = soundedTones(score, input);
  const first = tones[0];
  const reference = first === undefined ? 0 : modulo12(first.pitch);
  const low = tones.reduce((least, { pitch }) => Math.min(least, pitch), Infinity);
  const width = tones.reduce((most, { pitch }) => Math.max(most, pitch), -Infinity) - low + 1;
  if (first !== undefined) {
    const times = new Float64Array(slots.count * width);
    fillTimes(slots, tones, (slot, pitch, time) => times[slot * width + pitch - low]! += time);
    for (let s = 0; s < slots.count; s++) {
      for (let i = 0; i < width; i++) {
        const time = times[s * width + i]!;
        if (time > 0) {
          slots.sound[s * 12 + modulo12(low + i - reference)]! += Math.sqrt(time);
        }
      }
    }
    findBasses(slots, tones, reference);
  }
  return { ...slots, reference };
}

/** Index of the slot a position lies in. */
export function slotAt(
  { startTicks, count }: Pick<SoundSlots, "startTicks" | "count">,
  ticks: number,
): number {
  let low = 0;
  let high = count - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (startTicks[middle]! <= ticks) low = middle;
    else high = middle - 1;
  }
  return low;
}

function emptySlots(score: Score): Omit<SoundSlots, "reference"> {
  const starts: number[] = [];
  const beats: number[] = [];
  const places: number[] = [];
  const bars: number[] = [];
  score.bars.forEach((bar, barIndex) => {
    const beat = beatTicks(bar, score.ticksPerQuarter);
    const perBeat = isCompound(bar) ? 3 : 2;
    const length = beat / perBeat;
    const inBar = Math.ceil(bar.durationTicks / length - 1e-6);
    const half = Math.round(bar.durationTicks / beat) % 2 === 0 ? inBar / 2 : -1;
    // On a coarse grid slots are whole ticks, and fewer.
    const startOf = (i: number) => Math.min(Math.round(i * length), bar.durationTicks);
    for (let i = 0; i < inBar; i++) {
      const lasts = startOf(i + 1) - startOf(i);
      if (lasts <= 0) continue;
      starts.push(bar.startTicks + startOf(i));
      beats.push(lasts / beat);
      places.push(i === 0 ? 0 : i === half ? 1 : i % perBeat === 0 ? 2 : 3);
      bars.push(barIndex);
    }
  });
  const last = score.bars.at(-1);
  return {
    count: starts.length,
    startTicks: Float64Array.from([...starts, last ? last.startTicks + last.durationTicks : 0]),
    beats: Float64Array.from(beats),
    place: Uint8Array.from(places),
    barIndex: Int32Array.from(bars),
    sound: new Float64Array(starts.length * 12),
    bass: new Int8Array(starts.length).fill(-1),
  };
}

/** Calls back with each slot a tone sounds in, and the share of the slot, weighted. */
function fillTimes(
  slots: Omit<SoundSlots, "reference">,
  tones: readonly SoundedTone[],
  add: (slot: number, pitch: number, time: number) => void,
): void {
  for (const tone of tones) {
    for (
      let s = slotAt(slots, tone.onsetTicks);
      s < slots.count && slots.startTicks[s]! < tone.endTicks;
      s++
    ) {
      const share = shareIn(slots, s, tone);
      if (share > 0) add(s, tone.pitch, share * tone.weight);
    }
  }
}

/** Share of a slot that a tone sounds in. */
function shareIn({ startTicks }: Pick<SoundSlots, "startTicks">, slot: number, tone: SoundedTone): number {
  const [from, to] = [startTicks[slot]!, startTicks[slot + 1]!];
  return (Math.min(to, tone.endTicks) - Math.max(from, tone.onsetTicks)) / (to - from);
}

/** A note shorter than this share of a slot is not its bass; model assumption. */
const BASS_SHARE = 0.25;

/** The lowest note of the parts that have the bass; where none of them sounds, the lowest of all. */
function findBasses(
  slots: Omit<SoundSlots, "reference">,
  tones: readonly SoundedTone[],
  reference: number,
): void {
  const lowest = new Float64Array(slots.count).fill(Infinity);
  for (const list of [tones.filter((tone) => tone.bass), tones]) {
    const settled = slots.bass.slice();
    for (const tone of list) {
      let s = slotAt(slots, tone.onsetTicks);
      for (; s < slots.count && slots.startTicks[s]! < tone.endTicks; s++) {
        if (settled[s] !== -1 || tone.pitch >= lowest[s]! || shareIn(slots, s, tone) < BASS_SHARE) continue;
        lowest[s] = tone.pitch;
        slots.bass[s] = modulo12(tone.pitch - reference);
      }
    }
  }
}
