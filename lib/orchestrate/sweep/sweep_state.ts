/**
 * The file a sweep keeps its rows in, so that an interruption loses none: JSON lines, the first saying which sweep it
 * is, then one line per row in the order they were finished.
 */
import { createHash } from "node:crypto";
import { constants } from "node:fs";
import { type FileHandle, mkdir, open, readFile } from "node:fs/promises";
import { dirname } from "node:path";
import { InputError } from "../../base/errors.ts";
import { type HeldFile, holdFile } from "../../base/hold_file.ts";
import type { SweepRow } from "./sweep_rows.ts";

/** What a sweep is made of, each in a few letters that change when it changes. */
export type SweepMarks = Readonly<Record<string, string>>;

/** A sweep's file, open for more rows. */
export interface SweepState {
  /** Rows that were there already, by setting. */
  readonly rows: ReadonlyMap<number, SweepRow>;
  /** Adds rows at the end, and returns when they are on the disk. */
  readonly add: (rows: readonly SweepRow[]) => Promise<void>;
  /** Closes the file. */
  readonly close: () => Promise<void>;
}

interface Head {
  readonly sweep: 1;
  readonly settings: number;
  readonly marks: SweepMarks;
}

/** A short mark for each of the parts a sweep is made of. */
export function sweepMarks(parts: Readonly<Record<string, unknown>>): SweepMarks {
  const marks = Object.entries(parts).map(([name, part]) =>
    [name, createHash("sha256").update(JSON.stringify(part)).digest("hex").slice(0, 16)] as const
  );
  return Object.fromEntries(marks);
}

/**
 * Opens the file of a sweep, new or begun before. What an interruption left of a half-written line is cut off. Only
 * one sweep at a time can have the file.
 */
export async function openSweepState(
  path: string,
  sweep: { readonly settings: number; readonly marks: SweepMarks },
): Promise<SweepState> {
  const { file, held } = await openHeld(path);
  const close = async () => {
    await file.close();
    await held.release();
  };
  try {
    const { lines, end } = await wholeLines(path, file);
    let at = end;
    const head: Head = { sweep: 1, settings: sweep.settings, marks: sweep.marks };
    const add = async (records: readonly unknown[]): Promise<void> => {
      const bytes = new TextEncoder().encode(records.map((r) => `${JSON.stringify(r)}\n`).join(""));
      let written = 0;
      while (written < bytes.length) {
        const { bytesWritten } = await file.write(bytes, written, bytes.length - written, at + written);
        written += bytesWritten;
      }
      at += bytes.length;
      await file.datasync();
    };
    if (lines.length === 0) await add([head]);
    else refuseAnother(path, lines[0]!, head);
    const rows = new Map<number, SweepRow>();
    lines.slice(1).forEach((line, i) => {
      const row = rowFrom(line);
      if (row === undefined || row.setting > sweep.settings) {
        throw stateError(path, `line ${i + 2} is not a row of this sweep`, "Give another file, or remove it");
      }
      rows.set(row.setting, row);
    });
    return { rows, add, close };
  } catch (error) {
    await close();
    throw error;
  }
}

function stateError(path: string, problem: string, remedy: string): InputError {
  return new InputError({ action: "go on with the sweep", problem, where: { file: path }, remedy });
}

/** The file, open, and the file beside it that keeps other sweeps out. */
async function openHeld(path: string): Promise<{ readonly file: FileHandle; readonly held: HeldFile }> {
  try {
    await mkdir(dirname(path), { recursive: true });
    const held = await holdFile(`${path}.lock`);
    if (held === undefined) {
      throw stateError(path, "another sweep is using it", "Wait for it to end, or give another file");
    }
    try {
      return { file: await open(path, constants.O_RDWR | constants.O_CREAT), held };
    } catch (error) {
      await held.release();
      throw error;
    }
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw new InputError({
      action: "keep the rows of the sweep",
      problem: "its file cannot be opened",
      where: { file: path },
      remedy: "Give a file in a folder that may be written to",
    });
  }
}

/** The file's whole lines; a rest without a line end is cut off, and writing goes on from there. */
async function wholeLines(
  path: string,
  file: FileHandle,
): Promise<{ readonly lines: readonly string[]; readonly end: number }> {
  const bytes = await readFile(path);
  const end = bytes.lastIndexOf(10) + 1;
  // A first line that is cut short is an interrupted beginning only if it could have become ours.
  const text = new TextDecoder().decode(bytes);
  if (end === 0 && text !== "" && !text.startsWith('{"sweep":1'.slice(0, text.length))) {
    throw stateError(path, "it is not the file of a sweep", "Give another file");
  }
  if (end < bytes.length) await file.truncate(end);
  const lines = new TextDecoder().decode(bytes.subarray(0, end)).split("\n").filter((line) => line !== "");
  return { lines, end };
}

function parsed(line: string): unknown {
  try {
    return JSON.parse(line);
  } catch {
    return undefined;
  }
}

function rowFrom(line: string): SweepRow | undefined {
  const row = parsed(line) as Partial<SweepRow> | null | undefined;
  return typeof row === "object" && row !== null && Number.isInteger(row.setting) && row.setting! >= 1
    ? row as SweepRow
    : undefined;
}

function refuseAnother(path: string, line: string, own: Head): void {
  const head = parsed(line) as Partial<Head> | null | undefined;
  if (head?.sweep !== 1 || typeof head.marks !== "object" || head.marks === null) {
    throw stateError(path, "it is not the file of a sweep", "Give another file");
  }
  const theirs = head.marks;
  const names = [...new Set([...Object.keys(own.marks), ...Object.keys(theirs)])];
  const other = names.filter((name) => own.marks[name] !== theirs[name]);
  if (other.length === 0 && head.settings === own.settings) return;
  throw stateError(
    path,
    `it belongs to another sweep: ${other.join(" and ")} ${other.length === 1 ? "is" : "are"} not the same`,
    "Give another file, or remove it to begin anew",
  );
}
