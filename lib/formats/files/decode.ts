/** Bytes to text, piece by piece, in whatever encoding the file declares. */
import { refusals } from "../../base/errors.ts";

const PIECE = 65536;

/** Encoding by byte-order mark, else by the shape of `<?xml`, else by what the XML declaration says, else UTF-8. */
function encodingOf(bytes: Uint8Array): string {
  const [a, b, c] = bytes;
  if (a === 0xef && b === 0xbb && c === 0xbf) return "utf-8";
  if (a === 0xff && b === 0xfe) return "utf-16le";
  if (a === 0xfe && b === 0xff) return "utf-16be";
  if (a === 0x3c && b === 0) return "utf-16le";
  if (a === 0 && b === 0x3c) return "utf-16be";
  const head = new TextDecoder("latin1").decode(bytes.subarray(0, 400));
  return /^\s*<\?xml[^>]*\bencoding\s*=\s*["']([^"']+)["']/.exec(head)?.[1] ?? "utf-8";
}

/**
 * The text of a source in pieces of some 64,000 characters, so that a large file is never held twice. Bytes
 * are UTF-8, UTF-16, or in the encoding that the XML declaration names, refused where that is not known; a
 * byte-order mark is left out, impossible bytes become U+FFFD.
 */
export function* decodePieces(
  source: string | Uint8Array,
  options: { readonly file?: string | undefined } = {},
): Generator<string> {
  if (typeof source === "string") {
    const start = source.charCodeAt(0) === 0xfeff ? 1 : 0;
    for (let at = start; at < source.length; at += PIECE) yield source.slice(at, at + PIECE);
    return;
  }
  const encoding = encodingOf(source);
  let decoder: TextDecoder;
  try {
    decoder = new TextDecoder(encoding);
  } catch {
    const refuse = refusals("read the score", { file: options.file });
    throw refuse(`the text encoding "${encoding}" is not known`, "Save the file as UTF-8");
  }
  for (let at = 0; at < source.length; at += PIECE) {
    yield decoder.decode(source.subarray(at, at + PIECE), { stream: true });
  }
  yield decoder.decode();
}

/** The whole text of a small source, as {@linkcode decodePieces} reads it. */
export function decodeText(
  source: string | Uint8Array,
  options: { readonly file?: string | undefined } = {},
): string {
  return [...decodePieces(source, options)].join("");
}

/**
 * The text of a table as spreadsheets save it: UTF-8, UTF-16 with a byte-order mark, and where the bytes are
 * no UTF-8, the Western European code page (Windows-1252) that older ones write.
 */
export function tableText(bytes: Uint8Array): string {
  const encoding = encodingOf(bytes);
  try {
    return new TextDecoder(encoding, { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder("windows-1252").decode(bytes);
  }
}
