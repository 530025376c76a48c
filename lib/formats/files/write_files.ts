/** Files written all together or not at all. */
import { A_FILE, A_TEXT, checkArgument, listOf } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { join } from "node:path";
import { type FileToWrite, problemWithName } from "./file_to_write.ts";
import { folderProblem, folderRefusal } from "./folder_refusal.ts";
import type { FolderLockOptions } from "./folder_lock.ts";
import { type FolderChange, placeFiles } from "./place_files.ts";

const FILES = listOf(A_FILE, "a list of files");

/**
 * Writes files into a folder, all or none. They are finished in a staging folder first and only then moved, so a
 * reader never sees half a file. When anything fails, or the process is killed and the folder written to again,
 * what was under way is removed, files that were replaced stand as before, and an error says why. Two that write
 * into one folder take turns.
 *
 * @param folder where to write; made when it is not there
 * @param files names and contents; existing files of these names are replaced
 * @returns paths of the written files, in order
 * @throws {InputError} when a name leaves the folder or stands twice, or the system refuses
 *
 * @example
 * ```ts
 * import { writeFiles } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const folder = await Deno.makeTempDir();
 * const paths = await writeFiles(folder, [{ name: "notes.csv", content: "part\r\n" }]);
 * assertEquals(await Deno.readTextFile(paths[0]!), "part\r\n");
 * await Deno.remove(folder, { recursive: true });
 * ```
 */
export function writeFiles(folder: string, files: readonly FileToWrite[]): Promise<readonly string[]> {
  return changeFolder(folder, files, () => Promise.resolve({ put: files }));
}

/**
 * Changes a folder by files that are put there, as {@linkcode writeFiles} does, and by what else is asked for
 * while nobody else writes there. Returns the paths of the written files.
 */
export async function changeFolder(
  folder: string,
  files: readonly FileToWrite[],
  changeOf: (base: string) => Promise<FolderChange>,
  options: FolderLockOptions = {},
): Promise<readonly string[]> {
  checkArgument("write the files", folder, A_TEXT, "the folder");
  checkArgument("write the files", files, FILES);
  const names = new Set<string>();
  for (const { name } of files) {
    const problem = problemWithName(name) ??
      (names.has(name) ? `the name "${name}" stands twice` : undefined);
    if (problem) {
      throw folderRefusal(problem, folder, "Give every file a plain name of its own inside the folder");
    }
    names.add(name);
  }
  const base = folderPath(folder);
  try {
    await placeFiles(base, () => changeOf(base), options);
  } catch (error) {
    if (error instanceof InputError || options.signal?.aborted) throw error;
    throw folderRefusal(folderProblem(error), folder);
  }
  return files.map(({ name }) => join(base, name));
}

/** A folder's path without the strokes after it; nothing is the folder one is in. */
export function folderPath(folder: string): string {
  return folder === "" ? "." : folder.replace(/(?<=.)\/+$/, "");
}
