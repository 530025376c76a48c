/** What a study may touch: named file by file and folder by folder before it starts. */
import { fileURLToPath } from "node:url";
import { basename, dirname, isAbsolute, join, relative, resolve } from "node:path";
import { LOCK } from "../../lib/formats/files/folder_lock.ts";
import { STAGE } from "../../lib/formats/files/place_files.ts";
import { folderPath } from "../../lib/formats/files/change_folder.ts";
import type { Request } from "../../lib/request.ts";
import { PROJECT } from "./run_command.ts";

/** What lies beside or in a folder while it is written: who writes there, and what is not finished yet. */
const UNDER_WAY = [LOCK, STAGE];

/** What the workers of a survey are made of: unlike a program itself, a worker loads only what the program may read. */
const OF_WORKERS = ["lib", "data", "node_modules"].map((name) => join(PROJECT, name));

/** Rights of a process that may do nothing but compute and print: no network, no environment, no other program. */
const NONE = ["--no-prompt", "--deny-import"];

/**
 * The rights of a study, as words for `deno run`: it reads the files it names, the folder it writes into and, where that
 * is new, the folder in which it is made; it writes into that folder alone, and the two names beside it that are there
 * while it is made. A survey reads the folder of its scores, and the code and tables of the
 * project, which its workers load.
 *
 * @param request what is asked for; nothing where the words were not understood
 * @param folder the folder it is asked in, without links
 * @returns permissions, and nothing that is not named there
 */
export function studyRights(request: Request | undefined, folder: string): readonly string[] {
  if (request === undefined) return NONE;
  const out = folderPath(request.out);
  const { there, fresh } = nearest(resolve(folder, out));
  const above = resolve(folder, dirname(out));
  const written = [
    fresh ?? there,
    ...[there, above].flatMap((place) => UNDER_WAY.map((name) => join(place, name))),
  ];
  const { file, otherFile, orchestraFile, rewrite, wish, chords, roles, lines, soundFont, plans, survey } =
    request;
  const scores = survey === undefined ? [] : [survey.folder, ...OF_WORKERS];
  const tables = [orchestraFile, rewrite, wish, chords, roles, lines, ...plans];
  const inputs = [file, otherFile, soundFont, ...tables, ...scores].filter((path) =>
    path !== undefined && path !== ""
  );
  const read = [...inputs.map((path) => resolve(folder, path!)), ...solver(request), there, ...written];
  return [...NONE, `--allow-read=${words(read, folder)}`, `--allow-write=${words(written, folder)}`];
}

/** The file the solver of a search for plans is loaded from. */
function solver({ wish }: Request): readonly string[] {
  return wish === undefined ? [] : [fileURLToPath(import.meta.resolve("highs/runtime"))];
}

/** The path itself or the nearest above it that is there, and the first below it that is not. */
function nearest(path: string): { readonly there: string; readonly fresh: string | undefined } {
  if (isThere(path) || dirname(path) === path) return { there: path, fresh: undefined };
  const { there, fresh } = nearest(dirname(path));
  return { there, fresh: fresh ?? path };
}

function isThere(path: string): boolean {
  try {
    Deno.lstatSync(path);
    return true;
  } catch {
    return false;
  }
}

function words(paths: readonly string[], folder: string): string {
  const all = paths.flatMap((path) => [path, withoutLinks(path)]);
  return [...new Set(all.map((path) => word(path, folder)))].join(",");
}

/** Where a path leads: the system asks about that too. */
function withoutLinks(path: string): string {
  try {
    return Deno.realPathSync(path);
  } catch {
    return dirname(path) === path ? path : join(withoutLinks(dirname(path)), basename(path));
  }
}

/** A path as a permission names it. It cannot hold a comma: where one does, the folder above it is named. */
function word(path: string, folder: string): string {
  const within = relative(folder, path);
  let named = within.startsWith("..") || isAbsolute(within) ? path : within || ".";
  while (named.includes(",")) named = dirname(named);
  return named;
}
