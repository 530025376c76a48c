/** Which instrument a part of a score is for: by standard sound id, by name, by MIDI program. */
import { once } from "../../base/memo.ts";
import { A_NUMBER, A_SWITCH, A_TEXT, checkOptions, listOf } from "../../base/arguments.ts";
import programsText from "../../../data/midi_programs.csv" with { type: "text" };
import standInsText from "../../../data/sound_id_stand_ins.csv" with { type: "text" };
import { allInstruments, type Instrument, instrumentById } from "../catalogue.ts";
import { percussionKeys } from "../percussion_keys.ts";
import {
  ANY_PERCUSSION,
  type InstrumentQuery,
  isWithin,
  type NameMatch,
  readInstrumentName,
} from "./read_instrument_name.ts";
import { aNumber, anyText, readTable, someText, sourced, under } from "../data_table.ts";

/** The instrument found, and how. */
export interface InstrumentMatch {
  /** The instrument. */
  readonly instrument: Instrument;
  /** What it was found by. */
  readonly from: "sound id" | "name" | "program" | "fallback";
  /** What is doubtful about it, in a sentence; empty where nothing is. */
  readonly confidenceNote: string;
  /** Whether the catalogue has no entry for what the part names, and a relative stands in. */
  readonly isStandIn: boolean;
}

const FALLBACK = "piano";
const standIns = once<ReadonlyMap<string, string>>(() =>
  new Map(
    readTable(standInsText, {
      file: "data/sound_id_stand_ins.csv",
      columns: { soundId: someText, instrument: someText, ...sourced },
    }).map((row) => [row.soundId, row.instrument]),
  )
);

const programs = once(() =>
  new Map(
    readTable(programsText, {
      file: "data/midi_programs.csv",
      columns: { program: under("program_from_0", aNumber), instrument: anyText, ...sourced, note: anyText },
    }).map((row) => [row.program, row]),
  )
);

const QUERY = {
  soundId: A_TEXT,
  names: listOf(A_TEXT, "a list of names"),
  midiProgram: A_NUMBER,
  percussionChannel: A_SWITCH,
  percussionKey: A_NUMBER,
};

/**
 * Finds the instrument a part is for: by its standard sound id, then by its names, then by its MIDI program.
 * A sound id that only names a group (`strings.group`) or a parent (`brass.trombone`) is made precise by the
 * names. Names are read as scores write them: English, Italian, German and French, abbreviated, in the plural,
 * with numbers and keys. Horns and trumpets in keys the catalogue does not list are found all the same; their
 * transposition is the score's own.
 *
 * @param query what the score says
 * @returns the instrument, what it was found by, and what is doubtful; a part nothing is known of is taken for
 *   a piano, `from` then being `fallback`
 *
 * @example
 * ```ts
 * import { findInstrument } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const id = (name: string) => findInstrument({ names: [name] }).instrument.id;
 * assertEquals(id("Corni in F I. II."), "horn in F");
 * assertEquals(id("Klarinetten in B"), "clarinet in Bb");
 * assertEquals(id("Vln. II"), "violin");
 * assertEquals(findInstrument({ midiProgram: 47 }).instrument.id, "timpani");
 * ```
 */
export function findInstrument(query: InstrumentQuery): InstrumentMatch {
  checkOptions("find the instrument", query, QUERY);
  const named = firstNamed(query);
  const bySound = query.soundId ? fromSoundId(query.soundId, named) : null;
  if (bySound) return bySound;
  if (named) return matchOf(named, "name");
  return fromMidi(query) ?? {
    instrument: instrumentById(FALLBACK),
    from: "fallback",
    confidenceNote: `Nothing says which instrument ${describe(query)} is; it is taken for a ${FALLBACK}.`,
    isStandIn: true,
  };
}

function matchOf(
  { instrument, note, isStandIn = false }: NameMatch,
  from: "name" | "sound id",
): InstrumentMatch {
  return { instrument, from, confidenceNote: note, isStandIn };
}

function fromSoundId(soundId: string, named: NameMatch | null): InstrumentMatch | null {
  const isGroup = !allInstruments().some((each) => each.soundId === soundId) &&
    (/(^|\.)group($|\.)/.test(soundId) || soundId.startsWith("synth."));
  if (named && (isGroup || isWithin(named.instrument.soundId, soundId))) {
    return matchOf(named, isGroup ? "name" : "sound id");
  }
  if (named && soundId.startsWith("keyboard.piano") && named.instrument.id !== "piano") {
    return {
      instrument: named.instrument,
      from: "name",
      confidenceNote: `Its sound id is a piano's, its name is taken.`,
      isStandIn: named.isStandIn ?? false,
    };
  }
  for (let id = soundId; id !== ""; id = id.slice(0, Math.max(0, id.lastIndexOf(".")))) {
    const exact = allInstruments().find((instrument) => instrument.soundId === id);
    const standIn = standIns().get(id);
    const instrument = exact ?? (standIn === undefined ? undefined : instrumentById(standIn));
    if (instrument === undefined) continue;
    const sameKind = named && named.instrument.kind === instrument.kind;
    const doubt = named && !sameKind && named.instrument.family !== instrument.family
      ? `Its name suggests ${named.instrument.id}, its sound id ${soundId} is taken.`
      : exact && id === soundId
      ? ""
      : `The sound ${soundId} has no entry of its own; ${instrument.id} stands in.`;
    const isStandIn = !sameKind && !(exact && id === soundId);
    return {
      instrument: sameKind ? named.instrument : instrument,
      from: "sound id",
      confidenceNote: doubt,
      isStandIn,
    };
  }
  return null;
}

function fromMidi(query: InstrumentQuery): InstrumentMatch | null {
  if (query.percussionChannel) {
    const one = query.percussionKey === undefined ? undefined : percussionKeys().get(query.percussionKey);
    return {
      instrument: instrumentById(one ?? ANY_PERCUSSION),
      from: "program",
      confidenceNote: one === undefined
        ? "The percussion channel does not say which instruments; a drum set is taken."
        : "",
      isStandIn: false,
    };
  }
  const program = query.midiProgram === undefined ? undefined : programs().get(query.midiProgram);
  if (!program?.instrument) return null;
  return {
    instrument: instrumentById(program.instrument),
    from: "program",
    confidenceNote: `Only MIDI program ${query.midiProgram! + 1} says that it is a ${program.instrument}${
      program.note ? ` (${program.note})` : ""
    }.`,
    isStandIn: false,
  };
}

function firstNamed(query: InstrumentQuery): NameMatch | null {
  for (const name of query.names ?? []) {
    const match = readInstrumentName(name, query);
    if (match) return match;
  }
  return null;
}

function describe(query: InstrumentQuery): string {
  const name = query.names?.find((each) => each.trim() !== "");
  return name === undefined ? "the part" : `"${name}"`;
}
