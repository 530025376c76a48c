/** The bars of one part as MusicXML. */
import type {
  Note,
  Part,
  PlayingSign,
  Score,
  SpanEnd,
  Spelling,
  WrittenClef,
  WrittenKey,
  WrittenTransposition,
} from "../../../score/model.ts";
import { barIndexOf } from "../../../score/time.ts";
import type { Interval } from "../../../score/spelling.ts";
import { accidentalsOfBar } from "./accidental_signs.ts";
import type { PlacedSign } from "./write_signs.ts";
import { furtherInstruments, xmlFurtherId, xmlInstrumentId } from "./write_part_list.ts";
import { writeLeftBarline, writeRightBarline } from "./write_barlines.ts";
import { numberGlissandi, type WrittenGlissando } from "./glissando_numbers.ts";
import { notatePart, type WrittenEvent, type WrittenHead, type WrittenVoice } from "./notate_part.ts";
import { type PartOnPaper, writtenKeyAt } from "./part_on_paper.ts";
import { percussionDisplay } from "./percussion_display.ts";
import type { TupletPlace } from "./note_values.ts";
import { numberSlurs, pairSlurs, type SlurPair } from "./slur_numbers.ts";
import { writtenSpellings } from "./written_spelling.ts";
import type { XmlLines } from "./xml_lines.ts";

/** How the bars are to be written. */
export interface BarOptions {
  readonly id: string;
  /** Signs over and under the notes, in any order. */
  readonly signs: readonly PlacedSign[];
  readonly beams: boolean;
  /** Whether runs of empty bars are gathered, as in a player's part. */
  readonly multipleRests: boolean;
  /** Whether the first bar says that bar numbers are to be printed. */
  readonly barNumbers: boolean;
}

/** Everything about a part that its notes are written with. */
interface Context {
  readonly id: string;
  readonly paper: PartOnPaper;
  readonly spellings: ReadonlyMap<Note, Spelling>;
  readonly slurs: ReadonlyMap<
    Note,
    readonly WrittenSlurEnd[]
  >;
  readonly glissandi: ReadonlyMap<Note, readonly WrittenGlissando[]>;
  readonly percussionKeys: number;
  /** Places of what stands under a pause, as start and end in ticks, where the source prints none of its own there. */
  readonly pauses: ReadonlySet<string>;
  /** Wavy lines that are written, by their number in the source's part. */
  readonly wavyLines: ReadonlySet<number>;
  /** Pauses the source prints that are still to be written, by stave and start in ticks. */
  readonly printedPauses: Map<string, number>;
}

/** An end of a slur as it is written. */
interface WrittenSlurEnd {
  readonly end: "start" | "stop";
  readonly number: number;
  /** Which printed head it stands at; the first or last one where that is not known. */
  readonly head?: number;
}

/** Names of articulations in MusicXML. */
const ARTICULATIONS: Readonly<Record<Note["articulations"][number], string>> = {
  accent: "accent",
  marcato: "strong-accent",
  staccato: "staccato",
  staccatissimo: "staccatissimo",
  tenuto: "tenuto",
  portato: "detached-legato",
  spiccato: "spiccato",
  breath: "breath-mark",
};

/** Slurs of each note, by number. Notes that say only that they are slurred get a slur from the note before. */
function slursOf(score: Score, paper: PartOnPaper): Context["slurs"] {
  const notes = paper.notes.filter((n) => !n.cue);
  const graceFirst = [...notes].sort((a, b) =>
    a.onsetTicks - b.onsetTicks || a.durationTicks - b.durationTicks
  );
  const hasEnds = notes.some((n) => n.slurStart);
  const source = hasEnds ? graceFirst : withImpliedSlurs(graceFirst);
  const byNote = new Map<Note, WrittenSlurEnd[]>();
  const endOf = (n: Note) => Math.max(n.onsetTicks, n.onsetTicks + n.durationTicks - 1);
  const slurNotes = source.map((n) => ({
    onsetTicks: n.onsetTicks,
    barIndex: barIndexOf(score, n.onsetTicks),
    endBarIndex: barIndexOf(score, endOf(n)),
    line: `${n.staff}|${n.voice}`,
    grace: n.grace,
    slurred: n.slurred,
    slurStart: n.slurStart,
    slurStop: n.slurStop,
  }));
  const pairs: readonly HeadPair[] = printedSlurs(graceFirst) ?? pairSlurs(slurNotes);
  const add = (index: number, slur: WrittenSlurEnd) => {
    const note = graceFirst[index]!;
    const list = byNote.get(note);
    if (list) list.push(slur);
    else byNote.set(note, [slur]);
  };
  for (const { from, to, number, heads } of numberSlurs(slurNotes, pairs)) {
    add(from, { end: "start", number, ...(heads ? { head: heads.from } : {}) });
    add(to, { end: "stop", number, ...(heads ? { head: heads.to } : {}) });
  }
  return byNote;
}

