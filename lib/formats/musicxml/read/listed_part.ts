/** The part list of MusicXML: names, instruments, percussion keys. */
import type { Part } from "../../../score/model.ts";
import { findInstrument } from "../../../instruments/names/find_instrument.ts";
import { withoutKey } from "../../../instruments/names/printed_name.ts";
import { playersOf } from "../../../instruments/names/players_of.ts";
import { oneLine } from "./keep_marks.ts";
import type { PartReading } from "./musicxml_reading.ts";
import type { RawNotation } from "../../assemble/raw_score.ts";
import { childOf, childrenOf, numberOf, textOf, wholeNumber, type XmlElement } from "./xml_elements.ts";

/** Percussion key taken where a source names neither a key nor a line: acoustic snare of General MIDI. */
export const DEFAULT_PERCUSSION_KEY = 38;

/** MIDI channel that General MIDI keeps for percussion, counted from 1. */
const PERCUSSION_CHANNEL = 10;

/** Most players on one line that are believed. */
const MOST_PLAYERS = 1000;

/** One instrument of a part. */
interface PartInstrument {
  readonly name: string;
  readonly soundId: string | undefined;
  /** General MIDI program, from 0. */
  readonly midiProgram: number | undefined;
}

/** A `<score-part>`. */
export interface ListedPart {
  /** Id in the file; empty where it has none. */
  readonly id: string;
  readonly name: string;
  /** Name as the page has it, where that says the key as well. */
  readonly printedName: string | undefined;
  /** Other names its instrument may be known by. */
  readonly otherNames: readonly string[];
  /** Players, where the file says: a figure, or 1 for a soloist. */
  readonly players: number | undefined;
  readonly percussionChannel: boolean;
  readonly percussionKeys: ReadonlyMap<string, number>;
  /** Its instruments by id. */
  readonly instruments: ReadonlyMap<string, PartInstrument>;
  /** The first standard sound id and MIDI program that it names. */
  readonly soundId: string | undefined;
  readonly midiProgram: number | undefined;
}

/** Reads a `<score-part>`; one without anything in it is what a part is that no list names. */
export function readListedPart(element: XmlElement): ListedPart {
  const played = childrenOf(element, "midi-instrument");
  const programs = numbersById(played, "midi-program");
  const named = childrenOf(element, "score-instrument");
  const instruments = new Map(named.map((child): [string, PartInstrument] => {
    const { id = "" } = child.attributes;
    const soundId = oneLine(textOf(child, "instrument-sound")) || undefined;
    const name = oneLine(textOf(child, "instrument-name"));
    return [id, { name, soundId, midiProgram: programs.get(id) }];
  }));
  const display = childOf(element, "part-name-display");
  const shown = oneLine(display && textOf(display, "display-text"));
  const names = [...instruments.values()].map((i) => i.name);
  const otherNames = [...names, shown, oneLine(textOf(element, "part-abbreviation"))];
  const printed = oneLine(textOf(element, "part-name")) || shown;
  const player = childOf(element, "player");
  const playerName = oneLine(player && textOf(player, "player-name"));
  const isKeyAdded = playerName !== "" && playerName !== printed && playerName === withoutKey(printed);
  return {
    id: element.attributes["id"] ?? "",
    name: isKeyAdded ? playerName : printed,
    printedName: isKeyAdded ? printed : undefined,
    otherNames: otherNames.filter((name) => name !== ""),
    players: named.map(playersIn).find((players) => players !== undefined),
    percussionChannel: played.some((child) => numberOf(child, "midi-channel") === PERCUSSION_CHANNEL),
    percussionKeys: numbersById(played, "midi-unpitched"),
    instruments,
    soundId: [...instruments.values()].find((i) => i.soundId)?.soundId,
    midiProgram: [...programs.values()][0],
  };
}

/** Programs or percussion keys of instruments by id, from 0: a file counts them from 1 to 128. */
function numbersById(played: readonly XmlElement[], name: string): ReadonlyMap<string, number> {
  const found = new Map<string, number>();
  for (const child of played) {
    const number = numberOf(child, name);
    if (number !== undefined && number >= 1 && number <= 128) {
      found.set(child.attributes["id"] ?? "", number - 1);
    }
  }
  return found;
}

function playersIn(instrument: XmlElement): number | undefined {
  const ensemble = wholeNumber(textOf(instrument, "ensemble"), 0);
  if (ensemble >= 1 && ensemble <= MOST_PLAYERS) return ensemble;
  return childOf(instrument, "solo") ? 1 : undefined;
}

/**
 * Percussion key of every instrument of a part: as the file gives it, else by the instrument's name. Under the
 * empty id stands the key of strokes that name no instrument.
 */
function keysOf(listed: ListedPart, usual: number | null): Map<string, number> {
  const keys = new Map(listed.percussionKeys);
  for (const [id, { name }] of listed.instruments) {
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
  for (const [id, { name, soundId, midiProgram }] of listed.instruments) {
    const names = name === "" ? [] : [name];
    const { instrument, from } = findInstrument({ soundId, names, midiProgram });
    if (from !== "fallback") known.set(id, { instrument: instrument.id, name });
  }
  return known;
}

/** What is printed of a part before anything of it is read. */
function bareNotation(printedName: string | undefined): RawNotation {
  return {
    ...(printedName === undefined ? {} : { printedName }),
    staves: 1,
    clefs: [],
    keys: [],
    transpositions: [],
    words: [],
    lines: [],
    pauses: [],
    tuplets: [],
  };
}

/** Begins a part: its instrument is looked up by standard sound id, then by its names, then by MIDI program. */
export function startPart(
  listed: ListedPart,
  options: { readonly id: string; readonly ordinal: number },
): PartReading {
  const names = [listed.printedName ?? "", listed.name, ...listed.otherNames].filter((n) => n !== "");
  const { percussionKeys, players } = listed;
  const { instrument, from, confidenceNote, isStandIn } = findInstrument({
    soundId: listed.soundId,
    names,
    midiProgram: listed.midiProgram,
    percussionChannel: listed.percussionChannel,
    percussionKey: percussionKeys.size === 1 ? [...percussionKeys.values()][0] : undefined,
  });
  const part: Part = {
    id: options.id,
    name: listed.name || names[0] || `Part ${options.ordinal}`,
    instrument: instrument.id,
    instrumentFrom: from,
    players: players !== undefined && players > 1
      ? players
      : playersOf(names[0] ?? "", players ?? instrument.sectionPlayers),
    transposeSemitones: 0,
    transposeSteps: 0,
  };
  return {
    raw: {
      part,
      playersGiven: players !== undefined,
      notes: [],
      marks: [],
      keys: [],
      playing: [],
      instrumentChanges: [],
      notation: bareNotation(listed.printedName),
    },
    percussionKeys: keysOf(listed, instrument.percussionKey),
    instruments: instrumentsOf(listed, percussionKeys.size > 0),
    instrument: instrument.id,
    standIn: isStandIn && from !== "fallback" ? confidenceNote.replace(/\.$/, "") : undefined,
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
