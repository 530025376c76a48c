/** A folder that holds one study: what an earlier one left goes, what anybody else put there stays. */
import { realpath, rmdir } from "node:fs/promises";
import { dirname, join } from "node:path";
import { InputError } from "../../base/errors.ts";
import { faultOf } from "../../base/fault_code.ts";
import { folderListFile, isUnchanged, readFolderList } from "./folder_list.ts";
import { type FolderLockOptions, withFolderLock } from "./folder_lock.ts";
import { folderProblem, folderRefusal } from "./folder_refusal.ts";
import { standing, standingItself } from "./standing.ts";
import type { FileToWrite } from "./file_to_write.ts";
import { changeFolder, folderPath } from "./change_folder.ts";

/** Options of {@linkcode writeFolder}. */
interface WriteFolderOptions extends FolderLockOptions {
  /** Paths of files that were read for this study: they are neither replaced nor removed. */
  readonly reading?: readonly string[] | undefined;
}

/** What became of a folder. */
export interface WrittenFolder {
  /** Paths of the files written, in order. */
  readonly paths: readonly string[];
  /** Names of files of an earlier study that were removed, since this one has none of the name. */
  readonly removed: readonly string[];
  /** Names of files of an earlier study that were kept: somebody has changed them since, or they were read. */
  readonly kept: readonly string[];
}

/**
 * Writes the files of a study into a folder, all or none, and removes those of an earlier study that this one
 * does not have. A list in the folder, `.ripieno.json`, tells files of a study from all others; files that it
 * does not name, or that have been changed since, are never replaced or removed.
 */
export async function writeFolder(
  folder: string,
  files: readonly FileToWrite[],
  options: WriteFolderOptions = {},
): Promise<WrittenFolder> {
  const names = new Set(files.map((file) => file.name));
  let removed: readonly string[] = [];
  let kept: readonly string[] = [];
  let empty: readonly string[] = [];
  const changeOf = async (base: string) => {
    await refuseInTheWay(folder, [...names], options);
    const before = await readFolderList(base);
    const read = await realPaths(options.reading);
    const stale = before.files.filter((file) => !names.has(file.name));
    const ours: typeof stale[number][] = [];
    const theirs: typeof stale[number][] = [];
    for (const file of stale) {
      if (await standingItself(join(base, file.name)) === undefined) continue;
      const isRead = read.has(await realPath(join(base, file.name)));
      (!isRead && await isUnchanged(base, file) ? ours : theirs).push(file);
    }
    removed = ours.map((file) => file.name);
    kept = theirs.map((file) => file.name);
    const list = await folderListFile(base, files, { ...before, files: theirs });
    empty = before.folders.toSorted((a, b) => b.length - a.length);
    return { put: [...files, list], remove: removed };
  };
  const paths = await changeFolder(folder, files, changeOf, options);
  // A folder of an earlier study that nothing is left in; one that holds anything stays by itself.
  for (const name of empty) await rmdir(join(folderPath(folder), name)).catch(() => undefined);
  return { paths, removed, kept };
}

/**
 * Refuses a folder that cannot take a study, before there is any work: a file stands in its place or in the
 * way, or it may not be written to. Nothing stays written.
 */
export async function checkFolder(
  folder: string,
  names: readonly string[],
  options: WriteFolderOptions = {},
): Promise<void> {
  try {
    const nearest = await nearestFolder(folderPath(folder));
    await withFolderLock(nearest, () => Promise.resolve(), options); // a file that comes and goes: it may be written to
    await refuseInTheWay(folder, names, options);
  } catch (error) {
    throw error instanceof InputError ? error : folderRefusal(folderProblem(error), folder);
  }
}

/** The folder itself, or the nearest above it that is there. */
async function nearestFolder(path: string): Promise<string> {
  const there = await standing(path);
  if (there?.isDirectory) return path;
  if (there !== undefined) throw faultOf("ENOTDIR", path);
  if (await standingItself(path) !== undefined) throw folderRefusal("it is a link that leads nowhere", path);
  if (dirname(path) === path) throw faultOf("ENOENT", "this disk is not there");
  return await nearestFolder(dirname(path));
}

async function refuseInTheWay(
  folder: string,
  names: readonly string[],
  { reading }: WriteFolderOptions,
): Promise<void> {
  const base = folderPath(folder);
  if (await standing(base) === undefined) return;
  const marks = new Map((await readFolderList(base)).files.map((file) => [file.name, file.mark]));
  const read = await realPaths(reading);
  const inTheWay: string[] = [];
  for (const name of names) {
    const problem = await problemAt(base, name, marks.get(name), read);
    if (problem !== undefined) inTheWay.push(`${name} ${problem}`);
  }
  const [first, ...more] = inTheWay;
  if (first === undefined) return;
  throw folderRefusal(
    `${first}${
      more.length === 0
        ? ""
        : `, and ${more.length} more ${more.length === 1 ? "file is" : "files are"} in the way`
    }`,
    folder,
    "Choose another folder, or move away what is yours",
  );
}

/** Why a file of a study cannot go where something stands already. */
async function problemAt(
  base: string,
  name: string,
  mark: string | undefined,
  read: ReadonlySet<string>,
): Promise<string | undefined> {
  const path = join(base, name);
  const steps = name.split("/");
  for (let i = 1; i < steps.length; i++) {
    const folder = steps.slice(0, i).join("/");
    const there = await standingItself(join(base, folder));
    if (there === undefined) return undefined;
    if (there.isSymlink) return `would go through ${folder}, which is a link`;
    if (!there.isDirectory) return `needs the folder ${folder}, where a file stands`;
  }
  const there = await standingItself(path);
  if (there === undefined) return undefined;
  if (there.isDirectory) throw faultOf("EISDIR", name);
  if (there.isSymlink) return "is there already and is a link";
  if (read.has(await realPath(path))) return "is what is being studied";
  if (mark === undefined) return "is there already and not from a study";
  return await isUnchanged(base, { name, mark }) ? undefined : "has been changed since a study wrote it";
}

async function realPaths(paths: readonly string[] = []): Promise<ReadonlySet<string>> {
  return new Set(await Promise.all(paths.map(realPath)));
}

function realPath(path: string): Promise<string> {
  return realpath(path).catch(() => path);
}
