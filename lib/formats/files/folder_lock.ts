/** One writer at a time in a folder. */
import { join } from "node:path";
import { holdFile } from "../../base/hold_file.ts";
import { folderRefusal } from "./folder_refusal.ts";
import { standingItself } from "./standing.ts";

/** The file that the writer of a folder holds. */
export const LOCK = ".ripieno.lock";

/** Options of {@linkcode withFolderLock}. */
export interface FolderLockOptions {
  readonly signal?: AbortSignal | undefined;
  /** How long to wait for another writer, in seconds. */
  readonly patienceSeconds?: number | undefined;
}

const MILLISECONDS_BETWEEN_TRIES = 50;

/**
 * Does some work while nobody else writes into a folder, and refuses when another writer does not come to an
 * end. Where the file system knows no locks, the work is done without one.
 */
export async function withFolderLock<T>(
  folder: string,
  work: () => Promise<T>,
  { signal, patienceSeconds = 60 }: FolderLockOptions = {},
): Promise<T> {
  const path = join(folder, LOCK);
  const giveUp = Date.now() + patienceSeconds * 1000;
  while (true) {
    signal?.throwIfAborted();
    const held = await holdFile(path);
    if (held !== undefined) {
      try {
        return await work();
      } finally {
        await held.release();
      }
    }
    if (Date.now() > giveUp) {
      throw folderRefusal(
        "another study is being written into it",
        folder,
        "Wait until that has ended, or choose another folder",
      );
    }
    await new Promise((resolve) => setTimeout(resolve, MILLISECONDS_BETWEEN_TRIES));
  }
}

/** Whether somebody writes into a folder, or was killed while writing. */
export async function hasFolderLock(folder: string): Promise<boolean> {
  return await standingItself(join(folder, LOCK)) !== undefined;
}
