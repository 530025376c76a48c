/** Lengths into note values: where to split, which tuplets, how many dots. */
import { firstIndex } from "../../../base/first_index.ts";
import { NOTE_VALUES } from "../../assemble/musicxml_names.ts";
import {
  barLevels,
  feltBeatTicks,
  type MetreInput,
  type MetreLevels,
  pickupShift,
  tupletLevels,
} from "./metre_levels.ts";

/** A stretch of one voice inside one bar: a note, a chord, or a rest. */
export interface VoiceStretch {
  readonly from: number;
  readonly to: number;
  /** True for a rest, which may be split more freely. */
  readonly rest: boolean;
  /** One head on the source's page: it is not split where one value can hold it. */
  readonly whole?: boolean;
}

/** What is counted in a tuplet, and how it looks. */
interface TupletRatio {
  /** Notes played … */
  readonly actual: number;
  /** … in the time of so many. */
  readonly normal: number;
  /** Look of its bracket and figure, as the source has it. */
  readonly attributes?: Readonly<Record<string, string>>;
}

/** A tuplet a value belongs to. */
export interface TupletPlace extends TupletRatio {
  readonly unitType: string;
  readonly starts: boolean;
  readonly stops: boolean;
}

/** One written value. */
export interface NoteValue {
  /** Index of the stretch it belongs to. */
  readonly stretch: number;
  readonly from: number;
  readonly to: number;
  /** Written name: `quarter`, `16th` ...; empty where no value fits the length. */
  readonly type: string;
  readonly dots: number;
  readonly tuplet?: TupletPlace;
}

/** The values that are written: breve to 256th. */
const WRITTEN_VALUES = NOTE_VALUES.filter(([, wholes]) => wholes <= 2 && wholes >= 1 / 256);

/** Name and dots (0 or 1) of a length; undefined when it takes more than one value. */
export function valueOf(ticks: number, ticksPerQuarter: number): { type: string; dots: number } | undefined {
  for (const [type, wholes] of WRITTEN_VALUES) {
    const plain = wholes * 4 * ticksPerQuarter;
    if (ticks === plain) return { type, dots: 0 };
    if (ticks === plain * 1.5) return { type, dots: 1 };
  }
  return undefined;
}

/** Name of a length with two dots, or undefined where it is none. */
function doubleDotted(ticks: number, ticksPerQuarter: number): { type: string; dots: number } | undefined {
  const found = WRITTEN_VALUES.find(([, wholes]) => wholes * 7 * ticksPerQuarter === ticks);
  return found && { type: found[0], dots: 2 };
}

/**
 * Whole notes up to which a stretch is split into values. Nobody reads bars longer than this by their values: a longer
 * note or rest stands in pieces without a value's name, so that the paper grows with the notes and not with the bars.
 * Model assumption.
 */
const LONGEST_SPLIT_WHOLES = 32;
/** Whole notes of a piece without a value's name: half the longest bar of a MIDI file. */
const LONGEST_PIECE_WHOLES = 128;

/** A piece of a stretch with one value. */
interface ValuePiece {
  readonly from: number;
  readonly to: number;
  readonly type: string;
  readonly dots: number;
}

/** Splits one plain stretch (no tuplet) into values a reader expects. */
function splitPlain(
  stretch: VoiceStretch,
  levels: MetreLevels,
  ticksPerQuarter: number,
): readonly ValuePiece[] {
  const { from, to } = stretch;
  const pieces: ValuePiece[] = [];
  const wholeTicks = 4 * ticksPerQuarter;
  if (to - from > LONGEST_SPLIT_WHOLES * wholeTicks) {
    const step = LONGEST_PIECE_WHOLES * wholeTicks;
    for (let at = from; at < to; at += step) {
      pieces.push({ from: at, to: Math.min(to, at + step), type: "", dots: 0 });
    }
    return pieces;
  }
  const waiting = [stretch];
  for (let next = waiting.pop(); next; next = waiting.pop()) {
    const { from, to, rest } = next;
    const cut = cutOf(next, levels, ticksPerQuarter);
    if (typeof cut !== "number") pieces.push({ from, to, type: cut?.type ?? "", dots: cut?.dots ?? 0 });
    else waiting.push({ from: cut, to, rest }, { from, to: cut, rest });
  }
  return pieces;
}

