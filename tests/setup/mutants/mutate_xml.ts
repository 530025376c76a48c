/** MusicXML changed by its elements: swapped, dropped, doubled, nested, moved, renamed; numbers and texts made strange. */
import { SaxesParser } from "saxes";
import { type Chance, inEncoding, STRANGE_NUMBERS, STRANGE_TEXTS } from "./chance.ts";

interface Element {
  name: string;
  attributes: Record<string, string>;
  children: (Element | string)[];
}

function parse(text: string): Element {
  const root: Element = { name: "", attributes: {}, children: [] };
  const open = [root];
  const parser = new SaxesParser({ xmlns: false });
  parser.on("opentag", ({ name, attributes }) => {
    const element: Element = { name, attributes: { ...attributes }, children: [] };
    open.at(-1)!.children.push(element);
    open.push(element);
  });
  parser.on("closetag", () => void open.pop());
  const add = (text: string) => {
    if (text.trim() !== "") open.at(-1)!.children.push(text);
  };
  parser.on("text", add);
  parser.on("cdata", add);
  parser.write(text).close();
  return root;
}

const escaped = (text: string) =>
  text.replace(/[&<>"]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c]!);

function written(node: Element | string): string {
  if (typeof node === "string") return escaped(node);
  const inside = node.children.map(written).join("");
  if (node.name === "") return inside;
  const attributes = Object.entries(node.attributes).map(([k, v]) => ` ${k}="${escaped(v)}"`).join("");
  return inside === ""
    ? `<${node.name}${attributes}/>`
    : `<${node.name}${attributes}>${inside}</${node.name}>`;
}

/** An element with where it stands. */
interface Placed {
  readonly element: Element;
  readonly parent: Element;
}

function all(root: Element): Placed[] {
  const found: Placed[] = [];
  const visit = (parent: Element) => {
    for (const child of parent.children) {
      if (typeof child === "string") continue;
      found.push({ element: child, parent });
      visit(child);
    }
  };
  visit(root);
  return found;
}

const copyOf = (element: Element): Element => ({
  ...element,
  attributes: { ...element.attributes },
  children: element.children.map((c) => (typeof c === "string" ? c : copyOf(c))),
});

/** Names that decide most, taken twice as often as the rest. */
const WEIGHTY =
  /^(part|measure|note|attributes|time|beats|divisions|duration|backup|forward|chord|tuplet|time-modification|barline|repeat|ending|slur|tied?|wedge|sound|harmony|score-part|key|transpose|staves?|voice|slide|glissando|tremolo|wavy-line|grace|cue|metronome)$/;

function pick(root: Element, chance: Chance): Placed | undefined {
  const found = all(root).filter((p) => p.parent.name !== "");
  if (found.length === 0) return undefined;
  const weighty = chance.below(2) === 0 ? found.filter((p) => WEIGHTY.test(p.element.name)) : found;
  return chance.oneOf(weighty.length > 0 ? weighty : found);
}

/** One change to the tree. */
function change(root: Element, chance: Chance): void {
  const here = pick(root, chance);
  const other = pick(root, chance);
  if (!here || !other) return; // nothing is left but the root
  const { element, parent } = here;
  const at = parent.children.indexOf(element);
  const isLeaf = (e: Element) => e.children.length === 1 && typeof e.children[0] === "string";
  switch (chance.below(16)) {
    case 0: // swap
      parent.children[at] = copyOf(other.element);
      other.parent.children[Math.max(0, other.parent.children.indexOf(other.element))] = copyOf(element);
      break;
    case 1:
      parent.children.splice(at, 1);
      break;
    case 2:
      parent.children.splice(
        at,
        0,
        ...Array.from({ length: chance.oneOf([1, 2, 40]) }, () => copyOf(element)),
      );
      break;
    case 3: // in itself
      element.children.splice(chance.below(element.children.length + 1), 0, copyOf(element));
      break;
    case 4: { // in itself many times over
      let inside = copyOf(element);
      for (let k = chance.oneOf([3, 30, 180]); k > 0; k--) {
        inside = { ...element, attributes: { ...element.attributes }, children: [inside] };
      }
      parent.children[at] = inside;
      break;
    }
    case 5: // to another parent
      parent.children.splice(at, 1);
      other.element.children.splice(chance.below(other.element.children.length + 1), 0, copyOf(element));
      break;
    case 6:
      other.element.children.splice(chance.below(other.element.children.length + 1), 0, copyOf(element));
      break;
    case 7:
      element.name = other.element.name;
      break;
    case 8: { // all of a name
      const { name } = element;
      for (const { element: one, parent: its } of all(root)) {
        if (one.name === name && its.name !== "") its.children = its.children.filter((c) => c !== one);
      }
      break;
    }
    case 9: // its children in another order
      element.children.reverse();
      break;
    case 10: // unwrapped
      parent.children.splice(at, 1, ...element.children);
      break;
    case 11: {
      const names = Object.keys(element.attributes);
      if (names.length === 0) element.attributes["number"] = chance.oneOf(STRANGE_NUMBERS);
      else if (chance.below(3) === 0) delete element.attributes[chance.oneOf(names)];
      else element.attributes[chance.oneOf(names)] = chance.oneOf([...STRANGE_NUMBERS, ...STRANGE_TEXTS]);
      break;
    }
    default: { // numbers and texts
      const leaves = all(root).filter((p) => isLeaf(p.element));
      if (leaves.length === 0) break;
      const leaf = chance.oneOf(leaves).element;
      const isNumber = /^-?\d+(\.\d+)?$/.test(String(leaf.children[0]).trim());
      const value = chance.oneOf(isNumber && chance.below(8) > 0 ? STRANGE_NUMBERS : STRANGE_TEXTS);
      // One of the name, or all of it: a metre or a division is changed for the whole file.
      const every = chance.below(4) === 0;
      for (const { element: one } of leaves) {
        if (one === leaf || (every && one.name === leaf.name)) one.children = [value];
      }
    }
  }
}

/** A partwise score as a timewise one. */
function timewise(root: Element): Element {
  const score = root.children.find((c) => typeof c !== "string") as Element | undefined;
  if (score?.name !== "score-partwise") return root;
  const parts = score.children.filter((c): c is Element => typeof c !== "string" && c.name === "part");
  const most = Math.max(0, ...parts.map((p) => p.children.length));
  const bars = Array.from({ length: most }, (_, i): Element => ({
    name: "measure",
    attributes: { number: String(i + 1) },
    children: parts.flatMap((p) => {
      const bar = p.children[i];
      return bar === undefined || typeof bar === "string"
        ? []
        : [{ name: "part", attributes: { ...p.attributes }, children: bar.children }];
    }),
  }));
  const head = score.children.filter((c) => typeof c === "string" || c.name !== "part");
  return { ...root, children: [{ ...score, name: "score-timewise", children: [...head, ...bars] }] };
}

/**
 * A mutant of a MusicXML file.
 *
 * @param text a sound file
 * @param chance what decides
 * @returns its bytes, one to four changes further
 */
export function mutateXml(text: string, chance: Chance): Uint8Array {
  let root = parse(text);
  if (chance.below(8) === 0) root = timewise(root);
  for (let k = 1 + chance.below(4); k > 0; k--) change(root, chance);
  const strange = chance.below(6) === 0;
  const encoding = strange ? chance.oneOf(["UTF-8", "UTF-16", "ISO-8859-1", "x-none", ""]) : "UTF-8";
  const head = chance.below(6) === 0 ? "" : `<?xml version="1.0" encoding="${encoding}"?>\n`;
  return strange ? inEncoding(head + written(root), chance) : new TextEncoder().encode(head + written(root));
}
