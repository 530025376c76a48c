/** What the rows of the range chart share: places, registers, pitches. */
import type { Instrument, PitchRange } from "../../instruments/catalogue.ts";
import { registersOf } from "../../instruments/registers.ts";
import { dynamicMark } from "../../score/dynamics.ts";

export interface PitchCount {
  /** Sounding pitch. */
  readonly pitch: number;
  readonly count: number;
}

/** A register as it is drawn, clipped to its instrument's range. */
export interface RegisterStretch extends PitchRange {
  /** Name; empty for what no register covers. */
  readonly name: string;
  /** How it sounds. */
  readonly character: string;
  /** Softest dynamic, 1 ppp to 8 fff. */
  readonly softest: number;
  readonly loudest: number;
}

/** How much of a row is words: all of them, the names of registers, or what fits inside. */
export type RangeDetail = "full" | "names" | "shapes";

export interface RangeLayout {
  readonly width: number;
  readonly left: number;
  readonly right: number;
  /** Pixels a semitone. */
  readonly semitone: number;
  /** Left edge of a pitch in pixels. */
  readonly xOf: (pitch: number) => number;
  /** How much is said in words. */
  readonly detail: RangeDetail;
  readonly rowHeight: number;
  /** Height from ppp to fff in pixels. */
  readonly shapeHeight: number;
  /** Lines that the character of a register may have. */
  readonly characterLines: number;
  /** Height of the bars that count notes, in pixels; 0 for none. */
  readonly notesHeight: number;
  /** Whether pitch is as the player reads it. */
  readonly written: boolean;
  readonly notes: readonly PitchCount[];
}

/** Steps of the dynamic scale, ppp to fff. */
export const DYNAMIC_STEPS = 8;

/** Semitones that the written pitch is left of the axis's. */
export function shiftOf(instrument: Instrument, written: boolean): number {
  return written ? instrument.transposeSemitones : 0;
}

/**
 * Registers within the range, from low to high; what they leave over at the ends is a stretch without a name.
 */
export function stretchesOf(instrument: Instrument): readonly RegisterStretch[] {
  const { low, high } = instrument.rangeExtreme;
  const named = registersOf(instrument).map((r): RegisterStretch => ({
    name: r.name,
    character: r.character,
    low: Math.max(low, r.low),
    high: Math.min(high, r.high),
    softest: r.softestDynamic,
    loudest: r.loudestDynamic,
  })).filter((s) => s.low <= s.high);
  const bare = { name: "", character: "", softest: 1, loudest: DYNAMIC_STEPS };
  const first = named[0];
  const last = named.at(-1);
  if (first === undefined || last === undefined) return [{ ...bare, low, high }];
  return [
    ...(first.low > low ? [{ ...bare, low, high: first.low - 1 }] : []),
    ...named,
    ...(last.high < high ? [{ ...bare, low: last.high + 1, high }] : []),
  ];
}

/** How soft and how loud a register can be: `pp–mf`. */
export function dynamicsInWords({ softest, loudest }: RegisterStretch): string {
  return softest === loudest
    ? `only ${dynamicMark(softest)}`
    : `${dynamicMark(softest)}–${dynamicMark(loudest)}`;
}
