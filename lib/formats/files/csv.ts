/** Tables as comma-separated text, and the tables of a score. */
import {
  A_RECORD,
  A_SCORE,
  A_TEXT,
  checkArgument,
  checkOptions,
  type Kind,
  LAYERS,
  listOf,
} from "../../base/arguments.ts";
import { refusals } from "../../base/errors.ts";
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Score, WrittenLayer } from "../../score/model.ts";
import { barBeatOf, clockOf } from "../../score/time.ts";

/** A value of a table. */
export type Cell = string | number | boolean | null | undefined;

/** A row of a table: column name and value. */
export type TableRow = Readonly<Record<string, Cell>>;

/** Options of {@linkcode tableToCsv}. */
export interface TableToCsvOptions {
  /** Columns to have in any case, and first: a table without rows then still says what it would hold. */
  readonly columns?: readonly string[];
}

/** `onsetSeconds` as `onset_seconds`. */
function snakeCase(name: string): string {
  return name.replace(/([a-z0-9])([A-Z])/g, "$1_$2").toLowerCase();
}

const ROWS = listOf(A_RECORD, "a list of rows");

/**
 * Writes rows as comma-separated text (RFC 4180, UTF-8 when saved): a header row in snake_case, lines ended by
 * CRLF, quotes where a value holds a comma, a quote or a line end. Missing values are empty. Numbers are
 * written in full; values that are no numbers (NaN, infinity) are left empty, since a spreadsheet would
 * take them for words.
 *
 * @param rows flat records; columns are those of all rows, in the order met
 * @param options columns to have in any case
 * @returns the text, ended by a line end; empty for neither rows nor columns
 * @throws {InputError} when a value is itself a list or a record, since a cell holds one value, and when two columns
 *   would have the same header
 *
 * @example
 * ```ts
 * import { tableToCsv } from "ripieno/formats";
 * import { assertEquals } from "@std/assert";
 * const text = tableToCsv([{ partName: "Horn 1, 2", onsetSeconds: 1.5 }]);
 * assertEquals(text, 'part_name,onset_seconds\r\n"Horn 1, 2",1.5\r\n');
 * ```
 */
export function tableToCsv(rows: readonly TableRow[], options: TableToCsvOptions = {}): string {
  checkArgument("write the table", rows, ROWS);
  checkOptions("write the table", options, { columns: listOf(A_TEXT, "a list of columns") });
  const columns = [...new Set([...options.columns ?? [], ...rows.flatMap((row) => Object.keys(row))])];
  if (columns.length === 0) return "";
  const fields = columns.map(snakeCase);
  refuseSameHeader(columns, fields);
  const data = rows.map((row, index) =>
    columns.map((column) => {
      const cell = row[column];
      refuseNested(cell, index, column);
      return typeof cell === "number" && !Number.isFinite(cell) ? "" : cell ?? "";
    })
  );
  return `${Papa.unparse({ fields, data }, { newline: "\r\n" })}\r\n`;
}

/** Two columns of one name would be taken for one by whoever reads the table. */
function refuseSameHeader(columns: readonly string[], fields: readonly string[]): void {
  const second = fields.findIndex((field, i) => fields.indexOf(field) < i);
  if (second < 0) return;
  const field = fields[second]!;
  const names = `"${columns[fields.indexOf(field)]}" and "${columns[second]}"`;
  const refuse = refusals("write the table");
  throw refuse(`the columns ${names} would both be called ${field}`, "Rename or leave out one of them");
}

/** A cell holds one value; `index` is that of its row. */
function refuseNested(cell: unknown, index: number, column: string): void {
  if (cell === null || (typeof cell !== "object" && typeof cell !== "function")) return;
  const noun = Array.isArray(cell) ? "a list" : typeof cell === "function" ? "a function" : "a record";
  const remedy = Array.isArray(cell)
    ? `Make text of it first, for example ${column}.join(" + ")`
    : "Give the table columns of their own for what is inside";
  const problem = `${column} of rows[${index}] is ${noun}, and a cell holds one value`;
  throw refusals("write the table")(problem, remedy);
}

