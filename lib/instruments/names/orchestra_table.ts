/** Orchestras as tables, one row per part. */
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import { A_TEXT, AN_ORCHESTRA_PART, checkArgument, checkOptions, listOf } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { readRows, type TableFields, type TableKind } from "../table_rows.ts";
import type { Instrument } from "../catalogue.ts";
import type { OrchestraPart } from "../orchestra.ts";
import { instrumentById } from "./instrument_by_id.ts";
import { playersOf } from "./players_of.ts";

const COLUMNS = ["part", "instrument", "players"] as const;

type OrchestraColumn = (typeof COLUMNS)[number];

const KIND: TableKind<OrchestraColumn> = {
  action: "read the orchestra",
  noun: "an orchestra",
  each: "part",
  columns: COLUMNS,
  required: ["part", "instrument"],
};

/** Most players of a part that are believed. */
const MOST_PLAYERS = 200;

/** Options of {@linkcode readOrchestra}. */
export interface ReadOrchestraOptions {
  /** Name of the file, for messages. */
  readonly file?: string;
}

/**
 * Reads an orchestra from a table (CSV; semicolons and tabs will do), one row per part in score order. Columns: part
 * (its name as printed and as plans call it), instrument (any name the catalogue knows it by, in English, Italian, German or
 * French), and, if wanted, players. Where no players are given, the part's name tells, or the usual size of a section.
 *
 * @param text the table
 * @param options file
 * @returns its parts
 * @throws {InputError} with row and column, when the table cannot be used; for an unknown instrument with the nearest
 *   of the catalogue
 *
 * @example
 * ```ts
 * import { readOrchestra } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(
 *   readOrchestra(`part,instrument,players
 * Clarinet,Klarinette in B,1
 * Cellos,violoncelli,3`),
 *   [
 *     { name: "Clarinet", instrument: "clarinet in Bb", players: 1 },
 *     { name: "Cellos", instrument: "cello", players: 3 },
 *   ],
 * );
 * ```
 */
export function readOrchestra(text: string, options: ReadOrchestraOptions = {}): readonly OrchestraPart[] {
  checkArgument(KIND.action, text, A_TEXT);
  checkOptions(KIND.action, options, { file: A_TEXT });
  const rowOf = new Map<string, number>();
  return readRows(text, KIND, options.file).map((row) => {
    const part = readPart(row);
    const name = part.name.toLowerCase();
    const before = rowOf.get(name);
    if (before !== undefined) {
      const problem = `"${part.name}" stands in row ${before} already`;
      throw row.error("part", problem, "Give each part a name of its own, such as Flute 1 and Flute 2");
    }
    rowOf.set(name, row.where.row!);
    return part;
  });
}

function readPart(row: TableFields<OrchestraColumn>): OrchestraPart {
  const name = row.field("part");
  if (name === "") throw row.error("part", "the part has no name", "Give it a name, such as Flute 1");
  if (name.includes("+")) {
    const problem = `"${name}" holds a +, by which plans join parts`;
    throw row.error("part", problem, "Name it without one");
  }
  const instrument = instrumentIn(row);
  return {
    name,
    instrument: instrument.id,
    players: playersIn(row, playersOf(name, instrument.sectionPlayers)),
  };
}

function instrumentIn(row: TableFields<OrchestraColumn>): Instrument {
  const called = row.field("instrument");
  if (called === "") throw row.error("instrument", "no instrument is given", "Name one, such as horn in F");
  try {
    return instrumentById(called);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    throw row.error("instrument", error.problem, error.remedy);
  }
}

function playersIn(row: TableFields<OrchestraColumn>, usual: number): number {
  const written = row.field("players");
  if (written === "") return usual;
  const players = /^\d{1,9}$/.test(written) ? Number(written) : 0;
  if (players >= 1 && players <= MOST_PLAYERS) return players;
  const remedy = `Write a whole number from 1 to ${MOST_PLAYERS}, or leave it empty`;
  throw row.error("players", `"${written}" is not a number of players`, remedy);
}

/**
 * Writes an orchestra as the table that {@linkcode readOrchestra} reads: one to start from.
 *
 * @param parts its parts
 * @returns CSV text
 *
 * @example
 * ```ts
 * import { orchestra, readOrchestra, writeOrchestra } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(readOrchestra(writeOrchestra(orchestra("school"))), orchestra("school"));
 * ```
 */
export function writeOrchestra(parts: readonly OrchestraPart[]): string {
  checkArgument("write the orchestra", parts, listOf(AN_ORCHESTRA_PART, "a list of parts"));
  const rows = parts.map(({ name, instrument, players }) => ({ part: name, instrument, players }));
  return `${Papa.unparse(rows, { columns: [...COLUMNS], newline: "\n" })}\n`;
}
