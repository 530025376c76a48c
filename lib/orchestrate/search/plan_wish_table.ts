/** What is asked of plans as a table: a row for each passage, and one for the whole. */
import { A_RECORD, A_TEXT, checkArgument, checkOptions } from "../../base/arguments.ts";
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import { A_CONTOUR_WISH, type ContourWish } from "../../measures/contour/contour_shapes.ts";
import { readRows, type TableFields, type TableKind } from "../../instruments/table_rows.ts";
import { partsJoined } from "../plan/plan_row.ts";
import type { PassageAsked, PlanWishes } from "./plan_wishes.ts";

const COLUMNS = [
  "passage",
  "from_bar",
  "to_bar",
  "momentum",
  "lead_at_least",
  "fullness_at_least",
  "dynamic",
  "lead",
  "play",
  "rest",
  "favour",
  "freshness_at_least",
  "contour",
  "contour_at_least",
  "findings_at_most",
  "brass_at_most",
] as const;

type WishColumn = (typeof COLUMNS)[number];

/** Columns that a row of a passage cannot have, and those that the row of the whole cannot have. */
const OF_THE_WHOLE: readonly WishColumn[] = [
  "favour",
  "freshness_at_least",
  "contour",
  "contour_at_least",
  "findings_at_most",
  "brass_at_most",
];
const OF_A_PASSAGE: readonly WishColumn[] = [
  "momentum",
  "lead_at_least",
  "fullness_at_least",
  "dynamic",
  "lead",
];

const KIND: TableKind<WishColumn> = {
  action: "read the wishes for plans",
  noun: "a table of wishes for plans",
  each: "passage",
  columns: COLUMNS,
  required: ["passage", "from_bar", "to_bar"],
};

/** Options of {@linkcode readPlanWishes}. */
export interface ReadPlanWishesOptions {
  /** Name of the file, for messages. */
  readonly file?: string;
}

/**
 * Reads what is asked of plans from a table (CSV; semicolons and tabs will do). A row is a passage: `passage` (its name),
 * `from_bar`, `to_bar` and, where wished, `momentum` (driving attacks per second), `lead_at_least` (share of its loudness
 * that the lead keeps), `fullness_at_least` (0 to 1), `dynamic` of the lead, and parts that `lead`, `play` or `rest`, joined by " + ". A row without bars
 * is for the whole: parts that `play` somewhere, `rest` throughout or are liked (`favour`), `freshness_at_least`,
 * `contour` (`rise`, `fall`, `arch`, `bowl`, or heights such as `1 3 2`) with `contour_at_least`, `findings_at_most` and `brass_at_most` (share of the bars in which any one brass part plays).
 *
 * @param text the table
 * @param options name of the file
 * @returns wishes, for `search`
 * @throws {InputError} with row and column, when the table cannot be used
 *
 * @example
 * ```ts
 * import { readPlanWishes } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const wishes = readPlanWishes(`passage,from_bar,to_bar,momentum,lead_at_least,lead,rest,brass_at_most
 * Calm water,1,8,1,0.5,Oboe 1,Trumpets + Trombones,
 * Rapids,17,24,5,0.4,,,
 * whole,,,,,,,0.5`);
 * assertEquals(wishes.passages.map((p) => [p.name, p.momentum]), [["Calm water", 1], ["Rapids", 5]]);
 * assertEquals(wishes.brassAtMost, 0.5);
 * ```
 */
export function readPlanWishes(text: string, options: ReadPlanWishesOptions = {}): PlanWishes {
  checkArgument(KIND.action, text, A_TEXT);
  checkOptions(KIND.action, options, { file: A_TEXT });
  const passages: PassageAsked[] = [];
  let whole: Omit<PlanWishes, "passages"> = {};
  let wholeRow: number | undefined;
  for (const row of readRows(text, KIND, options.file)) {
    if (row.field("from_bar") !== "" || row.field("to_bar") !== "") {
      passages.push(passageOf(row));
      continue;
    }
    if (wholeRow !== undefined) {
      throw row.error(
        "from_bar",
        "a second row has no bars",
        `Only one row, here row ${wholeRow}, is for the whole`,
      );
    }
    wholeRow = row.where.row;
    whole = wholeOf(row);
  }
  return { passages, ...whole };
}

function refuseOthers(
  { field, error }: TableFields<WishColumn>,
  columns: readonly WishColumn[],
  instead: string,
): void {
  const strange = columns.find((c) => field(c) !== "");
  if (strange !== undefined) {
    throw error(strange, `it stands in the row of ${instead}`, "Leave it empty there");
  }
}

