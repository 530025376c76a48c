/** The score files below a folder, or those named, with what a survey tells them by. */
import { createHash } from "node:crypto";
import { open, readdir, stat } from "node:fs/promises";
import { join, resolve } from "node:path";
import { refusals } from "../../base/errors.ts";

/** A file that a survey takes for a score. */
export interface FoundScore {
  /** Path from the folder surveyed, or as it was named, with strokes forward. */
  readonly path: string;
  /** Where it is read. */
  readonly file: string;
  readonly bytes: number;
}

/** Endings of files that are taken for scores. */
const ENDINGS = /\.(musicxml|xml|mxl|mid|midi|abc)$/i;

/** How much of a file is read at a time. */
const PIECE = 1 << 20;

/** Letters of a hash that are kept: 128 bits. */
const HASH_LETTERS = 32;

/**
 * The score files below a folder, by their endings, or the files and folders named. Hidden ones are left out, and so is
 * what lies in `except`. Links to files are taken, links to folders are not followed, since they may lead in a circle.
 *
 * @returns sorted by path, each path once
 * @throws {InputError} when something named is not there, or no score is found
 */
export async function findScores(
  where: string | readonly string[],
  { except }: { readonly except: string },
): Promise<readonly FoundScore[]> {
  const leaveOut = resolve(except);
  const found: FoundScore[] = [];
  for (const named of typeof where === "string" ? [where] : where) {
    const facts = await stat(named).catch(() => undefined);
    if (facts === undefined) {
      throw refusals("survey the scores", { file: named })(
        "there is no such file or folder",
        "Check the name",
      );
    }
    if (facts.isDirectory()) {
      found.push(...await below(named, typeof where === "string" ? "" : asPath(named), leaveOut));
    } else found.push({ path: asPath(named), file: named, bytes: facts.size });
  }
  if (found.length === 0) {
    throw refusals("survey the scores", { file: String(where) })(
      "no score is in it",
      "Name a folder with MusicXML (.musicxml, .xml, .mxl), MIDI (.mid) or ABC (.abc) below it",
    );
  }
  const once = new Map(found.map((one) => [one.path, one]));
  return [...once.values()].sort((a, b) => a.path < b.path ? -1 : 1);
}

/** A path as rows have it, on any system. */
function asPath(path: string): string {
  return path.replaceAll("\\", "/").replace(/^(\.\/)+/, "").replace(/(?<=.)\/+$/, "");
}

async function below(folder: string, path: string, leaveOut: string): Promise<readonly FoundScore[]> {
  if (resolve(folder) === leaveOut) return [];
  const found: FoundScore[] = [];
  for (const entry of await readdir(folder, { withFileTypes: true })) {
    if (entry.name.startsWith(".")) continue;
    const [file, within] = [join(folder, entry.name), path === "" ? entry.name : `${path}/${entry.name}`];
    if (entry.isDirectory()) found.push(...await below(file, within, leaveOut));
    else if (ENDINGS.test(entry.name)) {
      const facts = await stat(file).catch(() => undefined); // a link may lead nowhere
      if (facts?.isFile()) found.push({ path: within, file, bytes: facts.size });
    }
  }
  return found;
}

/** The largest first, as they are handed out and dealt to shards; those of one size by path. */
export function largestFirst(scores: readonly FoundScore[]): readonly FoundScore[] {
  return scores.toSorted((a, b) => b.bytes - a.bytes || (a.path < b.path ? -1 : 1));
}

/** What a content is known by. */
export function hashOf(bytes: Uint8Array): string {
  return createHash("sha256").update(bytes).digest("hex").slice(0, HASH_LETTERS);
}

/** The hash of a file's content, read piece by piece; undefined where it cannot be read. */
export async function hashOfFile(file: string): Promise<string | undefined> {
  try {
    await using opened = await open(file);
    const hash = createHash("sha256");
    const piece = new Uint8Array(PIECE);
    while (true) {
      const { bytesRead } = await opened.read(piece);
      if (bytesRead === 0) return hash.digest("hex").slice(0, HASH_LETTERS);
      hash.update(piece.subarray(0, bytesRead));
    }
  } catch {
    return undefined;
  }
}
