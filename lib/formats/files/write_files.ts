/** Files written all together or not at all. */
import { A_FILE, A_TEXT, checkArgument, listOf } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";

/** A file to write. */
export interface FileToWrite {
  /** Name inside the folder; folders in it are made, for example `parts/Horn 1.musicxml`. */
  readonly name: string;
  /** Text (saved as UTF-8) or bytes. */
  readonly content: string | Uint8Array;
}

/** Names that would leave the folder, or that no file system takes. */
function problemWith(name: string): string | undefined {
  if (name === "" || name.endsWith("/")) return "a file has no name";
  // deno-lint-ignore no-control-regex
  if (/[\u0000-\u001f\\]/.test(name)) {
    return `the name "${name}" holds a character that file names cannot have`;
  }
  if (
    name.startsWith("/") || /^[A-Za-z]:/.test(name) ||
    name.split("/").some((s) => s === ".." || s === "." || s === "")
  ) {
    return `the name "${name}" leaves the folder`;
  }
  return undefined;
}

function refusal(problem: string, folder: string, remedy: string): InputError {
  return new InputError({ action: "write the files", problem, where: { file: folder }, remedy });
}

/** What went wrong, in the words of the operating system without its paths. */
function reason(error: unknown): string {
  if (error instanceof Deno.errors.PermissionDenied || error instanceof Deno.errors.NotCapable) {
    return "this folder may not be written to";
  }
  if (error instanceof Deno.errors.NotADirectory || error instanceof Deno.errors.AlreadyExists) {
    return "a file stands where a folder is needed";
  }
  if (error instanceof Deno.errors.IsADirectory) {
    return `a folder stands where the file ${error.message} is to go`;
  }
  const text = error instanceof Error ? error.message : String(error);
  // "File name too long (os error 36): stat '…'": the words come first.
  return `the system says "${text.split(/ \(os error|\n/)[0]!.replace(/:? ?['"]?\/\S+/g, "").trim()}"`;
}

const FILES = listOf(A_FILE, "a list of files");

/**
 * Writes files into a folder, all or none. Each is written under a temporary name beside its target; only when
 * all are complete are they renamed, so a reader never sees half a file. When anything fails, temporaries and
 * folders made on the way are removed, files that were replaced stand as before, and an error says why.
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
  checkArgument("write the files", folder, A_TEXT, "the folder");
  checkArgument("write the files", files, FILES);
  const names = new Set<string>();
  for (const { name } of files) {
    const problem = problemWith(name) ?? (names.has(name) ? `the name "${name}" stands twice` : undefined);
    if (problem) throw refusal(problem, folder, "Give every file a plain name of its own inside the folder");
    names.add(name);
  }
  const base = folder === "" ? "." : folder.replace(/(?<=.)\/+$/, "");
  const token = crypto.randomUUID();
  const made: string[] = [];
  const temporary: string[] = [];
  const kept: { readonly target: string; readonly backup: string }[] = [];
  const placed: string[] = [];
  try {
    await makeFolder(base, made);
    for (const { name, content } of files) {
      const target = `${base}/${name}`;
      await makeFolder(target.slice(0, target.lastIndexOf("/")), made);
      const path = `${target}.${token}.part`;
      temporary.push(path);
      await (typeof content === "string" ? Deno.writeTextFile(path, content) : Deno.writeFile(path, content));
    }
    for (const [i, { name }] of files.entries()) {
      const target = `${base}/${name}`;
      const before = await statOrNothing(target);
      if (before?.isDirectory) throw new Deno.errors.IsADirectory(name);
      if (before) {
        const backup = `${target}.${token}.before`;
        await Deno.link(target, backup).catch(() => Deno.copyFile(target, backup));
        kept.push({ target, backup });
      }
      await Deno.rename(temporary[i]!, target);
      placed.push(target);
    }
  } catch (error) {
    await undo({ temporary, placed, kept, made });
    throw refusal(reason(error), folder, "Choose another folder, or free the way, and try again");
  }
  for (const { backup } of kept) await Deno.remove(backup).catch(() => undefined);
  return placed;
}

/** Makes a folder and those above it, and remembers which were not there. */
async function makeFolder(path: string, made: string[]): Promise<void> {
  const steps = path.split("/");
  for (let i = 1; i <= steps.length; i++) {
    const step = steps.slice(0, i).join("/");
    if (step === "" || step === ".") continue;
    const there = await statOrNothing(step);
    if (there?.isDirectory) continue;
    if (there) throw new Deno.errors.NotADirectory(step);
    await Deno.mkdir(step);
    made.push(step);
  }
}

async function statOrNothing(path: string): Promise<Deno.FileInfo | undefined> {
  try {
    return await Deno.stat(path);
  } catch (error) {
    if (error instanceof Deno.errors.NotFound) return undefined;
    throw error;
  }
}

/** Puts everything back as it was. */
async function undo(
  state: {
    readonly temporary: readonly string[];
    readonly placed: readonly string[];
    readonly kept: readonly { readonly target: string; readonly backup: string }[];
    readonly made: readonly string[];
  },
): Promise<void> {
  const quietly = (path: string) => Deno.remove(path).catch(() => undefined);
  const replaced = new Set(state.kept.map((k) => k.target));
  for (const target of state.placed) if (!replaced.has(target)) await quietly(target);
  for (const { target, backup } of state.kept) await Deno.rename(backup, target).catch(() => undefined);
  for (const path of state.temporary) await quietly(path);
  for (const path of [...state.made].reverse()) await quietly(path);
}
