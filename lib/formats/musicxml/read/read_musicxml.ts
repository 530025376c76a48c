/** MusicXML 4.0, partwise and timewise, read as a stream. */
import { A_NUMBER, A_TEXT, checkArgument, checkOptions, TEXT_OR_BYTES } from "../../../base/arguments.ts";
import { InputError } from "../../../base/errors.ts";
import type { Score } from "../../../score/model.ts";
import { assembleScore, MOST_PARTS } from "../../assemble/assemble_score.ts";
import { readAttributes } from "./read_attributes.ts";
import { readDirection, readSound } from "./read_direction.ts";
import { readHarmony } from "./read_harmony.ts";
import { offsetTicksOf, readMove, readNote } from "./read_note.ts";
import { groupReader } from "./group_reader.ts";
import { type ListedPart, readListedPart, startPart } from "./listed_part.ts";
import { addRepeat, type MusicXmlReading, notice, type PartReading, refusal } from "./musicxml_reading.ts";
import { noticeList } from "../../assemble/notice_list.ts";
import { endingNumbers, timesOf } from "../../assemble/repeat_signs.ts";
import {
  childOf,
  textOf,
  visitXml,
  type XmlChoice,
  type XmlElement,
  type XmlVisitor,
} from "./xml_elements.ts";

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

/** Largest file accepted unless an option says otherwise, in bytes or characters. */
export const LARGEST_BYTES = 250e6;
/** Most note heads accepted unless an option says otherwise: some 35 times the first movement of the Eroica. */
const LARGEST_NOTES = 750_000;
/** Most bars accepted; no piece comes near. */
const MOST_BARS = 100_000;

/** Most entries of the part list: the parts, and beginnings and ends of groups around each. */
const MOST_LISTED = 5 * MOST_PARTS;

/** What stands in a bar that is looked at; the rest (layout, printing) is passed over. */
const BAR_ELEMENTS: ReadonlySet<string> = new Set([
  "note",
  "backup",
  "forward",
  "attributes",
  "direction",
  "harmony",
  "sound",
  "barline",
  "figured-bass",
  "grouping",
  "listening",
]);

/** Parts of notes and directions that say how they are drawn, not what is played. */
const LEFT_OUT: ReadonlySet<string> = new Set([
  "accidental",
  "beam",
  "dot",
  "stem",
  "staff-details",
  "staff-layout",
  "listen",
]);

/** What stands in a bar and nowhere else: what takes time there, and what does not. */
const TAKE_TIME: ReadonlySet<string> = new Set(["note", "backup", "forward"]);
const TAKE_NO_TIME: ReadonlySet<string> = new Set(["attributes", "direction", "harmony", "barline"]);

const HEADER: ReadonlySet<string> = new Set(["work", "movement-title", "identification", "credit"]);

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
  checkArgument("read the MusicXML file", source, TEXT_OR_BYTES);
  checkOptions("read the MusicXML file", options, {
    file: A_TEXT,
    largestBytes: A_NUMBER,
    largestNotes: A_NUMBER,
  });
  const { file, largestBytes = LARGEST_BYTES, largestNotes = LARGEST_NOTES } = options;
  if (source.length > largestBytes) {
    throw new InputError({
      action: "read the MusicXML file",
      problem: `it is larger than ${largestBytes / 1e6} MB`,
      where: { file },
      remedy: "Split the score into movements",
    });
  }
  const notices = noticeList(file);
  let reading: MusicXmlReading | undefined;
  const header = { workTitle: "", movementTitle: "", creditTitle: "" };
  visitXml(source, {
    action: "read the MusicXML file",
    file,
    visitor: (place) => {
      reading = {
        score: {
          title: "",
          composer: "",
          source: file ?? "MusicXML",
          ticksPerQuarter: 1,
          bars: [],
          parts: [],
          tempos: [],
          bends: [],
          chords: [],
        },
        notices,
        file,
        parts: [],
        part: undefined,
        notesLeft: largestNotes,
        place,
      };
      return scoreVisitor(reading, header);
    },
  });
  const { score } = reading!;
  score.title = [...new Set([header.workTitle, header.movementTitle])].filter((t) => t !== "").join(", ") ||
    header.creditTitle;
  return assembleScore(score, { notices, file });
}

type Header = { workTitle: string; movementTitle: string; creditTitle: string };

