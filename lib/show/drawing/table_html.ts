import { InputError } from "../../base/errors.ts";
import { markup } from "./markup.ts";

/** A row of a table: a record whose fields are the columns. */
export type ShownRow = Readonly<Record<string, unknown>>;

/** How a table is written. */
export interface TableOptions {
  /** Most rows written; the rest is counted in one line below. Default 60. */
  readonly rows?: number;
  /**
   * The columns to show, in order: their names, or names with the heading of each, such as
   * `{ name: "setting", audibleShare: "lead keeps (share)" }`. Default: all.
   */
  readonly columns?: readonly string[] | Readonly<Record<string, string>>;
}

const UNITS: Readonly<Record<string, string>> = { db: "dB", hz: "Hz", khz: "kHz", bpm: "BPM", midi: "MIDI" };
/** Letters that are shown of a cell; more than any finding has, so that only endless ones are cut. */
const LONGEST_CELL = 400;
/** From this many letters on, a column wraps and keeps room to do so. */
const LONG_TEXT = 40;

/**
 * Writes rows as an HTML table. Columns are the fields of all rows in the order they first appear, headed by their
 * names in words (the exact name pops up over it). A column of numbers has one count of decimals, as many as a
 * musician reads: none from 100 on, one from 10 on and for dB, two below, more only where its largest would vanish
 * otherwise; whole numbers stay whole. Long text wraps.
 *
 * @throws {InputError} when a column is asked for that no row has
 */
export function tableHtml(rows: readonly ShownRow[], { rows: most = 60, columns: asked }: TableOptions = {}) {
  const names = [...new Set(rows.flatMap((row) => Object.keys(row)))];
  const shown = headedColumns(names, asked);
  const columns = shown.map(({ name, heading }) => column(name, heading, rows.map((row) => row[name])));
  const heads = columns.map(({ name, heading, align }) =>
    markup`<th scope="col" title="${name}" style="text-align:${align}">${words(heading)}</th>`
  );
  const body = rows.slice(0, most).map((_, i) => {
    const cells = columns.map(({ cells, align, wraps }) =>
      markup`<td style="text-align:${align}${wraps ? WRAPPED : ""}">${cells[i]}</td>`
    );
    return markup`<tr>${cells}</tr>`;
  });
  const left = rows.length - body.length;
  const more = markup`<p>… and ${left} more ${left === 1 ? "row" : "rows"} (${rows.length} in all)</p>`;
  const table = markup`<thead><tr>${heads}</tr></thead><tbody>${body}</tbody>`;
  return markup`<table style="font-variant-numeric:tabular-nums">${table}</table>${left > 0 ? more : ""}`
    .html;
}

/** The columns asked for, each with its heading; all there are where nothing is asked. */
function headedColumns(names: readonly string[], asked: TableOptions["columns"]) {
  if (asked === undefined) return names.map((name) => ({ name, heading: name }));
  const headings = Array.isArray(asked)
    ? asked.map((name: string) => [name, name] as const)
    : Object.entries(asked);
  const missing = headings.find(([name]) => !names.includes(name));
  if (missing) {
    throw new InputError({
      action: "show the table",
      problem: `it has no column "${missing[0]}"`,
      remedy: `Its columns are ${names.join(", ")}`,
    });
  }
  return headings.map(([name, heading]) => ({ name, heading }));
}

/** How a column of text wraps: the notebook's own style may forbid it. */
const WRAPPED = ";white-space:normal;min-width:14em;max-width:36em;overflow-wrap:anywhere";

/** One column: what stands in each cell, and to which side. */
function column(name: string, heading: string, values: readonly unknown[]) {
  const numbers = values.filter((value) => typeof value === "number");
  const isNumeric = numbers.length > 0 && values.every((value) => value == null || typeof value === "number");
  if (!isNumeric) {
    const cells = values.map(cellText);
    return { name, heading, align: "left", cells, wraps: cells.some((text) => text.length > LONG_TEXT) };
  }
  const decimals = decimalsFor(heading === name ? name : `${name} ${heading}`, numbers);
  const cells = values.map((value) =>
    typeof value === "number" && Number.isFinite(value) ? value.toFixed(decimals) : cellText(value)
  );
  return { name, heading, align: "right", cells, wraps: false };
}

/** Decimals of a column: a level in dB is never worth more than one. */
function decimalsFor(name: string, numbers: readonly number[]): number {
  const finite = numbers.filter(Number.isFinite).map(Math.abs);
  if (finite.every(Number.isInteger)) return 0;
  const largest = finite.reduce((a, b) => Math.max(a, b), 0);
  if (/\bdB\b/.test(words(name)) && largest >= 0.1) return 1;
  const whole = Math.floor(Math.log10(largest)) + 1;
  return largest < 0.1 ? Math.min(6, 2 - whole) : Math.max(0, Math.min(2, 3 - whole));
}

function cellText(value: unknown): string {
  const text = plainText(value);
  return text.length > LONGEST_CELL ? `${text.slice(0, LONGEST_CELL - 1)}…` : text;
}

function plainText(value: unknown): string {
  if (value === null || value === undefined) return "–";
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value === "number") {
    return String(Number.isInteger(value) ? value : Number(value.toPrecision(3)));
  }
  if (Array.isArray(value)) return value.map(plainText).join(", ");
  if (typeof value === "object") {
    return Object.entries(value).map(([name, inner]) => `${words(name)} ${plainText(inner)}`).join(", ");
  }
  return String(value);
}

/** A field's name in words; `attacksPerSecond` and `attacks_per_second` become `attacks per second`, `levelDb` becomes `level dB`. */
function words(name: string): string {
  if (name.includes(" ")) return name; // already words
  const parts = name.replace(/([a-z0-9])([A-Z])/g, "$1 $2").split(/[\s_]+/).map((part) => part.toLowerCase());
  return parts.map((part) => UNITS[part] ?? part).join(" ");
}
