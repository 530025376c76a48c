/** The catalogue of instruments, read from `data/instruments.csv` and `data/instrument_names.csv`. */
import { A_TEXT, AN_INSTRUMENT, checkArgument } from "../base/arguments.ts";
import instrumentsText from "../../data/instruments.csv" with { type: "text" };
import namesText from "../../data/instrument_names.csv" with { type: "text" };
import { InputError } from "../base/errors.ts";
import { once } from "../base/memo.ts";
import { ranked } from "../base/nearest_first.ts";
import type { SoundingPitch } from "../base/units.ts";
import {
  aNumber,
  anyText,
  type Columns,
  numberOrNothing,
  oneOf,
  pitchOrNothing,
  readTable,
  type Row,
  someText,
  type Sourced,
  sourced,
  under,
  yesOrNo,
} from "./data_table.ts";

/** Family an instrument is seated with. */
export type InstrumentFamily =
  | "woodwind"
  | "brass"
  | "percussion"
  | "keyboard"
  | "plucked"
  | "strings"
  | "voice";

/** How the sound is begun. */
export type SoundProduction = "blown" | "bowed" | "plucked" | "struck" | "sung";

/** The families by name. */
export const INSTRUMENT_FAMILIES: readonly InstrumentFamily[] = [
  "woodwind",
  "brass",
  "percussion",
  "keyboard",
  "plucked",
  "strings",
  "voice",
];
const PRODUCTIONS: readonly SoundProduction[] = ["blown", "bowed", "plucked", "struck", "sung"];

/** Two pitches and everything between. */
export interface PitchRange {
  /** Lowest sounding pitch, MIDI. */
  readonly low: SoundingPitch;
  /** Highest sounding pitch, MIDI. */
  readonly high: SoundingPitch;
}

/** One instrument: what it is, where it is written, how far it reaches. */
export interface Instrument extends Sourced {
  /** Catalogue id, an English name, for example `clarinet in Bb`. */
  readonly id: string;
  /** What is doubtful, where it was asked for by another name than its id. */
  readonly confidenceNote?: string;
  /** Family. */
  readonly family: InstrumentFamily;
  /** How the sound is begun. */
  readonly soundProduction: SoundProduction;
  /** True when a note can be held at the same loudness. */
  readonly sustains: boolean;
  /** Standard sound id (MusicXML 4.0 `sounds.xml`). */
  readonly soundId: string;
  /** General MIDI program counted from 0, or null where there is none. */
  readonly midiProgram: number | null;
  /** Nearest key of the General MIDI percussion map, or null for what has a pitch. */
  readonly percussionKey: number | null;
  /** True where the sound has no definite pitch. */
  readonly unpitched: boolean;
  /** Usual clefs: `G`, `F`, `C3` alto, `C4` tenor, `percussion`. */
  readonly clefs: readonly string[];
  /** What it is apart from its key: `clarinet` for all clarinets of the soprano size. */
  readonly kind: string;
  /** Key it is built in, for example `Bb`; empty where that says nothing. */
  readonly key: string;
  /** Semitones from written to sounding pitch. */
  readonly transposeSemitones: number;
  /** Staff steps from written to sounding pitch. */
  readonly transposeSteps: number;
  /** From the lowest to the highest note a professional can be asked for; all of MIDI where unpitched. */
  readonly rangeExtreme: PitchRange;
  /** Where it is at ease; all of MIDI where unpitched. */
  readonly rangeComfortable: PitchRange;
  /** Players taken for one line where a score does not say. */
  readonly sectionPlayers: number;
  /** Most notes one player can sound at once. */
  readonly mostNotes: number;
  /** True when one player can sound only one note at once. */
  readonly monophonic: boolean;
  /** Names it is found under, the id first; several instruments may share a name. */
  readonly names: readonly string[];
  /** Id of the instrument whose figures stand in where this one has none, or null. */
  readonly figuresLike: string | null;
  /** A remark on the range, or empty. */
  readonly note: string;
}

const columns = {
  id: under("instrument", someText),
  family: oneOf(INSTRUMENT_FAMILIES),
  soundProduction: oneOf(PRODUCTIONS),
  sustains: yesOrNo,
  soundId: someText,
  midiProgram: under("midi_program_from_0", numberOrNothing),
  percussionKey: under("percussion_key_midi", numberOrNothing),
  clefs: someText,
  kind: someText,
  key: anyText,
  transposeSemitones: aNumber,
  transposeSteps: aNumber,
  extremeLow: under("extreme_low_sounding", pitchOrNothing),
  extremeHigh: under("extreme_high_sounding", pitchOrNothing),
  comfortableLow: under("comfortable_low_sounding", pitchOrNothing),
  comfortableHigh: under("comfortable_high_sounding", pitchOrNothing),
  sectionPlayers: aNumber,
  mostNotes: under("most_notes_at_once", aNumber),
  figuresLike: anyText,
  ...sourced,
  note: anyText,
} satisfies Columns;

