/** Files written all together or not at all. What does it is loaded when files are written. */
import type { FileToWrite } from "./file_to_write.ts";

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
export async function writeFiles(folder: string, files: readonly FileToWrite[]): Promise<readonly string[]> {
  const { changeFolder } = await import("./change_folder.ts");
  return changeFolder(folder, files, () => Promise.resolve({ put: files }));
}
