/** `<part-group>` of MusicXML: which parts are joined in the margin. */
import type { PartGroup } from "../../../score/model.ts";
import { textOf, type XmlElement } from "./xml_elements.ts";

/** A group by places in the part list, the last exclusive. */
interface ListedGroup extends Omit<PartGroup, "parts"> {
  readonly from: number;
  readonly to: number;
}

/** Collects groups while a part list goes by. */
interface GroupReader {
  /** Takes a `<part-group>`; `place` is how many parts have been listed before it. */
  readonly read: (element: XmlElement, place: number) => void;
  /** All groups in order of their beginning; those still open end with the list. */
  readonly found: (end: number) => readonly ListedGroup[];
}

const SYMBOLS: readonly PartGroup["symbol"][] = ["none", "brace", "line", "bracket", "square"];

/** Starts without groups. */
export function groupReader(): GroupReader {
  const groups: (Omit<ListedGroup, "to"> & { to: number | undefined; readonly number: string })[] = [];
  return {
    read(element, place) {
      const number = element.attributes["number"] ?? "1";
      if (element.attributes["type"] === "stop") {
        const open = groups.findLast((g) => g.number === number && g.to === undefined);
        if (open) open.to = place;
        return;
      }
      const symbol = SYMBOLS.find((s) => s === textOf(element, "group-symbol")) ?? "none";
      const name = textOf(element, "group-name");
      groups.push({ number, from: place, to: undefined, symbol, ...(name ? { name } : {}) });
    },
    found: (end) => groups.map(({ number: _, to = end, ...group }) => ({ ...group, to })),
  };
}