const ALL_PITCHES: PitchRange = { low: 0, high: 127 };

function instrumentFromRow(row: Row<typeof columns>, otherNames: readonly string[]): Instrument {
  const { extremeLow, extremeHigh, comfortableLow, comfortableHigh, ...facts } = row;
  const range = (low: number | null, high: number | null): PitchRange =>
    low === null || high === null ? ALL_PITCHES : { low, high };
  return {
    ...facts,
    unpitched: extremeLow === null,
    clefs: row.clefs.split(/\s+/),
    rangeExtreme: range(extremeLow, extremeHigh),
    rangeComfortable: range(comfortableLow, comfortableHigh),
    monophonic: row.mostNotes === 1,
    names: [row.id, ...otherNames],
    figuresLike: row.figuresLike || null,
  };
}

const namesOf = (row: { readonly names: string }) => row.names.split(";").map((name) => name.trim());

/** What the tables say; read when it is first asked for. */
const tables = once(() => {
  const nameRows = readTable(namesText, {
    file: "data/instrument_names.csv",
    columns: { instrument: someText, language: someText, names: someText, ...sourced },
  });
  const instruments: readonly Instrument[] = readTable(instrumentsText, {
    file: "data/instruments.csv",
    columns,
  }).map((row) =>
    instrumentFromRow(row, nameRows.filter((names) => names.instrument === row.id).flatMap(namesOf))
  );
  return { nameRows, instruments, byId: new Map<string, Instrument>(instruments.map((i) => [i.id, i])) };
});

let own: readonly Instrument[] = [];
let everything: readonly Instrument[] | undefined;

/**
 * Every name of the catalogue with its instrument, in the order of the names table: where a name is shared,
 * the first is the usual meaning. Names of instruments defined by the user come first.
 */
export function namesInOrder(): readonly (readonly [string, string])[] {
  const { instruments, nameRows } = tables();
  return [
    ...own.flatMap((i) => i.names.map((name) => [name, i.id] as const)),
    ...instruments.map((i) => [i.id, i.id] as const),
    ...nameRows.flatMap((row) => namesOf(row).map((name) => [name, row.instrument] as const)),
  ];
}

/** Adds an instrument to the catalogue, or replaces one added before. */
export function addInstrument(instrument: Instrument): void {
  const { instruments, byId } = tables();
  if (instruments.some((each) => each.id === instrument.id)) {
    throw new InputError({
      action: "define the instrument",
      problem: `"${instrument.id}" is in the catalogue already`,
      remedy: "Give yours another name",
    });
  }
  own = [...own.filter((each) => each.id !== instrument.id), instrument];
  everything = [...instruments, ...own];
  byId.set(instrument.id, instrument);
}

/** The instruments of one's own, which other threads have to be told of. */
export function ownInstruments(): readonly Instrument[] {
  return own;
}

/**
 * All instruments of the catalogue, in score order, then those defined by the user. The list is replaced, not
 * changed, when one is defined.
 *
 * @returns the instruments
 *
 * @example
 * ```ts
 * import { allInstruments } from "ripieno";
 * import { assert } from "@std/assert";
 * assert(allInstruments().length >= 60);
 * ```
 */
export function allInstruments(): readonly Instrument[] {
  return everything ??= tables().instruments;
}

/** One instrument of the catalogue, by its id alone: what the library's own tables and scores name. */
export function instrumentById(id: string): Instrument {
  checkArgument("find the instrument", id, A_TEXT);
  const { byId } = tables();
  const found = byId.get(id);
  if (found) return found;
  const near = ranked(id, [...byId.keys()]);
  const sizes = near.filter((each) => each.edits < 0).length;
  const nearest = near.slice(0, Math.min(6, Math.max(3, sizes))).map((each) => each.name);
  const isEmpty = id.trim() === "";
  throw new InputError({
    action: "find the instrument",
    problem: isEmpty ? "the name is empty" : `"${id}" is not in the catalogue`,
    remedy: isEmpty
      ? "Give an id that allInstruments() lists, for example horn in F"
      : `The nearest are ${nearest.join(", ")}`,
  });
}

/**
 * The names an instrument's figures may stand under, nearest first: its own, those of the instrument it is
 * like, and its family's.
 */
export function figureNames(instrument: Instrument): readonly string[] {
  checkArgument("look up an instrument", instrument, AN_INSTRUMENT);
  const names = [instrument.id];
  let like = instrument.figuresLike;
  while (like !== null && !names.includes(like)) {
    names.push(like);
    like = tables().byId.get(like)?.figuresLike ?? null;
  }
  names.push(instrument.family === "strings" ? "any bowed string" : `any ${instrument.family}`);
  return names;
}

/** The error for an instrument of which a table says nothing, neither by its name nor by its family. */
export function noFigure(what: string, id: string): InputError {
  return new InputError({
    action: "look up an instrument",
    problem: `no ${what} stands for "${id}" or its family`,
    remedy: "Use an instrument of the catalogue, or define one that is like one of them",
  });
}