/** Where a stretch is to be cut in two, or else the value it has as a whole, if one fits. */
function cutOf(
  { from, to, rest, whole }: VoiceStretch,
  levels: MetreLevels,
  ticksPerQuarter: number,
): number | { readonly type: string; readonly dots: number } | undefined {
  const value = valueOf(to - from, ticksPerQuarter);
  const printed = whole ? value ?? doubleDotted(to - from, ticksPerQuarter) : undefined;
  if (printed) return printed;
  const start = levels.levelAt(from);
  const end = levels.levelAt(to);
  const inside = levels.strongestBetween(from, to, ticksPerQuarter / 8);
  const isWholeBar = start === 0 && end === 0;
  let fits = value !== undefined;
  if (value && inside && !isWholeBar) {
    const { level } = inside;
    const weaker = Math.max(start, end);
    const stronger = Math.min(start, end);
    if (rest) {
      fits = weaker < level &&
        (value.dots === 0 || levels.ternary(weaker) || levels.isGroupOfThree(from, to));
    } else if (levels.ternary(level)) fits = weaker <= level;
    else {
      const syncopated = start === end && value.dots === 0 && start === level + 1 &&
        to - from <= levels.unitAt(level);
      fits = stronger <= level || syncopated;
    }
  }
  if (fits || !inside) return value;
  return start < end || isWholeBar ? inside.last : inside.first;
}

/** The stretches that reach into a part of the bar, found without a look at the others. */
function within(
  stretches: readonly VoiceStretch[],
  from: number,
  to: number,
): readonly (readonly [VoiceStretch, index: number])[] {
  const first = firstIndex(stretches.length, (i) => stretches[i]!.to > from);
  const found: (readonly [VoiceStretch, number])[] = [];
  for (let i = first; i < stretches.length && stretches[i]!.from < to; i++) found.push([stretches[i]!, i]);
  return found;
}

/** Tuplets tried, the usual before the rare. */
const TUPLETS = [3, 5, 6, 7, 2, 4, 9, 10, 11, 12, 13, 14, 15] as const;

/** A tuplet and its place. */
export interface TupletSpan extends TupletRatio {
  readonly from: number;
  readonly to: number;
  /** Name of the value counted, where the source says it. */
  readonly value?: string;
}

/** Notes in whose time a tuplet is played: the largest number not above it that gives a plain value. */
function normalCount(length: number, actual: number, ticksPerQuarter: number): number | undefined {
  for (let normal = actual; normal >= 1; normal--) {
    if (normal !== actual && valueOf(length / normal, ticksPerQuarter)?.dots === 0) return normal;
  }
  return valueOf(length / 3, ticksPerQuarter)?.dots === 0 && actual === 2 ? 3 : undefined;
}

/** The smallest tuplet that explains a boundary off the plain grid. */
function findTuplet(
  offGrid: number,
  stretches: readonly VoiceStretch[],
  metre: MetreInput,
  from: number,
): TupletSpan | undefined {
  const beat = feltBeatTicks(metre);
  const crossed = (at: number): boolean =>
    within(stretches, at, at + 1).some(([s]) => !s.rest && s.from < at);
  const shift = pickupShift(metre);
  for (const mayCross of [false, true]) {
    for (const length of [beat / 4, beat / 2, beat, beat * 2, beat * 4, metre.durationTicks]) {
      if (length % 1 !== 0) continue;
      const start = Math.floor((offGrid + shift) / length) * length - shift;
      const end = start + length;
      if (start < from || end > metre.durationTicks) continue;
      if (!mayCross && (crossed(start) || crossed(end))) continue;
      // Most lengths have no tuplet: a whole bar of thousands of quarters is not looked through for each of its notes.
      const tuplets = TUPLETS.filter((actual) => length % actual === 0)
        .map((actual) => ({ actual, normal: normalCount(length, actual, metre.ticksPerQuarter) }))
        .filter((tuplet) => tuplet.normal !== undefined);
      if (tuplets.length === 0) continue;
      const inside = within(stretches, start, end).map(([s]) => s.from).filter((b) => b > start);
      for (const parts of [1, 2, 4]) {
        const found = tuplets.find(({ actual }) =>
          inside.every((b) => (b - start) % (length / actual / parts) === 0)
        );
        if (found) return { from: start, to: end, actual: found.actual, normal: found.normal! };
      }
    }
  }
  return undefined;
}

