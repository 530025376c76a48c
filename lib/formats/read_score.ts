/** Any score file. Who reads none does not wait for its readers: they are loaded when a file is read. */
import type { Score } from "../score/model.ts";
import type { ReadScoreOptions } from "./read_score_bytes.ts";

/**
 * Reads a score file: MusicXML (plain or zipped), MIDI or ABC. The content decides, not the file's ending.
 *
 * @param path path of the file
 * @param options another name for the file in messages and in `score.source`; by default its own name
 * @returns the score
 * @throws {InputError} when there is no such file, when it is a folder or may not be read, when its content
 *   is none of these kinds, and for whatever its reader refuses
 *
 * @example
 * ```ts
 * import { readScore } from "ripieno";
 * import { assertRejects } from "@std/assert";
 * await assertRejects(() => readScore("no_such_file.musicxml"), Error, "there is no such file");
 * ```
 */
export async function readScore(path: string, options: ReadScoreOptions = {}): Promise<Score> {
  const { readScoreFile } = await import("./score_file.ts");
  return readScoreFile(path, options);
}
