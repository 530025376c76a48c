/** MusicXML 4.0, partwise and timewise, read as a stream. */
import { A_NUMBER, A_TEXT, checkArgument, checkOptions, TEXT_OR_BYTES } from "../../../base/arguments.ts";
import { type InputError, refusals } from "../../../base/errors.ts";
import type { Score } from "../../../score/model.ts";
import { assembleScore } from "../../assemble/assemble_score.ts";
import { OWN_SOFTWARE } from "../../assemble/musicxml_names.ts";
import { noticeList } from "../../assemble/notice_list.ts";
import { offsetTicksOf, oneLine } from "./keep_marks.ts";
import { addRepeat, type MusicXmlReading, notice, type PartReading, refusal } from "./musicxml_reading.ts";
import { partFinder } from "./part_finder.ts";
import { readAttributes } from "./read_attributes.ts";
import { readBarline } from "./read_barline.ts";
import { readDirection, readSound } from "./read_direction.ts";
import { readHarmony } from "./read_harmony.ts";
import { readMove, readNote } from "./read_note.ts";
import { childrenOf, textOf, visitXml, type XmlElement, type XmlVisitor } from "./xml_elements.ts";

/** How a MusicXML file is read. */
export interface ReadMusicXmlOptions {
  /** Name of the file, for messages and for `score.source`. */
  readonly file?: string;
  /** Largest file accepted, in bytes, zipped ones unpacked; 250 million unless said otherwise. */
  readonly largestBytes?: number;
  /**
   * Most note heads accepted; 750,000 unless said otherwise. Each takes up to a kilobyte while the score is put
   * together, so that reading stays below a gigabyte in all.
   */
  readonly largestNotes?: number;
}

/** Kinds of the options of a MusicXML file. */
export const MUSICXML_OPTIONS = { file: A_TEXT, largestBytes: A_NUMBER, largestNotes: A_NUMBER };

/** Largest file accepted unless an option says otherwise, in bytes or characters. */
export const LARGEST_BYTES = 250e6;
/** Most note heads accepted unless an option says otherwise: some 35 times the first movement of the Eroica. */
const LARGEST_NOTES = 750_000;
/** Most bars accepted; no piece comes near. */
const MOST_BARS = 100_000;

/** Parts of notes and directions that say how they are drawn, not what is played. */
const LEFT_OUT: ReadonlySet<string> = new Set([
  "accidental",
  "dot",
  "stem",
  "staff-details",
  "staff-layout",
  "listen",
]);

/** What stands in a bar and nowhere else: what takes time there, and what does not. */
const TAKE_TIME: ReadonlySet<string> = new Set(["note", "backup", "forward"]);
const TAKE_NO_TIME: ReadonlySet<string> = new Set(["attributes", "direction", "harmony", "barline"]);
/** All that has a home: nine elements in ten have none, and are looked at no further. */
const AT_HOME: ReadonlySet<string> = new Set([
  ...["score-partwise", "score-timewise", "part", "measure"],
  ...TAKE_TIME,
  ...TAKE_NO_TIME,
]);

/**
 * Reads a MusicXML score.
 *
 * The file goes by as a stream; only notes and marks are kept, so memory is bounded by the music:
 * 200 MB of XML with half a million notes take about 0.8 GB. Times are
 * exact: the grid is the least common multiple of all divisions in the file. Pitches and keys are at concert
 * pitch. Tied note heads are one note. Hairpins give every note a number. Repeats are kept once, as
 * printed; `unfoldRepeats` writes them out.
 * What could not be used stands in `score.notices`, counted. Entities are not expanded and nothing is fetched.
 *
 * @param source the file's text, or its bytes in UTF-8, UTF-16 or the encoding the XML declaration names
 * @param options name of the file, largest size
 * @returns the score
 * @throws {InputError} when it is too large, when the XML is broken (with line and column), when it is not MusicXML, when a pitch,
 *   duration or division is impossible, and when there are no notes
 *
 * @example A bar of one whole note
 * ```ts
 * import { readMusicXml } from "ripieno/formats";
 * import { assertEquals } from "@std/assert";
 * const score = readMusicXml(`<score-partwise version="4.0">
 *   <part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list>
 *   <part id="P1"><measure number="1">
 *     <attributes><divisions>1</divisions></attributes>
 *     <note><pitch><step>A</step><octave>5</octave></pitch><duration>4</duration></note>
 *   </measure></part>
 * </score-partwise>`);
 * assertEquals([score.parts[0]!.name, score.notes[0]!.soundingPitch], ["Flute", 81]);
 * ```
 */
