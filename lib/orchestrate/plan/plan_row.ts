/** One layer of a plan as people write it, in a table or in JSON: the same words, the same refusals. */
import type { TableFields } from "../../instruments/table_rows.ts";
import type { Technique } from "../../score/model.ts";
import type { Figure } from "../../texture/figures.ts";
import { columnOf, EXTRA_FIELDS, type LayerExtras } from "./extra_columns.ts";
import { readDynamics } from "./layer_dynamics.ts";
import {
  articulationOf,
  type Assignment,
  assignmentOf,
  GIVEN_ROLES,
  type LayerArticulation,
  type Passage,
  type PlanColumn,
} from "./plan.ts";

/** A layer with its fields by column; an empty field is as usual. */
export interface PlanRow extends TableFields<PlanColumn> {
  readonly parts: readonly string[];
  /** Figures of somebody's own that it may name. */
  readonly figures: readonly Figure[];
}

/** Part names joined by " + ". */
export function partsJoined(text: string): readonly string[] {
  return text.split("+").map((part) => part.trim()).filter((part) => part !== "");
}

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

/** A layer with the passage it stands in. */
interface PlanLayer extends Omit<Passage, "assignments"> {
  readonly assignment: Assignment;
}

/** Reads a layer; refuses what is wrong with it. */
export function readRow(row: PlanRow): PlanLayer {
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

/** A whole number of a row; refuses what is none. */
export function wholeNumber({ field, error }: PlanRow, column: "from_bar" | "to_bar" | "octave"): number {
  const value = field(column);
  if (value === "") throw error(column, "no bar is given", "Write the bar's number as printed");
  if (/^[+-]?\d{1,9}$/.test(value)) return Number(value);
  throw error(
    column,
    `"${value}" is not a whole number`,
    "Write bar numbers as printed and octaves as -1, 0, 1",
  );
}

/** What a row asks of a layer; refuses what the library does not know. */
export function readAssignment(row: PlanRow): Assignment {
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
    parts: row.parts,
    articulation: articulationOf(stroke.toLowerCase()) ?? stroke as LayerArticulation,
    ...dynamics,
    octave: field("octave") === "" ? null : wholeNumber(row, "octave"),
    technique: Object.hasOwn(PRINTED_TECHNIQUES, manner) ? PRINTED_TECHNIQUES[manner]! : manner as Technique,
    ...Object.fromEntries(EXTRA_FIELDS.map((extra) => [extra, field(columnOf(extra))])) as LayerExtras,
    where,
  };
  return assignmentOf(choices, {
    figures: row.figures,
    tell: ({ problem, column, remedy }) => {
      throw error(column, problem, remedy);
    },
  });
}
