/** Lines of music in ABC: notes, chords, rests, bar lines and the signs around them. */
import { get as chordCalled } from "@tonaljs/chord";
import type { Articulation, PlayingSign } from "../../score/model.ts";
import { ACCIDENTALS, readLength } from "./abc_fields.ts";
import { compare, type Fraction, fraction, minus, plus, times, ZERO } from "./abc_fraction.ts";
import { abcError, type AbcPlace, type AbcTune, currentVoice, readField } from "./abc_tune.ts";
import {
  type AbcMark,
  type AbcNote,
  type AbcVoice,
  addRepeat,
  barOf,
  fullBar,
  moveOn,
  nothingWaiting,
  takeLength,
} from "./abc_voice.ts";
import { readWords } from "../assemble/direction_words.ts";
import { pitchOfSpelling } from "../../score/spelling.ts";
import { dynamicOf } from "../../score/dynamics.ts";
import { type RawNote, rawNote } from "../assemble/raw_score.ts";
import { endingNumbers } from "../assemble/repeat_signs.ts";
import type { RepeatSigns } from "../assemble/raw_score.ts";

const NOTE = /(\^\^?|__?|=)?([A-Ga-g])([,']*)(\d*\/*\d*)/y;
const REST = /([xz])(\d*\/*\d*)/y;
const LONG_REST = /([XZ])(\d*)/y;
const BAR_LINE = /\.?(?::+\|+\]?:*|::+|\[\|+\]?:*|\|+\]?:*|\[\|\])/y;
const ENDING = /\[?\s*(\d+(?:[,\-]\d+)*)/y;
const ENDING_ALONE = /\[(\d+(?:[,\-]\d+)*)/y;
const TUPLET = /\((\d)(?::(\d?)(?::(\d*))?)?/y;
const INLINE_FIELD = /\[([A-Za-z]):([^\]]*)\]/y;
const QUOTED = /"((?:[^"\\]|\\.)*)"/y;
const DECORATION = /!([^!]*)!/y;
const LENGTH = /\d*\/*\d*/y;

const ARTICULATIONS: Readonly<Record<string, Articulation>> = {
  "accent": "accent",
  ">": "accent",
  "emphasis": "accent",
  "marcato": "marcato",
  "^": "marcato",
  "staccato": "staccato",
  "wedge": "staccatissimo",
  "tenuto": "tenuto",
};

/** Single letters that stand for decorations (ABC standard 2.1, section 4.14, from memory). */
const LETTERS: Readonly<Record<string, string>> = {
  ".": "staccato",
  "~": "roll",
  "H": "fermata",
  "L": "accent",
  "M": "lowermordent",
  "O": "coda",
  "P": "uppermordent",
  "S": "segno",
  "T": "trill",
  "u": "upbow",
  "v": "downbow",
};

/** Notes a tuplet of so many takes the time of (ABC standard 2.1, section 4.13, from memory). */
const TUPLET_TIME: Readonly<Record<number, number>> = { 2: 3, 3: 2, 4: 3, 6: 2, 8: 3 };

interface Scan {
  readonly tune: AbcTune;
  readonly text: string;
  readonly row: number;
  at: number;
}

function match(scan: Scan, pattern: RegExp): RegExpExecArray | null {
  pattern.lastIndex = scan.at;
  const found = pattern.exec(scan.text);
  if (found && found[0] !== "") {
    scan.at = pattern.lastIndex;
    return found;
  }
  return null;
}

function placeOf(scan: Scan, at: number = scan.at): AbcPlace {
  return { row: scan.row, column: at + 1 };
}

/**
 * Reads a line of music, without its remark, into the current voice. Refuses what is not ABC, with line and
 * column, and a bar that does not fill its metre.
 */
export function readMusicLine(tune: AbcTune, text: string, row: number): void {
  const scan: Scan = { tune, text, row, at: 0 };
  while (scan.at < text.length) {
    const start = scan.at;
    const character = text[start]!;
    const voice = currentVoice(tune);
    if (/\s/.test(character)) voice.underBeam = false;
    if (/[\s`$]/.test(character) || (character === "\\" && text.slice(start).trim() === "\\")) scan.at++;
    else if (character === '"') readQuoted(scan, voice);
    else if (character === "!") readDecoration(scan, voice);
    else if (match(scan, INLINE_FIELD)) {
      const [, letter, value] = /^\[(.):([^\]]*)\]$/.exec(text.slice(start, scan.at))!;
      readField(tune, { letter: letter!, value: value! }, placeOf(scan, start));
    } else if (readBarLine(scan, voice)) continue;
    else if (character === "[") readChord(scan, voice);
    else if (character === "{") readGraceNotes(scan, voice);
    else if (character === "(") readOpening(scan, voice);
    else if (character === ")") closeSlur(scan, voice);
    else if (character === "-") startTies(scan, voice);
    else if (character === ">" || character === "<") readBroken(scan, voice);
    else if (character === "&") startOverlay(scan, voice);
    else if (readRest(scan, voice)) continue;
    else if (match(scan, NOTE)) {
      scan.at = start;
      readNote(scan, voice);
    } else if (LETTERS[character] !== undefined) {
      scan.at++;
      decorate(scan, voice, LETTERS[character]);
    } else if (character === "y") {
      scan.at++;
      match(scan, LENGTH);
    } else throw unknown(scan, start);
  }
}

/** An error at a place of the line, from 0. */
function refusal(scan: Scan, at: number, problem: string, remedy: string): Error {
  return abcError(scan.tune, placeOf(scan, at), { problem, remedy });
}

function unknown(scan: Scan, at: number): Error {
  const problem = `"${scan.text.slice(at, at + 12).trim()}" is not ABC`;
  const remedy = 'Write notes as A to G or a to g, rests as z, chords as [CEG], chord symbols as "Dm7"';
  return refusal(scan, at, problem, remedy);
}

function readQuoted(scan: Scan, voice: AbcVoice): void {
  const start = scan.at;
  const found = match(scan, QUOTED);
  if (!found) {
    throw refusal(scan, start, "a quotation mark is not closed", 'Close it on the same line: "Dm7"');
  }
  const text = found[1]!.trim();
  if (/^[\^_<>@]/.test(text)) {
    return readAnnotation(scan, voice, text.replace(/^@\s*[-\d.]+\s*,\s*[-\d.]+|^./, ""));
  }
  if (text === "") return;
  const chord = text.replace(/\s*\([^)]*\)\s*$/, "") || text;
  if (!/^n\.?c\.?$/i.test(chord) && chordCalled(chord.split(/[;\n]/)[0]!).empty) {
    scan.tune.notices.add(`chord symbol "${chord}": kept, but not a chord the chord library knows`);
  }
  scan.tune.chords.push({ ...placeIn(voice), what: chord });
}

function readAnnotation(scan: Scan, voice: AbcVoice, text: string): void {
  const { manner, muted, growth, dynamic, players, bendsTempo } = readWords(text);
  const here = placeIn(voice);
  if (players) voice.playing.push({ ...here, what: { ...players, words: text } });
  if (bendsTempo) {
    scan.tune.bends.push({ ...here, what: { kind: bendsTempo, words: text } });
    const what = "rit., accel., a tempo: kept; the tempo stays steady unless they are asked for";
    scan.tune.notices.add(what, voice.name);
  }
  if (manner !== undefined) mark(voice, { kind: "technique", manner });
  if (muted !== undefined) mark(voice, { kind: "technique", muted });
  if (dynamic !== undefined) mark(voice, { kind: "dynamic", mark: dynamic });
  if (growth !== undefined) mark(voice, { kind: "growth", direction: growth });
  if ([manner, muted, growth, dynamic, players, bendsTempo].every((meaning) => meaning === undefined)) {
    scan.tune.notices.add('words over the music ("^…"): not used', voice.name);
  }
}

function placeIn({ barIndex, offset }: AbcVoice) {
  return { barIndex, offset };
}

function mark(voice: AbcVoice, what: AbcMark): void {
  voice.marks.push({ ...placeIn(voice), what });
}

function readDecoration(scan: Scan, voice: AbcVoice): void {
  const start = scan.at;
  const found = match(scan, DECORATION);
  if (!found) {
    throw refusal(scan, start, "a decoration is not closed", "Write it between exclamation marks: !mf!");
  }
  decorate(scan, voice, found[1]!.trim());
}

function decorate(scan: Scan, voice: AbcVoice, name: string): void {
  const { waiting } = voice;
  const articulation = ARTICULATIONS[name];
  if (articulation !== undefined) waiting.articulations.push(articulation);
  else if (dynamicOf(name) !== undefined) mark(voice, { kind: "dynamic", mark: name });
  else if (/^(<|crescendo)\($/.test(name)) mark(voice, { kind: "wedge", type: "crescendo", number: 1 });
  else if (/^(>|diminuendo)\($/.test(name)) mark(voice, { kind: "wedge", type: "diminuendo", number: 1 });
  else if (/^(<|>|crescendo|diminuendo)\)$/.test(name)) {
    mark(voice, { kind: "wedge", type: "stop", number: 1 });
  } else if (name === "trill") waiting.trill = true;
  else if (name === "trill(") waiting.wavyLines.push("start");
  else if (name === "trill)") waiting.wavyLines.push("stop");
  else if (name === "breath") {
    for (const { note } of voice.last) note.articulations = [...note.articulations, "breath"];
  } else if (/^\/{1,4}$/.test(name)) waiting.tremoloSlashes = name.length;
  else if (name === "snap") {
    waiting.technique = "pizzicato";
    waiting.signs.push("snap-pizzicato");
  } else if (KEPT_SIGNS[name] !== undefined) waiting.signs.push(KEPT_SIGNS[name]);
  else if (name === "fermata" || name === "invertedfermata") waiting.pause = true;
  else if (JUMPS[name] !== undefined) addRepeat(voice, voice.barIndex, JUMPS[name]);
  else if (name === "+" || name === "plus") waiting.technique = "stopped";
  else scan.tune.notices.add(`decoration !${name}!: not used`, voice.name);
}

/** Reads a bar line, with repeat dots and the number of an ending; false when there is none here. */
function readBarLine(scan: Scan, voice: AbcVoice): boolean {
  const start = scan.at;
  const alone = match(scan, ENDING_ALONE);
  if (alone) {
    startEnding(voice, alone[1]!);
    return true;
  }
  const found = match(scan, BAR_LINE);
  if (!found) return false;
  const line = found[0];
  const ended = voice.begun ? voice.barIndex : voice.barIndex - 1;
  endBar(scan, voice, { line, start });
  // Dots before the line repeat what went before, dots after it what follows; `::` alone does both.
  const both = /^:+$/.test(line);
  const dots = /^:+/.exec(line)?.[0].length ?? 0;
  if (dots > 0 && ended >= 0) {
    addRepeat(voice, ended, { times: both ? 2 : Math.min(100, dots + 1) });
  }
  if (dots > 0 || /[\]\[]|\|\|/.test(line)) voice.endings = undefined;
  if (both || /[|\]]:+$/.test(line)) addRepeat(voice, voice.barIndex, { start: true });
  if (voice.endings) addRepeat(voice, voice.barIndex, { endings: voice.endings });
  const ending = /[|:]$/.test(line) ? match(scan, ENDING) : null;
  if (ending) startEnding(voice, ending[1]!);
  return true;
}

/** A bracket begins at the bar being read; it lasts to the next repeat sign or double bar line. */
function startEnding(voice: AbcVoice, text: string): void {
  voice.endings = endingNumbers(text);
  addRepeat(voice, voice.barIndex, { endings: voice.endings });
}

/** Jumps and signs written as decorations, and what they are at the bar. */
const JUMPS: Readonly<Record<string, RepeatSigns>> = {
  "segno": { segno: true },
  "coda": { codaSign: true },
  "fine": { fine: true },
  "D.C.": { jump: "da capo", jumpWords: "D.C." },
  "dacapo": { jump: "da capo", jumpWords: "D.C." },
  "D.S.": { jump: "dal segno", jumpWords: "D.S." },
  "D.C.alfine": { jump: "da capo", jumpWords: "D.C. al Fine" },
  "D.S.alfine": { jump: "dal segno", jumpWords: "D.S. al Fine" },
  "D.C.alcoda": { jump: "da capo", jumpWords: "D.C. al Coda" },
  "D.S.alcoda": { jump: "dal segno", jumpWords: "D.S. al Coda" },
  "dacoda": { toCoda: true },
};

/** Signs kept by name, by the decoration that stands for them. */
const KEPT_SIGNS: Readonly<Record<string, PlayingSign>> = {
  "upbow": "up-bow",
  "downbow": "down-bow",
  "open": "open-string",
  "thumb": "thumb-position",
  "turn": "turn",
  "invertedturn": "inverted-turn",
  "lowermordent": "mordent",
  "mordent": "mordent",
  "uppermordent": "inverted-mordent",
  "pralltriller": "inverted-mordent",
  "arpeggio": "arpeggiate",
  // Up to the note from no pitch in particular: a sign on one note, not a line between two.
  "slide": "scoop",
};

/** Ends a bar, if anything was read in it. */
function endBar(
  scan: Scan,
  voice: AbcVoice,
  { line, start }: { readonly line: string; readonly start: number },
): void {
  const isBreak = /[:\]\[]|\|\|/.test(line);
  if (!voice.begun) {
    voice.afterBreak ||= isBreak;
    const before = voice.bars.at(-1);
    if (before && isBreak) before.mayBeShort = true;
    if (before && isDouble(line)) before.doubleBar = true;
    return;
  }
  closeOverlay(scan, voice, start);
  if (voice.broken) throw brokenAlone(scan, start, "> or <");
  const mayBeShort = isBreak || voice.afterBreak;
  voice.bars.push({
    ...barOf(voice, voice.longest, placeOf(scan, start)),
    mayBeShort,
    ...(isDouble(line) ? { doubleBar: true as const } : {}),
  });
  nextBar(voice, isBreak);
}

/** A bar line of two strokes, `||`, `|]` or `[|`, without repeat dots. */
function isDouble(line: string): boolean {
  return /\|\||\|\]|\[\|/.test(line) && !line.includes(":");
}

function nextBar(voice: AbcVoice, afterBreak: boolean): void {
  voice.underBeam = false;
  voice.barIndex++;
  voice.offset = ZERO;
  voice.longest = ZERO;
  voice.overlay = 1;
  voice.begun = false;
  voice.afterBreak = afterBreak;
  voice.accidentals.clear();
  voice.lastLength = undefined;
}

/** An overlay must be as long as the music it lies over. */
function closeOverlay(scan: Scan, voice: AbcVoice, at: number): void {
  if (voice.overlay === 1 || compare(voice.offset, voice.longest) === 0) return;
  const problem = "the two lines of a bar with & are not equally long";
  throw refusal(scan, at, problem, "Fill the shorter one with rests (x)");
}

function startOverlay(scan: Scan, voice: AbcVoice): void {
  closeOverlay(scan, voice, scan.at++);
  voice.overlay++;
  voice.offset = ZERO;
  voice.last = [];
  voice.lastLength = undefined;
  voice.accidentals.clear();
}

/** The length that a text says, in whole notes. */
function lengthOf(scan: Scan, voice: AbcVoice, { text, start }: { text: string; start: number }): Fraction {
  const length = readLength(text);
  if (length) return times(length, voice.unit);
  const remedy = "Write 2 for twice, /2 for half, 3/2 for one and a half times the unit length";
  throw refusal(scan, start, `"${text}" is not a length`, remedy);
}

function readRest(scan: Scan, voice: AbcVoice): boolean {
  const start = scan.at;
  const rest = match(scan, REST);
  if (rest) {
    voice.underBeam = false;
    const length = takeLength(voice, lengthOf(scan, voice, { text: rest[2]!, start }));
    voice.last = [];
    voice.lastLength = length;
    voice.waiting = nothingWaiting();
    moveOn(voice, length);
    return true;
  }
  const long = match(scan, LONG_REST);
  if (!long) return false;
  const count = long[2] === "" ? 1 : Number(long[2]);
  const full = fullBar(voice.metre);
  if (!full || voice.begun || count < 1 || count > 1000) {
    throw refusal(
      scan,
      start,
      `"${long[0]}" cannot stand here`,
      "Bars of rest need a time signature, begin at a bar line, and number 1 to 1000",
    );
  }
  for (let i = 1; i < count; i++) {
    voice.bars.push(barOf(voice, full, placeOf(scan, start)));
    nextBar(voice, false);
  }
  voice.last = [];
  voice.lastLength = undefined;
  moveOn(voice, full);
  return true;
}

/** Reads one note head at the scan's place, without moving on in the bar. */
function readHead(scan: Scan, voice: AbcVoice): { readonly head: AbcNote; readonly written: Fraction } {
  const start = scan.at;
  const found = match(scan, NOTE);
  if (!found) throw unknown(scan, start);
  const [, accidental, letter, marks, lengthText] = found;
  const step = letter!.toUpperCase();
  let octave = letter === step ? 4 : 5;
  for (const sign of marks!) octave += sign === "'" ? 1 : -1;
  const key = `${step}${octave}`;
  const memory = scan.tune.accidentalsReach === "pitch" ? step : key;
  let alter: number;
  if (accidental !== undefined) {
    alter = ACCIDENTALS[accidental]!;
    if (scan.tune.accidentalsReach !== "not") voice.accidentals.set(memory, alter);
  } else {
    // A tied note keeps its accidental over the bar line; otherwise the bar's accidentals and the key decide.
    alter = voice.ties.get(key) ?? voice.accidentals.get(memory) ?? voice.key.alters[step]!;
  }
  const written = lengthOf(scan, voice, { text: lengthText!, start });
  const soundingOctave = octave + voice.octaves;
  const soundingPitch = pitchOfSpelling({ step, alter, octave: soundingOctave }) + voice.transpose;
  if (soundingPitch < 0 || soundingPitch > 127) {
    throw refusal(
      scan,
      start,
      `"${found[0]}" lies outside all instruments`,
      "Use fewer octave marks (, and ')",
    );
  }
  const note = rawNote({
    barIndex: voice.barIndex,
    offsetTicks: 0,
    durationTicks: 0,
    soundingPitch,
    step: voice.transpose === 0 ? step : "",
    alter,
    octave: soundingOctave,
    voice: voice.overlay,
    tieStop: voice.ties.has(key),
  });
  return { head: { note, offset: voice.offset, length: written }, written };
}

/** Name of a head's written pitch, as used for ties. */
function keyOf(text: string): string {
  const [, , letter, marks] = /(\^\^?|__?|=)?([A-Ga-g])([,']*)/.exec(text)!;
  let octave = letter === letter!.toUpperCase() ? 4 : 5;
  for (const sign of marks!) octave += sign === "'" ? 1 : -1;
  return `${letter!.toUpperCase()}${octave}`;
}

function addHeads(voice: AbcVoice, heads: readonly AbcNote[]): void {
  const { waiting } = voice;
  const { trill, tremoloSlashes, technique, articulations, signs } = waiting;
  for (const { note } of heads) {
    note.trill = trill;
    note.tremoloSlashes = tremoloSlashes;
    note.technique = technique;
    note.articulations = [...articulations];
    note.signs = [...signs];
  }
  const first = heads[0]!.note;
  if (!first.grace) joinByBeam(voice, heads);
  first.wavyLines = waiting.wavyLines.map((type) => ({ type, number: 1 }));
  for (let i = 0; i < waiting.slurStarts; i++) {
    const number = ++voice.slurCount;
    voice.slurs.push(number);
    first.slurs = [...first.slurs, { type: "start", number }];
  }
  if (waiting.pause) voice.pauses.push(heads[0]!);
  voice.waiting = nothingWaiting();
  voice.notes.push(...heads);
}

/** Notes shorter than a quarter that stand close together are under one beam (ABC standard 2.1, section 4.7, from memory). */
function joinByBeam(voice: AbcVoice, heads: readonly AbcNote[]): void {
  const mayBeam = compare(heads[0]!.length, fraction(1, 4)) < 0;
  for (const { note } of heads) note.joined = mayBeam && voice.underBeam;
  voice.underBeam = mayBeam;
}

function readNote(scan: Scan, voice: AbcVoice): void {
  const start = scan.at;
  const { head, written } = readHead(scan, voice);
  head.length = takeLength(voice, written);
  addHeads(voice, [head]);
  voice.ties = new Map();
  startTieHere(scan, voice, [{ head, key: keyOf(scan.text.slice(start, scan.at)) }]);
  voice.last = [head];
  voice.lastLength = head.length;
  moveOn(voice, head.length);
}

/** Starts ties where `-` follows directly. */
function startTieHere(
  scan: Scan,
  voice: AbcVoice,
  heads: readonly { readonly head: AbcNote; readonly key: string }[],
): void {
  if (scan.text[scan.at] !== "-") return;
  scan.at++;
  for (const { head, key } of heads) {
    head.note.tieStart = true;
    voice.ties.set(key, head.note.alter);
  }
}

/** A tie set apart from its note by white space. */
function startTies(scan: Scan, voice: AbcVoice): void {
  const start = scan.at++;
  if (voice.last.length === 0) {
    throw refusal(scan, start, "a tie follows no note", "Write it after a note: A2-");
  }
  for (const { note } of voice.last) {
    note.tieStart = true;
    voice.ties.set(`${note.step || "C"}${note.octave - voice.octaves}`, note.alter);
  }
}

function readChord(scan: Scan, voice: AbcVoice): void {
  const start = scan.at++;
  const heads: { head: AbcNote; written: Fraction; key: string; tied: boolean }[] = [];
  while (scan.text[scan.at] !== "]") {
    const character = scan.text[scan.at];
    if (character === undefined) {
      throw refusal(scan, start, "a chord is not closed", "Close it on the same line: [CEG]");
    }
    if (character === " ") scan.at++;
    else if (character === "!") readDecoration(scan, voice);
    else if (character === "(") {
      scan.at++;
      voice.waiting.slurStarts++;
    } else if (character === ")") {
      scan.at++;
      scan.tune.notices.add("slur that ends inside a chord: not used", voice.name);
    } else if (LETTERS[character] !== undefined && !/[A-Ga-g]/.test(character)) {
      scan.at++;
      decorate(scan, voice, LETTERS[character]);
    } else {
      const from = scan.at;
      const { head, written } = readHead(scan, voice);
      const key = keyOf(scan.text.slice(from, scan.at));
      const tied = scan.text[scan.at] === "-";
      if (tied) scan.at++;
      heads.push({ head, written, key, tied });
    }
  }
  scan.at++;
  if (heads.length === 0) {
    throw refusal(scan, start, "a chord holds no notes", "Write its notes between the brackets: [CEG]");
  }
  const outer = readLength(match(scan, LENGTH)?.[0] ?? "");
  if (!outer) throw unknown(scan, start);
  // All notes of a chord are held for its first note's length (ABC standard 2.1, section 4.17, from memory).
  const length = takeLength(voice, times(heads[0]!.written, outer));
  for (const { head } of heads) head.length = length;
  addHeads(voice, heads.map((h) => h.head));
  voice.ties = new Map();
  for (const { head, key, tied } of heads) {
    if (!tied) continue;
    head.note.tieStart = true;
    voice.ties.set(key, head.note.alter);
  }
  startTieHere(scan, voice, heads);
  voice.last = heads.map((h) => h.head);
  voice.lastLength = length;
  moveOn(voice, length);
}

function readGraceNotes(scan: Scan, voice: AbcVoice): void {
  const start = scan.at++;
  const { waiting, ties } = voice;
  voice.waiting = nothingWaiting();
  voice.waiting.slurStarts = 0;
  voice.ties = new Map();
  let last: AbcNote | undefined;
  while (scan.text[scan.at] !== "}") {
    const character = scan.text[scan.at];
    if (character === undefined) {
      throw refusal(scan, start, "grace notes are not closed", "Close them on the same line: {ag}");
    }
    if (/[\s/\[\]\-]/.test(character)) scan.at++;
    else if (character === "(") {
      scan.at++;
      voice.waiting.slurStarts++;
    } else if (character === ")") {
      scan.at++;
      const number = voice.slurs.pop();
      if (last && number !== undefined) endSlur(last.note, number);
    } else {
      const { head } = readHead(scan, voice);
      head.length = ZERO;
      head.note.grace = true;
      addHeads(voice, [head]);
      last = head;
    }
  }
  scan.at++;
  voice.waiting = waiting;
  voice.ties = ties;
  voice.begun = true;
}

/** `(` opens a slur, or with a digit a tuplet. */
function readOpening(scan: Scan, voice: AbcVoice): void {
  const start = scan.at;
  const found = match(scan, TUPLET);
  if (!found) {
    scan.at++;
    voice.waiting.slurStarts++;
    return;
  }
  const p = Number(found[1]);
  const compound = voice.metre !== "free" && voice.metre.beatUnit >= 8 && voice.metre.beats % 3 === 0;
  const q = found[2] ? Number(found[2]) : TUPLET_TIME[p] ?? (compound ? 3 : 2);
  const r = found[3] ? Number(found[3]) : p;
  if (p < 2 || q < 1 || r < 1 || r > 64) {
    throw refusal(
      scan,
      start,
      `"${found[0]}" is not a tuplet`,
      "Write (3 for a triplet, or (p:q:r for p notes in the time of q for the next r notes",
    );
  }
  voice.tuplet = { factor: fraction(q, p), left: r };
}

function closeSlur(scan: Scan, voice: AbcVoice): void {
  const start = scan.at++;
  const number = voice.slurs.pop();
  if (number === undefined || voice.last.length === 0) {
    const problem = "a slur ends that has not begun, or ends after a rest";
    throw refusal(scan, start, problem, "Write slurs as (abc), around notes");
  }
  endSlur(voice.last[0]!.note, number);
}

function endSlur(note: RawNote, number: number): void {
  note.slurs = [...note.slurs, { type: "stop", number }];
}

function brokenAlone(scan: Scan, at: number, sign: string): Error {
  const problem = `"${sign}" needs a note or rest on both sides`;
  return refusal(scan, at, problem, "Write broken rhythm as A>B or A<B, inside one bar");
}

function readBroken(scan: Scan, voice: AbcVoice): void {
  const start = scan.at;
  const sign = scan.text[start]!;
  while (scan.text[scan.at] === sign) scan.at++;
  const count = scan.at - start;
  if (voice.lastLength === undefined || count > 3 || voice.broken) {
    throw brokenAlone(scan, start, sign.repeat(count));
  }
  const short = fraction(1, 2 ** count);
  const long = minus(fraction(2, 1), short);
  const [first, second] = sign === ">" ? [long, short] : [short, long];
  const changed = times(voice.lastLength, first);
  const difference = minus(changed, voice.lastLength);
  for (const head of voice.last) head.length = changed;
  const wasLongest = compare(voice.longest, voice.offset) === 0;
  voice.offset = plus(voice.offset, difference);
  if (wasLongest && voice.overlay === 1) voice.longest = voice.offset;
  else if (compare(voice.offset, voice.longest) > 0) voice.longest = voice.offset;
  voice.lastLength = undefined;
  voice.broken = second;
}
