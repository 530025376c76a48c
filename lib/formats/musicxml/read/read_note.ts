/** One `<note>` of MusicXML. */
import type { Articulation, NoteNotation, PlayingSign, Technique } from "../../../score/model.ts";
import { DEFAULT_PERCUSSION_KEY } from "./listed_part.ts";
import {
  durationTicks,
  moveOn,
  type MusicXmlReading,
  notice,
  type PartReading,
  reachTo,
  refusal,
  takeInstrument,
  transpositionOf,
} from "./musicxml_reading.ts";
import { joinDynamic } from "../../assemble/direction_words.ts";
import { type RawGlissando, type RawNote, rawNote, type RawSpan } from "../../assemble/raw_score.ts";
import { childOf, keptAttributes, numberOf, textOf, type XmlElement } from "./xml_elements.ts";

const STEPS = "CDEFGAB";
const STEP_SEMITONES = [0, 2, 4, 5, 7, 9, 11];

const ARTICULATIONS: Readonly<Record<string, Articulation>> = {
  "accent": "accent",
  "strong-accent": "marcato",
  "staccato": "staccato",
  "staccatissimo": "staccatissimo",
  "tenuto": "tenuto",
  "detached-legato": "portato",
  "spiccato": "spiccato",
  "breath-mark": "breath",
};

const TECHNIQUES: Readonly<Record<string, Technique>> = {
  "harmonic": "harmonic",
  "stopped": "stopped",
  "snap-pizzicato": "pizzicato",
};

/** Signs that are kept by their names; articulations, technical signs and ornaments alike. */
const KEPT: ReadonlySet<string> = new Set<PlayingSign>([
  "up-bow",
  "down-bow",
  "double-tongue",
  "triple-tongue",
  "open-string",
  "thumb-position",
  "snap-pizzicato",
  "stress",
  "unstress",
  "soft-accent",
  "caesura",
  "scoop",
  "plop",
  "doit",
  "falloff",
  "turn",
  "inverted-turn",
  "delayed-turn",
  "mordent",
  "inverted-mordent",
  "schleifer",
  "arpeggiate",
]);

function isKept(name: string): name is PlayingSign {
  return KEPT.has(name);
}

function keep(note: RawNote, sign: PlayingSign): void {
  if (!note.signs.includes(sign)) note.signs = [...note.signs, sign];
}

/** Signs on notes that say nothing about this library's subject, or that are worked out elsewhere. */
const SILENT_NOTATIONS: ReadonlySet<string> = new Set([
  "tied",
  "tuplet",
  "accidental-mark",
  "footnote",
  "level",
]);

/** Sounding pitch and spelling from a written one. */
interface Pitch {
  readonly soundingPitch: number;
  readonly step: string;
  readonly alter: number;
  readonly octave: number;
}

/** Most octaves a pitch may lie beyond those that MusicXML names, on the page of a transposing part. */
const MOST_OCTAVES_BEYOND = 3;

function readPitch(
  reading: MusicXmlReading,
  part: PartReading,
  element: XmlElement,
  options: { readonly prefix: string; readonly staff: number },
): Pitch {
  const { prefix, staff } = options;
  let letter = "";
  let octave = NaN;
  let alter = 0;
  for (const child of element.children) {
    if (child.name === `${prefix}step`) letter = child.text.trim().toUpperCase();
    else if (child.name === `${prefix}octave`) octave = Number(child.text);
    else if (child.name === `${prefix}alter`) alter = Number(child.text);
  }
  // A pitch beyond the octaves that MusicXML names is written as the nearest of them, altered by whole octaves.
  const outward = octave === 0 ? Math.min(0, alter) : octave === 9 ? Math.max(0, alter) : 0;
  const whole = Math.abs(outward) > 4 ? Math.round(outward / 12) : 0;
  const beyond = Math.abs(whole) <= MOST_OCTAVES_BEYOND ? whole : 0;
  const index = letter.length === 1 ? STEPS.indexOf(letter) : -1;
  if (
    index < 0 || !Number.isInteger(octave) || octave < -1 || octave > 10 ||
    !(Math.abs(alter - 12 * beyond) <= 4)
  ) {
    throw refusal(
      reading,
      `a pitch is step "${letter}", alter ${alter}, octave ${octave}`,
      "The step must be A to G, the alteration -4 to 4, the octave -1 to 10",
    );
  }
  [octave, alter] = [octave + beyond, alter - 12 * beyond];
  const written = STEP_SEMITONES[index]! + alter + (octave + 1) * 12;
  const { semitones, steps } = transpositionOf(part, staff);
  if (semitones === 0 && steps === 0) {
    return { soundingPitch: written, step: letter, alter, octave };
  }
  const place = index + octave * 7 + steps;
  const soundingIndex = ((place % 7) + 7) % 7;
  const soundingOctave = Math.floor(place / 7);
  const soundingPitch = written + semitones;
  return {
    soundingPitch,
    step: STEPS[soundingIndex]!,
    alter: soundingPitch - STEP_SEMITONES[soundingIndex]! - (soundingOctave + 1) * 12,
    octave: soundingOctave,
  };
}