/** A slur, with the heads it stands at where they are known. */
interface HeadPair extends SlurPair {
  readonly heads?: { readonly from: number; readonly to: number };
}

/**
 * Slurs as the source draws them: undefined where it does not say, or where the notes have others now. Under repeats
 * that are written out a slur comes back with the same number.
 */
function printedSlurs(notes: readonly Note[]): readonly HeadPair[] | undefined {
  const open = new Map<number, { readonly from: number; readonly head: number }>();
  const pairs: HeadPair[] = [];
  for (const [index, note] of notes.entries()) {
    const ends = note.notation?.slurs ?? [];
    const begun = new Set(ends.filter((e) => e.end === "start").map((e) => e.span));
    const ended = new Map(ends.filter((e) => e.end === "stop").map((e) => [e.span, e]));
    const toItself = (e: SpanEnd) => begun.has(e.span) && ended.has(e.span);
    const binds = (end: SpanEnd["end"]) => ends.some((e) => e.end === end && !toItself(e));
    if (binds("start") !== note.slurStart || binds("stop") !== note.slurStop) return undefined;
    for (const { span, head } of ends.filter((e) => e.end === "start" && toItself(e))) {
      const to = ended.get(span);
      if (to) pairs.push({ from: index, to: index, heads: { from: head, to: to.head } });
    }
    for (const { span, head } of ends.filter((e) => e.end === "stop" && !toItself(e))) {
      const start = open.get(span);
      if (!start) return undefined;
      pairs.push({ from: start.from, to: index, heads: { from: start.head, to: head } });
      open.delete(span);
    }
    for (const { span, head } of ends.filter((e) => e.end === "start" && !toItself(e))) {
      open.set(span, { from: index, head });
    }
  }
  return open.size === 0 && pairs.length > 0 ? pairs : undefined;
}

/** Copies in which runs of `slurred` notes have a beginning and an end. */
function withImpliedSlurs(notes: readonly Note[]): readonly Note[] {
  const copies = notes.map((n) => ({ ...n, slurStop: false }));
  const lines = new Map<string, number[]>();
  notes.forEach((n, i) => {
    if (n.grace) return;
    const key = `${n.staff}|${n.voice}`;
    const line = lines.get(key) ?? [];
    lines.set(key, line);
    // One note of each chord carries the slur.
    if (line.length === 0 || notes[line.at(-1)!]!.onsetTicks !== n.onsetTicks) line.push(i);
  });
  for (const line of lines.values()) {
    line.forEach((index, k) => {
      if (k === 0 || !notes[index]!.slurred) return;
      const before = line[k - 1]!;
      if (!notes[before]!.slurred || k === 1) copies[before] = { ...copies[before]!, slurStart: true };
      const after = line[k + 1];
      if (after === undefined || !notes[after]!.slurred) {
        copies[index] = { ...copies[index]!, slurStop: true };
      }
    });
  }
  return copies;
}

const [LOWEST_OCTAVE, HIGHEST_OCTAVE] = [0, 9];

function writePitch(xml: XmlLines, context: Context, note: Note): void {
  if (note.unpitched) {
    const display = note.notation?.display ?? note.spelling ??
      percussionDisplay(Math.round(note.soundingPitch), context.percussionKeys === 1);
    xml.open("unpitched");
    xml.leaf("display-step", display.step);
    xml.leaf("display-octave", heldOctave(display.octave));
    xml.close();
    return;
  }
  const { step, alter, octave } = context.spellings.get(note)!;
  const held = heldOctave(octave);
  // What MIDI keys have below C0 and above B9 (switches between sounds, as a rule) is altered by whole octaves.
  // Rounded to a hundredth of a cent, as XML takes no 1e-9 for a decimal number.
  const semitones = Number((alter + 12 * (octave - held)).toFixed(4));
  xml.open("pitch");
  xml.leaf("step", step);
  if (semitones !== 0) xml.leaf("alter", semitones);
  xml.leaf("octave", held);
  xml.close();
}

