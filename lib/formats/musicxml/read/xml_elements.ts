/** XML as a stream of small elements: a note at a time, never the whole file. */
import { SaxesParser, type SaxesTagPlain } from "saxes";
import { InputError } from "../../../base/errors.ts";
import { decodePieces } from "../../files/decode.ts";

/** One element with what is inside it. */
export interface XmlElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: readonly XmlElement[];
  /** Text directly inside, without the white space between elements. */
  readonly text: string;
}

/** What to do with an element: look inside, hand it over whole, or pass over it. */
type XmlChoice = "enter" | "whole" | "skip";

/** Receives the elements of a file in order. */
export interface XmlVisitor {
  /** Decides about an element that is met on the way; `depth` is 0 for the root. */
  readonly open: (name: string, attributes: Readonly<Record<string, string>>, depth: number) => XmlChoice;
  readonly whole: (element: XmlElement) => void;
  readonly close: (name: string, depth: number) => void;
  /** Names that are left out inside whole elements. */
  readonly leftOut: ReadonlySet<string>;
  /** Names of elements that are met wherever they stand, and what sees each with the name of the one it stands in. */
  readonly metEverywhere?: ReadonlySet<string>;
  readonly meet?: (name: string, parent: string) => void;
}

/** Where the parser is, for messages. */
export interface XmlPlace {
  readonly row: number;
  readonly column: number;
}

interface Growing {
  name: string;
  attributes: Readonly<Record<string, string>>;
  children: Growing[];
  text: string;
}

/** What is done with all elements of one name. */
interface NameKind {
  /** One text for all elements that have the name, so that it is quickly compared. */
  readonly name: string;
  readonly isMet: boolean;
  readonly isLeftOut: boolean;
}

/** Deepest nesting accepted; real scores stay under 12. */
const MAX_DEPTH = 200;
/** Most elements accepted inside one that is kept whole; a note has some thirty. */
const MAX_INSIDE = 100_000;
/** Most names remembered; MusicXML has some four hundred. */
const MOST_NAMES = 2000;
/** What is inside most elements: no others. */
const NO_CHILDREN: Growing[] = [];

/**
 * Reads XML and hands its elements to a visitor. Broken XML is refused with line and column, and so are
 * entities other than XML's own five; nothing is fetched, nothing is expanded.
 */
export function visitXml(
  source: string | Uint8Array,
  options: {
    readonly visitor: (place: () => XmlPlace) => XmlVisitor;
    readonly action: string;
    readonly file?: string | undefined;
  },
): void {
  const { action, file } = options;
  const parser = new SaxesParser({ xmlns: false });
  const place = () => ({ row: parser.line, column: parser.column + 1 });
  const refuse = (problem: string, remedy: string) =>
    new InputError({ action, problem, where: { file, ...place() }, remedy });
  const { open, text, close } = elementHandlers(options.visitor(place), refuse);
  parser.on("error", (error) => {
    const reason = error.message.replace(/^[^a-z]*\d+:\d+:\s*/i, "").replace(/\.$/, "");
    throw refuse(`the XML is broken: ${reason}`, "Export the score again, or repair the file at that place");
  });
  parser.on("doctype", (doctype) => {
    if (/<!ENTITY/.test(doctype)) {
      throw refuse("the file declares entities of its own", "Remove the <!ENTITY> lines from its DOCTYPE");
    }
  });
  parser.on("opentag", open);
  parser.on("text", text);
  parser.on("cdata", text);
  parser.on("closetag", close);
  for (const piece of decodePieces(source, { file })) parser.write(piece);
  parser.close();
}

/** Looks up what a visitor does with the elements of a name. */
function nameKinds({ metEverywhere, leftOut }: XmlVisitor): (name: string) => NameKind {
  const kinds = new Map<string, NameKind>();
  return (name) => {
    let kind = kinds.get(name);
    if (kind !== undefined) return kind;
    // As the key of an object it is the very text that readers ask for, which an engine need not compare by letters.
    const [own] = Object.keys({ [name]: true }) as [string];
    kind = { name: own, isMet: metEverywhere?.has(name) ?? false, isLeftOut: leftOut.has(name) };
    if (kinds.size < MOST_NAMES) kinds.set(own, kind);
    return kind;
  };
}

