/** Writing XML line by line, escaped and indented. */
import { escapeMarkup } from "../../../base/escape_markup.ts";

/** Attributes of an element; those that are undefined are left out. */
export type XmlAttributes = Readonly<Record<string, string | number | undefined>>;

/** Grows an XML text. */
export interface XmlLines {
  /** Begins an element that will hold others. */
  readonly open: (name: string, attributes?: XmlAttributes) => void;
  readonly close: () => void;
  /** An element with text in it, or an empty one. */
  readonly leaf: (name: string, text?: string | number, attributes?: XmlAttributes) => void;
  readonly text: () => string;
}

/** Starts an XML text; the declaration is the lines before its root element. */
export function xmlLines(declaration: readonly string[]): XmlLines {
  const lines: string[] = [...declaration];
  const open: string[] = [];
  const head = (name: string, attributes: XmlAttributes): string => {
    let text = `${"  ".repeat(open.length)}<${name}`;
    for (const [key, value] of Object.entries(attributes)) {
      if (value !== undefined) text += ` ${key}="${escapeMarkup(String(value))}"`;
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
      lines.push(text === undefined ? `${start}/>` : `${start}>${escapeMarkup(String(text))}</${name}>`);
    },
    text: () => `${lines.join("\n")}\n`,
  };
}
