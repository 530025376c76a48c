/** Pages put together from pieces. */
import { escapeMarkup } from "../../base/escape_markup.ts";

/** A piece of a page, HTML as it stands. */
export interface Markup {
  readonly html: string;
}

/** What can be put into a page: words, pieces of HTML, and lists of them; undefined for nothing. */
export type Piece = string | number | Markup | undefined | readonly Piece[];

/**
 * HTML from a template: words that are put in are escaped, pieces stand as they are. It is not called `html`, since the
 * formatter would break such a template's lines, and a page shows the spaces.
 */
export function markup(texts: TemplateStringsArray, ...pieces: readonly Piece[]): Markup {
  return { html: texts.map((text, i) => text + htmlOf(pieces[i])).join("") };
}

/** Pieces one below the other. */
export function lines(pieces: readonly Piece[]): Markup {
  return { html: pieces.map(htmlOf).join("\n") };
}

function htmlOf(piece: Piece): string {
  if (piece === undefined) return "";
  if (typeof piece === "string") return escapeMarkup(piece);
  if (typeof piece === "number") return String(piece);
  return "html" in piece ? piece.html : piece.map(htmlOf).join("");
}
