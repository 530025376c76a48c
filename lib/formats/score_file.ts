/** The file of a score, found and read. */
import { A_TEXT, checkArgument, checkOptions } from "../base/arguments.ts";
import type { Score } from "../score/model.ts";
import { readBytes } from "./files/read_bytes.ts";
import { LARGEST_BYTES } from "./musicxml/read/read_musicxml.ts";
import {
  READ_SCORE_OPTIONS,
  readScoreBytes,
  type ReadScoreOptions,
  SCORE_KINDS,
} from "./read_score_bytes.ts";

/** Reads what `readScore` is asked for. */
export async function readScoreFile(path: string, options: ReadScoreOptions): Promise<Score> {
  checkArgument("read the score", path, A_TEXT, "the path");
  checkOptions("read the score", options, READ_SCORE_OPTIONS);
  const { largestBytes = LARGEST_BYTES } = options;
  const file = options.file ?? (path.split(/[\\/]/).at(-1) || path);
  const bytes = await readBytes(path, {
    action: "read the score",
    largestBytes,
    ifMissing: `Check the path. The kinds it reads are ${SCORE_KINDS}`,
    ifFolder: `Name a file in it. The kinds it reads are ${SCORE_KINDS}`,
    ifLarge: "Split the score into movements",
  });
  return readScoreBytes(bytes, { ...options, file });
}
