/** Instruments of one's own: a synthesiser, a folk instrument, a section of four players. */
import { A_NUMBER, A_RANGE, A_TEXT, checkArgument, checkOptions, listOf } from "../base/arguments.ts";
import { InputError } from "../base/errors.ts";
import { addInstrument, type Instrument, instrumentById, type PitchRange } from "./catalogue.ts";
import {
  anyText,
  type Columns,
  numberOrNothing,
  pitchOrNothing,
  readTable,
  type Row,
  someText,
  under,
} from "./data_table.ts";

/** An instrument of one's own: what it is like, and what differs. */
export interface InstrumentDefinition {
  /** Its name, not in the catalogue yet. */
  readonly id: string;
  /** Id of the catalogue's instrument it is like; everything not given here is taken from there. */
  readonly like: string;
  /** Names it is found under, besides its id. */
  readonly names?: readonly string[];
  /** From lowest to highest sounding pitch. */
  readonly rangeExtreme?: PitchRange;
  /** Where it is at ease; by default what it shares with the other's. */
  readonly rangeComfortable?: PitchRange;
  /** Players on a line. */
  readonly sectionPlayers?: number;
  /** Most notes one player sounds at once. */
  readonly mostNotes?: number;
  /** Semitones from written to sounding. */
  readonly transposeSemitones?: number;
  /** Staff steps from written to sounding. */
  readonly transposeSteps?: number;
  /** General MIDI program counted from 0. */
  readonly midiProgram?: number;
  /** Where the figures come from; by default `defined by the user`. */
  readonly source?: string;
}

const DEFINITION = {
  id: A_TEXT,
  like: A_TEXT,
  names: listOf(A_TEXT, "a list of names"),
  rangeExtreme: A_RANGE,
  rangeComfortable: A_RANGE,
  sectionPlayers: A_NUMBER,
  mostNotes: A_NUMBER,
  transposeSemitones: A_NUMBER,
  transposeSteps: A_NUMBER,
  midiProgram: A_NUMBER,
  source: A_TEXT,
};

/**
 * Adds an instrument of one's own, so that parts can name it and look-ups find it. Rates, breath, weight, power
 * and spectrum are those of the instrument it is like. Defining the same name again replaces it.
 *
 * @param definition what it is like and what differs
 * @returns the instrument
 * @throws {InputError} when the name is taken by the catalogue, the likeness is unknown or a figure is impossible
 *
 * @example
 * ```ts
 * import { findInstrument } from "ripieno";
 * import { defineInstrument } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const four = defineInstrument({ id: "four solo violas", like: "viola", sectionPlayers: 4, names: ["Vle. a 4 sole"] });
 * assertEquals([four.sectionPlayers, four.rangeExtreme.low], [4, 48]);
 * assertEquals(findInstrument({ names: ["four solo violas"] }).instrument, four);
 * ```
 */
export function defineInstrument(definition: InstrumentDefinition): Instrument {
  checkOptions("define the instrument", definition, DEFINITION);
  checkArgument("define the instrument", definition.id, A_TEXT, "its id");
  return add(definition, (problem, remedy) => {
    throw new InputError({ action: "define the instrument", problem, remedy });
  });
}

const columns = {
  id: under("instrument", someText),
  like: someText,
  names: anyText,
  extremeLow: under("extreme_low_sounding", pitchOrNothing),
  extremeHigh: under("extreme_high_sounding", pitchOrNothing),
  comfortableLow: under("comfortable_low_sounding", pitchOrNothing),
  comfortableHigh: under("comfortable_high_sounding", pitchOrNothing),
  sectionPlayers: numberOrNothing,
  mostNotes: under("most_notes_at_once", numberOrNothing),
  transposeSemitones: numberOrNothing,
  transposeSteps: numberOrNothing,
  midiProgram: under("midi_program_from_0", numberOrNothing),
  source: anyText,
} satisfies Columns;

const OPTIONAL = (Object.keys(columns) as (keyof typeof columns)[])
  .filter((field) => field !== "id" && field !== "like");

/**
 * Adds instruments from a table of one's own: columns `instrument` and `like`, and as many of `names` (with
 * semicolons between), `extreme_low_sounding`, `extreme_high_sounding`, `comfortable_low_sounding`,
 * `comfortable_high_sounding`, `section_players`, `most_notes_at_once`, `transpose_semitones`,
 * `transpose_steps`, `midi_program_from_0` and `source` as differ.
 *
 * @param text the CSV text with a header row
 * @param options name of the file, for messages
 * @returns the instruments, in order
 * @throws {InputError} naming row and column
 *
 * @example
 * ```ts
 * import { readInstruments } from "ripieno/instruments";
 * import { assertEquals, assertThrows } from "@std/assert";
 * const [fiddle] = readInstruments("instrument,like,extreme_high_sounding\nvillage fiddle,solo violin,B5");
 * assertEquals(fiddle?.rangeExtreme, { low: 55, high: 83 });
 * assertThrows(() => readInstruments("instrument,like\nkazoo,trumpet"), Error, "row 2, column like");
 * ```
 */