function scoreVisitor(reading: MusicXmlReading, header: Header): XmlVisitor {
  const listed: ListedPart[] = [];
  const groups = groupReader();
  const open = new Map<ListedPart, PartReading>();
  const withoutListing = new Map<string, ListedPart>();
  let timewise = false;
  let barIndex = -1;
  let inPartList = 0;
  let misplaced: InputError | undefined;

  /** The part an id means: its entry in the part list, else the next unused entry, else a new one. */
  function partOf(id: string): PartReading {
    let entry = listed.find((l) => l.id === id && (timewise || !open.has(l))) ?? withoutListing.get(id);
    if (!entry || (!timewise && open.has(entry))) {
      entry = listed.find((l) => l.id === "" && !open.has(l)) ??
        {
          id,
          name: "",
          otherNames: [],
          soundId: undefined,
          players: undefined,
          midiProgram: undefined,
          percussionChannel: false,
          percussionKeys: new Map(),
          instruments: new Map(),
          soundIds: new Map(),
          programs: new Map(),
        };
      notice(reading, "part that the part list does not name: kept");
      withoutListing.set(id, entry);
    }
    const before = open.get(entry);
    if (before) return before;
    if (open.size >= MOST_PARTS) {
      throw refusal(reading, `it has more than ${MOST_PARTS} parts`, "Export the score again");
    }
    const ordinal = open.size + 1;
    const taken = new Set(reading.score.parts.map((p) => p.part.id));
    const unique = id !== "" && !taken.has(id) ? id : `P${ordinal}${taken.has(`P${ordinal}`) ? "-bis" : ""}`;
    const part = startPart(entry, { id: unique, ordinal });
    if (entry.instruments.size > 1 && part.percussionKeys.size < 2 && part.instruments.size < 2) {
      reading.notices.add(
        "part with several instruments: the first is taken for all of it",
        part.raw.part.name,
      );
    }
    open.set(entry, part);
    reading.parts.push(part);
    reading.score.parts.push(part.raw);
    return part;
  }

  function startBar(attributes: Readonly<Record<string, string>>): void {
    if (++barIndex >= MOST_BARS) {
      throw refusal(reading, `it has more than ${MOST_BARS} bars`, "Split the score into movements");
    }
    reading.score.bars[barIndex] ??= {
      number: attributes["number"] ?? String(barIndex + 1),
      contentTicks: 0,
      filledTicks: [],
    };
  }

  function enterBar(part: PartReading): void {
    reading.part = part;
    part.barIndex = barIndex;
    part.cursor = 0;
    part.reach = 0;
    part.notesBefore = part.raw.notes.length;
    part.openTuplets.clear();
    part.lastOnset = 0;
    if (part.endings) addRepeat(reading, part, { endings: part.endings });
  }

  function leaveBar(part: PartReading): void {
    if (part.raw.notes.length > part.notesBefore) {
      reading.score.bars[part.barIndex]!.filledTicks.push(part.reach);
    }
  }

  function choose(name: string, attributes: Readonly<Record<string, string>>, depth: number): XmlChoice {
    if (depth === 0) {
      timewise = name === "score-timewise";
      if (name === "score-partwise" || timewise) return "enter";
      throw new InputError({
        action: "read the MusicXML file",
        problem: name === "opus" ? "it is an opus, a list of scores" : `it is XML, but its root is <${name}>`,
        where: { file: reading.file },
        remedy: "Give a file whose root is <score-partwise> or <score-timewise>",
      });
    }
    if (depth === 1) {
      if (name === "part-list") return "enter";
      if (HEADER.has(name)) return "whole";
      if (name === "measure" && timewise) {
        startBar(attributes);
        return "enter";
      }
      if (name === "part" && !timewise) {
        reading.part = partOf(attributes["id"] ?? "");
        barIndex = -1;
        return "enter";
      }
      return "skip";
    }
    if (depth === 2) {
      if (name === "score-part" || name === "part-group") return "whole";
      if (name === "measure" && !timewise && reading.part) {
        startBar(attributes);
        enterBar(reading.part);
        return "enter";
      }
      if (name === "part" && timewise && barIndex >= 0) {
        enterBar(partOf(attributes["id"] ?? ""));
        return "enter";
      }
      return "skip";
    }
    return reading.part && BAR_ELEMENTS.has(name) ? "whole" : "skip";
  }

  /** The one element that another may stand in; undefined where that is not looked at. */
  function homeOf(name: string): string | undefined {
    if (name === "score-partwise" || name === "score-timewise") return "";
    if (name === "part") return timewise ? "measure" : "score-partwise";
    if (name === "measure") return timewise ? "score-timewise" : "part";
    return TAKE_TIME.has(name) || TAKE_NO_TIME.has(name) ? timewise ? "part" : "measure" : undefined;
  }

  /**
   * Remembers the first bar in a bar, note in a note and the like: what is in them would be lost, or stand where it
   * is not. Refused at the end, so that a tag that is not closed is called that.
   */
  function meet(name: string, parent: string): void {
    const home = homeOf(name);
    if (home === undefined || home === parent || parent === "") return;
    if (TAKE_NO_TIME.has(name)) return notice(reading, `${name} outside a bar: not used`);
    misplaced ??= refusal(
      reading,
      `<${name}> stands in <${parent}>${home === "" ? "" : `, not in <${home}>`}`,
      "Export the score again, or repair the file at that place",
    );
  }

  function whole(element: XmlElement): void {
    switch (element.name) {
      case "score-part":
      case "part-group":
        if (++inPartList > MOST_LISTED) {
          throw refusal(
            reading,
            `its part list has more than ${MOST_LISTED} entries`,
            "Export the score again",
          );
        }
        if (element.name === "score-part") listed.push(readListedPart(element));
        else groups.read(element, listed.length);
        return;
      case "work":
        header.workTitle = oneLine(textOf(element, "work-title"));
        return;
      case "movement-title":
        header.movementTitle = oneLine(element.text);
        return;
      case "identification":
        for (const child of element.children) {
          if (child.name === "creator" && (child.attributes["type"] ?? "composer") === "composer") {
            reading.score.composer ||= oneLine(child.text);
          }
        }
        return;
      case "credit":
        if (textOf(element, "credit-type") === "title") {
          header.creditTitle ||= oneLine(textOf(element, "credit-words"));
        }
        return;
    }
    readInBar(reading, element);
  }

  return {
    open: choose,
    whole,
    close(name, depth) {
      if (name === (timewise ? "part" : "measure") && depth === 2) leaveBar(reading.part!);
      const leavesPart = timewise ? name === "part" && depth === 2 : name === "part" && depth === 1;
      if (leavesPart) reading.part = undefined;
      if (name === "part-list" || depth > 0) return;
      if (misplaced) throw misplaced;
      // Parts in the order of the part list, whatever order the file brings them in.
      const place = new Map(listed.map((l, i) => [open.get(l)?.raw, i]));
      reading.score.parts.sort((a, b) => (place.get(a) ?? listed.length) - (place.get(b) ?? listed.length));
      reading.score.partGroups = groups.found(listed.length).map(({ from, to, ...group }) => ({
        ...group,
        parts: listed.slice(from, to).flatMap((l) => open.get(l)?.raw.part.id ?? []),
      })).filter((group) => group.parts.length > 1);
      for (const entry of listed) {
        if (!open.has(entry)) {
          reading.notices.add("part in the part list without music: left out", entry.name);
        }
      }
    },
    leftOut: LEFT_OUT,
    meet,
  };
}

