/** Zipped MusicXML (.mxl): the container and the score inside it. */
import { BYTES, checkArgument, checkOptions } from "../../../base/arguments.ts";
import { unzipSync } from "fflate";
import { InputError, refusals } from "../../../base/errors.ts";
import type { Score } from "../../../score/model.ts";
import { LARGEST_BYTES, MUSICXML_OPTIONS, readMusicXml, type ReadMusicXmlOptions } from "./read_musicxml.ts";
import { visitXml } from "./xml_elements.ts";

const ACTION = "read the .mxl file";
const EXPORT_AGAIN = "Export the score again, or copy the file again: it may have been cut short";

/** How many times smaller a score is packed at most, once it is large; XML with notes in it packs some 10 to 100 times. */
const [SMALL_BYTES, MOST_PACKED] = [20e6, 500];

/** Media types by which a container may announce a score; none at all also means one. */
const SCORE_TYPES: ReadonlySet<string> = new Set([
  "application/vnd.recordare.musicxml+xml",
  "application/vnd.recordare.musicxml",
  "text/xml",
  "application/xml",
  "",
]);

/** True when bytes begin like a zip archive. */
export function isZip(bytes: Uint8Array): boolean {
  return bytes[0] === 0x50 && bytes[1] === 0x4b && bytes[2] === 3 && bytes[3] === 4;
}

/** Path of the score, from META-INF/container.xml. */
function rootPath(container: Uint8Array, file: string | undefined): string | undefined {
  let found: string | undefined;
  visitXml(container, {
    action: ACTION,
    file,
    visitor: () => ({
      open: (name, attributes) => {
        if (name !== "rootfile") return "enter";
        const type = attributes["media-type"] ?? "";
        if (SCORE_TYPES.has(type)) found ??= attributes["full-path"];
        return "skip";
      },
      whole: () => {},
      close: () => {},
      leftOut: new Set(),
    }),
  });
  return found;
}

/**
 * Reads zipped MusicXML.
 *
 * Nothing in the archive is unpacked but its table of contents and the score; a score that would be too large
 * (see {@linkcode ReadMusicXmlOptions}) is refused before it is unpacked.
 *
 * @param bytes the .mxl file
 * @param options name of the file
 * @returns the score
 * @throws {InputError} when the bytes are no complete zip archive, when it holds no score, or when the score
 *   cannot be read
 *
 * @example
 * ```ts
 * import { readMxl } from "ripieno/formats";
 * import { assertThrows } from "@std/assert";
 * assertThrows(() => readMxl(new Uint8Array([80, 75, 3, 4, 0])), Error, "not a complete zip archive");
 * ```
 */
export function readMxl(bytes: Uint8Array, options: ReadMusicXmlOptions = {}): Score {
  checkArgument(ACTION, bytes, BYTES);
  checkOptions(ACTION, options, MUSICXML_OPTIONS);
  const { file, largestBytes = LARGEST_BYTES } = options;
  const refuse = refusals(ACTION, { file });
  const names: string[] = [];
  const open = (wanted: (name: string) => boolean): Readonly<Record<string, Uint8Array>> => {
    try {
      return unzipSync(bytes, {
        filter: (entry) => {
          names.push(entry.name);
          if (!wanted(entry.name)) return false;
          const problem = problemWithSize(entry, largestBytes);
          if (problem) throw refuse(...problem);
          return true;
        },
      });
    } catch (error) {
      throw error instanceof InputError ? error : refuse("it is not a complete zip archive", EXPORT_AGAIN);
    }
  };
  const container = open((name) => name === "META-INF/container.xml")["META-INF/container.xml"];
  const listed = container && rootPath(container, file);
  const path = listed ?? names.find((n) => /\.(musicxml|xml)$/i.test(n) && !n.startsWith("META-INF/"));
  if (path === undefined) throw refuse("the archive holds no score", EXPORT_AGAIN);
  const score = open((name) => name === path)[path];
  if (!score) throw refuse(`"${path}" is missing from the archive`, EXPORT_AGAIN);
  return readMusicXml(score, options);
}

/** Why a score in an archive is not unpacked, and what to do. */
function problemWithSize(
  { size, originalSize }: { readonly size: number; readonly originalSize: number },
  largestBytes: number,
): readonly [problem: string, remedy: string] | undefined {
  const wouldBe = "the score inside would be";
  if (originalSize > largestBytes) {
    const limit = `Split it; the limit is ${largestBytes / 1e6} MB`;
    return [`${wouldBe} ${Math.round(originalSize / 1e6)} MB`, limit];
  }
  if (originalSize <= SMALL_BYTES || originalSize <= MOST_PACKED * size) return undefined;
  const times = Math.round(originalSize / Math.max(1, size));
  return [`${wouldBe} ${times} times its packed size`, "Export the score again: no score packs so well"];
}
