/** `<attributes>` of MusicXML: divisions, metre, key, transposition. */
import {
  fitGrid,
  type MusicXmlReading,
  notice,
  type PartReading,
  refusal,
  setDivisions,
  transpositionOf,
} from "./musicxml_reading.ts";
import { MOST_STAVES } from "./read_note.ts";
import { childOf, childrenOf, numberOf, textOf, type XmlElement } from "./xml_elements.ts";

/** Staff steps of an interval from its semitones, where a file leaves them out; the usual spelling. */
const USUAL_STEPS = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];

/** Reads the attributes of a bar. */
export function readAttributes(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  // Transposition first: it decides the key at concert pitch.
  for (const child of element.children) {
    if (child.name === "divisions") setDivisions(reading, part, child.text.trim());
    else if (child.name === "transpose") readTranspose(reading, part, child);
  }
  const notation = part.raw.notation!;
  const staves = numberOf(element, "staves");
  if (staves !== undefined && Number.isInteger(staves) && staves >= 1 && staves <= MOST_STAVES) {
    notation.staves = staves;
  }
  let keyRead = false;
  for (const child of element.children) {
    if (child.name === "time") readTime(reading, part, child);
    else if (child.name === "clef") readClef(part, child);
    else if (child.name === "key") {
      if (!keyRead) readKey(reading, part, child);
      keyRead = true;
    } else if (child.name === "measure-style" && child.children.some((c) => c.name.endsWith("-repeat"))) {
      notice(reading, "sign that repeats a bar or beat: the notes in the file are taken");
    }
  }
}

function readTranspose(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  const octaves = numberOf(element, "octave-change") ?? 0;
  const chromatic = numberOf(element, "chromatic") ?? 0;
  const diatonic = numberOf(element, "diatonic") ??
    Math.sign(chromatic) *
      (USUAL_STEPS[Math.abs(chromatic) % 12]! + 7 * Math.floor(Math.abs(chromatic) / 12));
  const semitones = chromatic + 12 * octaves;
  const steps = diatonic + 7 * octaves;
  if (!(Math.abs(semitones) <= 60 && Math.abs(steps) <= 40 && Number.isInteger(steps))) {
    throw refusal(
      reading,
      `a part is transposed by ${semitones} semitones and ${steps} steps`,
      "Give a transposition of at most five octaves",
    );
  }
  if (childOf(element, "double")) {
    notice(reading, "transposition with octave doubling: the doubling is not used");
  }
  const staff = Number(element.attributes["number"] ?? 0);
  const isFirst = part.transpositions.size === 0 && part.raw.notes.length === 0;
  if (!isFirst && part.raw.notes.length > 0) {
    notice(reading, "transposition changes inside the part: notes follow it, the part keeps the first");
    const place = { barIndex: part.barIndex, offsetTicks: part.cursor };
    if (staff === 0) part.raw.notation!.transpositions.push({ ...place, semitones, steps });
  }
  part.transpositions.set(staff, { semitones, steps });
  if (isFirst) {
    Object.assign(part.raw.part, { transposeSemitones: semitones, transposeSteps: steps });
  }
}

/** Fifths from a written key to the key that sounds: a step up by an interval adds that interval's fifths. */
function concertFifths(written: number, semitones: number, steps: number): number {
  let fifths = written + 7 * semitones - 12 * steps;
  while (fifths > 7) fifths -= 12;
  while (fifths < -7) fifths += 12;
  return fifths;
}

function readKey(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  const fifths = numberOf(element, "fifths");
  if (fifths === undefined || !Number.isInteger(fifths) || Math.abs(fifths) > 20) {
    notice(reading, "unusual key signature: not used");
    return;
  }
  const { semitones, steps } = transpositionOf(part, Number(element.attributes["number"] ?? 1));
  part.raw.notation!.keys.push({ barIndex: part.barIndex, offsetTicks: part.cursor, fifths });
  const barIndex = part.cursor > 0 ? part.barIndex + 1 : part.barIndex;
  part.raw.keys.push({ barIndex, fifths: concertFifths(fifths, semitones, steps) });
}

const CLEFS: ReadonlySet<string> = new Set(["G", "F", "C", "percussion", "TAB", "jianpu", "none"]);

function readClef(part: PartReading, element: XmlElement): void {
  const sign = textOf(element, "sign") ?? "";
  if (!CLEFS.has(sign)) return;
  const line = numberOf(element, "line");
  const octaves = numberOf(element, "clef-octave-change");
  part.raw.notation!.clefs.push({
    barIndex: part.barIndex,
    offsetTicks: part.cursor,
    staff: Number(element.attributes["number"] ?? 1) || 1,
    sign,
    ...(line !== undefined && Number.isInteger(line) ? { line } : {}),
    ...(octaves !== undefined && Number.isInteger(octaves) && octaves !== 0 ? { octaves } : {}),
  });
}

/** The figures of `3+2` and the like. */
function termsOf(text: string): readonly number[] {
  return text.split("+").map((term) => Number(term.trim() || NaN));
}

const sumOf = (terms: readonly number[]): number => terms.reduce((sum, term) => sum + term, 0);

function readTime(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  if (childOf(element, "senza-misura")) {
    notice(reading, "music without metre: bars are as long as their notes");
    return;
  }
  const lowers = childrenOf(element, "beat-type").map((c) => sumOf(termsOf(c.text)));
  const terms = childrenOf(element, "beats").flatMap((c, i) =>
    termsOf(c.text).map((beats) => ({ beats, beatUnit: lowers[i] ?? NaN }))
  );
  const fits = (n: number) => Number.isInteger(n) && n >= 1 && n <= 1024;
  const beatUnit = Math.max(...terms.map((term) => term.beatUnit));
  const groups = terms.map((term) => term.beats * beatUnit / term.beatUnit);
  const beats = sumOf(groups);
  const grid = beatUnit / 4;
  if (terms.length === 0 || !fits(beats) || !fits(beatUnit) || (grid > 1 && !fitGrid(reading, grid))) {
    notice(reading, "unusual time signature: not used");
    return;
  }
  const sign = element.attributes["symbol"];
  const symbol: "common" | "cut" | undefined = sign === "common" || sign === "cut" ? sign : undefined;
  const metre = {
    beats,
    beatUnit,
    ...(symbol ? { timeSymbol: symbol } : {}),
    ...(groups.length > 1 ? { groups } : {}),
  };
  const bar = reading.score.bars[part.barIndex]!;
  part.metre = metre;
  if (bar.metre && (bar.metre.beats !== beats || bar.metre.beatUnit !== beatUnit)) {
    notice(reading, "time signature differs between parts: the first is taken");
  }
  bar.metre ??= metre;
  if (textOf(element, "interchangeable") !== undefined) {
    notice(reading, "alternative time signature: not used");
  }
}
