/** What stands at a path. */
import { createHash } from "node:crypto";
import { lstat, readFile, stat } from "node:fs/promises";
import type { Stats } from "node:fs";
import { faultCode } from "../../base/fault_code.ts";

/** The system's facts about what stands at a path. */
interface Standing {
  readonly isFile: boolean;
  readonly isDirectory: boolean;
  /** A link; told only where links are not followed. */
  readonly isSymlink: boolean;
  /** The number by which the file system knows it. */
  readonly ino: number;
}

/** What stands at a path, following links; nothing where there is nothing. */
export function standing(path: string): Promise<Standing | undefined> {
  return orNothing(stat(path));
}

/** What stands at a path itself: a link is a link. */
export function standingItself(path: string): Promise<Standing | undefined> {
  return orNothing(lstat(path));
}

async function orNothing(asked: Promise<Stats>): Promise<Standing | undefined> {
  try {
    const facts = await asked;
    return {
      isFile: facts.isFile(),
      isDirectory: facts.isDirectory(),
      isSymlink: facts.isSymbolicLink(),
      ino: facts.ino,
    };
  } catch (error) {
    if (faultCode(error) === "ENOENT") return undefined;
    throw error;
  }
}

/** The mark of a content, by which it is known again: SHA-256 in hexadecimal digits. */
export function markOf(content: string | Uint8Array): string {
  return createHash("sha256").update(content).digest("hex");
}

/** The mark of a file that stands at a path; nothing where there is no file, or it is a link or a folder. */
export async function markAt(path: string): Promise<string | undefined> {
  return (await standingItself(path))?.isFile ? markOf(await readFile(path)) : undefined;
}
