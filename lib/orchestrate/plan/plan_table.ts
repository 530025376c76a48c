/** Plans as text: tables with one row per layer, or JSON. */
import { A_PLAN, A_TEXT, checkArgument, checkOptions, oneOf } from "../../base/arguments.ts";
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import { readRows, type TableKind } from "../../instruments/table_rows.ts";
import { InputError } from "../../base/errors.ts";
import { definedFigures } from "../../texture/define_figure.ts";
import type { Figure } from "../../texture/figures.ts";
import { columnOf, EXTRA_COLUMNS, EXTRA_FIELDS } from "./extra_columns.ts";
import { dynamicsInWords } from "./layer_dynamics.ts";
import {
  type Assignment,
  FIGURES_OF_ONES_OWN,
  type Passage,
  type Plan,
  PLAN_COLUMNS,
  type PlanColumn,
  USUAL_COLUMNS,
} from "./plan.ts";
import { isJson, planOfJson, planToJson } from "./plan_json.ts";
import { partsJoined, readRow } from "./plan_row.ts";

const PLAN_KIND: TableKind<PlanColumn> = {
  action: "read the plan",
  noun: "a plan",
  each: "layer",
  columns: PLAN_COLUMNS,
  required: ["passage", "from_bar", "to_bar", "role", "parts"],
};

/** Options of {@linkcode readPlan}. */
export interface ReadPlanOptions {
  /** Name of the file, for messages. */
  readonly file?: string;
  /** Name of the plan; by default the one it gives itself (JSON), or the file's name without its ending. */
  readonly name?: string;
  /** Figures of one's own that the text may name, made by `defineFigure`; the plan keeps them. */
  readonly figures?: readonly Figure[];
}

/**
 * Reads a plan, from a table or from JSON; what it holds tells which.
 *
 * A table (CSV; semicolons and tabs will do) has one row per layer. Columns: passage, from_bar, to_bar, role, parts, and,
 * if wanted, figure, articulation, dynamic (`mf`, `p to f`, or `p to mf to p`), octave, technique, entries (`from below`,
 * `from above`: the players of a pad, pulse or trill come in a beat apart), divisi (`divided`, `divided in three`, `divided in four`,
 * `double stops`, of a bass of strings `half pizzicato`), voicing (`close`, `open`, `spread`, `layered`, `interlocked`, `enclosed`, `family blends`), balance (`lead clear`: the others of the passage
 * play softer until its lead is heard), hand_over (`by bar`, `by half bar`, `by beat`: the players of a pulse, figuration or run
 * take turns in the order of their names, and each lands on the first note of the next; in a single section of strings its desks do), upbeat (`eighth`, `quarter`, `dotted quarter` …: a
 * lead comes in with the upbeat to its passage, and who led before gives it away). Parts are joined by ` + `. Rows with the same
 * passage name and bars make one passage.
 *
 * JSON is a {@linkcode Plan}, whose layers may leave out what a table may and use the same words; it also holds the name, the
 * tempo (`quartersPerMinute`) and the players.
 *
 * @param text the table or the JSON
 * @param options file and plan name
 * @returns the plan
 * @throws {InputError} with row and column, or with passage, layer and field, when the text cannot be used
 *
 * @example
 * ```ts
 * import { readPlan } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const plan = readPlan(`passage,from_bar,to_bar,role,figure,parts,dynamic
 * Calm,1,8,lead,tune,Flute 1,mp
 * Calm,1,8,pad,held chord,Horn 1 + Horn 2 + Horn 3,p to mp`);
 * assertEquals(plan.passages[0]?.assignments.map((a) => a.role), ["lead", "pad"]);
 * const slow = readPlan(`{ "name": "slow", "quartersPerMinute": 60, "passages": [
 *   { "name": "Calm", "fromBar": 1, "toBar": 8, "assignments": [{ "role": "lead", "parts": ["Flute 1"] }] }
 * ] }`);
 * assertEquals(slow.passages[0]?.assignments[0]?.figure, "tune");
 * ```
 */