/** The nearest octave that MusicXML names (type `octave` of the schema). */
function heldOctave(octave: number): number {
  return Math.min(HIGHEST_OCTAVE, Math.max(LOWEST_OCTAVE, octave));
}

/** Which of the further signs stand among the articulations, and which among the ornaments; the rest are technical. */
const ARTICULATION_SIGNS: readonly PlayingSign[] = [
  "scoop",
  "plop",
  "doit",
  "falloff",
  "caesura",
  "stress",
  "unstress",
  "soft-accent",
];
const ORNAMENT_SIGNS: readonly PlayingSign[] = [
  "turn",
  "inverted-turn",
  "delayed-turn",
  "mordent",
  "inverted-mordent",
  "schleifer",
];
const TECHNICAL_SIGNS: readonly PlayingSign[] = [
  "up-bow",
  "down-bow",
  "open-string",
  "thumb-position",
  "double-tongue",
  "triple-tongue",
  "snap-pizzicato",
];

/** Further signs of a note that belong to a group. */
function keptSigns(
  note: Note,
  group: readonly PlayingSign[],
  here: (has: (n: Note) => boolean) => boolean,
): readonly PlayingSign[] {
  if (!note.signs) return [];
  return group.filter((sign) => note.signs!.includes(sign) && here((n) => n.signs?.includes(sign) ?? false));
}

/** Technical signs of a note: harmonics on every note that is one, stopped notes once for a chord, and what is kept. */
function technicalSigns(note: Note, here: (has: (n: Note) => boolean) => boolean): readonly string[] {
  const own = (n: Note) => n.techniques ?? [n.technique];
  return [
    ...(own(note).includes("harmonic") ? ["harmonic"] : []),
    ...(own(note).includes("stopped") && here((n) => own(n).includes("stopped")) ? ["stopped"] : []),
    ...keptSigns(note, TECHNICAL_SIGNS, here),
  ];
}

/** Whether a head bears a trill sign, and what it has of a wavy line: as the source draws them, or over ties. */
function trillSigns(options: {
  readonly context: Context;
  readonly head: WrittenHead;
  readonly firstOfChord: boolean;
}): { readonly trillMark: boolean; readonly wavyEnds: readonly WavyEnd[] } {
  const { context, head, firstOfChord } = options;
  const { note } = head;
  const begins = !head.tieStop;
  if (context.paper.part.notation) {
    const printed = (place: number) => head.begins && head.head === place;
    const lines = note.notation?.wavyLines ?? [];
    return {
      trillMark: note.notation?.trills?.some(printed) ?? begins,
      wavyEnds: lines.filter((l) => printed(l.head) && context.wavyLines.has(l.span))
        .map(({ end, span }) => ({ type: end, number: 1 + span % MOST_LINES })),
    };
  }
  const wavy = note.trill && firstOfChord && (head.tieStart || head.tieStop);
  const ends = wavy
    ? [...(begins ? ["start"] as const : []), ...(head.tieStart ? [] : ["stop"] as const)]
    : [];
  return { trillMark: begins, wavyEnds: ends.map((type) => ({ type, number: 1 })) };
}

/** An end of a wavy line, and its number. */
interface WavyEnd {
  readonly type: "start" | "stop";
  readonly number: number;
}

/** Most lines of a kind that can be told apart (`number-level` of MusicXML 4.0). */
const MOST_LINES = 16;

/** Wavy lines of the page that still begin on a trill. */
function linesOfTrills(notes: readonly Note[]): ReadonlySet<number> {
  const trilled = notes.filter((n) => n.trill).flatMap((n) => n.notation?.wavyLines ?? []);
  return new Set(trilled.filter((l) => l.end === "start").map((l) => l.span));
}

/** Slashes through the stem of a head. */
function slashesOf(head: WrittenHead): number {
  const { tremoloSlashes, notation } = head.note;
  const printed = notation?.slashes;
  return printed?.[0] === tremoloSlashes ? printed[head.head] ?? tremoloSlashes : tremoloSlashes;
}

