/** Writing XML line by line, escaped and indented. */

/** Attributes of an element; those that are undefined are left out. */
export type XmlAttributes = Readonly<Record<string, string | number | undefined>>;

/** Grows an XML text. */
export interface XmlLines {
  /** Begins an element that will hold others. */
  readonly open: (name: string, attributes?: XmlAttributes) => void;
  /** Ends the element begun last. */
  readonly close: () => void;
  /** An element with text in it, or an empty one. */
  readonly leaf: (name: string, text?: string | number, attributes?: XmlAttributes) => void;
  /** The text so far. */
  readonly text: () => string;
}

const ESCAPES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };

/**
 * Text made safe for XML 1.0: markup escaped, characters that XML does not allow left out.
 *
 * @param text any text
 * @returns text to stand between tags or in an attribute
 */
export function escapeXml(text: string): string {
  // deno-lint-ignore no-control-regex
  const allowed = text.replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g, "");
  return allowed.toWellFormed().replace(/[&<>"]/g, (c) => ESCAPES[c]!);
}

/**
 * Starts an XML text.
 *
 * @param declaration lines before the root element
 * @returns a text to add to
 */
export function xmlLines(declaration: readonly string[]): XmlLines {
  const lines: string[] = [...declaration];
  const open: string[] = [];
  const head = (name: string, attributes: XmlAttributes): string => {
    let text = `${"  ".repeat(open.length)}<${name}`;
    for (const [key, value] of Object.entries(attributes)) {
      if (value !== undefined) text += ` ${key}="${escapeXml(String(value))}"`;
    }
    return text;
  };
  return {
    open(name, attributes = {}) {
      lines.push(`${head(name, attributes)}>`);
      open.push(name);
    },
    close() {
      const name = open.pop();
      lines.push(`${"  ".repeat(open.length)}</${name}>`);
    },
    leaf(name, text, attributes = {}) {
      const start = head(name, attributes);
      lines.push(text === undefined ? `${start}/>` : `${start}>${escapeXml(String(text))}</${name}>`);
    },
    text: () => `${lines.join("\n")}\n`,
  };
}
