/** One voice of an ABC tune while it is being read. */
import type { Articulation, Playing, PlayingSign } from "../../score/model.ts";
import type { AbcKey, AbcMetre } from "./abc_fields.ts";
import { compare, type Fraction, fraction, plus, times, ZERO } from "./abc_fraction.ts";
import type { RawMark, RawNote, RepeatSigns } from "../assemble/raw_score.ts";

/** A note head with exact times; `note` has no ticks yet. */
export interface AbcNote {
  readonly note: RawNote;
  /** Start in the bar, in whole notes. */
  readonly offset: Fraction;
  /** Length in whole notes. */
  length: Fraction;
}

/** Something at a place in a voice. */
export interface AbcPlaced<T> {
  readonly barIndex: number;
  /** Start in the bar, in whole notes. */
  readonly offset: Fraction;
  readonly what: T;
}

/** A mark without its place. */
export type AbcMark = RawMark extends infer M
  ? M extends RawMark ? Omit<M, "barIndex" | "offsetTicks" | "staff"> : never
  : never;

/** Where a bar of a voice is in the text, and how long it is. */
interface AbcBar {
  /** Length in whole notes. */
  length: Fraction;
  row: number;
  column: number;
  /** Length the metre asks for; undefined in free metre. */
  wanted: Fraction | undefined;
  metre: AbcMetre | "free";
  /** Stands at a repeat, a double bar line or the end, where a bar may be cut in two. */
  mayBeShort: boolean;
  doubleBar?: true;
}

/** What is waiting for the next note. */
interface AbcWaiting {
  articulations: Articulation[];
  trill: boolean;
  /** Trill line begins or ends. */
  wavyLines: ("start" | "stop")[];
  slurStarts: number;
  tremoloSlashes: number;
  technique: RawNote["technique"];
  signs: PlayingSign[];
  pause: boolean;
}

/** A voice being read. */
export interface AbcVoice {
  /** Id after `V:`. */
  readonly id: string;
  name: string;
  /** Name it was given beside its id. */
  givenName: string | undefined;
  octaves: number;
  /** Semitones from written to sounding. */
  transpose: number;
  key: AbcKey;
  metre: AbcMetre | "free";
  unit: Fraction;
  barIndex: number;
  /** Position in the bar, in whole notes. */
  offset: Fraction;
  /** Longest overlay of the bar so far. */
  longest: Fraction;
  /** Voice within the part, from 1; `&` raises it. */
  overlay: number;
  /** Something was read in this bar. */
  begun: boolean;
  /** The last bar line allows the bar after it to be short. */
  afterBreak: boolean;
  /** Accidentals of the bar, by letter or by letter and octave. */
  readonly accidentals: Map<string, number>;
  /** Ties waiting for their second note, by letter and octave: the pitch's alteration. */
  ties: Map<string, number>;
  readonly slurs: number[];
  slurCount: number;
  /** What waits for the next note. */
  waiting: AbcWaiting;
  /** Length factor for the next note, from broken rhythm. */
  broken: Fraction | undefined;
  /** Tuplet in force: factor and notes left. */
  tuplet: { readonly factor: Fraction; left: number } | undefined;
  /** Notes of the last event, for broken rhythm, ties and ends of slurs; empty after a rest. */
  last: AbcNote[];
  /** A beam may go on from the last note to the next: no space, rest or bar line stands between. */
  underBeam: boolean;
  /** Length of the last event; undefined where broken rhythm has nothing to change. */
  lastLength: Fraction | undefined;
  readonly notes: AbcNote[];
  readonly pauses: AbcNote[];
  readonly playing: AbcPlaced<Omit<Playing, "fromTicks">>[];
  readonly marks: AbcPlaced<AbcMark>[];
  readonly bars: AbcBar[];
  endings: readonly number[] | undefined;
  readonly repeats: Map<number, RepeatSigns>;
  readonly keys: { readonly barIndex: number; readonly fifths: number }[];
}

/** Nothing waiting. */
export function nothingWaiting(): AbcWaiting {
  return {
    articulations: [],
    trill: false,
    wavyLines: [],
    slurStarts: 0,
    tremoloSlashes: 0,
    technique: undefined,
    signs: [],
    pause: false,
  };
}

/** Begins a voice with the settings of the tune's head. */
export function startVoice(
  id: string,
  head: { readonly key: AbcKey; readonly metre: AbcMetre | "free"; readonly unit: Fraction },
): AbcVoice {
  return {
    id,
    name: id,
    givenName: undefined,
    octaves: 0,
    transpose: 0,
    ...head,
    barIndex: 0,
    offset: ZERO,
    longest: ZERO,
    overlay: 1,
    begun: false,
    afterBreak: true,
    accidentals: new Map(),
    ties: new Map(),
    slurs: [],
    slurCount: 0,
    waiting: nothingWaiting(),
    broken: undefined,
    tuplet: undefined,
    last: [],
    underBeam: false,
    lastLength: undefined,
    notes: [],
    pauses: [],
    playing: [],
    marks: [],
    bars: [],
    endings: undefined,
    repeats: new Map(),
    keys: [{ barIndex: 0, fifths: head.key.fifths }],
  };
}

/** Length of a full bar in whole notes; undefined in free metre. */
export function fullBar(metre: AbcMetre | "free"): Fraction | undefined {
  return metre === "free" ? undefined : fraction(metre.beats, metre.beatUnit);
}

/**
 * Length of the next note or rest from the one that is written, with broken rhythm and tuplet worked in and
 * used up.
 */
export function takeLength(voice: AbcVoice, written: Fraction): Fraction {
  let length = written;
  if (voice.broken) length = times(length, voice.broken);
  voice.broken = undefined;
  if (voice.tuplet) {
    length = times(length, voice.tuplet.factor);
    if (--voice.tuplet.left === 0) voice.tuplet = undefined;
  }
  return length;
}

/** A bar in the voice's metre. */
export function barOf(voice: AbcVoice, length: Fraction, place: Pick<AbcBar, "row" | "column">): AbcBar {
  const { metre } = voice;
  return { length, ...place, wanted: fullBar(metre), metre, mayBeShort: false };
}

/** Moves on in the bar. */
export function moveOn(voice: AbcVoice, length: Fraction): void {
  voice.offset = plus(voice.offset, length);
  if (compare(voice.offset, voice.longest) > 0) voice.longest = voice.offset;
  voice.begun = true;
}

/** Adds signs to the bar that is being read; those of other parts stay. */
export function addRepeat(voice: AbcVoice, bar: number, signs: RepeatSigns): void {
  voice.repeats.set(bar, { ...voice.repeats.get(bar), ...signs });
}
