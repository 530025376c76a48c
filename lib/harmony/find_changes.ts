/** Where chords change: the first pass, slot by slot. */
import type { Settings } from "../base/settings.ts";
import { chordFits, type ChordSound, toneOdds } from "./chord_fit.ts";
import { chordAt, KEYS, kindOf, modeOf, rootOf } from "./chord_space.ts";
import type { ChordUse } from "./chord_use.ts";
import type { HARMONY_CONSTANTS } from "./harmony_constants.ts";
import type { TickSpan } from "./harmony_results.ts";
import { keyChanges } from "./key_changes.ts";
import { toShares } from "./segments.ts";
import { PLACES, type SoundSlots } from "./sound_slots.ts";

/** How likely a chord changes at a bar line, half a bar, a beat and off the beat; counted in annotated movements. */
const CHANGE_ODDS = [0.62, 0.2, 0.155, 0.03].map((share) => Math.log(share / (1 - share)));
/** How many chords of each mode are looked for in this pass: the most used; model assumption. */
const IN_USE = 48;
const STAYED = 0xffff;

/** What a pass is worked out with. */
export interface CourseInput {
  readonly settings: Settings<typeof HARMONY_CONSTANTS>;
  readonly use: ChordUse;
}

/** Cuts a run of slots into stretches of one chord. */
export function findChanges(
  slots: SoundSlots,
  [from, to]: readonly [number, number],
  input: CourseInput,
): readonly TickSpan[] {
  const states = statesOf(input.use);
  const course = bestCourse(slots, [from, to], input, states);
  const stretches: TickSpan[] = [];
  let start = from;
  for (let s = from + 1; s <= to; s++) {
    if (s < to && states.chord[course[s - from]!] === states.chord[course[s - from - 1]!]) continue;
    stretches.push({ startTicks: slots.startTicks[start]!, endTicks: slots.startTicks[s]! });
    start = s;
  }
  return stretches;
}

/** Chords in keys: all keys one after another, each with its chords in use. */
interface States {
  readonly chord: Int32Array;
  readonly use: Float64Array;
}

function statesOf({ use }: ChordUse): States {
  const inUse = use.map((shares) =>
    Array.from(shares.keys()).sort((a, b) => shares[b]! - shares[a]! || a - b).slice(0, IN_USE)
  );
  const keys = Array.from({ length: KEYS }, (_, key) => key);
  const all = keys.flatMap((key) =>
    inUse[modeOf(key)]!.map((chord) => ({
      chord: chordAt(rootOf(chord) + key % 12, kindOf(chord)),
      use: use[modeOf(key)]![chord]!,
    }))
  );
  return { chord: Int32Array.from(all, (s) => s.chord), use: Float64Array.from(all, (s) => s.use) };
}

/** The state of each slot on the likeliest way through them. */
function bestCourse(
  slots: SoundSlots,
  [from, to]: readonly [number, number],
  { settings }: CourseInput,
  states: States,
): Int32Array {
  const odds = toneOdds(settings);
  const costs = keyChanges(settings);
  const entries = states.use.map((share) => share * settings.slotUseWeight);
  const value = entries.slice();
  const cameFrom = new Uint16Array((to - from) * value.length);
  for (let s = from; s < to; s++) {
    if (s > from) {
      const held = slots.bass[s] === slots.bass[s - 1] ? settings.heldBassCost : 0;
      const change = settings.changeWeight * CHANGE_ODDS[slots.place[s]!]! - held;
      enterSlot(value, entries, { costs, change }, cameFrom.subarray((s - from) * value.length));
    }
    const sound = slotSound(slots, s, settings);
    if (sound === undefined) continue;
    const fits = chordFits(sound, odds);
    const weight = settings.slotWeight * slots.beats[s]!;
    for (let i = 0; i < value.length; i++) value[i]! += weight * fits[states.chord[i]!]!;
  }
  return tracedBack(value, cameFrom, to - from);
}

/** What sounds in a slot, a little of its whole beat and of its bar, or half of it, with it; undefined where nothing does. */
function slotSound(
  slots: SoundSlots,
  slot: number,
  { beatBlend, barBlend }: CourseInput["settings"],
): ChordSound | undefined {
  const sound = slots.sound.slice(slot * 12, slot * 12 + 12);
  blendIn(sound, slots, { slot, within: "off the beat", weight: beatBlend });
  blendIn(sound, slots, { slot, within: "beat", weight: barBlend });
  const bass = new Float64Array(12);
  if (slots.bass[slot]! >= 0) bass[slots.bass[slot]!] = 1;
  return toShares(sound) ? { sound, bass } : undefined;
}

/** Adds what sounds around a slot, as far as slots begin within what is named: on average, weighted. */
function blendIn(
  sound: Float64Array,
  slots: SoundSlots,
  { slot, within, weight }: {
    readonly slot: number;
    readonly within: typeof PLACES[number];
    readonly weight: number;
  },
): void {
  const least = PLACES.indexOf(within);
  let first = slot;
  while (first > 0 && slots.place[first]! >= least) first--;
  let end = first + 1;
  while (end < slots.count && slots.place[end]! >= least) end++;
  for (let s = first; s < end; s++) {
    for (let i = 0; i < 12; i++) sound[i]! += weight * slots.sound[s * 12 + i]! / (end - first);
  }
}

/** From the values at the end of a slot to those at the start of the next: each chord stays, or is entered anew. */
function enterSlot(
  value: Float64Array,
  entries: Float64Array,
  { costs, change }: { readonly costs: Float64Array; readonly change: number },
  cameFrom: Uint16Array,
): void {
  const best = new Int32Array(KEYS);
  for (let key = 0; key < KEYS; key++) {
    best[key] = key * IN_USE;
    for (let i = key * IN_USE; i < (key + 1) * IN_USE; i++) if (value[i]! > value[best[key]!]!) best[key] = i;
  }
  const left = Float64Array.from(best, (state) => value[state]!);
  for (let key = 0; key < KEYS; key++) {
    let [entering, state] = [-Infinity, 0];
    for (let other = 0; other < KEYS; other++) {
      const way = left[other]! + costs[other * KEYS + key]!;
      if (way > entering) [entering, state] = [way, best[other]!];
    }
    for (let i = key * IN_USE; i < (key + 1) * IN_USE; i++) {
      const entered = entering + change + entries[i]!;
      const stays = value[i]! >= entered;
      cameFrom[i] = stays ? STAYED : state;
      if (!stays) value[i] = entered;
    }
  }
}

function tracedBack(value: Float64Array, cameFrom: Uint16Array, count: number): Int32Array {
  const course = new Int32Array(count);
  let state = 0;
  for (let i = 1; i < value.length; i++) if (value[i]! > value[state]!) state = i;
  for (let s = count - 1; s >= 0; s--) {
    course[s] = state;
    const from = cameFrom[s * value.length + state]!;
    if (s > 0 && from !== STAYED) state = from;
  }
  return course;
}