/** Slurs, ties, tuplets, ornaments and signs of one head. */
function writeNotations(
  xml: XmlLines,
  options: {
    readonly context: Context;
    readonly head: WrittenHead;
    readonly event?: WrittenEvent;
    readonly firstOfChord: boolean;
    readonly pause: boolean;
  },
): void {
  const { context, head, event, firstOfChord } = options;
  const { note } = head;
  // What every note of a chord has is written once, on its first head.
  const chord = event?.heads ?? [head];
  const here = (has: (n: Note) => boolean): boolean =>
    has(note) && (firstOfChord || !chord.every((other) => has(other.note)));
  const slurs = context.slurs.get(note);
  const begins = !head.tieStop;
  const ends = !head.tieStart;
  const inner: (() => void)[] = [];
  if (head.tieStop) inner.push(() => xml.leaf("tied", undefined, { type: "stop" }));
  if (head.tieStart) inner.push(() => xml.leaf("tied", undefined, { type: "start" }));
  for (const type of ["stop", "start"] as const) {
    for (const { end, number, head: place } of slurs ?? []) {
      const usual = type === "start" ? begins : ends;
      const here = place === undefined ? usual : head.begins && head.head === place;
      if (end === type && here) inner.push(() => xml.leaf("slur", undefined, { type, number }));
    }
  }
  const tuplet = event?.tuplet;
  if (tuplet && firstOfChord) {
    if (tuplet.starts) inner.push(() => writeTupletStart(xml, tuplet));
    if (tuplet.stops) inner.push(() => xml.leaf("tuplet", undefined, { type: "stop" }));
  }
  for (const end of context.glissandi.get(note) ?? []) {
    if (end.head === "last" ? ends : begins) inner.push(() => writeGlissando(xml, end));
  }
  const trill = here((n) => n.trill);
  const { trillMark, wavyEnds } = trillSigns(options);
  const slashes = firstOfChord && !note.grace ? slashesOf(head) : 0;
  // Signs of a later head of a tied note stand there in the source.
  const later = head.begins && head.head > 0
    ? note.notation?.later?.find((l) => l.head === head.head)
    : undefined;
  const signed = (group: readonly PlayingSign[]) =>
    begins ? keptSigns(note, group, here) : group.filter((sign) => later?.signs.includes(sign));
  const ornaments = signed(ORNAMENT_SIGNS);
  if ((trill && trillMark) || wavyEnds.length > 0 || slashes > 0 || ornaments.length > 0) {
    inner.push(() => {
      xml.open("ornaments");
      for (const name of ornaments) xml.leaf(name);
      if (trill && trillMark) xml.leaf("trill-mark");
      for (const { type, number } of wavyEnds) xml.leaf("wavy-line", undefined, { type, number });
      if (slashes > 0) {
        const type = event?.tremoloPair ?? (note.tremolo === "unmeasured" ? "unmeasured" : "single");
        xml.leaf("tremolo", Math.min(8, slashes), { type });
      }
      xml.close();
    });
  }
  const technical = begins ? technicalSigns(note, here) : signed(TECHNICAL_SIGNS);
  if (technical.length > 0) {
    inner.push(() => {
      xml.open("technical");
      for (const name of technical) xml.leaf(name);
      xml.close();
    });
  }
  // A breath comes after the note, every other sign belongs to its beginning.
  const signs = note.articulations.filter((sign) =>
    (sign === "breath" ? ends : begins) && here((n) => n.articulations.includes(sign))
  ).concat(later?.articulations ?? []);
  const furtherSigns = signed(ARTICULATION_SIGNS);
  if (signs.length + furtherSigns.length > 0) {
    inner.push(() => {
      xml.open("articulations");
      for (const sign of signs) {
        xml.leaf(ARTICULATIONS[sign], undefined, sign === "marcato" ? { type: "up" } : {});
      }
      for (const sign of furtherSigns) xml.leaf(sign);
      xml.close();
    });
  }
  if (begins && note.signs?.includes("arpeggiate")) inner.push(() => xml.leaf("arpeggiate"));
  if (options.pause) inner.push(() => xml.leaf("fermata"));
  if (inner.length === 0) return;
  xml.open("notations");
  for (const write of inner) write();
  xml.close();
}

function writeTupletStart(xml: XmlLines, tuplet: TupletPlace): void {
  xml.leaf("tuplet", undefined, { type: "start", ...tuplet.attributes ?? { bracket: "yes" } });
}

function writeGlissando(xml: XmlLines, end: WrittenGlissando): void {
  const { kind, type, number, worded } = end;
  const line = kind === "slide" ? "solid" : "wavy";
  xml.leaf(kind, worded ? "gliss." : undefined, { type, number, "line-type": line });
}

/** Whether a pause stands over what begins here; one that the source prints is written once. */
function takePause(context: Context, staff: number, barStart: number, event: WrittenEvent): boolean {
  const key = `${staff}|${barStart + event.from}`;
  const left = context.printedPauses.get(key) ?? 0;
  if (left > 0) context.printedPauses.set(key, left - 1);
  return left > 0 || context.pauses.has(`${barStart + event.from}:${barStart + event.to}`);
}

