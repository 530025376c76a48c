/** Signs that stand on a note of MusicXML. */
import type { Articulation, PlayingSign, Technique } from "../../../score/model.ts";
import {
  ARTICULATION_ELEMENTS,
  ARTICULATION_SIGNS,
  ORNAMENT_SIGNS,
  TECHNICAL_SIGNS,
} from "../../assemble/musicxml_names.ts";
import type { RawGlissando, RawNote, RawSpan } from "../../assemble/raw_score.ts";
import { addDynamic, addPause } from "./keep_marks.ts";
import { type MusicXmlReading, notice, type PartReading } from "./musicxml_reading.ts";
import { wholeNumber, type XmlElement } from "./xml_elements.ts";

const ARTICULATIONS = new Map(
  Object.entries(ARTICULATION_ELEMENTS).map(([sign, name]) => [name, sign as Articulation]),
);

const TECHNIQUES = new Map<string, Technique>([
  ["harmonic", "harmonic"],
  ["stopped", "stopped"],
  ["snap-pizzicato", "pizzicato"],
]);

/** Signs that are kept by their names; articulations, technical signs and ornaments alike. */
const KEPT: ReadonlySet<string> = new Set<PlayingSign>([
  ...ARTICULATION_SIGNS,
  ...ORNAMENT_SIGNS,
  ...TECHNICAL_SIGNS,
  "arpeggiate",
]);

/** Signs on notes that say nothing about this library's subject, or that are worked out elsewhere. */
const SILENT_NOTATIONS: ReadonlySet<string> = new Set([
  "tied",
  "tuplet",
  "accidental-mark",
  "footnote",
  "level",
]);

/** A note whose signs are read. */
interface NoteReading {
  readonly reading: MusicXmlReading;
  readonly part: PartReading;
  readonly note: RawNote;
}

type SignReader = (at: NoteReading, sign: XmlElement) => void;

const NOTATIONS: ReadonlyMap<string, SignReader> = new Map<string, SignReader>([
  ["slur", ({ note }, sign) => addSpan(note, "slurs", sign)],
  ["glissando", ({ note }, sign) => addGlissando(note, sign, "glissando")],
  ["slide", ({ note }, sign) => addGlissando(note, sign, "slide")],
  ["articulations", (at, { children }) => children.forEach((sign) => readArticulation(at, sign))],
  ["technical", (at, { children }) => children.forEach((sign) => readTechnical(at, sign))],
  ["ornaments", (at, { children }) => children.forEach((sign) => readOrnament(at, sign))],
  ["dynamics", ({ reading, part, note }, sign) => {
    const { barIndex, offsetTicks, staff } = note;
    addDynamic(reading, part, { dynamics: sign, place: { barIndex, offsetTicks, staff } });
  }],
  ["arpeggiate", ({ note }) => keep(note, "arpeggiate")],
  ["fermata", ({ reading, part, note }) => addPause(reading, part, note)],
]);

/** Reads the signs of a note. */
export function readNotations(
  reading: MusicXmlReading,
  part: PartReading,
  { note, signs }: { readonly note: RawNote; readonly signs: readonly XmlElement[] },
): void {
  for (const sign of signs) {
    const read = NOTATIONS.get(sign.name);
    if (read) read({ reading, part, note }, sign);
    else if (!SILENT_NOTATIONS.has(sign.name)) {
      notice(reading, `${sign.name.replaceAll("-", " ")}: not used`);
    }
  }
}

/** Keeps a sign by its name, if it is one of those. */
function keep(note: RawNote, name: string): boolean {
  if (!KEPT.has(name)) return false;
  const sign = name as PlayingSign;
  if (!note.signs.includes(sign)) note.signs = [...note.signs, sign];
  return true;
}

function readArticulation({ reading, note }: NoteReading, { name }: XmlElement): void {
  if (keep(note, name)) return;
  const articulation = ARTICULATIONS.get(name);
  if (articulation === undefined) notice(reading, `articulation ${name}: not used`);
  else if (!note.articulations.includes(articulation)) {
    note.articulations = [...note.articulations, articulation];
  }
}

function readTechnical({ reading, note }: NoteReading, { name }: XmlElement): void {
  const technique = TECHNIQUES.get(name);
  note.technique = technique ?? note.technique;
  if (!keep(note, name) && technique === undefined) notice(reading, `technical sign ${name}: not used`);
}

function readOrnament({ reading, note }: NoteReading, ornament: XmlElement): void {
  const { name } = ornament;
  if (name === "trill-mark" || name === "shake") note.trill = true;
  else if (name === "wavy-line") addSpan(note, "wavyLines", ornament);
  else if (name === "tremolo") {
    const type = ornament.attributes["type"] ?? "single";
    const slashes = wholeNumber(ornament.text, 3);
    note.tremoloSlashes = type === "unmeasured" && slashes === 0 ? 3 : Math.min(8, slashes);
    note.tremoloAlternates = type === "start" || type === "stop";
    if (type === "unmeasured") note.tremolo = "unmeasured";
  } else if (name !== "accidental-mark" && !keep(note, name)) notice(reading, `ornament ${name}: not used`);
}

function addSpan(
  note: RawNote,
  kind: "slurs" | "wavyLines",
  { attributes: { type, number } }: XmlElement,
): void {
  if (type !== "start" && type !== "stop") return;
  const span: RawSpan = { type, number: wholeNumber(number, 1) };
  note[kind] = [...note[kind], span];
}

function addGlissando(note: RawNote, element: XmlElement, kind: RawGlissando["kind"]): void {
  const { type, number } = element.attributes;
  if (type !== "start" && type !== "stop") return;
  note.glissandi = [...note.glissandi, { kind, type, number: wholeNumber(number, 1) }];
}
