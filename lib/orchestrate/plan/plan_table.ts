/** Plans as tables, one row per layer. */
import { A_PLAN, A_TEXT, checkArgument, checkOptions } from "../../base/arguments.ts";
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import { readRows, type TableFields, type TableKind } from "../../instruments/table_rows.ts";
import type { Technique } from "../../score/model.ts";
import {
  articulationOf,
  type Assignment,
  assignmentOf,
  GIVEN_ROLES,
  type LayerArticulation,
  type Passage,
  type Plan,
  PLAN_COLUMNS,
  type PlanColumn,
  USUAL_COLUMNS,
} from "./plan.ts";
import { dynamicsInWords, readDynamics } from "./layer_dynamics.ts";
import { EXTRA_COLUMNS, EXTRA_FIELDS, type LayerExtras } from "./extra_columns.ts";

const PLAN_KIND: TableKind<PlanColumn> = {
  action: "read the plan",
  noun: "a plan",
  each: "layer",
  columns: PLAN_COLUMNS,
  required: ["passage", "from_bar", "to_bar", "role", "parts"],
};

type PlanRow = TableFields<PlanColumn>;

/** Techniques as they are printed in parts, which plans may use as well. */
const PRINTED_TECHNIQUES: Readonly<Record<string, Technique>> = {
  "ord.": "ordinario",
  "arco": "ordinario",
  "pizz.": "pizzicato",
  "con sord.": "con sordino",
  "sul pont.": "sul ponticello",
  "harmonics": "harmonic",
  "flutter-tongue": "flutter",
  "flutter-tongued": "flutter",
};

/** Options of {@linkcode readPlan}. */
export interface ReadPlanOptions {
  /** Name of the file, for messages. */
  readonly file?: string;
  /** Name of the plan; by default the file's name without its ending. */
  readonly name?: string;
}

/**
 * Reads a plan from a table (CSV; semicolons and tabs will do), one row per layer. Columns: passage, from_bar, to_bar, role, parts, and, if
 * wanted, figure, articulation, dynamic (`mf`, `p to f`, or `p to mf to p`), octave, technique, entries (`from below`, `from above`: the
 * players of a pad, pulse or trill come in a beat apart), divisi (`divided`, `divided in three`, `divided in four`,
 * `double stops`), voicing (`close`, `open`, `spread`, `layered`, `interlocked`, `enclosed`, `family blends`). Parts are joined by ` + `. Rows with the same passage name and
 * bars make one passage.
 *
 * @param text the table
 * @param options file and plan name
 * @returns the plan
 * @throws {InputError} with row and column, when the table cannot be used
 *
 * @example
 * ```ts
 * import { readPlan } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const plan = readPlan(`passage,from_bar,to_bar,role,figure,parts,dynamic
 * Calm,1,8,lead,tune,Flute 1,mp
 * Calm,1,8,pad,held chord,Horn 1 + Horn 2 + Horn 3,p to mp`);
 * assertEquals(plan.passages[0]?.assignments.map((a) => a.role), ["lead", "pad"]);
 * ```
 */
export function readPlan(text: string, options: ReadPlanOptions = {}): Plan {
  checkArgument("read the plan", text, A_TEXT);
  checkOptions("read the plan", options, { file: A_TEXT, name: A_TEXT });
  const { file } = options;
  const name = options.name ?? (file ? file.replace(/^.*[\\/]/, "").replace(/\.[^.]*$/, "") : "plan");
  const layers = readRows(text, PLAN_KIND, file).map(readRow);
  const passages = Map.groupBy(layers, (l) => `${l.name}\n${l.fromBar}\n${l.toBar}`).values()
    .map((own): Passage => {
      const { name, fromBar, toBar } = own[0]!;
      return { name, fromBar, toBar, assignments: own.map((l) => l.assignment) };
    });
  return { name, passages: [...passages].sort((a, b) => a.fromBar - b.fromBar || a.toBar - b.toBar) };
}

interface PlanLayer extends Omit<Passage, "assignments"> {
  readonly assignment: Assignment;
}

function readRow(row: PlanRow): PlanLayer {
  const name = row.field("passage");
  if (name === "") throw row.error("passage", "the passage has no name", "Give it a name");
  const fromBar = wholeNumber(row, "from_bar");
  const toBar = wholeNumber(row, "to_bar");
  if (toBar < fromBar) {
    const problem = `the passage ends in bar ${toBar}, before it begins in bar ${fromBar}`;
    throw row.error("to_bar", problem, "Swap them");
  }
  return { name, fromBar, toBar, assignment: readAssignment(row) };
}

function wholeNumber({ field, error }: PlanRow, column: "from_bar" | "to_bar" | "octave"): number {
  const value = field(column);
  if (value === "") throw error(column, "no bar is given", "Write the bar's number as printed");
  if (/^[+-]?\d{1,9}$/.test(value)) return Number(value);
  throw error(
    column,
    `"${value}" is not a whole number`,
    "Write bar numbers as printed and octaves as -1, 0, 1",
  );
}

function readAssignment(row: PlanRow): Assignment {
  const { field, error, where } = row;
  const role = field("role").toLowerCase();
  if (role === "") throw error("role", "no role is given", `Use one of ${GIVEN_ROLES.join(", ")}`);
  const stroke = field("articulation");
  const manner = field("technique").toLowerCase() || "ordinario";
  const dynamics = readDynamics(field("dynamic") || "mf");
  if (dynamics === undefined) {
    throw error(
      "dynamic",
      `"${field("dynamic")}" has more than a start, a middle and an end`,
      'Write one dynamic, two as in "p to f" or three as in "p to mf to p", and split the passage for more',
    );
  }
  const choices = {
    role,
    ...(field("figure") === "" ? {} : { figure: field("figure") }),
    parts: field("parts").split("+").map((p) => p.trim()).filter((p) => p !== ""),
    articulation: articulationOf(stroke.toLowerCase()) ?? stroke as LayerArticulation,
    ...dynamics,
    octave: field("octave") === "" ? null : wholeNumber(row, "octave"),
    technique: Object.hasOwn(PRINTED_TECHNIQUES, manner) ? PRINTED_TECHNIQUES[manner]! : manner as Technique,
    ...Object.fromEntries(EXTRA_FIELDS.map((column) => [column, field(column)])) as LayerExtras,
    where,
  };
  return assignmentOf(choices, ({ problem, column, remedy }) => {
    throw error(column, problem, remedy);
  });
}

/**
 * Writes a plan as the table that {@linkcode readPlan} reads. Columns that say nothing but the usual are left out where
 * most plans have no need of them, such as entries.
 *
 * @param plan the plan
 * @returns CSV text
 *
 * @example
 * ```ts
 * import { demoPlans, readPlan, writePlan } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const plan = demoPlans().moving;
 * assertEquals(writePlan(readPlan(writePlan(plan))), writePlan(plan));
 * ```
 */
export function writePlan(plan: Plan): string {
  checkArgument("write the plan", plan, A_PLAN);
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
      ...Object.fromEntries(EXTRA_FIELDS.map((field) => [field, a[field] ?? EXTRA_COLUMNS[field].usual])),
    }))
  );
  const all: readonly Assignment[] = plan.passages.flatMap((p) => p.assignments);
  const extras = EXTRA_FIELDS.filter((field) =>
    all.some((a) => (a[field] ?? EXTRA_COLUMNS[field].usual) !== EXTRA_COLUMNS[field].usual)
  );
  return Papa.unparse(rows, { columns: [...USUAL_COLUMNS, ...extras], newline: "\n" }) + "\n";
}
