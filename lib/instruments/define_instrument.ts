/** Instruments of one's own: a synthesiser, a folk instrument, a section of four players. */
import { A_NUMBER, A_RANGE, A_TEXT, checkArgument, checkOptions, listOf } from "../base/arguments.ts";
import { InputError } from "../base/errors.ts";
import { addInstrument, type Instrument, instrumentById, type PitchRange } from "./catalogue.ts";
import { anyText, type Columns, numberOrNothing, pitchOrNothing, readTable, someText } from "./data_table.ts";

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
  instrument: someText,
  like: someText,
  names: anyText,
  extreme_low_sounding: pitchOrNothing,
  extreme_high_sounding: pitchOrNothing,
  comfortable_low_sounding: pitchOrNothing,
  comfortable_high_sounding: pitchOrNothing,
  section_players: numberOrNothing,
  most_notes_at_once: numberOrNothing,
  transpose_semitones: numberOrNothing,
  transpose_steps: numberOrNothing,
  midi_program_from_0: numberOrNothing,
  source: anyText,
} satisfies Columns;

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
  const optional = Object.keys(columns).filter((name) => name !== "instrument" && name !== "like");
  return readTable(text, { file, columns, mayMiss: optional as (keyof typeof columns)[] }).map(
    (row, index) => {
      const given = <T>(key: string, value: T | null | ""): Record<string, T> =>
        value === null || value === "" ? {} : { [key]: value };
      const like = likeOf(row.like, (problem, remedy) => fail(problem, remedy, "like"));
      const range = (low: number | null, high: number | null, base: PitchRange): PitchRange | null =>
        low === null && high === null ? null : { low: low ?? base.low, high: high ?? base.high };
      const definition: InstrumentDefinition = {
        id: row.instrument,
        like: like.id,
        ...given("names", row.names === "" ? null : row.names.split(";").map((name) => name.trim())),
        ...given(
          "rangeExtreme",
          range(row.extreme_low_sounding, row.extreme_high_sounding, like.rangeExtreme),
        ),
        ...given(
          "rangeComfortable",
          range(row.comfortable_low_sounding, row.comfortable_high_sounding, like.rangeComfortable),
        ),
        ...given("sectionPlayers", row.section_players),
        ...given("mostNotes", row.most_notes_at_once),
        ...given("transposeSemitones", row.transpose_semitones),
        ...given("transposeSteps", row.transpose_steps),
        ...given("midiProgram", row.midi_program_from_0),
        ...given("source", row.source),
      };
      function fail(problem: string, remedy: string, column: string): never {
        const where = { file, row: index + 2, column };
        throw new InputError({ action: "read the instruments", problem, where, remedy });
      }
      return add(definition, fail);
    },
  );
}

type Fail = (problem: string, remedy: string, column: string) => never;

function likeOf(id: string, fail: (problem: string, remedy: string) => never): Instrument {
  try {
    return instrumentById(id);
  } catch (error) {
    if (error instanceof InputError) fail(`"${id}", which it is like, is not in the catalogue`, error.remedy);
    throw error;
  }
}

function add(definition: InstrumentDefinition, fail: Fail): Instrument {
  const like = likeOf(definition.like, (problem, remedy) => fail(problem, remedy, "like"));
  if (definition.id.trim() === "") fail("it has no name", "Give it one", "instrument");
  const rangeExtreme = definition.rangeExtreme ?? like.rangeExtreme;
  const held = (pitch: number) => Math.min(rangeExtreme.high, Math.max(rangeExtreme.low, pitch));
  const rangeComfortable = definition.rangeComfortable ??
    { low: held(like.rangeComfortable.low), high: held(like.rangeComfortable.high) };
  const whole = (name: string, value: number, low: number, high: number, column: string) => {
    if (Number.isInteger(value) && value >= low && value <= high) return;
    fail(`${name} ${value} is not a whole number from ${low} to ${high}`, "Give such a number", column);
  };
  const ranges = [["extreme", rangeExtreme], ["comfortable", rangeComfortable]] as const;
  for (const [name, { low, high }] of ranges) {
    whole(`its lowest ${name} pitch`, low, 0, 127, `${name}_low_sounding`);
    whole(`its highest ${name} pitch`, high, 0, 127, `${name}_high_sounding`);
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
  const sectionPlayers = definition.sectionPlayers ?? like.sectionPlayers;
  const mostNotes = definition.mostNotes ?? like.mostNotes;
  const transposeSemitones = definition.transposeSemitones ?? like.transposeSemitones;
  const transposeSteps = definition.transposeSteps ??
    (definition.transposeSemitones === undefined
      ? like.transposeSteps
      : Math.round(transposeSemitones * 7 / 12));
  const midiProgram = definition.midiProgram ?? like.midiProgram;
  whole("the number of players", sectionPlayers, 1, 200, "section_players");
  whole("the number of notes at once", mostNotes, 1, 20, "most_notes_at_once");
  whole("the transposition", transposeSemitones, -48, 48, "transpose_semitones");
  whole("the transposition in steps", transposeSteps, -28, 28, "transpose_steps");
  if (midiProgram !== null) whole("the MIDI program", midiProgram, 0, 127, "midi_program_from_0");
  const instrument: Instrument = {
    ...like,
    id: definition.id,
    kind: definition.id,
    key: "",
    names: [definition.id, ...(definition.names ?? [])],
    rangeExtreme,
    rangeComfortable,
    sectionPlayers,
    mostNotes,
    monophonic: mostNotes === 1,
    transposeSemitones,
    transposeSteps,
    midiProgram,
    figuresLike: like.id,
    source: definition.source ?? "defined by the user",
    confidence: "model assumption",
    note: "",
  };
  addInstrument(instrument);
  return instrument;
}
