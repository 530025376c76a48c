/** Any score, from its bytes: what it is, is seen from its content. */
import { A_NUMBER, A_TEXT, BYTES, checkArgument, checkOptions } from "../base/arguments.ts";
import { type InputError, refusals } from "../base/errors.ts";
import type { Score } from "../score/model.ts";
import { decodePieces } from "./files/decode.ts";
import { isZip, readMxl } from "./musicxml/read/read_mxl.ts";
import { readAbc } from "./abc/read_abc.ts";
import { readMidi } from "./midi/read_midi.ts";
import { readMusicXml } from "./musicxml/read/read_musicxml.ts";

/** How a score is read. */
export interface ReadScoreOptions {
  /** Name of the file, for messages and for `score.source`. */
  readonly file?: string;
  /** Largest file accepted, in bytes, zipped ones unpacked; 250 million unless said otherwise. */
  readonly largestBytes?: number;
}

/** Kinds of file that are read, for messages. */
export const SCORE_KINDS = "MusicXML (.musicxml, .xml, .mxl), MIDI (.mid) and ABC (.abc)";

/** `MThd`, and `RIFF`, in which MIDI is sometimes wrapped. */
const MIDI_STARTS = [[0x4d, 0x54, 0x68, 0x64], [0x52, 0x49, 0x46, 0x46]] as const;

/** What {@linkcode ReadScoreOptions} may hold. */
export const READ_SCORE_OPTIONS = { file: A_TEXT, largestBytes: A_NUMBER };

/**
 * Reads a score from bytes, as MusicXML (plain or zipped), MIDI or ABC, whichever the content is.
 *
 * @param bytes the file
 * @param options name of the file
 * @returns the score
 * @throws {InputError} when the content is none of these kinds, and for whatever its reader refuses
 *
 * @example
 * ```ts
 * import { readScoreBytes } from "ripieno/formats";
 * import { assertEquals } from "@std/assert";
 * const bytes = new TextEncoder().encode("X:1\nT:Two notes\nM:2/4\nL:1/4\nK:C\nC E |]\n");
 * assertEquals(readScoreBytes(bytes).title, "Two notes");
 * ```
 */
export function readScoreBytes(bytes: Uint8Array, options: ReadScoreOptions = {}): Score {
  checkArgument("read the score", bytes, BYTES);
  checkOptions("read the score", options, READ_SCORE_OPTIONS);
  const { file } = options;
  const name = file === undefined ? {} : { file };
  if (bytes.length === 0) throw unknownContent("it is empty", file);
  if (isZip(bytes)) return readMxl(bytes, options);
  if (MIDI_STARTS.some((start) => start.every((byte, i) => bytes[i] === byte))) {
    return readMidi(bytes, name);
  }
  const head = startOf(bytes, file);
  if (head.startsWith("<")) return readMusicXml(bytes, options);
  if (head.startsWith("%abc") || /(^|[\r\n])[XK]:/.test(head)) {
    return readAbc(bytes, name);
  }
  throw unknownContent("its content is no score that this library knows", file);
}

function unknownContent(problem: string, file: string | undefined): InputError {
  return refusals("read the score", { file })(problem, `The kinds it reads are ${SCORE_KINDS}`);
}

/** The first characters of a text file, without white space before them. */
function startOf(bytes: Uint8Array, file: string | undefined): string {
  const pieces = decodePieces(bytes.subarray(0, 4096), { file });
  return [...pieces].join("").trimStart();
}