/** What a `<note>` is written from. */
interface NoteToWrite {
  readonly context: Context;
  readonly event: WrittenEvent;
  readonly head: WrittenHead | undefined;
  readonly index: number;
  readonly voice: WrittenVoice;
  readonly accidental: string | undefined;
  readonly barStart: number;
}

function writeNote(xml: XmlLines, input: NoteToWrite): void {
  const { context, event, head, index, voice, barStart } = input;
  const pause = index === 0 && takePause(context, voice.staff, barStart, event);
  xml.open("note");
  if (head?.note.cue) xml.leaf("cue");
  if (index > 0) xml.leaf("chord");
  if (head) writePitch(xml, context, head.note);
  else xml.leaf("rest", undefined, event.wholeBar ? { measure: "yes" } : {});
  xml.leaf("duration", event.to - event.from);
  if (head && !head.note.cue) {
    if (head.tieStop) xml.leaf("tie", undefined, { type: "stop" });
    if (head.tieStart) xml.leaf("tie", undefined, { type: "start" });
  }
  writeInstrument(xml, context, head?.note);
  xml.leaf("voice", voice.voice);
  if (event.type !== "") xml.leaf("type", event.type);
  for (let d = 0; d < event.dots; d++) xml.leaf("dot");
  if (input.accidental) xml.leaf("accidental", input.accidental);
  const ratio = event.paired ? { actual: 2, normal: 1, unitType: undefined } : event.tuplet;
  if (ratio) {
    xml.open("time-modification");
    xml.leaf("actual-notes", ratio.actual);
    xml.leaf("normal-notes", ratio.normal);
    if (ratio.unitType) xml.leaf("normal-type", ratio.unitType);
    xml.close();
  }
  writeHead(xml, context, head?.note);
  if (context.paper.staves > 1) xml.leaf("staff", voice.staff);
  if (index === 0) event.beam?.forEach((beam, level) => xml.leaf("beam", beam, { number: level + 1 }));
  if (head) {
    writeNotations(xml, {
      context,
      head,
      event,
      firstOfChord: index === 0,
      pause,
    });
  } else if (pause || (event.tuplet && (event.tuplet.starts || event.tuplet.stops))) {
    xml.open("notations");
    if (event.tuplet?.starts) writeTupletStart(xml, event.tuplet);
    if (event.tuplet?.stops) xml.leaf("tuplet", undefined, { type: "stop" });
    if (pause) xml.leaf("fermata");
    xml.close();
  }
  xml.close();
}

/** Names the instrument of an unpitched stroke, and of any note where the part has several. */
function writeInstrument(xml: XmlLines, context: Context, note: Note | undefined): void {
  if (!note) return;
  if (!note.unpitched) {
    const { part } = context.paper;
    if (furtherInstruments(part).size === 0) return;
    const taken = part.instrumentChanges!.findLast((c) => c.fromTicks <= note.onsetTicks);
    xml.leaf("instrument", undefined, {
      id: xmlFurtherId(context.id, part, taken?.instrument ?? part.instrument),
    });
    return;
  }
  const key = Math.round(note.soundingPitch);
  if (key >= 0 && key <= 127) xml.leaf("instrument", undefined, { id: xmlInstrumentId(context.id, key) });
}

function writeHead(xml: XmlLines, context: Context, note: Note | undefined): void {
  if (note?.notation?.headShape) xml.leaf("notehead", note.notation.headShape);
  if (!note?.unpitched || context.paper.part.notation) return;
  if (percussionDisplay(Math.round(note.soundingPitch), context.percussionKeys === 1).cross) {
    xml.leaf("notehead", "x");
  }
}

function writeGrace(
  xml: XmlLines,
  input: {
    readonly context: Context;
    readonly note: Note;
    readonly voice: WrittenVoice;
    readonly accidental: string | undefined;
    /** True where another grace note stands right before it. */
    readonly inChord: boolean;
  },
): void {
  const { context, note, voice, accidental } = input;
  xml.open("note");
  xml.leaf("grace", undefined, { slash: note.notation?.graceSlash ? "yes" : undefined });
  if (note.cue) xml.leaf("cue");
  if (note.notation?.graceChord && input.inChord) xml.leaf("chord");
  writePitch(xml, context, note);
  writeInstrument(xml, context, note);
  xml.leaf("voice", voice.voice);
  xml.leaf("type", note.notation?.graceValue ?? "eighth");
  if (accidental) xml.leaf("accidental", accidental);
  writeHead(xml, context, note);
  if (context.paper.staves > 1) xml.leaf("staff", voice.staff);
  const head = { note, tieStart: false, tieStop: false, head: 0, begins: true };
  writeNotations(xml, { context, head, firstOfChord: true, pause: false });
  xml.close();
}

