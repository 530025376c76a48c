/** One `<note>` of MusicXML. */
import type { NoteNotation } from "../../../score/model.ts";
import { NOTE_VALUES } from "../../assemble/musicxml_names.ts";
import { type RawNote, rawNote } from "../../assemble/raw_score.ts";
import { addPause } from "./keep_marks.ts";
import {
  durationTicks,
  moveOn,
  type MusicXmlReading,
  notice,
  type PartReading,
  reachTo,
  refusal,
  takeInstrument,
} from "./musicxml_reading.ts";
import { readNotations } from "./read_notations.ts";
import { isStep, soundingPitch } from "./read_pitch.ts";
import {
  childOf,
  childrenOf,
  keptAttributes,
  numberOf,
  textOf,
  wholeNumber,
  type XmlElement,
} from "./xml_elements.ts";

/** A `<note>` and where it stands. */
interface NoteElement {
  readonly element: XmlElement;
  readonly barIndex: number;
  readonly offsetTicks: number;
  readonly durationTicks: number;
  readonly voice: number;
  readonly staff: number;
  readonly signs: readonly XmlElement[];
}

/** Reads a note, chord note, grace note, cue note, rest or unpitched stroke. */
export function readNote(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  for (const { name, children } of element.children) {
    if (name === "lyric") notice(reading, "lyrics: not used");
    else if (name === "play" && children.length > 0) {
      notice(reading, "playback instructions on notes: not used");
    }
  }
  const at = placeNote(reading, part, element);
  if (!at) return;
  if (childOf(element, "rest")) {
    for (const sign of at.signs) if (sign.name === "fermata") addPause(reading, part, at);
    return;
  }
  const pitch = soundingPitch(reading, part, at);
  if (!pitch) return notice(reading, "note with neither pitch nor rest: left out");
  const { tieStart, tieStop } = tiesOf(at);
  const note = rawNote({
    soundingPitch: pitch.soundingPitch,
    step: pitch.step,
    alter: pitch.alter,
    octave: pitch.octave,
    tieStart,
    tieStop,
    barIndex: at.barIndex,
    offsetTicks: at.offsetTicks,
    durationTicks: at.durationTicks,
    voice: at.voice,
    staff: at.staff,
    grace: childOf(element, "grace") !== undefined,
    cue: childOf(element, "cue") !== undefined,
    unpitched: childOf(element, "pitch") === undefined,
    joined: isJoined(element),
    notation: printedHead(element),
  });
  readNotations(reading, part, { note, signs: at.signs });
  const before = part.raw.notes.at(-1);
  if (childOf(element, "chord") && before) {
    shareChordSigns(before, note);
    if (note.tremoloSlashes > 0) shareSlashes(part.raw.notes, note);
  }
  part.raw.notes.push(note);
  if (--reading.notesLeft < 0) {
    throw refusal(reading, "it holds more notes than can be read at once", "Split the score into movements");
  }
}

/** Finds the place of a note or rest, and moves on; undefined for one that takes none. */
function placeNote(
  reading: MusicXmlReading,
  part: PartReading,
  element: XmlElement,
): NoteElement | undefined {
  const [isChord, isGrace] = [childOf(element, "chord"), childOf(element, "grace")];
  const duration = textOf(element, "duration");
  if (duration === undefined && !isGrace) {
    notice(reading, "note without a duration: left out");
    return undefined;
  }
  const sounds = childOf(element, "pitch") ?? childOf(element, "unpitched");
  const ticks = isGrace ? 0 : durationTicks(reading, part, duration!, sounds !== undefined);
  const onset = isChord ? part.lastOnset : part.cursor;
  if (!isChord && !isGrace) moveOn(reading, part, ticks);
  else if (!isGrace) reachTo(reading, part, onset + ticks);
  part.lastOnset = onset;
  const instrument = childOf(element, "instrument")?.attributes["id"];
  if (instrument !== undefined && !isGrace) takeInstrument(part, instrument, onset);
  const at: NoteElement = {
    element,
    barIndex: part.barIndex,
    offsetTicks: onset,
    durationTicks: ticks,
    voice: wholeNumber(textOf(element, "voice"), 1),
    staff: staveOf(reading, textOf(element, "staff")),
    signs: childrenOf(element, "notations").flatMap((n) => n.children),
  };
  if (!isChord && !isGrace) readTuplets(reading, part, at);
  return at;
}

/** Whether the beam nearest to the head comes from the note before. */
function isJoined(element: XmlElement): boolean {
  const beam = childrenOf(element, "beam").find((b) => (b.attributes["number"] ?? "1") === "1");
  return /^(continue|end)$/.test(beam?.text?.trim() ?? "");
}

const NO_TIES = { tieStart: false, tieStop: false };

/** `<tie>` is what sounds; `<tied>`, what is drawn, stands in for it where a file has only that. */
function tiesOf({ element, signs }: NoteElement): { readonly tieStart: boolean; readonly tieStop: boolean } {
  const sounding = childrenOf(element, "tie");
  const ties = sounding.length > 0 ? sounding : signs.filter((s) => s.name === "tied");
  if (ties.length === 0) return NO_TIES;
  const types = ties.map((tie) => tie.attributes["type"]);
  const isContinued = types.includes("continue");
  return {
    tieStart: isContinued || types.includes("start"),
    tieStop: isContinued || types.includes("stop"),
  };
}

const TUPLET_ATTRIBUTES: Readonly<Record<string, RegExp>> = {
  "bracket": /^(yes|no)$/,
  "show-number": /^(actual|both|none)$/,
  "show-type": /^(actual|both|none)$/,
  "line-shape": /^(straight|curved)$/,
  "placement": /^(above|below)$/,
};