/** Values of the stretches that lie in a tuplet. */
function tupletValues(span: TupletSpan, stretches: readonly VoiceStretch[], metre: MetreInput): NoteValue[] {
  const { actual, normal } = span;
  const unit = (span.to - span.from) / normal;
  const levels = tupletLevels(unit, actual);
  const written = (t: number): number => (t - span.from) * actual / normal;
  const played = (w: number): number => span.from + w * normal / actual;
  const found: Omit<NoteValue, "tuplet">[] = [];
  for (const [s, index] of within(stretches, span.from, span.to)) {
    const from = Math.max(s.from, span.from);
    const to = Math.min(s.to, span.to);
    const whole = s.whole === true && from === s.from && to === s.to;
    const piece = { from: written(from), to: written(to), rest: s.rest, whole };
    for (const value of splitPlain(piece, levels, metre.ticksPerQuarter)) {
      found.push({ ...value, stretch: index, from: played(value.from), to: played(value.to) });
    }
  }
  const unitType = span.value ?? valueOf(unit, metre.ticksPerQuarter)!.type;
  const look = span.attributes ? { attributes: span.attributes } : {};
  return found.map((value, i) => ({
    ...value,
    tuplet: { actual, normal, unitType, starts: i === 0, stops: i === found.length - 1, ...look },
  }));
}

/**
 * Writes the stretches of one voice in one bar, which follow each other without gaps, as note values: split
 * at beats where the metre would otherwise be hidden, with tuplets where the plain grid has no place for a
 * note. Tuplets that the source prints come first. The values of one stretch are to be tied (or, for rests,
 * just follow); the grid must hold 32nd notes exactly.
 */
export function noteValues(
  stretches: readonly VoiceStretch[],
  metre: MetreInput,
  printed: readonly TupletSpan[] = [],
): readonly NoteValue[] {
  const plainGrid = metre.ticksPerQuarter / 16;
  const fine = metre.ticksPerQuarter % 16 === 0 ? plainGrid : metre.ticksPerQuarter / 8;
  const boundaries = stretches.slice(1).map((s) => s.from);
  const spans: TupletSpan[] = [...printed];
  let done = 0;
  for (const b of boundaries) {
    done = Math.max(done, printed.find((p) => b >= p.from && b <= p.to)?.to ?? 0);
    if (b <= done && printed.some((p) => b >= p.from && b <= p.to)) continue;
    if (b < done || b % fine === 0) continue;
    const span = findTuplet(b, stretches, metre, done);
    if (!span || printed.some((p) => p.from < span.to && p.to > span.from)) continue;
    spans.push(span);
    done = span.to;
  }
  spans.sort((a, b) => a.from - b.from);
  const levels = barLevels(metre);
  const values: NoteValue[] = [];
  const plain = (from: number, to: number): void => {
    if (from >= to) return;
    for (const [s, index] of within(stretches, from, to)) {
      const whole = s.whole === true && s.from >= from && s.to <= to;
      const piece = { from: Math.max(s.from, from), to: Math.min(s.to, to), rest: s.rest, whole };
      for (const value of splitPlain(piece, levels, metre.ticksPerQuarter)) {
        values.push({ ...value, stretch: index });
      }
    }
  };
  let at = 0;
  for (const span of spans) {
    plain(at, span.from);
    values.push(...tupletValues(span, stretches, metre));
    at = span.to;
  }
  plain(at, metre.durationTicks);
  return values;
}
