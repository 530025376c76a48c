/** Files finished in a staging folder and then moved into their own, all or none. */
import { copyFile, link, mkdir, readFile, rename, rm, rmdir, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { faultOf } from "../../base/fault_code.ts";
import { folderRefusal } from "./folder_refusal.ts";
import { type FolderLockOptions, hasFolderLock, withFolderLock } from "./folder_lock.ts";
import { markAt, markOf, standing, standingItself } from "./standing.ts";
import type { FileToWrite } from "./file_to_write.ts";

/** The staging folder. It holds `new` (what is to come), `old` (what it replaces) and, while files move, the moves. */
export const STAGE = ".ripieno.part";

/** What is to change in a folder. */
export interface FolderChange {
  /** Files to put there; those of these names are replaced. */
  readonly put: readonly FileToWrite[];
  readonly remove?: readonly string[];
}

/** Files on their way: enough to bring them back after the process was killed. */
interface Moves {
  /** The mark of what comes; null where a file is removed. */
  readonly files: readonly { readonly name: string; readonly mark: string | null }[];
  /** Folders in the folder that were not there. */
  readonly folders: readonly string[];
}

/**
 * Changes a folder, wholly or not at all. A folder that is not there is finished under another name and moved
 * as a whole; in one that is there, files are finished in a staging folder inside it and then moved. When
 * anything fails, all stands as before; what a killed process left is put back first. `changeOf` is asked for
 * what is to change while nobody else writes there.
 */
export async function placeFiles(
  base: string,
  changeOf: () => Promise<FolderChange>,
  options: FolderLockOptions = {},
): Promise<void> {
  const made: string[] = [];
  try {
    for (let isDone = false; !isDone;) {
      const parent = dirname(base);
      if (await isFolder(base)) {
        await withFolderLock(base, () => replaceWithin(base, changeOf, options), options);
        // A process may have been killed just after it had moved the whole folder here.
        if (await hasFolderLock(parent)) {
          await withFolderLock(parent, () => clearStage(parent), options).catch(() => undefined);
        }
        return;
      }
      await makeFolder(parent, made);
      isDone = await withFolderLock(parent, () => makeWhole(base, changeOf, options), options);
    }
  } catch (error) {
    for (const folder of made.reverse()) await rmdir(folder).catch(() => undefined);
    throw error;
  }
}

/** A folder from nothing, moved as a whole; false when somebody else has made it meanwhile. */
async function makeWhole(
  base: string,
  changeOf: () => Promise<FolderChange>,
  { signal }: FolderLockOptions,
): Promise<boolean> {
  if (await isFolder(base)) return false;
  const parent = dirname(base);
  await clearStage(parent);
  const { put } = await changeOf();
  const fresh = join(parent, STAGE, "new");
  try {
    await writeAll(fresh, put, signal);
    await rename(fresh, base);
  } finally {
    await removeStage(parent);
  }
  return true;
}

async function replaceWithin(
  base: string,
  changeOf: () => Promise<FolderChange>,
  { signal }: FolderLockOptions,
): Promise<void> {
  await clearStage(base);
  const { put, remove = [] } = await changeOf();
  try {
    await writeAll(join(base, STAGE, "new"), put, signal);
    const moves = await movesFor(base, put, remove);
    await writeMoves(base, moves);
    await moveAll(base, moves);
  } catch (error) {
    await clearStage(base);
    throw error;
  }
  await rm(movesPath(base)); // from here on the new files are the ones that count
  await removeStage(base).catch(() => undefined);
}

/** Puts back what was under way when a process ended, and removes what it left. */
async function clearStage(base: string): Promise<void> {
  const { files, folders } = await readMoves(base);
  for (const { name, mark } of files) {
    const [target, old] = [join(base, name), stagedAt(base, "old", name)];
    const hasOld = await standingItself(old) !== undefined;
    if (mark === null) {
      if (hasOld && await standingItself(target) === undefined) await rename(old, target);
    } else if (
      await standingItself(stagedAt(base, "new", name)) === undefined && await markAt(target) === mark
    ) {
      await (hasOld ? rename(old, target) : rm(target));
    }
  }
  for (const folder of folders.toReversed()) await rmdir(join(base, folder)).catch(() => undefined);
  await removeStage(base);
}

async function removeStage(base: string): Promise<void> {
  const stage = join(base, STAGE);
  // A link of this name is not ours to follow.
  if ((await standingItself(stage))?.isDirectory) await rm(stage, { recursive: true });
}

async function writeAll(
  folder: string,
  files: readonly FileToWrite[],
  signal: AbortSignal | undefined,
): Promise<void> {
  await mkdir(folder, { recursive: true });
  for (const { name, content } of files) {
    signal?.throwIfAborted();
    const path = join(folder, name);
    await mkdir(dirname(path), { recursive: true });
    await writeFile(path, content);
  }
  signal?.throwIfAborted();
}

async function movesFor(
  base: string,
  put: readonly FileToWrite[],
  remove: readonly string[],
): Promise<Moves> {
  const folders: string[] = [];
  for (const folder of foldersOf(put.map((file) => file.name))) {
    const there = await standing(join(base, folder));
    if (there === undefined) folders.push(folder);
    else if (!there.isDirectory) throw faultOf("ENOTDIR", folder);
  }
  for (const { name } of put) {
    if ((await standingItself(join(base, name)))?.isDirectory) throw faultOf("EISDIR", name);
  }
  const coming = put.map(({ name, content }) => ({ name, mark: markOf(content) }));
  return { files: [...coming, ...remove.map((name) => ({ name, mark: null }))], folders };
}

/** The folders that names need inside their folder, outer ones first. */
export function foldersOf(names: readonly string[]): readonly string[] {
  const all = names.flatMap((name) => {
    const steps = name.split("/").slice(0, -1);
    return steps.map((_, i) => steps.slice(0, i + 1).join("/"));
  });
  return [...new Set(all)].toSorted((a, b) => a.length - b.length);
}

async function moveAll(base: string, { files, folders }: Moves): Promise<void> {
  for (const folder of folders) await mkdir(join(base, folder));
  for (const { name, mark } of files) {
    const [target, old] = [join(base, name), stagedAt(base, "old", name)];
    if (await standingItself(target) !== undefined) {
      await mkdir(dirname(old), { recursive: true });
      // A second name for the old file, so that there is one under the first at every moment.
      await link(target, old).catch(() => copyFile(target, old));
    }
    if (mark === null) await rm(target);
    else await rename(stagedAt(base, "new", name), target);
  }
}

const movesPath = (base: string) => join(base, STAGE, "moves.json");
const stagedAt = (base: string, side: "new" | "old", name: string) => join(base, STAGE, side, name);

async function writeMoves(base: string, moves: Moves): Promise<void> {
  const path = movesPath(base);
  await writeFile(`${path}.new`, JSON.stringify(moves));
  await rename(`${path}.new`, path);
}

async function readMoves(base: string): Promise<Moves> {
  if (await standing(movesPath(base)) === undefined) return { files: [], folders: [] };
  return JSON.parse(await readFile(movesPath(base), "utf8"));
}

async function isFolder(path: string): Promise<boolean> {
  const there = await standing(path);
  if (there !== undefined && !there.isDirectory) throw faultOf("ENOTDIR", path);
  if (there === undefined && await standingItself(path) !== undefined) {
    throw folderRefusal("it is a link that leads nowhere", path);
  }
  return there !== undefined;
}

/** Makes a folder and those above it, and remembers which were not there. */
async function makeFolder(path: string, made: string[]): Promise<void> {
  if (await isFolder(path)) return;
  const above = dirname(path);
  if (above === path) throw faultOf("ENOENT", "this disk is not there");
  await makeFolder(above, made);
  await mkdir(path);
  made.push(path);
}
