/** The list a study leaves in its folder of what it wrote there: by it, the next one tells its own from the user's. */
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { foldersOf } from "./place_files.ts";
import { markAt, markOf, standing } from "./standing.ts";
import { type FileToWrite, problemWithName } from "./file_to_write.ts";

/** Its name in the folder. */
export const LIST = ".ripieno.json";

/** What was written into a folder. */
interface FolderList {
  /** Each file, and the mark of what was written. */
  readonly files: readonly { readonly name: string; readonly mark: string }[];
  readonly folders: readonly string[];
}

const NOTHING: FolderList = { files: [], folders: [] };

/** Reads the list of a folder. One that is not there, or cannot be read, lists nothing: then nothing is ours. */
export async function readFolderList(base: string): Promise<FolderList> {
  try {
    const { files, folders } = JSON.parse(await readFile(join(base, LIST), "utf8")) as FolderList;
    return {
      files: files.filter(({ name, mark }) =>
        problemWithName(name) === undefined && typeof mark === "string"
      ),
      folders: folders.filter((name) => problemWithName(name) === undefined),
    };
  } catch {
    return NOTHING;
  }
}

/** The list as a file, for files that are to be put into a folder. What was there `before` stays on it. */
export async function folderListFile(
  base: string,
  files: readonly FileToWrite[],
  before: FolderList,
): Promise<FileToWrite> {
  const wanted = foldersOf([...files, ...before.files].map((file) => file.name));
  const folders: string[] = [];
  for (const folder of new Set([...before.folders, ...wanted])) {
    const isThere = await standing(join(base, folder)) !== undefined;
    // One of ours stays on the list while it stands: this study may be killed before it is cleared away.
    if (before.folders.includes(folder) ? isThere || wanted.includes(folder) : !isThere) folders.push(folder);
  }
  const marked = files.map(({ name, content }) => ({ name, mark: markOf(content) }));
  const list: FolderList = { files: [...marked, ...before.files], folders };
  return { name: LIST, content: `${JSON.stringify(list, null, 1)}\n` };
}

/** Whether a file stands as it was written. */
export async function isUnchanged(
  base: string,
  file: { readonly name: string; readonly mark: string },
): Promise<boolean> {
  return await markAt(join(base, file.name)) === file.mark;
}
