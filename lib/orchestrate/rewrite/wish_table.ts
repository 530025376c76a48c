/** Wishes as tables, one row per wish, in the columns of a plan. */
import { A_LIST, A_RECORD, A_TEXT, checkArgument, checkOptions } from "../../base/arguments.ts";
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import { readRows, type TableFields, type TableKind } from "../../instruments/table_rows.ts";
import { columnOf, EXTRA_FIELDS } from "../plan/extra_columns.ts";
import { dynamicsInWords } from "../plan/layer_dynamics.ts";
import { FIGURES_OF_ONES_OWN, PLAN_COLUMNS, type PlanColumn } from "../plan/plan.ts";
import { partsJoined, type PlanRow, readAssignment, wholeNumber } from "../plan/plan_row.ts";
import { definedFigures } from "../../texture/define_figure.ts";
import type { Figure } from "../../texture/figures.ts";
import { figureNameOf, type Wish, withOwnFigures } from "./wish.ts";

const WISH_KIND: TableKind<PlanColumn> = {
  action: "read the wishes",
  noun: "a table of wishes",
  each: "wish",
  columns: PLAN_COLUMNS,
  required: ["parts"],
};

/** Options of {@linkcode readWishes}. */
export interface ReadWishesOptions {
  /** Name of the file, for messages. */
  readonly file?: string;
  /** Bars of rows that name none, as printed. */
  readonly bars?: Pick<Wish, "fromBar" | "toBar">;
  /** Figures of one's own, made by `defineFigure`, which rows may name. */
  readonly figures?: readonly Figure[];
}

/**
 * Reads wishes for a finished score from a table (CSV; semicolons and tabs will do), one row per wish. Columns are those of a
 * plan: parts, from_bar and to_bar, which may be left out where `bars` are given, and, if wanted, role (`rest` to be silent), figure, articulation, dynamic, octave, technique and the
 * rest. What is empty stays as it is: without a role the parts keep their notes.
 *
 * @param text the table
 * @param options name of the file
 * @returns wishes, for `rewrite`
 * @throws {InputError} with row and column, when the table cannot be used
 *
 * @example
 * ```ts
 * import { readWishes } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const wishes = readWishes(`from_bar,to_bar,parts,role,figure,dynamic
 * 33,40,Violas + Violins II,pulse,repeated sixteenths,
 * 33,40,Horns,,,pp`);
 * assertEquals(wishes.map((w) => [w.parts, w.role, w.dynamic]), [
 *   [["Violas", "Violins II"], "pulse", undefined],
 *   [["Horns"], undefined, "pp"],
 * ]);
 * ```
 */
export function readWishes(text: string, options: ReadWishesOptions = {}): readonly Wish[] {
  checkArgument(WISH_KIND.action, text, A_TEXT);
  checkOptions(WISH_KIND.action, options, {
    file: A_TEXT,
    bars: A_RECORD,
    figures: FIGURES_OF_ONES_OWN,
  });
  const { file, bars } = options;
  const figures = definedFigures(options.figures ?? []);
  const wishes = readRows(text, WISH_KIND, file).map((row) => wishOf(row, { bars, figures }));
  return withOwnFigures(wishes, figures);
}

function wishOf(
  row: TableFields<PlanColumn>,
  { bars, figures }: {
    readonly bars: ReadWishesOptions["bars"] | undefined;
    readonly figures: readonly Figure[];
  },
): Wish {
  const { field, error } = row;
  const parts = partsJoined(field("parts"));
  if (parts.length === 0) throw error("parts", "no part is named", 'Name the parts, joined by " + "');
  const plain: PlanRow = { ...row, parts, figures };
  const isBare = bars !== undefined && field("from_bar") === "" && field("to_bar") === "";
  const span = {
    ...(isBare ? bars : { fromBar: wholeNumber(plain, "from_bar"), toBar: wholeNumber(plain, "to_bar") }),
    parts,
  };
  if (span.toBar < span.fromBar) {
    throw error("to_bar", `bar ${span.toBar} comes before bar ${span.fromBar}`, "Swap them");
  }
  const role = field("role").toLowerCase();
  if (role === "rest") return { ...span, role };
  if (role === "" && field("figure") !== "") {
    throw error(
      "role",
      `the figure "${field("figure")}" stands without a role`,
      "Give the role, for example pulse",
    );
  }
  // A lead takes every word that a wish about kept notes may have.
  const asked = readAssignment(
    role === "" ? { ...plain, field: (c) => c === "role" ? "lead" : field(c) } : plain,
  );
  const given = (column: PlanColumn) => field(column) !== "";
  return {
    ...span,
    ...(role === "" ? {} : { role: asked.role }),
    ...(given("figure") ? { figure: asked.figure } : {}),
    ...(given("articulation") ? { articulation: asked.articulation } : {}),
    ...(given("dynamic")
      ? {
        dynamic: asked.dynamic,
        dynamicEnd: asked.dynamicEnd,
        ...(asked.dynamicMiddle === undefined ? {} : { dynamicMiddle: asked.dynamicMiddle }),
      }
      : {}),
    ...(given("octave") ? { octave: asked.octave } : {}),
    ...(given("technique") ? { technique: asked.technique } : {}),
    ...Object.fromEntries(
      EXTRA_FIELDS.filter((extra) => given(columnOf(extra))).map((name) => [name, asked[name]]),
    ),
  };
}

/**
 * Writes wishes as the table that {@linkcode readWishes} reads, without columns in which nothing stands.
 *
 * @param wishes the wishes, for example those of a way that `suggest` gave
 * @returns CSV text
 *
 * @example
 * ```ts
 * import { readWishes, writeWishes } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const text = writeWishes([{ fromBar: 1, toBar: 4, parts: ["Horns"], role: "rest" }]);
 * assertEquals(text, "from_bar,to_bar,parts,role\n1,4,Horns,rest\n");
 * assertEquals(readWishes(text)[0]?.role, "rest");
 * ```
 */
export function writeWishes(wishes: readonly Wish[]): string {
  checkArgument("write the wishes", wishes, A_LIST);
  const rows = wishes.map((w) => ({
    from_bar: w.fromBar,
    to_bar: w.toBar,
    parts: w.parts.join(" + "),
    role: w.role ?? "",
    figure: figureNameOf(w) ?? "",
    articulation: w.articulation ?? "",
    dynamic: w.dynamic === undefined
      ? ""
      : dynamicsInWords({ ...w, dynamic: w.dynamic, dynamicEnd: w.dynamicEnd ?? w.dynamic }),
    octave: w.octave ?? "",
    technique: w.technique ?? "",
    ...Object.fromEntries(EXTRA_FIELDS.map((name) => [name, w[name] ?? ""])),
  }));
  const columns = Object.keys(rows[0] ?? { from_bar: 0, to_bar: 0, parts: "" }).filter((name) =>
    rows.some((row) => (row as Readonly<Record<string, unknown>>)[name] !== "") ||
    ["from_bar", "to_bar", "parts"].includes(name)
  );
  return Papa.unparse(rows, { columns, newline: "\n" }) + "\n";
}
