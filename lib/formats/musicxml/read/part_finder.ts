/** From the parts of a MusicXML file to the entries of its part list, whatever order the file brings them in. */
import { MOST_PARTS } from "../../assemble/assemble_score.ts";
import { groupReader } from "./group_reader.ts";
import { type ListedPart, readListedPart, startPart } from "./listed_part.ts";
import { type MusicXmlReading, notice, type PartReading, refusal } from "./musicxml_reading.ts";
import type { XmlElement } from "./xml_elements.ts";

/** Most entries of the part list: the parts, and beginnings and ends of groups around each. */
const MOST_LISTED = 5 * MOST_PARTS;

/** Finds parts, and begins them. */
interface PartFinder {
  /** Takes a `<score-part>` or `<part-group>`. */
  readonly list: (element: XmlElement) => void;
  /**
   * The part an id means: its entry in the part list, else the next entry without an id, else a new one. In a file by
   * parts each is met once.
   */
  readonly find: (id: string) => PartReading;
  /** Puts parts and groups into the order of the list. */
  readonly finish: () => void;
}

/** Starts without parts; `isTimewise` says whether the file goes by bars. */
export function partFinder(reading: MusicXmlReading, isTimewise: () => boolean): PartFinder {
  const listed: ListedPart[] = [];
  const unlisted = new Map<string, ListedPart>();
  const groups = groupReader();
  const open = new Map<ListedPart, PartReading>();
  let entries = 0;

  function entryOf(id: string): ListedPart {
    const isFree = (entry: ListedPart | undefined) => entry && (isTimewise() || !open.has(entry));
    const found = listed.find((l) => l.id === id && isFree(l)) ?? unlisted.get(id);
    if (found && isFree(found)) return found;
    const entry = listed.find((l) => l.id === "" && !open.has(l)) ??
      readListedPart({ name: "score-part", attributes: { id }, children: [], text: "" });
    notice(reading, "part that the part list does not name: kept");
    unlisted.set(id, entry);
    return entry;
  }

  function begin(entry: ListedPart, id: string): PartReading {
    if (open.size >= MOST_PARTS) {
      throw refusal(reading, `it has more than ${MOST_PARTS} parts`, "Export the score again");
    }
    const part = startPart(entry, { id: uniqueId(reading, id), ordinal: open.size + 1 });
    if (entry.instruments.size > 1 && part.percussionKeys.size < 2 && part.instruments.size < 2) {
      const { name } = part.raw.part;
      reading.notices.add("part with several instruments: the first is taken for all of it", name);
    }
    if (part.standIn !== undefined) reading.notices.add(part.standIn, part.raw.part.name);
    open.set(entry, part);
    reading.parts.push(part);
    reading.score.parts.push(part.raw);
    return part;
  }

  return {
    list(element) {
      const problem = `its part list has more than ${MOST_LISTED} entries`;
      if (++entries > MOST_LISTED) throw refusal(reading, problem, "Export the score again");
      if (element.name === "score-part") listed.push(readListedPart(element));
      else groups.read(element, listed.length);
    },
    find(id) {
      const entry = entryOf(id);
      return open.get(entry) ?? begin(entry, id);
    },
    finish() {
      const place = new Map(listed.map((l, i) => [open.get(l)?.raw, i]));
      reading.score.parts.sort((a, b) => (place.get(a) ?? listed.length) - (place.get(b) ?? listed.length));
      reading.score.partGroups = groups.found(listed.length).map(({ from, to, ...group }) => ({
        ...group,
        parts: listed.slice(from, to).flatMap((l) => open.get(l)?.raw.part.id ?? []),
      })).filter((group) => group.parts.length > 1);
      for (const { name } of listed.filter((entry) => !open.has(entry))) {
        reading.notices.add("part in the part list without music: left out", name);
      }
    },
  };
}

/** The id of a part that begins: the file's own, or one by its place where that is missing or taken. */
function uniqueId({ score }: MusicXmlReading, id: string): string {
  const taken = new Set(score.parts.map((p) => p.part.id));
  const byPlace = `P${score.parts.length + 1}`;
  return id !== "" && !taken.has(id) ? id : `${byPlace}${taken.has(byPlace) ? "-bis" : ""}`;
}
