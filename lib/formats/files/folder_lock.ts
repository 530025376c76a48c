/** One writer at a time in a folder. */
import { join } from "node:path";
import { folderRefusal } from "./folder_refusal.ts";
import { standingItself } from "./standing.ts";

/** The file that the writer of a folder holds; the system lets go of it when the writer ends, however it ends. */
const LOCK = ".ripieno.lock";

/** Options of {@linkcode withFolderLock}. */
export interface FolderLockOptions {
  /** Stops the wait. */
  readonly signal?: AbortSignal | undefined;
  /** How long to wait for another writer, in seconds. */
  readonly patienceSeconds?: number | undefined;
}

const MILLISECONDS_BETWEEN_TRIES = 50;

/**
 * Does some work while nobody else writes into a folder. Where the file system knows no locks, the work is done
 * without one.
 *
 * @param folder a folder that is there
 * @param work what to do
 * @param options how long to wait
 * @returns what the work gives
 * @throws {InputError} when another writer does not come to an end
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
    using file = await Deno.open(path, { create: true, write: true });
    const isFree = await file.tryLock(true).catch(() => undefined);
    // Whoever held it before has removed the file: a lock on it keeps nobody out.
    if (isFree === undefined || (isFree && await isStill(file, path))) {
      try {
        return await work();
      } finally {
        await Deno.remove(path).catch(() => undefined);
      }
    }
    if (isFree) continue;
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

/**
 * Whether somebody writes into a folder, or was killed while writing.
 *
 * @param folder a folder
 * @returns true when its lock is there
 */
export async function hasFolderLock(folder: string): Promise<boolean> {
  return await standingItself(join(folder, LOCK)) !== undefined;
}

async function isStill(file: Deno.FsFile, path: string): Promise<boolean> {
  const [held, there] = await Promise.all([file.stat(), Deno.stat(path).catch(() => undefined)]);
  return there !== undefined && held.ino === there.ino;
}
