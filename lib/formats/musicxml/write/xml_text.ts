/** XML out of plain elements, escaped and indented. */
import { escapeMarkup } from "../../../base/escape_markup.ts";

/** Attributes of an element; those that are undefined are left out. */
type XmlAttributes = Readonly<Record<string, string | number | undefined>>;

/** What stands in an element: text, or elements, of which those that are not there are passed over. */
type XmlContent = string | number | undefined | Iterable<XmlNode | false | undefined>;

/** An element to be written. */
export interface XmlNode {
  readonly name: string;
  readonly content: XmlContent;
  readonly attributes: XmlAttributes;
}

const NO_ATTRIBUTES: XmlAttributes = {};

/** An element; one without content is written as an empty one. */
export function element(name: string, content?: XmlContent, attributes = NO_ATTRIBUTES): XmlNode {
  return { name, content, attributes };
}

/** An element around others, where there is one of them. */
export function elementAround(
  name: string,
  content: readonly (XmlNode | false | undefined)[],
): XmlNode | undefined {
  return content.some((node) => node) ? element(name, content) : undefined;
}

/** The text of a file. Elements that are made as they are asked for, by a generator, are never held all at once. */
export function xmlText(declaration: readonly string[], root: XmlNode): string {
  const pieces = declaration.map((line) => `${line}\n`);
  addPieces(pieces, root, "");
  return pieces.join("");
}

function addPieces(pieces: string[], { name, content, attributes }: XmlNode, indent: string): void {
  pieces.push(indent, "<", name);
  for (const key in attributes) {
    const value = attributes[key];
    if (value !== undefined) pieces.push(` ${key}="${escapeMarkup(String(value))}"`);
  }
  if (content === undefined) pieces.push("/>\n");
  else if (typeof content === "string") pieces.push(">", escapeMarkup(content), "</", name, ">\n");
  else if (typeof content === "number") pieces.push(">", String(content), "</", name, ">\n");
  else {
    pieces.push(">\n");
    for (const node of content) if (node) addPieces(pieces, node, `${indent}  `);
    pieces.push(indent, "</", name, ">\n");
  }
}