/** One note of {@linkcode notesTable}. */
export interface NoteRow {
  /** Part as printed. */
  readonly part: string;
  /** Catalogue id of its instrument. */
  readonly instrument: string;
  /** Bar as printed. */
  readonly bar: string;
  /** Beat from 1. */
  readonly beat: number;
  /** Start in quarters. */
  readonly onsetQuarters: number;
  /** Length in quarters; 0 for a grace note. */
  readonly durationQuarters: number;
  /** Start in seconds. */
  readonly onsetSeconds: number;
  /** Length in seconds. */
  readonly durationSeconds: number;
  /** Sounding MIDI pitch. */
  readonly soundingPitchMidi: number;
  /** Number on the dynamic scale, 1 ppp to 8 fff. */
  readonly dynamic: number;
  /** Nearest mark. */
  readonly dynamicMark: string;
  /** Signs, joined by spaces. */
  readonly articulations: string;
  /** Way of playing. */
  readonly technique: string;
  /** Reached under a slur. */
  readonly slurred: boolean;
  /** Slashes. */
  readonly tremoloSlashes: number;
  /** Trill. */
  readonly trill: boolean;
  /** Slides and glissandi that begin here, each with its interval in semitones, as `slide +3`. */
  readonly glissandi: string;
  /** Grace note. */
  readonly grace: boolean;
  /** Cue. */
  readonly cue: boolean;
  /** No definite pitch. */
  readonly unpitched: boolean;
  /** Voice. */
  readonly voice: number;
  /** Stave. */
  readonly staff: number;
  /** Layer in a setting; empty otherwise. */
  readonly layer: string;
}

/** Rounded to a millionth, so that thirds of a beat do not fill the table. */
const millionths = (value: number): number => Math.round(value * 1e6) / 1e6;

/**
 * One row for each note of a score, in score order.
 *
 * @param score the score
 * @returns rows for {@linkcode tableToCsv} or a chart
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { notesTable } from "ripieno/formats";
 * import { assertEquals } from "@std/assert";
 * assertEquals(notesTable(demoScore()).length, demoScore().notes.length);
 * ```
 */
export function notesTable(score: Score): readonly (NoteRow & TableRow)[] {
  checkArgument("write the table", score, A_SCORE);
  const seconds = clockOf(score);
  return score.notes.map((note) => {
    const place = barBeatOf(score, note.onsetTicks);
    const onsetSeconds = seconds(note.onsetTicks);
    const part = score.parts[note.part];
    return {
      part: part?.name ?? "",
      instrument: part?.instrument ?? "",
      bar: place.bar,
      beat: millionths(place.beat),
      onsetQuarters: millionths(place.quarters),
      durationQuarters: millionths(note.durationTicks / score.ticksPerQuarter),
      onsetSeconds: millionths(onsetSeconds),
      durationSeconds: millionths(seconds(note.onsetTicks + note.durationTicks) - onsetSeconds),
      soundingPitchMidi: note.soundingPitch,
      dynamic: millionths(note.dynamic),
      dynamicMark: dynamicMark(note.dynamic),
      articulations: note.articulations.join(" "),
      technique: note.technique,
      slurred: note.slurred,
      tremoloSlashes: note.tremoloSlashes,
      trill: note.trill,
      glissandi: (note.glissandi ?? []).map((g) => `${g.kind} ${g.semitones > 0 ? "+" : ""}${g.semitones}`)
        .join(" "),
      grace: note.grace,
      cue: note.cue,
      unpitched: note.unpitched,
      voice: note.voice,
      staff: note.staff,
      layer: note.layer ?? "",
    };
  });
}

/** One layer of {@linkcode layersTable}. */
export interface LayerRow {
  /** Layer id. */
  readonly layer: string;
  /** What it is for. */
  readonly role: string;
  /** Pattern it plays. */
  readonly figure: string;
  /** Parts, joined by " + ". */
  readonly parts: string;
  /** First bar as printed. */
  readonly fromBar: string;
  /** Last bar as printed. */
  readonly toBar: string;
  /** How many bars. */
  readonly lengthBars: number;
  /** Start in seconds. */
  readonly onsetSeconds: number;
  /** Length in seconds. */
  readonly durationSeconds: number;
}

/**
 * One row for each layer of a texture, recognised or written.
 *
 * @param score the score
 * @param texture anything with layers: a texture, or a setting's own `{ layers }`
 * @returns rows for {@linkcode tableToCsv} or a chart
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { layersTable } from "ripieno/formats";
 * import { assertEquals } from "@std/assert";
 * const layers = [{ id: "a", role: "pad", figure: "held", parts: [0], fromBarIndex: 0, toBarIndex: 1 }];
 * assertEquals(layersTable(demoScore(), { layers })[0]?.lengthBars, 2);
 * ```
 */