/** Reads a note, chord note, grace note, cue note, rest or unpitched stroke. */
export function readNote(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  let pitch: XmlElement | undefined;
  let unpitched: XmlElement | undefined;
  let duration: string | undefined;
  let instrument: string | undefined;
  let rest = false;
  let chord = false;
  let grace = false;
  let cue = false;
  let voice = 1;
  let staff = 1;
  let tieStart = false;
  let tieStop = false;
  let hasTie = false;
  let slash = false;
  let type: string | undefined;
  let headShape: string | undefined;
  for (const child of element.children) {
    switch (child.name) {
      case "pitch":
        pitch = child;
        break;
      case "unpitched":
        unpitched = child;
        break;
      case "rest":
        rest = true;
        break;
      case "duration":
        duration = child.text.trim();
        break;
      case "chord":
        chord = true;
        break;
      case "grace":
        grace = true;
        slash = child.attributes["slash"] === "yes";
        break;
      case "type":
        type = child.text.trim();
        break;
      case "notehead":
        headShape = child.text.trim();
        break;
      case "cue":
        cue = true;
        break;
      case "voice":
        voice = wholeNumber(child.text, 1);
        break;
      case "staff":
        staff = staveOf(reading, child.text);
        break;
      case "instrument":
        instrument = child.attributes["id"];
        break;
      case "tie":
        hasTie = true;
        if (child.attributes["type"] === "start") tieStart = true;
        else if (child.attributes["type"] === "stop") tieStop = true;
        break;
      case "lyric":
        notice(reading, "lyrics: not used");
        break;
      case "play":
        if (child.children.length > 0) notice(reading, "playback instructions on notes: not used");
        break;
    }
  }
  if (duration === undefined && !grace) {
    notice(reading, "note without a duration: left out");
    return;
  }
  const ticks = grace
    ? 0
    : durationTicks(reading, part, duration!, pitch !== undefined || unpitched !== undefined);
  const onset = chord ? part.lastOnset : part.cursor;
  if (!chord && !grace) moveOn(reading, part, ticks);
  else if (!grace) reachTo(reading, part, onset + ticks);
  part.lastOnset = onset;
  if (instrument !== undefined && !grace) takeInstrument(part, instrument, onset);
  if (!chord && !grace) readTuplets(reading, part, { element, onset, ticks, voice, staff, type });
  if (rest) {
    readRestNotations(reading, part, { element, onset, ticks });
    return;
  }
  if (!pitch && !unpitched) {
    notice(reading, "note with neither pitch nor rest: left out");
    return;
  }

  const note = rawNote({
    barIndex: part.barIndex,
    offsetTicks: onset,
    durationTicks: ticks,
    ...(pitch
      ? readPitch(reading, part, pitch, { prefix: "", staff })
      : unpitchedPitch(reading, part, { element: unpitched!, instrument, staff })),
  });
  note.voice = voice;
  note.staff = staff;
  note.grace = grace;
  note.cue = cue;
  note.unpitched = pitch === undefined;
  note.notation = printedHead({ grace, chord, slash, type, headShape, unpitched });
  note.tieStart = tieStart;
  note.tieStop = tieStop;
  for (const child of element.children) {
    if (child.name === "notations") readNotations(reading, part, { note, notations: child, hasTie });
  }
  const before = part.raw.notes.at(-1);
  if (chord && before) {
    shareChordSigns(before, note);
    if (note.tremoloSlashes > 0) shareSlashes(part.raw.notes, note);
  }
  part.raw.notes.push(note);
  if (--reading.notesLeft < 0) {
    throw refusal(reading, "it holds more notes than can be read at once", "Split the score into movements");
  }
}

