/**
 * Where a survey keeps its rows while it runs and after: a folder for each content, written under another name and then
 * renamed, so that it is there whole or not at all, whoever else is at work and however a process ends.
 */
import { createHash } from "node:crypto";
import { mkdir, readdir, readFile, rename, rm, stat, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { memoOf } from "../../base/memo.ts";
import { VERSION } from "../../base/version.ts";
import { type Instrument, ownInstruments } from "../../instruments/catalogue.ts";
import { BALANCE_CONSTANTS } from "../../measures/balance/balance.ts";
import { FRESHNESS_CONSTANTS } from "../../measures/freshness/freshness.ts";
import { MOMENTUM_CONSTANTS } from "../../measures/momentum/momentum.ts";
import { PLAYABILITY_CONSTANTS } from "../../measures/playability/playability.ts";
import { DATA_TABLES } from "../../orchestrate/sweep/data_tables.ts";
import { errorRows } from "../rows/content_rows.ts";
import { parquetOf, rowsOfParquet } from "../rows/parquet.ts";
import { type AnyRow, type ContentRows, PATH, SURVEY_TABLES, type SurveyTable } from "../rows/tables.ts";

import { TABLES } from "./survey_files.ts";

/** The folder in a survey's folder that holds the rows of each content. */
export const ROWS_FOLDER = "rows";

/** What a score may take before it is given up. */
export interface ScoreLimits {
  /** Seconds of one score. */
  readonly seconds: number;
  /** Megabytes of the whole program. */
  readonly megabytes: number;
}

/** What a content is not finished under; `by` keeps those apart who work in one folder. */
const unfinished = (by: string) => `.part-${by}-`;

/** Changes with everything that rows depend on beside the content: the version, the tables, the constants, instruments of one's own. */
const markWith = memoOf((own: readonly Instrument[]) =>
  createHash("sha256").update(JSON.stringify([
    VERSION,
    SURVEY_TABLES,
    DATA_TABLES,
    own,
    [MOMENTUM_CONSTANTS, BALANCE_CONSTANTS, FRESHNESS_CONSTANTS, PLAYABILITY_CONSTANTS],
  ])).digest("hex").slice(0, 8)
);

/** The folder of a content's rows. */
function folderOf(store: string, hash: string): string {
  return join(store, `${hash}-${VERSION}-${markWith(ownInstruments())}`);
}

/** The folder of what was given up, to be tried again where more is allowed. */
function givenUpFolder(store: string, hash: string): string {
  return `${folderOf(store, hash)}-given-up`;
}

const LIMITS_FILE = "limits.json";

/** Makes a store ready, and removes what an earlier process of the same name left unfinished. */
export async function openStore(store: string, by: string): Promise<void> {
  await mkdir(store, { recursive: true });
  for (const name of await readdir(store)) {
    if (name.startsWith(unfinished(by))) await rm(join(store, name), { recursive: true, force: true });
  }
}

/** Writes the rows of a content. Where somebody else has done so meanwhile, these are the same. */
export async function keepRows(
  store: string,
  rows: ContentRows,
  { hash, by }: { readonly hash: string; readonly by: string },
): Promise<void> {
  await place(folderOf(store, hash), join(store, `${unfinished(by)}${hash}`), rows);
  await rm(givenUpFolder(store, hash), { recursive: true, force: true });
}

/** Writes a row that says why a content was given up, and what it was allowed. */
export async function keepGivenUp(
  store: string,
  error: string,
  { hash, by, limits }: { readonly hash: string; readonly by: string; readonly limits: ScoreLimits },
): Promise<void> {
  const target = givenUpFolder(store, hash);
  await rm(target, { recursive: true, force: true });
  await place(target, join(store, `${unfinished(by)}${hash}-given-up`), errorRows(hash, error), {
    [LIMITS_FILE]: JSON.stringify(limits),
  });
}

async function place(
  target: string,
  part: string,
  rows: ContentRows,
  more: Readonly<Record<string, string>> = {},
): Promise<void> {
  await rm(part, { recursive: true, force: true });
  await mkdir(part);
  for (const table of TABLES) {
    await writeFile(join(part, `${table}.parquet`), await parquetOf(table, rows[table], { without: [PATH] }));
  }
  for (const [name, text] of Object.entries(more)) await writeFile(join(part, name), text);
  try {
    await rename(part, target);
  } catch (error) {
    if (await stat(target).catch(() => undefined) === undefined) throw error;
    await rm(part, { recursive: true, force: true });
  }
}

/** Whether a content is done: it has rows, or it was given up and no more is allowed now. */
export async function isDone(store: string, hash: string, limits: ScoreLimits): Promise<boolean> {
  if (await stat(folderOf(store, hash)).catch(() => undefined) !== undefined) return true;
  try {
    const had: ScoreLimits = JSON.parse(
      await readFile(join(givenUpFolder(store, hash), LIMITS_FILE), "utf8"),
    );
    return had.seconds >= limits.seconds && had.megabytes >= limits.megabytes;
  } catch {
    return false;
  }
}

/** The rows of a content in one table; undefined where it is not done. */
export async function keptRows(
  store: string,
  hash: string,
  table: SurveyTable,
): Promise<readonly AnyRow[] | undefined> {
  for (const folder of [folderOf(store, hash), givenUpFolder(store, hash)]) {
    const file = join(folder, `${table}.parquet`);
    const bytes = await readFile(file).catch(() => undefined);
    if (bytes !== undefined) return await rowsOfParquet(table, bytes, file);
  }
  return undefined;
}