/** Accidentals of one bar, found in order of time over all voices of a stave. */
function accidentalsOf(
  voices: readonly WrittenVoice[],
  context: Context,
  keyFifths: number,
): ReadonlyMap<WrittenHead | Note, string> {
  const signs = new Map<WrittenHead | Note, string>();
  const staves = new Set(voices.map((v) => v.staff));
  for (const staff of staves) {
    const state = accidentalsOfBar(keyFifths);
    const here: { at: number; key: WrittenHead | Note; note: Note }[] = [];
    for (const voice of voices) {
      if (voice.staff !== staff) continue;
      for (const event of voice.events) {
        for (const grace of event.graces) here.push({ at: event.from, key: grace, note: grace });
        for (const head of event.heads) {
          if (!head.tieStop) here.push({ at: event.from, key: head, note: head.note });
        }
      }
      for (const grace of voice.closingGraces) here.push({ at: Infinity, key: grace, note: grace });
    }
    here.sort((a, b) => (a.at === b.at ? 0 : a.at - b.at));
    for (const { key, note } of here) {
      const spelling = context.spellings.get(note);
      const sign = spelling && state.signFor(spelling);
      if (sign) signs.set(key, sign);
    }
  }
  return signs;
}

function writeKey(xml: XmlLines, key: WrittenKey): void {
  xml.open("key");
  xml.leaf("fifths", key.fifths);
  xml.close();
}

function writeTransposition(xml: XmlLines, { semitones, steps }: Interval): void {
  const octaves = Math.trunc(semitones / 12);
  xml.open("transpose");
  xml.leaf("diatonic", steps - 7 * octaves);
  xml.leaf("chromatic", semitones - 12 * octaves);
  if (octaves !== 0) xml.leaf("octave-change", octaves);
  xml.close();
}

function writeClef(xml: XmlLines, clef: WrittenClef, staves: number): void {
  xml.open("clef", staves > 1 ? { number: clef.staff } : {});
  xml.leaf("sign", clef.sign);
  if (clef.line !== undefined) xml.leaf("line", clef.line);
  if (clef.octaves !== undefined) xml.leaf("clef-octave-change", clef.octaves);
  xml.close();
}

/** Clefs, keys and transpositions by the place where they change. */
interface BarChanges {
  readonly clefs: ReadonlyMap<number, readonly WrittenClef[]>;
  readonly keys: ReadonlyMap<number, WrittenKey>;
  readonly transpositions: ReadonlyMap<number, WrittenTransposition>;
}

function changesOf(paper: PartOnPaper): BarChanges {
  return {
    clefs: Map.groupBy(paper.clefs, (c) => c.fromTicks),
    keys: new Map(paper.keys.map((k) => [k.fromTicks, k])),
    transpositions: new Map(paper.part.notation?.transpositions.map((t) => [t.fromTicks, t])),
  };
}

/** Clefs, keys and transpositions that change inside a bar, with their places from its start. */
function changesInside(
  score: Score,
  paper: PartOnPaper,
): ReadonlyMap<
  number,
  readonly { readonly at: number; readonly staff: number; readonly write: (xml: XmlLines) => void }[]
> {
  const changes = [
    ...paper.keys.map((k) => ({ ...k, staff: 1, write: (xml: XmlLines) => writeKey(xml, k) })),
    ...(paper.part.notation?.transpositions ?? []).map((t) => ({
      ...t,
      staff: 1,
      write: (xml: XmlLines) => writeTransposition(xml, t),
    })),
    ...paper.clefs.map((c) => ({ ...c, write: (xml: XmlLines) => writeClef(xml, c, paper.staves) })),
  ].map(({ fromTicks, staff, write }) => {
    const barIndex = barIndexOf(score, fromTicks);
    return { barIndex, at: fromTicks - (score.bars[barIndex]?.startTicks ?? 0), staff, write };
  });
  return Map.groupBy(changes.filter((c) => c.at > 0).sort((a, b) => a.at - b.at), (c) => c.barIndex);
}