/** Begins and ends the tuplets of a note or rest; one inside another is left to the writer. */
function readTuplets(reading: MusicXmlReading, part: PartReading, note: NoteElement): void {
  const { element, barIndex, offsetTicks, voice, staff } = note;
  const signs = note.signs.filter((s) => s.name === "tuplet");
  if (signs.length === 0) return;
  for (const sign of signs) {
    if (sign.attributes["type"] !== "start") continue;
    if (part.openTuplets.has(voice)) {
      notice(reading, "tuplet inside a tuplet: its figure is not kept");
      continue;
    }
    const ratio = childOf(element, "time-modification");
    const actual = ratio && numberOf(ratio, "actual-notes");
    const normal = ratio && numberOf(ratio, "normal-notes");
    const value = ratio && textOf(ratio, "normal-type") || textOf(element, "type");
    if (!isCount(actual) || !isCount(normal) || !isNoteType(value)) continue;
    const attributes = keptAttributes(sign, TUPLET_ATTRIBUTES);
    const number = sign.attributes["number"] ?? "1";
    const place = { barIndex, offsetTicks, lengthTicks: 0, staff, voice };
    part.openTuplets.set(voice, { ...place, actual, normal, value, attributes, number });
  }
  for (const sign of signs) {
    const open = part.openTuplets.get(voice);
    if (sign.attributes["type"] !== "stop" || open?.number !== (sign.attributes["number"] ?? "1")) continue;
    part.openTuplets.delete(voice);
    const { number: _, ...tuplet } = open;
    tuplet.lengthTicks = offsetTicks + note.durationTicks - tuplet.offsetTicks;
    if (tuplet.lengthTicks > 0) part.raw.notation!.tuplets.push(tuplet);
  }
}

function isCount(value: number | undefined): value is number {
  return value !== undefined && Number.isInteger(value) && value >= 1 && value <= 1000;
}

/** Shapes of note heads that are not the usual one, in MusicXML 4.0. */
const HEAD_SHAPES: ReadonlySet<string> = new Set(
  ("slash,triangle,diamond,square,cross,x,circle-x,inverted triangle,arrow down,arrow up,circled,slashed," +
    "back slashed,cluster,circle dot,left triangle,rectangle,none,do,re,mi,fa,fa up,so,la,ti").split(","),
);
const NOTE_TYPES: ReadonlySet<string> = new Set(NOTE_VALUES.map(([name]) => name));

function isNoteType(type: string | undefined): type is string {
  return type !== undefined && NOTE_TYPES.has(type);
}

/** What is kept of how a head is printed. */
function printedHead(element: XmlElement): NoteNotation | undefined {
  const grace = childOf(element, "grace");
  const headShape = textOf(element, "notehead");
  const unpitched = childOf(element, "unpitched");
  if (!grace && !headShape && !unpitched) return undefined;
  const type = textOf(element, "type");
  const step = unpitched && textOf(unpitched, "display-step");
  const octave = unpitched && numberOf(unpitched, "display-octave");
  const notation: NoteNotation = {
    ...(grace && isNoteType(type) ? { graceValue: type } : {}),
    ...(grace?.attributes["slash"] === "yes" ? { graceSlash: true } : {}),
    ...(grace && childOf(element, "chord") ? { graceChord: true } : {}),
    ...(headShape && HEAD_SHAPES.has(headShape) ? { headShape } : {}),
    ...(isStep(step) && octave !== undefined ? { display: { step, octave } } : {}),
  };
  return Object.keys(notation).length > 0 ? notation : undefined;
}

/** Slashes go through the stem, on whichever note of the chord they are written. */
function shareSlashes(notes: readonly RawNote[], note: RawNote): void {
  for (let i = notes.length - 1; i >= 0; i--) {
    const other = notes[i]!;
    const isSame = other.barIndex === note.barIndex && other.offsetTicks === note.offsetTicks &&
      other.voice === note.voice && other.grace === note.grace;
    if (!isSame || other.tremoloSlashes > 0) return;
    takeSlashes(other, note);
  }
}

function takeSlashes(note: RawNote, from: RawNote): void {
  note.tremoloSlashes = from.tremoloSlashes;
  note.tremoloAlternates = from.tremoloAlternates;
  if (from.tremolo !== undefined) note.tremolo = from.tremolo;
}

/** Signs are often written on one note of a chord; they hold for all of it. */
function shareChordSigns(first: RawNote, note: RawNote): void {
  if (note.articulations.length === 0) note.articulations = first.articulations;
  // A harmonic belongs to its own string.
  if (first.technique !== "harmonic") note.technique ??= first.technique;
  if (note.signs.length === 0) note.signs = first.signs;
  note.trill ||= first.trill;
  if (note.tremoloSlashes === 0) takeSlashes(note, first);
}

/** Most staves that a part is taken to have: an organ has three, a reduction four. */
export const MOST_STAVES = 16;

/** The stave of a note, the first where none can be meant. */
function staveOf(reading: MusicXmlReading, text: string | undefined): number {
  const stave = wholeNumber(text ?? "1", 0);
  if (stave >= 1 && stave <= MOST_STAVES) return stave;
  notice(reading, `stave that is none of 1 to ${MOST_STAVES}: taken for the first`);
  return 1;
}

/** Reads `<backup>` and `<forward>`. */
export function readMove(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  const ticks = durationTicks(reading, part, textOf(element, "duration") ?? "");
  if (element.name === "forward") {
    moveOn(reading, part, ticks);
    return;
  }
  if (ticks > part.cursor) notice(reading, "backup to before the bar line: stopped at the bar line");
  part.cursor = Math.max(0, part.cursor - ticks);
}
