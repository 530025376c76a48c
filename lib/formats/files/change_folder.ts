/** A folder changed by files that are put there, all together or not at all. */
import { A_FILE, A_TEXT, checkArgument, listOf } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { join } from "node:path";
import { type FileToWrite, problemWithName } from "./file_to_write.ts";
import { folderProblem, folderRefusal } from "./folder_refusal.ts";
import type { FolderLockOptions } from "./folder_lock.ts";
import { type FolderChange, placeFiles } from "./place_files.ts";

const FILES = listOf(A_FILE, "a list of files");

/**
 * Changes a folder by files that are put there, as `writeFiles` does, and by what else is asked for
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