const TUPLET_ATTRIBUTES: Readonly<Record<string, RegExp>> = {
  "bracket": /^(yes|no)$/,
  "show-number": /^(actual|both|none)$/,
  "show-type": /^(actual|both|none)$/,
  "line-shape": /^(straight|curved)$/,
  "placement": /^(above|below)$/,
};

/** Begins and ends the tuplets of a note or rest; one inside another is left to the writer. */
function readTuplets(
  reading: MusicXmlReading,
  part: PartReading,
  note: {
    readonly element: XmlElement;
    readonly onset: number;
    readonly ticks: number;
    readonly voice: number;
    readonly staff: number;
    readonly type: string | undefined;
  },
): void {
  const { element, onset, ticks, voice, staff } = note;
  const signs = element.children.filter((c) => c.name === "notations").flatMap((n) => n.children)
    .filter((c) => c.name === "tuplet");
  for (const sign of signs) {
    const number = sign.attributes["number"] ?? "1";
    if (sign.attributes["type"] !== "start") continue;
    if (part.openTuplets.has(voice)) {
      notice(reading, "tuplet inside a tuplet: its figure is not kept");
      continue;
    }
    const ratio = childOf(element, "time-modification");
    const actual = ratio && numberOf(ratio, "actual-notes");
    const normal = ratio && numberOf(ratio, "normal-notes");
    const value = ratio && textOf(ratio, "normal-type") || note.type;
    if (!isCount(actual) || !isCount(normal) || !isNoteType(value)) continue;
    const attributes = keptAttributes(sign, TUPLET_ATTRIBUTES);
    const place = { barIndex: part.barIndex, offsetTicks: onset, lengthTicks: 0, staff, voice };
    part.openTuplets.set(voice, { ...place, actual, normal, value, attributes, number });
  }
  for (const sign of signs) {
    const open = part.openTuplets.get(voice);
    if (sign.attributes["type"] !== "stop" || open?.number !== (sign.attributes["number"] ?? "1")) continue;
    part.openTuplets.delete(voice);
    const { number: _, ...tuplet } = open;
    tuplet.lengthTicks = onset + ticks - tuplet.offsetTicks;
    if (tuplet.lengthTicks > 0) part.raw.notation!.tuplets.push(tuplet);
  }
}

function isCount(value: number | undefined): value is number {
  return value !== undefined && Number.isInteger(value) && value >= 1 && value <= 1000;
}

/** Shapes of note heads that are not the usual one, and names of note values, in MusicXML 4.0. */
const HEAD_SHAPES: ReadonlySet<string> = new Set(
  ("slash,triangle,diamond,square,cross,x,circle-x,inverted triangle,arrow down,arrow up,circled,slashed," +
    "back slashed,cluster,circle dot,left triangle,rectangle,none,do,re,mi,fa,fa up,so,la,ti").split(","),
);
const NOTE_TYPES: ReadonlySet<string> = new Set(
  "1024th,512th,256th,128th,64th,32nd,16th,eighth,quarter,half,whole,breve,long,maxima".split(","),
);

function isNoteType(type: string | undefined): type is string {
  return type !== undefined && NOTE_TYPES.has(type);
}

/** What is kept of how a head is printed. */
function printedHead(options: {
  readonly grace: boolean;
  readonly chord: boolean;
  readonly slash: boolean;
  readonly type: string | undefined;
  readonly headShape: string | undefined;
  readonly unpitched: XmlElement | undefined;
}): NoteNotation | undefined {
  const { grace, chord, slash, type, headShape, unpitched } = options;
  const step = unpitched && textOf(unpitched, "display-step");
  const octave = unpitched && numberOf(unpitched, "display-octave");
  const notation: NoteNotation = {
    ...(grace && isNoteType(type) ? { graceValue: type } : {}),
    ...(grace && slash ? { graceSlash: true } : {}),
    ...(grace && chord ? { graceChord: true } : {}),
    ...(headShape && HEAD_SHAPES.has(headShape) ? { headShape } : {}),
    ...(step && STEPS.includes(step) && octave !== undefined ? { display: { step, octave } } : {}),
  };
  return Object.keys(notation).length > 0 ? notation : undefined;
}

