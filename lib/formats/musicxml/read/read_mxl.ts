/** Zipped MusicXML (.mxl): the container and the score inside it. */
import { A_NUMBER, A_TEXT, BYTES, checkArgument, checkOptions } from "../../../base/arguments.ts";
import { unzipSync } from "fflate";
import { InputError } from "../../../base/errors.ts";
import type { Score } from "../../../score/model.ts";
import { LARGEST_BYTES, readMusicXml, type ReadMusicXmlOptions } from "./read_musicxml.ts";
import { visitXml } from "./xml_elements.ts";

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
    action: "read the .mxl file",
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
  checkArgument("read the .mxl file", bytes, BYTES);
  checkOptions("read the .mxl file", options, {
    file: A_TEXT,
    largestBytes: A_NUMBER,
    largestNotes: A_NUMBER,
  });
  const { file, largestBytes = LARGEST_BYTES } = options;
  const action = "read the .mxl file";
  const remedy = "Export the score again, or copy the file again: it may have been cut short";
  const names: string[] = [];
  const open = (wanted: (name: string) => boolean): Record<string, Uint8Array> => {
    try {
      return unzipSync(bytes, {
        filter: (entry) => {
          names.push(entry.name);
          if (!wanted(entry.name)) return false;
          if (entry.originalSize > largestBytes) {
            throw new InputError({
              action,
              problem: `the score inside would be ${Math.round(entry.originalSize / 1e6)} MB`,
              where: { file },
              remedy: `Split it; the limit is ${largestBytes / 1e6} MB`,
            });
          }
          if (entry.originalSize > SMALL_BYTES && entry.originalSize > MOST_PACKED * entry.size) {
            throw new InputError({
              action,
              problem: `the score inside would be ${
                Math.round(entry.originalSize / Math.max(1, entry.size))
              } times its packed size`,
              where: { file },
              remedy: "Export the score again: no score packs so well",
            });
          }
          return true;
        },
      });
    } catch (error) {
      if (error instanceof InputError) throw error;
      throw new InputError({
        action,
        problem: "it is not a complete zip archive",
        where: { file },
        remedy,
      });
    }
  };
  const container = open((name) => name === "META-INF/container.xml")["META-INF/container.xml"];
  const listed = container && rootPath(container, file);
  const path = listed ?? names.find((n) => /\.(musicxml|xml)$/i.test(n) && !n.startsWith("META-INF/"));
  const score = path === undefined ? undefined : open((name) => name === path)[path];
  if (!score) {
    throw new InputError({
      action,
      problem: path === undefined ? "the archive holds no score" : `"${path}" is missing from the archive`,
      where: { file },
      remedy,
    });
  }
  return readMusicXml(score, options);
}
