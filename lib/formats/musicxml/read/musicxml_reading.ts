/** What a MusicXML reader keeps while it goes through a file: the score so far, and where each part is. */
import { commonDivisor } from "../../../base/common_divisor.ts";
import { type InputError, refusals } from "../../../base/errors.ts";
import type { NoticeList } from "../../assemble/notice_list.ts";
import {
  type RawPart,
  type RawScore,
  type RawTuplet,
  refineRawGrid,
  type RepeatSigns,
} from "../../assemble/raw_score.ts";
import type { Interval } from "../../../score/spelling.ts";
import type { XmlPlace } from "./xml_elements.ts";

/** Where the reader is in one part. */
export interface PartReading {
  readonly raw: RawPart;
  /** Percussion key of each instrument the part names. */
  readonly percussionKeys: ReadonlyMap<string, number>;
  /** Catalogue instrument and name of each instrument of the part, where it has several. */
  readonly instruments: ReadonlyMap<string, { readonly instrument: string; readonly name: string }>;
  instrument: string;
  /** What is said where another stands in for an instrument that the catalogue has no entry for. */
  readonly standIn: string | undefined;
  readonly openTuplets: Map<number, RawTuplet & { readonly number: string }>;
  endings: readonly number[] | undefined;
  barIndex: number;
  cursor: number;
  /** Furthest ticks reached in the bar. */
  reach: number;
  /** Notes the part had when the bar began. */
  notesBefore: number;
  /** Where the last note began, for chords. */
  lastOnset: number;
  /** Ticks in one of the file's divisions. */
  ticksPerDivision: number;
  /** Transposition by stave; 0 for all staves without one of their own. */
  readonly transpositions: Map<number, Interval>;
  metre: { readonly beats: number; readonly beatUnit: number };
}

/** Everything a reader keeps. */
export interface MusicXmlReading {
  readonly score: RawScore;
  readonly notices: NoticeList;
  /** File, as the user named it. */
  readonly file: string | undefined;
  readonly parts: PartReading[];
  part: PartReading | undefined;
  /** Note heads that may still come. */
  notesLeft: number;
  readonly place: () => XmlPlace;
}

/** Finest grid accepted, in ticks to a quarter: exact for any mixture of tuplets met in practice. */
const MAX_TICKS_PER_QUARTER = 1e7;
/** Longest note head accepted, in quarters: that of a bar of 255/1, the longest that a MIDI time signature gives. */
const LONGEST_HEAD_QUARTERS = 1020;
/** Longest bar, rest and step accepted, in quarters: 1024/1, the longest time signature that is read. */
const LONGEST_BAR_QUARTERS = 4096;

/** An error at the place the reader has reached. */
export function refusal(reading: MusicXmlReading, problem: string, remedy: string): InputError {
  const { file, part, score } = reading;
  const where = { file, part: part?.raw.part.name, bar: part && score.bars[part.barIndex]?.number };
  return refusals("read the MusicXML file", { ...where, row: reading.place().row })(problem, remedy);
}

/** Counts something that was not used, with part and bar. */
export function notice(reading: MusicXmlReading, what: string): void {
  const { part, score } = reading;
  reading.notices.add(what, part?.raw.part.name, part ? score.bars[part.barIndex]?.number : undefined);
}

function refine(reading: MusicXmlReading, factor: number): void {
  if (factor === 1) return;
  refineRawGrid(reading.score, factor);
  for (const part of reading.parts) {
    part.cursor *= factor;
    part.reach *= factor;
    part.lastOnset *= factor;
    part.ticksPerDivision *= factor;
    for (const tuplet of part.openTuplets.values()) tuplet.offsetTicks *= factor;
  }
}

/**
 * Makes sure that the quarter note can be divided into equal parts; false where the grid would become too
 * fine, which is then left as it is.
 */
export function fitGrid(reading: MusicXmlReading, parts: number): boolean {
  const factor = parts / commonDivisor(parts, reading.score.ticksPerQuarter);
  if (reading.score.ticksPerQuarter * factor > MAX_TICKS_PER_QUARTER) return false;
  refine(reading, factor);
  return true;
}

