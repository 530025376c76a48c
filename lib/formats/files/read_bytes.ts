/** Files read whole, but never more than is meant. */
import { open, stat } from "node:fs/promises";
import process from "node:process";
import { InputError, refusals } from "../../base/errors.ts";
import { faultCode } from "../../base/fault_code.ts";
import { joinedBytes } from "./joined_bytes.ts";

/** What is being read, and how much of it at most. */
interface ReadBytesOptions {
  readonly action: string;
  readonly largestBytes: number;
  readonly ifMissing: string;
  readonly ifFolder: string;
  readonly ifLarge: string;
}

const PIECE = 1 << 20;

/** The path by which systems name what is piped in. No process with few rights may open it; its own input it may read. */
const OWN_INPUT = "/dev/stdin";

/** The bytes of a file, of a pipe, or of whatever else has a path. What never ends is given up at the largest size. */
export async function readBytes(path: string, options: ReadBytesOptions): Promise<Uint8Array> {
  const { action, largestBytes, ifMissing, ifFolder, ifLarge } = options;
  const refuse = refusals(action, { file: path });
  const tooLarge = () => refuse(`it is larger than ${largestBytes / 1e6} MB`, ifLarge);
  try {
    if (path !== OWN_INPUT) {
      const facts = await stat(path);
      if (facts.isDirectory()) throw refuse("it is a folder", ifFolder);
      if (facts.size > largestBytes) throw tooLarge();
    }
    const pieces: Uint8Array[] = [];
    let length = 0;
    for await (const piece of path === OWN_INPUT ? process.stdin : piecesOf(path)) {
      length += piece.length;
      if (length > largestBytes) throw tooLarge();
      pieces.push(piece);
    }
    return joinedBytes(pieces);
  } catch (error) {
    if (error instanceof InputError) throw error;
    if (/^https?:\/\//i.test(path)) {
      const remedy = "Save the file first, and give its name here";
      throw refuse("this is an address on the net, not a file", remedy);
    }
    if (faultCode(error) === "ENOENT") throw refuse("there is no such file", ifMissing);
    throw refuse("the file cannot be opened", "Check that you may read it, and that it is a file");
  }
}

async function* piecesOf(path: string): AsyncGenerator<Uint8Array> {
  await using file = await open(path);
  while (true) {
    const piece = new Uint8Array(PIECE);
    const { bytesRead } = await file.read(piece);
    if (bytesRead === 0) return;
    yield piece.subarray(0, bytesRead);
  }
}