/** Slashes go through the stem, on whichever note of the chord they are written. */
function shareSlashes(notes: readonly RawNote[], note: RawNote): void {
  for (let i = notes.length - 1; i >= 0; i--) {
    const other = notes[i]!;
    if (
      other.barIndex !== note.barIndex || other.offsetTicks !== note.offsetTicks || other.voice !== note.voice
    ) {
      return;
    }
    if (other.grace !== note.grace || other.tremoloSlashes > 0) return;
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
  if (note.tremoloSlashes === 0) {
    takeSlashes(note, first);
  }
}

function unpitchedPitch(
  reading: MusicXmlReading,
  part: PartReading,
  options: {
    readonly element: XmlElement;
    readonly instrument: string | undefined;
    readonly staff: number;
  },
): Pitch {
  const { element, instrument, staff } = options;
  const known = (instrument === undefined ? undefined : part.percussionKeys.get(instrument)) ??
    part.percussionKeys.get("");
  if (known !== undefined) return { soundingPitch: known, step: "", alter: 0, octave: 0 };
  if (textOf(element, "display-step") !== undefined) {
    const shown = readPitch(reading, part, element, { prefix: "display-", staff });
    return { ...shown, step: "" };
  }
  return { soundingPitch: DEFAULT_PERCUSSION_KEY, step: "", alter: 0, octave: 0 };
}

function readRestNotations(
  reading: MusicXmlReading,
  part: PartReading,
  rest: { readonly element: XmlElement; readonly onset: number; readonly ticks: number },
): void {
  for (const child of rest.element.children) {
    if (child.name !== "notations") continue;
    for (const sign of child.children) {
      if (sign.name !== "fermata") continue;
      const staff = numberOf(rest.element, "staff") ?? 1;
      addPause(reading, part, { offsetTicks: rest.onset, lengthTicks: rest.ticks, staff });
    }
  }
}

/** A fermata over a note or rest. */
function addPause(
  reading: MusicXmlReading,
  part: PartReading,
  place: { readonly offsetTicks: number; readonly lengthTicks: number; readonly staff: number },
): void {
  const { offsetTicks, lengthTicks, staff } = place;
  part.raw.notation!.pauses.push({ barIndex: part.barIndex, offsetTicks, lengthTicks, staff });
  reading.score.bends.push({ barIndex: part.barIndex, offsetTicks, kind: "pause", words: "", lengthTicks });
  notice(reading, "pause: kept; the tempo stays steady unless pauses are asked for");
}

function readNotations(
  reading: MusicXmlReading,
  part: PartReading,
  options: { readonly note: RawNote; readonly notations: XmlElement; readonly hasTie: boolean },
): void {
  const { note, notations, hasTie } = options;
  for (const sign of notations.children) {
    switch (sign.name) {
      case "tied":
        // `<tie>` is what sounds; `<tied>`, what is drawn, stands in for it where a file has only that.
        if (!hasTie) {
          const type = sign.attributes["type"];
          if (type === "start" || type === "continue") note.tieStart = true;
          if (type === "stop" || type === "continue") note.tieStop = true;
        }
        break;
      case "slur":
        addSpan(note.slurs, sign);
        break;
      case "glissando":
      case "slide":
        addGlissando(note, sign, sign.name);
        break;
      case "articulations":
        for (const articulation of sign.children) {
          const name = ARTICULATIONS[articulation.name];
          if (isKept(articulation.name)) keep(note, articulation.name);
          else if (name === undefined) notice(reading, `articulation ${articulation.name}: not used`);
          else if (!note.articulations.includes(name)) note.articulations = [...note.articulations, name];
        }
        break;
      case "technical":
        for (const technical of sign.children) readTechnical(reading, note, technical);
        break;
      case "ornaments":
        for (const ornament of sign.children) readOrnament(reading, note, ornament);
        break;
      case "dynamics":
        addDynamic(reading, part, {
          dynamics: sign,
          place: { barIndex: part.barIndex, offsetTicks: note.offsetTicks, staff: note.staff },
        });
        break;
      case "arpeggiate":
        keep(note, "arpeggiate");
        break;
      case "fermata":
        addPause(reading, part, {
          offsetTicks: note.offsetTicks,
          lengthTicks: note.durationTicks,
          staff: note.staff,
        });
        break;
      default:
        if (!SILENT_NOTATIONS.has(sign.name)) notice(reading, `${sign.name.replaceAll("-", " ")}: not used`);
    }
  }
}

/** Adds the dynamic mark of a `<dynamics>`. */
export function addDynamic(
  reading: MusicXmlReading,
  part: PartReading,
  options: {
    readonly dynamics: XmlElement;
    readonly place: { readonly barIndex: number; readonly offsetTicks: number; readonly staff: number };
  },
): void {
  const { dynamics, place } = options;
  const pieces = dynamics.children.map((c) => c.name === "other-dynamics" ? c.text : c.name);
  const mark = dynamics.children.length === 1 && dynamics.children[0]!.name !== "other-dynamics"
    ? pieces[0]
    : joinDynamic(pieces);
  if (mark === undefined) {
    notice(reading, `dynamic "${pieces.join(" ").trim()}": not used`);
    keepWords(part, pieces.join(" "), { ...place, below: true });
    return;
  }
  const printed = pieces.map((p) => p.trim()).filter((p) => p !== "");
  const more = printed.length === 1 && printed[0] === mark ? {} : { pieces: printed };
  part.raw.marks.push({ kind: "dynamic", mark, ...more, ...place });
}

/** Keeps words as printed. */
export function keepWords(
  part: PartReading,
  text: string,
  place: {
    readonly barIndex: number;
    readonly offsetTicks: number;
    readonly staff: number;
    readonly below: boolean;
  },
): void {
  const { barIndex, offsetTicks, staff, below } = place;
  const words = text.replace(/\s+/g, " ").trim();
  if (words === "") return;
  part.raw.notation!.words.push({ barIndex, offsetTicks, staff, words, ...(below ? { below } : {}) });
}

function readTechnical(reading: MusicXmlReading, note: RawNote, technical: XmlElement): void {
  const technique = TECHNIQUES[technical.name];
  if (technique !== undefined) note.technique = technique;
  if (isKept(technical.name)) keep(note, technical.name);
  else if (technique === undefined) notice(reading, `technical sign ${technical.name}: not used`);
}

function readOrnament(reading: MusicXmlReading, note: RawNote, ornament: XmlElement): void {
  switch (ornament.name) {
    case "trill-mark":
    case "shake":
      note.trill = true;
      break;
    case "wavy-line":
      addSpan(note.wavyLines, ornament);
      break;
    case "tremolo": {
      const type = ornament.attributes["type"] ?? "single";
      const slashes = wholeNumber(ornament.text, 3);
      note.tremoloSlashes = type === "unmeasured" && slashes === 0 ? 3 : Math.min(8, slashes);
      note.tremoloAlternates = type === "start" || type === "stop";
      if (type === "unmeasured") note.tremolo = "unmeasured";
      break;
    }
    case "accidental-mark":
      break;
    default:
      if (isKept(ornament.name)) keep(note, ornament.name);
      else notice(reading, `ornament ${ornament.name}: not used`);
  }
}

function addSpan(spans: RawSpan[], element: XmlElement): void {
  const { type, number } = element.attributes;
  if (type === "start" || type === "stop") spans.push({ type, number: wholeNumber(number ?? "", 1) });
}

function addGlissando(note: RawNote, element: XmlElement, kind: RawGlissando["kind"]): void {
  const { type, number } = element.attributes;
  if (type !== "start" && type !== "stop") return;
  note.glissandi = [...note.glissandi, { kind, type, number: wholeNumber(number ?? "", 1) }];
}

/** Most staves that a part is taken to have: an organ has three, a reduction four. */
const MOST_STAVES = 16;

/** The stave of a note, the first where none can be meant. */
function staveOf(reading: MusicXmlReading, text: string): number {
  const stave = wholeNumber(text, 0);
  if (stave >= 1 && stave <= MOST_STAVES) return stave;
  notice(reading, `stave that is none of 1 to ${MOST_STAVES}: taken for the first`);
  return 1;
}

function wholeNumber(text: string, otherwise: number): number {
  const value = Number(text);
  return text.trim() !== "" && Number.isInteger(value) && value >= 0 && value < 1e6 ? value : otherwise;
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

/** Where a direction or chord symbol stands, from the start of the bar and not before it. */
export function offsetTicksOf(reading: MusicXmlReading, part: PartReading, element: XmlElement): number {
  const offset = numberOf(element, "offset");
  if (offset === undefined || offset === 0) return part.cursor;
  const ticks = durationTicks(reading, part, String(Math.abs(offset)));
  return Math.max(0, part.cursor + (offset < 0 ? -ticks : ticks));
}