function writeAttributes(
  xml: XmlLines,
  options: {
    readonly score: Score;
    readonly paper: PartOnPaper;
    readonly index: number;
    readonly multipleRest: number;
    readonly changes: BarChanges;
  },
): void {
  const { score, paper, index, multipleRest, changes } = options;
  const bar = score.bars[index]!;
  const before = score.bars[index - 1];
  const first = index === 0;
  const key = changes.keys.get(bar.startTicks);
  const time = first || before!.beats !== bar.beats || before!.beatUnit !== bar.beatUnit ||
    before!.timeSymbol !== bar.timeSymbol;
  const newClefs = changes.clefs.get(bar.startTicks) ?? [];
  const changed = changes.transpositions.get(bar.startTicks);
  if (!first && !key && !time && !changed && newClefs.length === 0 && multipleRest < 2) return;
  xml.open("attributes");
  if (first) xml.leaf("divisions", score.ticksPerQuarter);
  if (key) writeKey(xml, key);
  if (time) {
    xml.open("time", { symbol: bar.timeSymbol });
    xml.leaf("beats", bar.beats);
    xml.leaf("beat-type", bar.beatUnit);
    xml.close();
  }
  if (first && paper.staves > 1) xml.leaf("staves", paper.staves);
  for (const clef of newClefs) writeClef(xml, clef, paper.staves);
  const { transposeSemitones: semitones, transposeSteps: steps } = paper.part;
  if (first && (semitones !== 0 || steps !== 0)) writeTransposition(xml, { semitones, steps });
  if (changed) writeTransposition(xml, changed);
  if (multipleRest > 1) {
    xml.open("measure-style");
    xml.leaf("multiple-rest", multipleRest);
    xml.close();
  }
  xml.close();
}

/** Lengths of the runs of empty bars that may be gathered, at the index of their first bar. */
function emptyRuns(
  score: Score,
  bars: readonly (readonly WrittenVoice[])[],
  signsIn: readonly (readonly PlacedSign[])[],
): ReadonlyMap<number, number> {
  const runs = new Map<number, number>();
  const isEmpty = (i: number) => bars[i]!.every((v) => v.events.length === 1 && v.events[0]!.wholeBar);
  const breaks = (i: number) => {
    const [bar, before] = [score.bars[i]!, score.bars[i - 1]!];
    return signsIn[i]!.length > 0 || bar.keyFifths !== before.keyFifths || bar.beats !== before.beats ||
      bar.beatUnit !== before.beatUnit || bar.durationTicks !== before.durationTicks ||
      bar.repeat !== undefined || before.repeat !== undefined;
  };
  let i = 0;
  while (i < bars.length) {
    let end = i;
    while (end < bars.length && isEmpty(end) && (end === i || !breaks(end))) end++;
    if (end - i > 1) runs.set(i, end - i);
    i = Math.max(end, i + 1);
  }
  return runs;
}

function writeChange(xml: XmlLines, write: (xml: XmlLines) => void): void {
  xml.open("attributes");
  write(xml);
  xml.close();
}

/** Moves from one place of the bar to another. */
function moveTo(xml: XmlLines, from: number, to: number): void {
  if (from === to) return;
  xml.open(to < from ? "backup" : "forward");
  xml.leaf("duration", Math.abs(to - from));
  xml.close();
}

/**
 * Pauses of one part. Those the source prints stand where it has them, as long as the score still holds a pause there;
 * others stand over every note and rest of their place and length.
 */
function pausesOf(score: Score, part: Part): Pick<Context, "pauses" | "printedPauses"> {
  const bends = score.tempoBends?.filter((b) => b.kind === "pause") ?? [];
  const held = new Set(bends.map((b) => b.onsetTicks));
  const printed = new Set(score.parts.flatMap((p) => p.notation?.pauses.map((w) => w.onsetTicks) ?? []));
  const printedPauses = new Map<string, number>();
  for (const { staff, onsetTicks } of part.notation?.pauses ?? []) {
    const key = `${staff}|${onsetTicks}`;
    if (held.has(onsetTicks)) printedPauses.set(key, (printedPauses.get(key) ?? 0) + 1);
  }
  const others = bends.filter((b) => !printed.has(b.onsetTicks));
  return { pauses: new Set(others.map((b) => `${b.onsetTicks}:${b.endTicks}`)), printedPauses };
}