export function readInstruments(
  text: string,
  options: { readonly file?: string } = {},
): readonly Instrument[] {
  checkArgument("read the instruments", text, A_TEXT);
  checkOptions("read the instruments", options, { file: A_TEXT });
  const file = options.file ?? "instruments.csv";
  return readTable(text, { file, columns, mayMiss: OPTIONAL }).map((row, index) => {
    const fail: Fail = (problem, remedy, column) => {
      const where = { file, row: index + 2, column };
      throw new InputError({ action: "read the instruments", problem, where, remedy });
    };
    return add(definitionOf(row, likeOf(row.like, fail)), fail);
  });
}

function definitionOf(row: Row<typeof columns>, like: Instrument): InstrumentDefinition {
  const { extremeLow, extremeHigh, comfortableLow, comfortableHigh, names, ...rest } = row;
  const range = (low: number | null, high: number | null, base: PitchRange): PitchRange | null =>
    low === null && high === null ? null : { low: low ?? base.low, high: high ?? base.high };
  return {
    ...given({
      ...rest,
      names: names === "" ? null : names.split(";").map((name) => name.trim()),
      rangeExtreme: range(extremeLow, extremeHigh, like.rangeExtreme),
      rangeComfortable: range(comfortableLow, comfortableHigh, like.rangeComfortable),
    }),
    id: row.id,
    like: like.id,
  };
}

/** What is said at all. */
function given<T extends object>(all: T): { readonly [K in keyof T]?: NonNullable<T[K]> } {
  return Object.fromEntries(
    Object.entries(all).filter(([, value]) => value !== undefined && value !== null && value !== ""),
  ) as { readonly [K in keyof T]?: NonNullable<T[K]> };
}

type Fail = (problem: string, remedy: string, column: string) => never;

function likeOf(id: string, fail: Fail): Instrument {
  try {
    return instrumentById(id);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return fail(`"${id}", which it is like, is not in the catalogue`, error.remedy, "like");
  }
}

function add(definition: InstrumentDefinition, fail: Fail): Instrument {
  const like = likeOf(definition.like, fail);
  if (definition.id.trim() === "") fail("it has no name", "Give it one", "instrument");
  const instrument = instrumentLike(like, definition);
  checkRanges(instrument, fail);
  const { sectionPlayers, mostNotes, transposeSemitones, transposeSteps, midiProgram } = instrument;
  const whole = wholeNumbers(fail);
  whole("the number of players", sectionPlayers, [1, 200], "section_players");
  whole("the number of notes at once", mostNotes, [1, 20], "most_notes_at_once");
  whole("the transposition", transposeSemitones, [-48, 48], "transpose_semitones");
  whole("the transposition in steps", transposeSteps, [-28, 28], "transpose_steps");
  if (midiProgram !== null) whole("the MIDI program", midiProgram, [0, 127], "midi_program_from_0");
  addInstrument(instrument);
  return instrument;
}

function instrumentLike(like: Instrument, definition: InstrumentDefinition): Instrument {
  const { like: _like, ...own } = definition;
  const rangeExtreme = own.rangeExtreme ?? like.rangeExtreme;
  const held = (pitch: number) => Math.min(rangeExtreme.high, Math.max(rangeExtreme.low, pitch));
  const steps = own.transposeSemitones === undefined
    ? like.transposeSteps
    : Math.round(own.transposeSemitones * 7 / 12);
  return {
    ...like,
    rangeComfortable: { low: held(like.rangeComfortable.low), high: held(like.rangeComfortable.high) },
    transposeSteps: steps,
    source: "defined by the user",
    ...given(own),
    kind: own.id,
    key: "",
    names: [own.id, ...(own.names ?? [])],
    monophonic: (own.mostNotes ?? like.mostNotes) === 1,
    figuresLike: like.id,
    confidence: "model assumption",
    note: "",
  };
}

function checkRanges({ rangeExtreme, rangeComfortable }: Instrument, fail: Fail): void {
  const whole = wholeNumbers(fail);
  const ranges = [["extreme", rangeExtreme], ["comfortable", rangeComfortable]] as const;
  for (const [name, { low, high }] of ranges) {
    whole(`its lowest ${name} pitch`, low, [0, 127], `${name}_low_sounding`);
    whole(`its highest ${name} pitch`, high, [0, 127], `${name}_high_sounding`);
    if (low >= high) {
      fail(`its ${name} range ends below where it begins`, "Swap the two pitches", `${name}_low_sounding`);
    }
  }
  if (rangeComfortable.low < rangeExtreme.low || rangeComfortable.high > rangeExtreme.high) {
    fail(
      "its comfortable range goes beyond its extreme range",
      "Widen the extreme range or narrow the other",
      "comfortable_low_sounding",
    );
  }
}

function wholeNumbers(fail: Fail) {
  return (name: string, value: number, [low, high]: readonly [number, number], column: string): void => {
    if (Number.isInteger(value) && value >= low && value <= high) return;
    fail(`${name} ${value} is not a whole number from ${low} to ${high}`, "Give such a number", column);
  };
}