export function readPlan(text: string, options: ReadPlanOptions = {}): Plan {
  checkArgument("read the plan", text, A_TEXT);
  checkOptions("read the plan", options, { file: A_TEXT, name: A_TEXT, figures: FIGURES_OF_ONES_OWN });
  const { file } = options;
  const fileName = file ? file.replace(/^.*[\\/]/, "").replace(/\.[^.]*$/, "") : "plan";
  const figures = definedFigures(options.figures ?? []);
  if (isJson(text)) return planOfJson(text, { file, name: options.name, otherwise: fileName, figures });
  return planOfTable(text, { file, name: options.name ?? fileName, figures });
}

function planOfTable(
  text: string,
  { file, name, figures }: {
    readonly file: string | undefined;
    readonly name: string;
    readonly figures: readonly Figure[];
  },
): Plan {
  const layers = readRows(text, PLAN_KIND, file)
    .map((row) => readRow({ ...row, parts: partsJoined(row.field("parts")), figures }));
  const passages = Map.groupBy(layers, (l) => `${l.name}\n${l.fromBar}\n${l.toBar}`).values()
    .map((own): Passage => {
      const { name, fromBar, toBar } = own[0]!;
      return { name, fromBar, toBar, assignments: own.map((l) => l.assignment) };
    });
  return {
    name,
    passages: [...passages].sort((a, b) => a.fromBar - b.fromBar || a.toBar - b.toBar),
    ...(figures.length > 0 ? { figures } : {}),
  };
}

/** Options of {@linkcode writePlan}. */
export interface WritePlanOptions {
  /** A table (the default) or JSON, which also holds name, tempo and players. */
  readonly format?: "csv" | "json";
}

/**
 * Writes a plan as the text that {@linkcode readPlan} reads. Columns that say nothing but the usual are left out where
 * most plans have no need of them, such as entries. A table has no place for a tempo and players: a plan that has them is
 * refused as one.
 *
 * @param plan the plan
 * @param options table or JSON
 * @returns the text
 * @throws {InputError} when the plan holds what a table cannot, or an option is unknown
 *
 * @example
 * ```ts
 * import { demoPlans, readPlan, vary, writePlan } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const plan = demoPlans().moving;
 * assertEquals(writePlan(readPlan(writePlan(plan))), writePlan(plan));
 * const slow = vary(plan, { quartersPerMinute: 60 });
 * assertEquals(readPlan(writePlan(slow, { format: "json" })).quartersPerMinute, 60);
 * ```
 */
export function writePlan(plan: Plan, options: WritePlanOptions = {}): string {
  checkArgument("write the plan", plan, A_PLAN);
  checkOptions("write the plan", options, { format: oneOf(["csv", "json"]) });
  return options.format === "json" ? planToJson(plan) : planToTable(plan);
}

function planToTable(plan: Plan): string {
  const { quartersPerMinute, players } = plan;
  const what = [
    ...(quartersPerMinute === undefined ? [] : [`a tempo of ${quartersPerMinute} quarters per minute`]),
    ...(Object.keys(players ?? {}).length === 0 ? [] : ["players of its own"]),
  ];
  if (what.length > 0) {
    throw new InputError({
      action: "write the plan",
      problem: `it has ${what.join(" and ")}, and a table has no place for that`,
      where: { file: plan.name },
      remedy: 'Write it with { format: "json" }',
    });
  }
  const rows = plan.passages.flatMap((p) =>
    p.assignments.map((a) => ({
      passage: p.name,
      from_bar: p.fromBar,
      to_bar: p.toBar,
      role: a.role,
      figure: a.figure,
      parts: a.parts.join(" + "),
      articulation: a.articulation,
      dynamic: dynamicsInWords(a),
      octave: a.octave ?? "",
      technique: a.technique,
      ...Object.fromEntries(
        EXTRA_FIELDS.map((field) => [columnOf(field), a[field] ?? EXTRA_COLUMNS[field].usual]),
      ),
    }))
  );
  const all: readonly Assignment[] = plan.passages.flatMap((p) => p.assignments);
  const extras = EXTRA_FIELDS.filter((field) =>
    all.some((a) => (a[field] ?? EXTRA_COLUMNS[field].usual) !== EXTRA_COLUMNS[field].usual)
  );
  return Papa.unparse(rows, { columns: [...USUAL_COLUMNS, ...extras.map(columnOf)], newline: "\n" }) + "\n";
}
