/**
 * A score as it is read: its lines in one order whatever the page has, silent bars at its ends left out, and what several
 * staves have of one line read once. So nothing of a reading depends on how a page is laid out.
 */
import { allInstruments } from "../../instruments/catalogue.ts";
import { once } from "../../base/memo.ts";
import type { Share, Ticks } from "../../base/units.ts";
import { notesByPart, sortNotes, soundingNotes } from "../../score/build.ts";
import type { ScoreFrame } from "./score_frame.ts";
import { areOneSection } from "../../score/seat_strings.ts";
import type { Note, Score } from "../../score/model.ts";

/** A score made ready to be read. */
export interface ReadingPage {
  /** What is read: a line for every part, or for several … */
  readonly score: ScoreFrame;
  /** … and the notes of each, in score order; the parts they name are those of the score it was made of. */
  readonly lines: readonly (readonly Note[])[];
  /** For each part of the score it was made of, its line. */
  readonly lineOf: readonly number[];
  /** For each line, its parts, the one that stands for it first. */
  readonly partsOf: readonly (readonly number[])[];
  /** Bars left out before the first that sounds. */
  readonly silentBefore: number;
}

/** Share of the time a part sounds in whose notes, or their rhythm, another must have too for both to be one line. Model assumption. */
const ONE_LINE_FROM: Share = 0.95;

/** A part with its notes. */
interface NotesOfPart {
  readonly part: number;
  readonly notes: readonly Note[];
  /** What the notes are known by, written out when it is first asked for. */
  readonly known: () => KnownNotes;
}

/** Notes as text, one by one and each once: when and how long they sound, with their pitch and without. */
interface KnownNotes {
  /** How long they last, one after the other. */
  readonly ticks: Ticks;
  readonly notes: readonly string[];
  readonly rhythm: readonly string[];
  readonly allNotes: ReadonlySet<string>;
  readonly allRhythm: ReadonlySet<string>;
}

const noteKey = ({ onsetTicks, durationTicks, soundingPitch }: Note) =>
  `${onsetTicks} ${durationTicks} ${soundingPitch}`;
const rhythmKey = ({ onsetTicks, durationTicks }: Note) => `${onsetTicks} ${durationTicks}`;

function partWith(part: number, notes: readonly Note[]): NotesOfPart {
  const known = once((): KnownNotes => {
    const [own, rhythm] = [notes.map(noteKey), notes.map(rhythmKey)];
    const ticks = notes.reduce((sum, n) => sum + n.durationTicks, 0);
    return { ticks, notes: own, rhythm, allNotes: new Set(own), allRhythm: new Set(rhythm) };
  });
  return { part, notes, known };
}

/** Whether the part that sounds less has its notes, or their rhythm, with the other for long enough for both to be one line. */
function areInCommon(a: NotesOfPart, b: NotesOfPart, what: "notes" | "rhythm"): boolean {
  const [few, many] = a.known().ticks <= b.known().ticks ? [a, b] : [b, a];
  const { ticks, [what]: own } = few.known();
  const others = many.known()[what === "notes" ? "allNotes" : "allRhythm"];
  let shared = ticks;
  for (let i = 0; i < own.length; i++) {
    if (others.has(own[i]!)) continue;
    shared -= few.notes[i]!.durationTicks;
    if (shared / ticks < ONE_LINE_FROM) return false;
  }
  return ticks > 0;
}

/** Whether two parts are one line: two players on the same notes, or a section divided, whose staves bear one name. */
function isOneLine({ parts }: Score, a: NotesOfPart, b: NotesOfPart): boolean {
  const [first, second] = [parts[a.part]!, parts[b.part]!];
  if (first.instrument !== second.instrument) return false;
  return areInCommon(a, b, "notes") || areOneSection(first, second) && areInCommon(a, b, "rhythm");
}

/** Parts put together to lines; the part with most notes stands for its line. */
function linesOf(score: Score, parts: readonly NotesOfPart[]): readonly (readonly NotesOfPart[])[] {
  const lines: NotesOfPart[][] = [];
  for (const part of parts.toSorted((a, b) => b.notes.length - a.notes.length)) {
    const line = lines.find(([first]) => isOneLine(score, first!, part));
    if (line) line.push(part);
    else lines.push([part]);
  }
  return lines;
}

/** Order of two lines by what they are: instrument in the catalogue's order of families, then from high to low, then notes and name. */
function byLine(score: Score): (a: NotesOfPart, b: NotesOfPart) => number {
  const catalogue = allInstruments().map(({ id }) => id);
  const place = score.parts.map((p) => catalogue.indexOf(p.instrument));
  const mean = ({ notes }: NotesOfPart) =>
    notes.reduce((sum, n) => sum + n.soundingPitch, 0) / Math.max(1, notes.length);
  return (a, b) => {
    const clear = place[a.part]! - place[b.part]! || mean(b) - mean(a) || b.notes.length - a.notes.length;
    if (clear !== 0) return clear;
    const differs = a.notes.findIndex((n, i) => noteKey(n) !== noteKey(b.notes[i]!));
    const [own, other] = differs < 0
      ? [a, b].map(({ part }) => score.parts[part]!.name)
      : [a, b].map(({ notes }) => noteKey(notes[differs]!));
    return own! < other! ? -1 : own! > other! ? 1 : 0;
  };
}

/** Notes of a line, those of several staves each once. */
function notesOfLine(line: readonly NotesOfPart[]): readonly Note[] {
  const [{ part, notes }] = line as readonly [NotesOfPart];
  if (line.length === 1) return notes;
  const all = line.flatMap((own) => own.notes).map((n) => [noteKey(n), { ...n, part }] as const);
  return sortNotes([...new Map(all).values()]);
}

/** First and last bar in which notes begin or are held. */
function soundingBars({ bars }: ScoreFrame, notes: readonly Note[]): readonly [number, number] {
  const start = notes[0]?.onsetTicks ?? 0;
  const end = notes.reduce((last, n) => Math.max(last, n.onsetTicks + n.durationTicks), 0);
  const first = bars.findLastIndex((b) => b.startTicks <= start);
  const last = bars.findLastIndex((b) => b.startTicks < end);
  return [Math.max(0, first), Math.max(0, first, last)];
}

/** The page of a score. */
export function pageOf(score: Score): ReadingPage {
  const notes = soundingNotes(score);
  const own = notesByPart(score);
  const inOrder = byLine(score);
  const lines = linesOf(score, own.map((notes, part) => partWith(part, notes)).toSorted(inOrder))
    .toSorted(([a], [b]) => inOrder(a!, b!));
  const lineOf = new Array<number>(score.parts.length).fill(0);
  lines.forEach((line, i) => line.forEach(({ part }) => lineOf[part] = i));
  const partsOf = lines.map((line) => line.map(({ part }) => part));
  const [from, to] = soundingBars(score, notes);
  const { notes: _, ...frame } = score;
  return {
    score: {
      ...frame,
      bars: score.bars.slice(from, to + 1),
      parts: partsOf.map(([first]) => score.parts[first!]!),
    },
    lines: lines.map(notesOfLine),
    lineOf,
    partsOf,
    silentBefore: from,
  };
}

/** Cell of a page on which a part's bar is read; undefined in the silence before and after. */
export function cellOnPage(
  { score, lineOf, silentBefore }: ReadingPage,
  { barIndex, part }: { readonly barIndex: number; readonly part: number },
): number | undefined {
  const bar = barIndex - silentBefore;
  return bar < 0 || bar >= score.bars.length ? undefined : bar * score.parts.length + lineOf[part]!;
}