export function layersTable(
  score: Score,
  texture: { readonly layers: readonly Omit<WrittenLayer, "passage">[] },
): readonly (LayerRow & TableRow)[] {
  checkArgument("write the table", score, A_SCORE);
  checkArgument("write the table", texture, LAYERS);
  const seconds = clockOf(score);
  return texture.layers.map((layer) => {
    const first = score.bars[layer.fromBarIndex];
    const last = score.bars[layer.toBarIndex];
    const onset = first ? seconds(first.startTicks) : 0;
    const end = last ? seconds(last.startTicks + last.durationTicks) : onset;
    return {
      layer: layer.id,
      role: layer.role,
      figure: layer.figure,
      parts: layer.parts.map((p) => score.parts[p]?.name ?? `part ${p}`).join(" + "),
      fromBar: first?.number ?? "",
      toBar: last?.number ?? "",
      lengthBars: layer.toBarIndex - layer.fromBarIndex + 1,
      onsetSeconds: millionths(onset),
      durationSeconds: millionths(end - onset),
    };
  });
}

/** A row that says something about one bar. */
export interface BarFacts {
  /** Bar index from 0. */
  readonly barIndex: number;
}

const MEASURES: Kind = {
  noun: "measures by name",
  give: "Give what measures say of bars, for example { momentum: momentum(score).perBar }",
  fits: (value) => A_RECORD.fits(value) && Object.values(value as object).every((rows) => ROWS.fits(rows)),
};

/**
 * One row for each bar of a score, with what several measures say about it side by side.
 *
 * @param score the score
 * @param measures rows per bar of each measure, by the measure's name, for example `{ momentum: study.momentum.perBar }`;
 *   a column that stands in two measures is named after its measure
 * @returns rows for {@linkcode tableToCsv} or a chart: bar as printed, start in seconds, notes that begin, then the measures
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { barsTable } from "ripieno/formats";
 * import { assertEquals } from "@std/assert";
 * const perBar = [{ barIndex: 0, attackRate: 2 }];
 * const rows = barsTable(demoScore(), { momentum: perBar });
 * assertEquals([rows[0]?.["attackRate"], rows[1]?.["attackRate"]], [2, null]);
 * ```
 */
export function barsTable(
  score: Score,
  measures: Readonly<Record<string, readonly BarFacts[]>> = {},
): readonly TableRow[] {
  checkArgument("write the table", score, A_SCORE);
  checkArgument("write the table", measures, MEASURES);
  const seconds = clockOf(score);
  const starts: number[] = score.bars.map(() => 0);
  const rows: Record<string, Cell>[] = score.bars.map((bar) => ({
    bar: bar.number,
    onsetSeconds: millionths(seconds(bar.startTicks)),
    durationSeconds: millionths(seconds(bar.startTicks + bar.durationTicks) - seconds(bar.startTicks)),
    metre: `${bar.beats}/${bar.beatUnit}`,
    rehearsal: bar.rehearsal ?? "",
  }));
  for (const note of score.notes) {
    if (!note.cue) starts[barBeatOf(score, note.onsetTicks).barIndex]! += 1;
  }
  rows.forEach((row, i) => row["notes"] = starts[i]!);
  const shared = new Set(["barIndex", "bar", "onsetSeconds"]);
  const columnsOf = (facts: readonly BarFacts[]) =>
    new Set(facts.flatMap((f) => Object.keys(f)).filter((key) => !shared.has(key)));
  const timesUsed = new Map<string, number>();
  for (const facts of Object.values(measures)) {
    for (const column of columnsOf(facts)) timesUsed.set(column, (timesUsed.get(column) ?? 0) + 1);
  }
  for (const [measure, facts] of Object.entries(measures)) {
    for (const column of columnsOf(facts)) {
      const clash = timesUsed.get(column)! > 1 || rows.some((row) => column in row);
      const name = clash ? `${measure}${column[0]!.toUpperCase()}${column.slice(1)}` : column;
      for (const row of rows) row[name] = null;
      for (const fact of facts) {
        const value = (fact as unknown as TableRow)[column];
        const row = rows[fact.barIndex];
        if (row && (value === null || typeof value !== "object")) row[name] = value;
      }
    }
  }
  return rows;
}