function oneLine(text: string | undefined): string {
  return (text ?? "").replace(/\s+/g, " ").trim();
}

function readInBar(reading: MusicXmlReading, element: XmlElement): void {
  const part = reading.part!;
  switch (element.name) {
    case "note":
      return readNote(reading, part, element);
    case "backup":
    case "forward":
      return readMove(reading, part, element);
    case "attributes":
      return readAttributes(reading, part, element);
    case "direction":
      return readDirection(reading, part, element);
    case "sound":
      return readSound(reading, part, element);
    case "harmony": {
      const { symbol, leftOut } = readHarmony(element);
      if (leftOut !== undefined) notice(reading, `${leftOut}: not used`);
      if (symbol === undefined) return;
      const offsetTicks = offsetTicksOf(reading, part, element);
      reading.score.chords.push({ barIndex: part.barIndex, offsetTicks, symbol });
      return;
    }
    case "barline":
      return readBarline(reading, part, element);
    case "figured-bass":
      return notice(reading, "figured bass: not used");
  }
}

/** Bar lines of two strokes: where a section ends. */
const DOUBLE_LINES: ReadonlySet<string> = new Set([
  "light-light",
  "light-heavy",
  "heavy-light",
  "heavy-heavy",
]);

/** A double bar line at the right of a bar, or at the left of the next. */
function readDoubleBar(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  if (!DOUBLE_LINES.has(childOf(element, "bar-style")?.text.trim() ?? "")) return;
  const { location } = element.attributes;
  if (location === "middle" || childOf(element, "repeat")?.attributes.direction === "forward") return;
  const bar = reading.score.bars[location === "left" ? part.barIndex - 1 : part.barIndex];
  if (bar) bar.doubleBar = true;
}

/** Repeats and brackets at a bar line. */
function readBarline(reading: MusicXmlReading, part: PartReading, element: XmlElement): void {
  const ending = childOf(element, "ending");
  if (ending) {
    const { type, number } = ending.attributes;
    const numbers = endingNumbers(number ?? "");
    if (type === "start" && numbers.length > 0) {
      part.endings = numbers;
      addRepeat(reading, part, { endings: numbers });
    } else part.endings = undefined;
  }
  const repeat = childOf(element, "repeat");
  if (repeat) {
    const { direction, times } = repeat.attributes;
    if (direction === "forward") addRepeat(reading, part, { start: true });
    else if (direction === "backward") addRepeat(reading, part, { times: timesOf(times) });
  }
  if (childOf(element, "segno")) addRepeat(reading, part, { segno: true });
  if (childOf(element, "coda")) addRepeat(reading, part, { codaSign: true });
  readDoubleBar(reading, part, element);
  if (childOf(element, "fermata")) notice(reading, "pause over a bar line: not used");
}