function passageOf(row: TableFields<WishColumn>): PassageAsked {
  const { field, error } = row;
  refuseOthers(row, OF_THE_WHOLE, "a passage, and is for the whole");
  const bar = (column: "from_bar" | "to_bar") => {
    const text = field(column);
    if (!/^\d+$/.test(text)) {
      throw error(column, `"${text}" is not the number of a bar`, "Write it as printed, such as 17");
    }
    return Number(text);
  };
  const [fromBar, toBar] = [bar("from_bar"), bar("to_bar")];
  if (toBar < fromBar) throw error("to_bar", `bar ${toBar} comes before bar ${fromBar}`, "Swap them");
  return {
    name: field("passage") || `bars ${fromBar} to ${toBar}`,
    fromBar,
    toBar,
    ...numberIn(row, "momentum", "momentum"),
    ...numberIn(row, "lead_at_least", "leadAtLeast"),
    ...numberIn(row, "fullness_at_least", "fullnessAtLeast"),
    ...(field("dynamic") === "" ? {} : { dynamic: field("dynamic") }),
    ...partsIn(row, ["lead", "play", "rest"]),
  };
}

function wholeOf(row: TableFields<WishColumn>): Omit<PlanWishes, "passages"> {
  refuseOthers(row, OF_A_PASSAGE, "the whole, and is for a passage");
  return {
    ...numberIn(row, "freshness_at_least", "freshnessAtLeast"),
    ...contourIn(row),
    ...numberIn(row, "contour_at_least", "contourAtLeast"),
    ...numberIn(row, "findings_at_most", "findingsAtMost"),
    ...numberIn(row, "brass_at_most", "brassAtMost"),
    ...partsIn(row, ["play", "rest", "favour"]),
  };
}

/** A contour: a shape by name, or heights with spaces between. */
function contourIn({ field, error }: TableFields<WishColumn>): { readonly contour?: ContourWish } {
  const text = field("contour").trim();
  if (text === "") return {};
  const contour = /^[a-z]+$/.test(text) ? text : text.split(/\s+/).map((h) => Number(h.replace(",", ".")));
  if (A_CONTOUR_WISH.fits(contour)) return { contour: contour as ContourWish };
  throw error("contour", `"${text}" is no shape`, `Write ${A_CONTOUR_WISH.noun}, such as 1 3 2`);
}

function numberIn<Name extends string>(
  { field, error }: TableFields<WishColumn>,
  column: WishColumn,
  name: Name,
): { readonly [N in Name]?: number } {
  const text = field(column).trim();
  if (text === "") return {};
  const value = Number(text.replace(",", "."));
  if (!Number.isFinite(value)) throw error(column, `"${text}" is not a number`, "Write it as 0.5 or 4");
  return { [name]: value } as { readonly [N in Name]: number };
}

function partsIn<Name extends WishColumn>(
  { field }: TableFields<WishColumn>,
  names: readonly Name[],
): { readonly [N in Name]?: readonly string[] } {
  const given = names.filter((name) => field(name) !== "").map((name) => [name, partsJoined(field(name))]);
  return Object.fromEntries(given) as { readonly [N in Name]?: readonly string[] };
}

/**
 * Writes what is asked of plans as the table that {@linkcode readPlanWishes} reads, without columns in which nothing stands.
 *
 * @param wishes the wishes
 * @returns CSV text
 *
 * @example
 * ```ts
 * import { readPlanWishes, writePlanWishes } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const wishes = { passages: [{ name: "Calm", fromBar: 1, toBar: 8, momentum: 1 }], brassAtMost: 0.5 };
 * assertEquals(readPlanWishes(writePlanWishes(wishes)), wishes);
 * ```
 */
export function writePlanWishes(wishes: PlanWishes): string {
  checkArgument("write the wishes for plans", wishes, A_RECORD);
  const joined = (parts: readonly string[] | undefined) => parts?.join(" + ") ?? "";
  const {
    passages = [],
    freshnessAtLeast,
    contour,
    contourAtLeast,
    findingsAtMost,
    brassAtMost,
    play,
    rest,
    favour,
  } = wishes;
  const rows: Readonly<Record<string, string | number>>[] = passages.map((p) => ({
    passage: p.name,
    from_bar: p.fromBar,
    to_bar: p.toBar,
    momentum: p.momentum ?? "",
    lead_at_least: p.leadAtLeast ?? "",
    fullness_at_least: p.fullnessAtLeast ?? "",
    dynamic: p.dynamic ?? "",
    lead: joined(p.lead),
    play: joined(p.play),
    rest: joined(p.rest),
  }));
  const whole = {
    play: joined(play),
    rest: joined(rest),
    favour: joined(favour),
    freshness_at_least: freshnessAtLeast ?? "",
    contour: contour === undefined ? "" : typeof contour === "string" ? contour : contour.join(" "),
    contour_at_least: contourAtLeast ?? "",
    findings_at_most: findingsAtMost ?? "",
    brass_at_most: brassAtMost ?? "",
  };
  if (Object.values(whole).some((v) => v !== "")) rows.push({ passage: "whole", ...whole });
  const columns = COLUMNS.filter((c) =>
    KIND.required.includes(c) || rows.some((row) => row[c] !== undefined && row[c] !== "")
  );
  return Papa.unparse(rows, { columns, newline: "\n" }) + "\n";
}
