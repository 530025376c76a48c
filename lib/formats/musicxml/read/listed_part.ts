/** The part list of MusicXML: names, instruments, percussion keys. */
import type { Part } from "../../../score/model.ts";
import { findInstrument } from "../../../instruments/names/find_instrument.ts";
import { playersOf } from "../../../instruments/names/players_of.ts";
import type { PartReading } from "./musicxml_reading.ts";
import { childOf, numberOf, textOf, type XmlElement } from "./xml_elements.ts";

/** Percussion key taken where a source names neither a key nor a line: acoustic snare of General MIDI. */
export const DEFAULT_PERCUSSION_KEY = 38;

/** MIDI channel that General MIDI keeps for percussion, counted from 1. */
const PERCUSSION_CHANNEL = 10;

/** Most players on one line that are believed. */
const MOST_PLAYERS = 1000;

/** A `<score-part>`. */
export interface ListedPart {
  /** Id in the file; empty where it has none. */
  readonly id: string;
  readonly name: string;
  /** Other names its instrument may be known by. */
  readonly otherNames: readonly string[];
  readonly soundId: string | undefined;
  /** Players, where the file says: a figure, or 1 for a soloist. */
  readonly players: number | undefined;
  /** General MIDI program, from 0. */
  readonly midiProgram: number | undefined;
  readonly percussionChannel: boolean;
  readonly percussionKeys: ReadonlyMap<string, number>;
  readonly instruments: ReadonlyMap<string, string>;
  readonly soundIds: ReadonlyMap<string, string>;
  /** General MIDI programs of its instruments by id, from 0. */
  readonly programs: ReadonlyMap<string, number>;
}

/** Name without control characters and runs of white space. */
function plainName(text: string | undefined): string {
  return (text ?? "").replace(/\s+/g, " ").trim();
}

/** Reads a `<score-part>`. */
export function readListedPart(element: XmlElement): ListedPart {
  const keys = new Map<string, number>();
  let midiProgram: number | undefined;
  let percussionChannel = false;
  let soundId: string | undefined;
  let players: number | undefined;
  const instruments = new Map<string, string>();
  const soundIds = new Map<string, string>();
  const programs = new Map<string, number>();
  for (const child of element.children) {
    if (child.name === "score-instrument") {
      const id = child.attributes["id"] ?? "";
      instruments.set(id, plainName(textOf(child, "instrument-name")));
      const sound = plainName(textOf(child, "instrument-sound"));
      if (sound !== "") soundIds.set(id, sound);
      soundId ??= sound || undefined;
      const ensemble = numberOf(child, "ensemble");
      if (ensemble !== undefined && Number.isInteger(ensemble) && ensemble >= 1 && ensemble <= MOST_PLAYERS) {
        players ??= ensemble;
      } else if (childOf(child, "solo")) players ??= 1;
    } else if (child.name === "midi-instrument") {
      const program = numberOf(child, "midi-program");
      if (program !== undefined && program >= 1 && program <= 128) {
        midiProgram ??= program - 1;
        programs.set(child.attributes["id"] ?? "", program - 1);
      }
      if (numberOf(child, "midi-channel") === PERCUSSION_CHANNEL) percussionChannel = true;
      const key = numberOf(child, "midi-unpitched");
      if (key !== undefined && key >= 1 && key <= 128) keys.set(child.attributes["id"] ?? "", key - 1);
    }
  }
  const display = childOf(element, "part-name-display");
  const shown = plainName(display && textOf(display, "display-text"));
  const name = plainName(textOf(element, "part-name")) || shown;
  return {
    id: element.attributes["id"] ?? "",
    name,
    otherNames: [...instruments.values(), shown, plainName(textOf(element, "part-abbreviation"))].filter((
      n,
    ) => n !== ""),
    soundId,
    players,
    midiProgram,
    percussionChannel,
    percussionKeys: keys,
    instruments,
    soundIds,
    programs,
  };
}

/**
 * Percussion key of every instrument of a part: as the file gives it, else by the instrument's name. Under the
 * empty id stands the key of strokes that name no instrument.
 */
function keysOf(listed: ListedPart, usual: number | null): Map<string, number> {
  const keys = new Map(listed.percussionKeys);
  for (const [id, name] of listed.instruments) {
    if (keys.has(id) || name === "") continue;
    const { instrument, from } = findInstrument({ names: [name] });
    if (from === "name" && instrument.percussionKey !== null) keys.set(id, instrument.percussionKey);
  }
  const only = keys.size === 1 ? [...keys.values()][0] : usual;
  if (only !== undefined && only !== null) keys.set("", only);
  return keys;
}

/** The catalogue's instrument for each instrument of a part that has several; empty for a percussion map. */
function instrumentsOf(listed: ListedPart, isPercussion: boolean): PartReading["instruments"] {
  const known = new Map<string, { readonly instrument: string; readonly name: string }>();
  if (isPercussion || listed.instruments.size < 2) return known;
  for (const [id, name] of listed.instruments) {
    const [soundId, midiProgram] = [listed.soundIds.get(id), listed.programs.get(id)];
    const { instrument, from } = findInstrument({
      ...(soundId === undefined ? {} : { soundId }),
      names: name === "" ? [] : [name],
      ...(midiProgram === undefined ? {} : { midiProgram }),
    });
    if (from !== "fallback") known.set(id, { instrument: instrument.id, name });
  }
  return known;
}

/** Begins a part: its instrument is looked up by standard sound id, then by its names, then by MIDI program. */
export function startPart(
  listed: ListedPart,
  options: { readonly id: string; readonly ordinal: number },
): PartReading {
  const names = [listed.name, ...listed.otherNames].filter((n) => n !== "");
  const { percussionKeys } = listed;
  const { instrument, from } = findInstrument({
    ...(listed.soundId === undefined ? {} : { soundId: listed.soundId }),
    names,
    ...(listed.midiProgram === undefined ? {} : { midiProgram: listed.midiProgram }),
    percussionChannel: listed.percussionChannel,
    ...(percussionKeys.size === 1 ? { percussionKey: [...percussionKeys.values()][0]! } : {}),
  });
  const part: Part = {
    id: options.id,
    name: names[0] ?? `Part ${options.ordinal}`,
    instrument: instrument.id,
    instrumentFrom: from,
    players: listed.players !== undefined && listed.players > 1
      ? listed.players
      : playersOf(names[0] ?? "", listed.players ?? instrument.sectionPlayers),
    transposeSemitones: 0,
    transposeSteps: 0,
  };
  return {
    raw: {
      part,
      notes: [],
      marks: [],
      keys: [],
      playing: [],
      instrumentChanges: [],
      notation: {
        staves: 1,
        clefs: [],
        keys: [],
        transpositions: [],
        words: [],
        lines: [],
        pauses: [],
        tuplets: [],
      },
    },
    percussionKeys: keysOf(listed, instrument.percussionKey),
    instruments: instrumentsOf(listed, percussionKeys.size > 0),
    instrument: instrument.id,
    openTuplets: new Map(),
    endings: undefined,
    barIndex: -1,
    cursor: 0,
    reach: 0,
    notesBefore: 0,
    lastOnset: 0,
    ticksPerDivision: 1,
    transpositions: new Map(),
    metre: { beats: 4, beatUnit: 4 },
  };
}