/** Takes over the divisions of a quarter note that a part counts in. */
export function setDivisions(reading: MusicXmlReading, part: PartReading, text: string): void {
  const divisions = Number(text);
  if (!(divisions > 0 && Number.isFinite(divisions))) {
    throw refusal(reading, `the divisions of a quarter note are "${text}"`, "They must be a positive number");
  }
  const decimals = Math.min(6, /\.(\d+)/.exec(text)?.[1]?.length ?? 0);
  if (!fitGrid(reading, Math.max(1, Math.round(divisions * 10 ** decimals)))) {
    notice(reading, `divisions finer than the grid of ${reading.score.ticksPerQuarter}: times rounded`);
  }
  part.ticksPerDivision = reading.score.ticksPerQuarter / divisions;
}

/** Whole ticks of a duration in the part's divisions; a note that sounds is never as long as a rest may be. */
export function durationTicks(
  reading: MusicXmlReading,
  part: PartReading,
  text: string,
  sounds = false,
): number {
  const duration = Number(text);
  if (text === "" || !(duration >= 0)) {
    throw refusal(reading, `a duration is "${text}"`, "It must be a number from 0 up");
  }
  let ticks = duration * part.ticksPerDivision;
  const longest = sounds ? LONGEST_HEAD_QUARTERS : LONGEST_BAR_QUARTERS;
  if (!(ticks <= longest * reading.score.ticksPerQuarter)) {
    throw refusal(reading, `a duration of ${text} divisions is too long to be meant`, "Correct it");
  }
  if (Number.isInteger(ticks)) return ticks;
  const near = Math.round(ticks);
  if (Math.abs(ticks - near) < 1e-6) return near;
  for (const parts of [2, 3, 4, 5, 8, 10, 100, 1000]) {
    if (Math.abs(ticks * parts - Math.round(ticks * parts)) > 1e-6) continue;
    if (!fitGrid(reading, reading.score.ticksPerQuarter * parts)) break;
    ticks = duration * part.ticksPerDivision;
    return Math.round(ticks);
  }
  notice(reading, "duration off the grid: rounded");
  return near;
}

/** Moves on in the bar, and remembers how long it has become. */
export function moveOn(reading: MusicXmlReading, part: PartReading, ticks: number): void {
  part.cursor += ticks;
  reachTo(reading, part, part.cursor);
}

/**
 * Remembers how long the bar has become where a note of a chord outlasts the first, which decides how far to
 * move on.
 */
export function reachTo(reading: MusicXmlReading, part: PartReading, ticks: number): void {
  part.reach = Math.max(part.reach, ticks);
  const { bars, ticksPerQuarter } = reading.score;
  const bar = bars[part.barIndex]!;
  if (ticks <= bar.contentTicks) return;
  if (ticks > LONGEST_BAR_QUARTERS * ticksPerQuarter) {
    throw refusal(
      reading,
      `the bar holds more than ${LONGEST_BAR_QUARTERS} quarter notes`,
      "Export the score again; its divisions or durations must be wrong",
    );
  }
  bar.contentTicks = ticks;
}

/** Transposition from written to sounding pitch in force on a stave. */
export function transpositionOf(part: PartReading, staff: number): Interval {
  return part.transpositions.get(staff) ?? part.transpositions.get(0) ?? { semitones: 0, steps: 0 };
}

/** Remembers that another instrument is taken up, if it is another. */
export function takeInstrument(part: PartReading, id: string, offsetTicks: number): void {
  const taken = part.instruments.get(id);
  if (!taken || taken.instrument === part.instrument) return;
  part.instrument = taken.instrument;
  part.raw.instrumentChanges.push({ barIndex: part.barIndex, offsetTicks, ...taken });
}

/** Adds signs to the bar that is being read; those of other parts stay. */
export function addRepeat(reading: MusicXmlReading, part: PartReading, signs: RepeatSigns): void {
  const bar = reading.score.bars[part.barIndex]!;
  bar.repeat = { ...bar.repeat, ...signs };
}