/** Writes the bars of one part, inside `<part>`; the score's grid must hold 32nd notes exactly. */
export function writeBars(
  xml: XmlLines,
  score: Score,
  options: BarOptions & { readonly paper: PartOnPaper },
): void {
  const { paper, id } = options;
  const { notation } = paper.part;
  const written = notatePart(score, {
    notes: paper.notes,
    staves: paper.staves,
    beams: options.beams,
    notation,
  });
  const spellings = writtenSpellings(score, paper);
  const context: Context = {
    id,
    paper,
    spellings,
    slurs: slursOf(score, paper),
    glissandi: numberGlissandi(score, paper.notes),
    percussionKeys: new Set(paper.notes.filter((n) => n.unpitched).map((n) => n.soundingPitch)).size,
    wavyLines: linesOfTrills(paper.notes),
    ...pausesOf(score, paper.part),
  };
  const inside = changesInside(score, paper);
  const barChanges = changesOf(paper);
  const signsIn: PlacedSign[][] = score.bars.map(() => []);
  const sorted = [...options.signs].sort((a, b) => a.ticks - b.ticks || a.order - b.order);
  for (const sign of sorted) {
    // What ends with a bar stands in it, not at the beginning of the next.
    const place = sign.closes ? Math.max(0, sign.ticks - 1) : sign.ticks;
    signsIn[barIndexOf(score, place)]?.push(sign);
  }
  const runs = options.multipleRests ? emptyRuns(score, written, signsIn) : new Map<number, number>();
  let numbering = 0;
  score.bars.forEach((bar, index) => {
    const full = bar.beats * 4 * score.ticksPerQuarter / bar.beatUnit;
    const implicit = bar.durationTicks < full && (index === 0 || !/^[1-9]\d*$/.test(bar.number));
    numbering++;
    xml.open("measure", { number: bar.number || numbering, implicit: implicit ? "yes" : undefined });
    if (index === 0 && options.barNumbers) {
      xml.open("print");
      xml.leaf("measure-numbering", "system");
      xml.close();
    }
    writeLeftBarline(xml, score.bars, index);
    writeAttributes(xml, { score, paper, index, multipleRest: runs.get(index) ?? 0, changes: barChanges });
    const voices = written[index]!;
    const barStart = bar.startTicks;
    const key = writtenKeyAt(score, paper, index);
    const changes = [...inside.get(index) ?? []];
    const accidentals = accidentalsOf(voices, context, key);
    let cursor = 0;
    voices.forEach((voice, v) => {
      if (cursor > 0) {
        xml.open("backup");
        xml.leaf("duration", cursor);
        xml.close();
        cursor = 0;
      }
      const signs = v === 0 ? [...signsIn[index]!] : [];
      for (const event of voice.events) {
        if (event.hidden) continue;
        if (event.from > cursor) {
          xml.open("forward");
          xml.leaf("duration", event.from - cursor);
          xml.leaf("voice", voice.voice);
          if (paper.staves > 1) xml.leaf("staff", voice.staff);
          xml.close();
        }
        for (const change of changes.filter((c) => c.staff === voice.staff && c.at === event.from)) {
          writeChange(xml, change.write);
          changes.splice(changes.indexOf(change), 1);
        }
        cursor = event.to;
        while (signs.length > 0 && signs[0]!.ticks - bar.startTicks < event.to) {
          const sign = signs.shift()!;
          sign.write(xml, sign.ticks - bar.startTicks - event.from);
        }
        for (const [g, note] of event.graces.entries()) {
          writeGrace(xml, { context, note, voice, accidental: accidentals.get(note), inChord: g > 0 });
        }
        if (event.heads.length === 0) {
          writeNote(xml, {
            context,
            event,
            head: undefined,
            index: 0,
            voice,
            accidental: undefined,
            barStart,
          });
        }
        event.heads.forEach((head, h) => {
          writeNote(xml, {
            context,
            event,
            head,
            index: h,
            voice,
            accidental: accidentals.get(head),
            barStart,
          });
        });
      }
      for (const sign of signs) sign.write(xml, sign.ticks - bar.startTicks - cursor);
      for (const [g, note] of voice.closingGraces.entries()) {
        writeGrace(xml, { context, note, voice, accidental: accidentals.get(note), inChord: g > 0 });
      }
    });
    // Where no note or rest begins, the place is sought out.
    for (const change of changes) {
      moveTo(xml, cursor, change.at);
      cursor = change.at;
      writeChange(xml, change.write);
    }
    if (changes.length > 0) moveTo(xml, cursor, bar.durationTicks);
    writeRightBarline(xml, score.bars, index);
    xml.close();
  });
}
