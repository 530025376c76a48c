/** Stretches of time with what sounds in them. */
import type { ChordSound } from "./chord_fit.ts";
import type { Settings } from "../base/settings.ts";
import type { HARMONY_CONSTANTS } from "./harmony_constants.ts";
import type { TickSpan } from "./harmony_results.ts";
import { slotAt, type SoundSlots } from "./sound_slots.ts";

/** A stretch and its sound; pitch classes are counted from the reference of the slots. */
export interface Segment extends TickSpan, ChordSound {
  /** False where nothing sounds. */
  readonly isSounding: boolean;
  /** First pitch class in the bass; -1 where nothing sounds. */
  readonly firstBass: number;
  /** Shares of the sound as they are, by which it is told what a chord explains. */
  readonly plainSound: Float64Array;
  readonly atStart: Float64Array;
  /** Share of the whole for which each pitch class sounds. */
  readonly throughout: Float64Array;
}

/** The beginning of a stretch, in which a seventh has to sound to be of the chord, as a share of it; model assumption. */
const START = 0.25;

/** What sounds in a stretch: its first beat counts more, and shares are flattened. */
export function segmentOf(
  slots: SoundSlots,
  stretch: TickSpan,
  { openingWeight, sharePower }: Pick<Settings<typeof HARMONY_CONSTANTS>, "openingWeight" | "sharePower">,
): Segment {
  const whole = new Float64Array(12);
  const opening = new Float64Array(12);
  const bass = new Float64Array(12);
  const first = slotAt(slots, stretch.startTicks);
  let beats = 0;
  let firstBass = -1;
  for (let s = first; s < slots.count && slots.startTicks[s]! < stretch.endTicks; s++) {
    const time = slots.beats[s]! * shareWithin(slots, s, stretch);
    if (time <= 0) continue;
    for (let i = 0; i < 12; i++) {
      const sound = slots.sound[s * 12 + i]! * time;
      whole[i]! += sound;
      if (beats < 1) opening[i]! += sound;
    }
    beats += time;
    if (slots.bass[s]! < 0) continue;
    bass[slots.bass[s]!]! += time;
    if (firstBass < 0) firstBass = slots.bass[s]!;
  }
  const isSounding = toShares(whole);
  toShares(opening);
  toShares(bass);
  const sound = whole.map((share, i) => (share + openingWeight * opening[i]!) ** sharePower);
  toShares(sound);
  return {
    ...stretch,
    sound,
    plainSound: whole,
    atStart: soundingFor(slots, stretch, START),
    throughout: soundingFor(slots, stretch, 1),
    bass,
    firstBass,
    isSounding,
  };
}

/** Share of the beginning, a slot at least, for which each pitch class sounds. */
function soundingFor(slots: SoundSlots, { startTicks, endTicks }: TickSpan, part: number): Float64Array {
  const sounding = new Float64Array(12);
  const first = slotAt(slots, startTicks);
  const to = Math.max(startTicks + (endTicks - startTicks) * part, slots.startTicks[first + 1] ?? 0);
  let all = 0;
  for (let s = first; s < slots.count && slots.startTicks[s]! < to; s++) {
    const time = slots.beats[s]! * shareWithin(slots, s, { startTicks, endTicks: to });
    all += time;
    for (let i = 0; i < 12; i++) if (slots.sound[s * 12 + i]! > 0) sounding[i]! += time;
  }
  return all > 0 ? sounding.map((time) => time / all) : sounding;
}

function shareWithin({ startTicks }: SoundSlots, slot: number, stretch: TickSpan): number {
  const [from, to] = [startTicks[slot]!, startTicks[slot + 1]!];
  return (Math.min(to, stretch.endTicks) - Math.max(from, stretch.startTicks)) / (to - from);
}

/** Divides by the sum, in place; false where there is none. */
export function toShares(list: Float64Array): boolean {
  let sum = 0;
  for (const one of list) sum += one;
  if (sum > 0) { for (let i = 0; i < list.length; i++) list[i]! /= sum; }
  return sum > 0;
}