export function readMusicXml(source: string | Uint8Array, options: ReadMusicXmlOptions = {}): Score {
  const action = "read the MusicXML file";
  checkArgument(action, source, TEXT_OR_BYTES);
  checkOptions(action, options, MUSICXML_OPTIONS);
  const { file, largestBytes = LARGEST_BYTES, largestNotes = LARGEST_NOTES } = options;
  if (source.length > largestBytes) {
    const remedy = "Split the score into movements";
    throw refusals(action, { file })(`it is larger than ${largestBytes / 1e6} MB`, remedy);
  }
  const notices = noticeList(file);
  const score: MusicXmlReading["score"] = {
    title: "",
    composer: "",
    source: file ?? "MusicXML",
    ticksPerQuarter: 1,
    bars: [],
    parts: [],
    tempos: [],
    bends: [],
    chords: [],
  };
  const titles: Titles = { work: "", movement: "", credit: "" };
  visitXml(source, {
    action,
    file,
    visitor: (place) => {
      const reading = { score, notices, file, parts: [], part: undefined, notesLeft: largestNotes, place };
      return scoreVisitor(reading, titles);
    },
  });
  score.title = [...new Set([titles.work, titles.movement])].filter((t) => t !== "").join(", ") ||
    titles.credit;
  return assembleScore(score, { notices, file });
}

/** Titles as a file gives them in three places. */
interface Titles {
  work: string;
  movement: string;
  credit: string;
}

function scoreVisitor(reading: MusicXmlReading, titles: Titles): XmlVisitor {
  let [outer, inner] = ["part", "measure"];
  const isTimewise = () => outer === "measure";
  const parts = partFinder(reading, isTimewise);
  let barIndex = -1;

  function begin(name: string, attributes: Readonly<Record<string, string>>): void {
    if (name === "measure") startBar(reading, ++barIndex, attributes["number"]);
    else reading.part = parts.find(attributes["id"] ?? "");
    if (name === inner) enterBar(reading, reading.part!, barIndex);
    else if (name === "part") barIndex = -1;
  }

  const misplaced = misplacedElements(reading, () => outer);
  return {
    open(name, attributes, depth) {
      if (depth === 0) {
        if (name !== "score-partwise" && name !== "score-timewise") throw otherRoot(name, reading.file);
        if (name === "score-timewise") [outer, inner] = ["measure", "part"];
        return "enter";
      }
      if (depth === 1 && HEADER.has(name)) return "whole";
      if (depth === 1 && name === "part-list") return "enter";
      if (depth === 2 && LISTED.has(name)) return "whole";
      if (depth === 3) return reading.part && IN_BAR.has(name) ? "whole" : "skip";
      const isIn = isTimewise() ? barIndex >= 0 : reading.part !== undefined;
      if (name !== (depth === 1 ? outer : inner) || (depth === 2 && !isIn)) return "skip";
      begin(name, attributes);
      return "enter";
    },
    whole(element) {
      const inBar = IN_BAR.get(element.name);
      if (reading.part && inBar) inBar(reading, reading.part, element);
      else if (LISTED.has(element.name)) parts.list(element);
      else readHeader(reading, titles, element);
    },
    close(name, depth) {
      if (name === inner && depth === 2) leaveBar(reading, reading.part!);
      if (name === "part") reading.part = undefined;
      if (depth > 0) return;
      misplaced.refuse();
      parts.finish();
    },
    leftOut: LEFT_OUT,
    metEverywhere: AT_HOME,
    meet: misplaced.meet,
  };
}

function otherRoot(name: string, file: string | undefined): InputError {
  return refusals("read the MusicXML file", { file })(
    name === "opus" ? "it is an opus, a list of scores" : `it is XML, but its root is <${name}>`,
    "Give a file whose root is <score-partwise> or <score-timewise>",
  );
}