/** What is done at each tag: elements that the visitor wants whole are grown, and the others shown to it. */
function elementHandlers(visitor: XmlVisitor, refuse: (problem: string, remedy: string) => InputError) {
  let depth = 0;
  let skipFrom = -1;
  let inside = 0;
  const kindOf = nameKinds(visitor);
  const names: string[] = [];
  const growing: Growing[] = [];

  function grow(element: Growing): void {
    const parent = growing.at(-1);
    inside = parent ? inside + 1 : 0;
    if (inside > MAX_INSIDE) {
      throw refuse(`one element holds more than ${MAX_INSIDE} others`, "Export the score again");
    }
    if (parent?.children === NO_CHILDREN) parent.children = [element];
    else parent?.children.push(element);
    growing.push(element);
  }

  return {
    open(tag: SaxesTagPlain): void {
      const { name, isMet, isLeftOut } = kindOf(tag.name);
      const { attributes } = tag;
      const here = depth++;
      if (depth > MAX_DEPTH) {
        throw refuse(`elements are nested more than ${MAX_DEPTH} deep`, "Export the score again");
      }
      if (isMet) visitor.meet?.(name, names.at(-1) ?? "");
      names.push(name);
      if (skipFrom >= 0) return;
      const choice = growing.length === 0
        ? visitor.open(name, attributes, here)
        : isLeftOut
        ? "skip"
        : "whole";
      if (choice === "skip") skipFrom = here;
      else if (choice === "whole") grow({ name, attributes, children: NO_CHILDREN, text: "" });
    },
    text(text: string): void {
      if (growing.length > 0 && skipFrom < 0 && text.trim() !== "") growing.at(-1)!.text += text;
    },
    close({ name }: SaxesTagPlain): void {
      depth--;
      names.pop();
      if (skipFrom >= 0) {
        if (depth === skipFrom) skipFrom = -1;
        return;
      }
      const done = growing.pop();
      if (!done) visitor.close(name, depth);
      else if (growing.length === 0) visitor.whole(done);
    },
  };
}

/** First child with a name. */
export function childOf(element: XmlElement, name: string): XmlElement | undefined {
  for (const child of element.children) if (child.name === name) return child;
  return undefined;
}

/** All children with a name. */
export function childrenOf(element: XmlElement, name: string): readonly XmlElement[] {
  return childOf(element, name) ? element.children.filter((child) => child.name === name) : NO_CHILDREN;
}

/** Trimmed text of the first child with a name. */
export function textOf(element: XmlElement, name: string): string | undefined {
  return childOf(element, name)?.text.trim();
}

/** Text of the first child with a name, as a number; undefined where it is no finite one. */
export function numberOf(element: XmlElement, name: string): number | undefined {
  const text = textOf(element, name);
  if (text === undefined || text === "") return undefined;
  const value = Number(text);
  return Number.isFinite(value) ? value : undefined;
}

/** Attributes worth keeping: those that are what they may be. */
export function keptAttributes(
  element: XmlElement,
  allowed: Readonly<Record<string, RegExp>>,
): Readonly<Record<string, string>> {
  const kept: Record<string, string> = {};
  for (const [name, pattern] of Object.entries(allowed)) {
    const value = element.attributes[name];
    if (value !== undefined && pattern.test(value)) kept[name] = value;
  }
  return kept;
}

/** A whole number from 0 up to a million that a text is, or else another. */
export function wholeNumber(text: string | undefined, otherwise: number): number {
  const value = Number(text);
  const isOne = text !== undefined && text.trim() !== "" && Number.isInteger(value);
  return isOne && value >= 0 && value < 1e6 ? value : otherwise;
}