/**
 * Remembers the first bar in a bar, note in a note and the like: what is in them would be lost, or stand where it
 * is not. Refused at the end, so that a tag that is not closed is called that.
 */
function misplacedElements(reading: MusicXmlReading, outer: () => string) {
  let misplaced: InputError | undefined;
  /** The one element that another may stand in. */
  const homeOf = (name: string): string => {
    const isTimewise = outer() === "measure";
    if (name === "score-partwise" || name === "score-timewise") return "";
    if (name === outer()) return isTimewise ? "score-timewise" : "score-partwise";
    if (name === "part" || name === "measure") return outer();
    return isTimewise ? "part" : "measure";
  };
  return {
    /** Sees every element that has a home. */
    meet(name: string, parent: string): void {
      const home = homeOf(name);
      if (home === parent || parent === "") return;
      if (TAKE_NO_TIME.has(name)) return notice(reading, `${name} outside a bar: not used`);
      misplaced ??= refusal(
        reading,
        `<${name}> stands in <${parent}>${home === "" ? "" : `, not in <${home}>`}`,
        "Export the score again, or repair the file at that place",
      );
    },
    refuse(): void {
      if (misplaced) throw misplaced;
    },
  };
}

function startBar(reading: MusicXmlReading, barIndex: number, number: string | undefined): void {
  if (barIndex >= MOST_BARS) {
    throw refusal(reading, `it has more than ${MOST_BARS} bars`, "Split the score into movements");
  }
  reading.score.bars[barIndex] ??= {
    number: number ?? String(barIndex + 1),
    contentTicks: 0,
    filledTicks: [],
  };
}

function enterBar(reading: MusicXmlReading, part: PartReading, barIndex: number): void {
  part.barIndex = barIndex;
  part.cursor = 0;
  part.reach = 0;
  part.notesBefore = part.raw.notes.length;
  part.openTuplets.clear();
  part.lastOnset = 0;
  if (part.endings) addRepeat(reading, part, { endings: part.endings });
}

function leaveBar({ score }: MusicXmlReading, part: PartReading): void {
  if (part.raw.notes.length > part.notesBefore) score.bars[part.barIndex]!.filledTicks.push(part.reach);
}

const LISTED: ReadonlySet<string> = new Set(["score-part", "part-group"]);
const HEADER: ReadonlySet<string> = new Set(["work", "movement-title", "identification", "credit"]);

function readHeader({ score }: MusicXmlReading, titles: Titles, element: XmlElement): void {
  if (element.name === "work") titles.work = oneLine(textOf(element, "work-title"));
  else if (element.name === "movement-title") titles.movement = oneLine(element.text);
  else if (element.name === "credit" && textOf(element, "credit-type") === "title") {
    titles.credit ||= oneLine(textOf(element, "credit-words"));
  } else if (element.name === "identification") {
    for (const { attributes: { type = "composer" }, text } of childrenOf(element, "creator")) {
      if (type === "composer") score.composer ||= oneLine(text);
    }
    // Written here, a horn has today's bass clef, also where somebody gave it notes that it does not have.
    const software = childrenOf(element, "encoding").flatMap((encoding) => childrenOf(encoding, "software"));
    if (software.some(({ text }) => oneLine(text) === OWN_SOFTWARE)) score.hornsAsToday = true;
  }
}

type BarReader = (reading: MusicXmlReading, part: PartReading, element: XmlElement) => void;

/** What stands in a bar that is looked at; the rest (layout, printing) is passed over. */
const IN_BAR: ReadonlyMap<string, BarReader> = new Map<string, BarReader>([
  ["note", readNote],
  ["backup", readMove],
  ["forward", readMove],
  ["attributes", readAttributes],
  ["direction", readDirection],
  ["sound", readSound],
  ["harmony", keepHarmony],
  ["barline", readBarline],
  ["figured-bass", (reading) => notice(reading, "figured bass: not used")],
]);

function keepHarmony(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  const { symbol, leftOut } = readHarmony(element);
  if (leftOut !== undefined) notice(reading, `${leftOut}: not used`);
  if (symbol === undefined) return;
  const offsetTicks = offsetTicksOf(reading, part, element);
  reading.score.chords.push({ barIndex: part.barIndex, offsetTicks, symbol });
}
