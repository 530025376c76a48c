/** Who takes which role, passage by passage: the plan, and its table form. */
import { A_PLAN, A_RECORD, A_TEXT, checkArgument, checkOptions } from "../../base/arguments.ts";
// @ts-types="@types/papaparse"
import Papa from "papaparse";
import { InputError, type Place } from "../../base/errors.ts";
import { nearestFirst } from "../../base/nearest_first.ts";
import { DYNAMIC_MARKS, dynamicOf } from "../../score/dynamics.ts";
import type { Technique } from "../../score/model.ts";
import { figureById, figuresFor } from "../../texture/figures.ts";
import { isRole, type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { type NumberedRow, tableRows } from "./rows_of_table.ts";

/** How the strokes of a layer are begun and joined. */
export type LayerArticulation =
  | "plain"
  | "slurred"
  | "staccato"
  | "tenuto"
  | "accent"
  | "marcato"
  | "spiccato"
  | "portato";

/** Ways of writing a stroke in a plan. Tongued and détaché are the plain stroke of winds and strings. */
const STROKE_WORDS: Readonly<Record<string, LayerArticulation>> = {
  "": "plain",
  plain: "plain",
  tongued: "plain",
  "détaché": "plain",
  detache: "plain",
  slurred: "slurred",
  legato: "slurred",
  staccato: "staccato",
  tenuto: "tenuto",
  accent: "accent",
  accented: "accent",
  marcato: "marcato",
  spiccato: "spiccato",
  portato: "portato",
};

/** The words that {@linkcode articulationOf} knows. */
export const ARTICULATION_WORDS: readonly string[] = Object.keys(STROKE_WORDS).filter((w) => w !== "");

/** The articulation a word in a plan stands for, for example `tongued`; undefined where the word is none. */
export function articulationOf(word: string): LayerArticulation | undefined {
  return Object.hasOwn(STROKE_WORDS, word) ? STROKE_WORDS[word] : undefined;
}

/** What a stroke is called in code. */
const ARTICULATIONS: readonly string[] = [...new Set(Object.values(STROKE_WORDS))];

const TECHNIQUES: readonly Technique[] = [
  "ordinario",
  "pizzicato",
  "col legno",
  "con sordino",
  "sul ponticello",
  "sul tasto",
  "harmonic",
  "stopped",
  "flutter",
];

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

/** One layer of one passage. */
export interface Assignment {
  /** What the layer is for. */
  readonly role: Role;
  /** Pattern it plays, one of the figures of that role. */
  readonly figure: string;
  /** Names of the parts in it, as the orchestra names them; a plural such as `Horns` takes all numbered ones. */
  readonly parts: readonly string[];
  /** How its strokes are begun and joined. */
  readonly articulation: LayerArticulation;
  /** Dynamic at the start, ppp to fff. */
  readonly dynamic: string;
  /** Dynamic at the end, for a crescendo or diminuendo; the same as `dynamic` when steady. */
  readonly dynamicEnd: string;
  /** Octaves up or down from the tune (lead and counterline) or from the usual place; null lets the library choose. */
  readonly octave: number | null;
  /** Lasting way of playing. */
  readonly technique: Technique;
  /** Where the assignment stands in the file it was read from, for messages; one made or changed in code has none. */
  readonly where?: Place;
}

/** A span of bars in which roles stay put. */
export interface Passage {
  /** Name, printed as a rehearsal mark. */
  readonly name: string;
  /** First bar, as printed. */
  readonly fromBar: number;
  /** Last bar, as printed, inclusive. */
  readonly toBar: number;
  /** Its layers. */
  readonly assignments: readonly Assignment[];
}

/** Who takes which role. */
export interface Plan {
  /** Name. */
  readonly name: string;
  /** Passages in order. */
  readonly passages: readonly Passage[];
  /** Tempo to use instead of the sketch's, in quarter notes per minute, from 4 to 1200. */
  readonly quartersPerMinute?: number;
  /** Players per part, where they differ from the orchestra's, by part name. */
  readonly players?: Readonly<Record<string, number>>;
}

/** Roles a part can be given; parts not named rest. */
const GIVEN_ROLES = ROLE_NAMES.filter((r) => r !== "rest");

/** What an assignment must be given; the rest has defaults. */
export type AssignmentInput = Pick<Assignment, "role" | "parts"> & Partial<Omit<Assignment, "where">>;

/** What is wrong with a choice, before it is known where it was made. */
interface Slip {
  readonly problem: string;
  /** Column it would have in a table. */
  readonly column: PlanColumn;
  /** What to do about it in a table. */
  readonly remedy: string;
  /** The same in code, where that is written otherwise. */
  readonly remedyInCode?: string;
}

/**
 * An assignment with every field set: the role's usual figure, plain strokes, mezzo-forte, ordinario. It stands in no
 * file, even where it is made of one that was read.
 *
 * @param input role, parts and whatever differs from the defaults
 * @returns the assignment
 * @throws {InputError} when a value is not one the library knows, with the role and the parts that were given
 *
 * @example
 * ```ts
 * import { assign } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(assign({ role: "pad", parts: ["Horns"] }).figure, "held chord");
 * ```
 */
export function assign(input: AssignmentInput): Assignment {
  const action = "assign a role";
  checkArgument(action, input, A_RECORD);
  const { where: _row, ...choices }: AssignmentInput & Pick<Assignment, "where"> = input;
  return assignmentOf(choices, ({ problem, remedy, remedyInCode = remedy }) => {
    const { role, parts } = choices;
    const where = {
      ...isRole(role) ? { role } : {},
      ...Array.isArray(parts) ? { part: parts.join(" + ") } : {},
    };
    throw new InputError({ action, problem, where, remedy: remedyInCode });
  });
}

/** The assignment of some choices, each of which the library must know; what is wrong is told. */
function assignmentOf(
  choices: AssignmentInput & Pick<Assignment, "where">,
  tell: (slip: Slip) => never,
): Assignment {
  const { role, parts } = choices;
  if (!isRole(role) || role === "rest") {
    return tell({
      problem: `"${role}" is not a role a part can be given`,
      column: "role",
      remedy: `Use one of ${GIVEN_ROLES.join(", ")}; parts not named rest`,
    });
  }
  if (!Array.isArray(parts)) {
    return tell({
      problem: `the parts of the ${role} are not a list`,
      column: "parts",
      remedy: 'Write them as ["Flute 1", "Horns"]',
    });
  }
  if (parts.length === 0) {
    return tell({
      problem: `the ${role} is given to nobody`,
      column: "parts",
      remedy: 'Name the parts, joined by " + "',
      remedyInCode: 'Name the parts, as in ["Flute 1", "Horns"]',
    });
  }
  const { articulation = "plain", octave = null, technique = "ordinario", dynamic = "mf" } = choices;
  const { figure = figuresFor(role)[0]!.id, dynamicEnd = dynamic } = choices;
  const slip = slipOfFigure(figure, role) ?? slipOfDynamic(dynamic) ?? slipOfDynamic(dynamicEnd) ??
    slipOfManner({ articulation, octave, technique });
  if (slip) tell(slip);
  return { ...choices, role, parts, figure, articulation, dynamic, dynamicEnd, octave, technique };
}

function slipOfFigure(figure: string, role: Role): Slip | undefined {
  const ofRole = figuresFor(role).map((f) => f.id);
  if (ofRole.includes(figure)) return undefined;
  const other = figureById(figure);
  return {
    problem: other
      ? `the figure "${figure}" belongs to the role ${other.role}, not to ${role}`
      : `"${figure}" is not a figure`,
    column: "figure",
    remedy: `For ${role} use one of ${nearestFirst(figure, ofRole).map((f) => `"${f}"`).join(", ")}`,
  };
}

function slipOfDynamic(mark: string): Slip | undefined {
  if (dynamicOf(mark) !== undefined) return undefined;
  const marks = `Use one of ${DYNAMIC_MARKS.join(", ")}`;
  return {
    problem: `"${mark}" is not a dynamic`,
    column: "dynamic",
    remedy: `${marks}, or two joined by "to" as in "p to f"`,
    remedyInCode: `${marks}; where it grows or fades, dynamicEnd is the second`,
  };
}

/** Octaves from the tune or the usual place that any instrument could be asked for. */
const MOST_OCTAVES = 5;

function slipOfManner(
  { articulation, octave, technique }: Pick<Assignment, "articulation" | "octave" | "technique">,
): Slip | undefined {
  if (!ARTICULATIONS.includes(articulation)) {
    return {
      problem: `"${articulation}" is not an articulation`,
      column: "articulation",
      remedy: `Use one of ${ARTICULATION_WORDS.join(", ")}`,
      remedyInCode: `Use one of ${ARTICULATIONS.join(", ")}`,
    };
  }
  if (!TECHNIQUES.includes(technique)) {
    return {
      problem: `"${technique}" is not a technique`,
      column: "technique",
      remedy: `Use one of ${TECHNIQUES.join(", ")}`,
    };
  }
  if (octave !== null && !(Number.isInteger(octave) && Math.abs(octave) <= MOST_OCTAVES)) {
    return {
      problem: `it asks for an octave of ${octave}`,
      column: "octave",
      remedy: "Use -2, -1, 0, 1, 2 or leave it empty",
      remedyInCode: "Use -2, -1, 0, 1, 2, or null to leave it to the library",
    };
  }
  return undefined;
}

const COLUMNS = [
  "passage",
  "from_bar",
  "to_bar",
  "role",
  "figure",
  "parts",
  "articulation",
  "dynamic",
  "octave",
  "technique",
] as const;

type PlanColumn = (typeof COLUMNS)[number];

const REQUIRED_COLUMNS = ["passage", "from_bar", "to_bar", "role", "parts"] as const;

/** Options of {@linkcode readPlan}. */
export interface ReadPlanOptions {
  /** Name of the file, for messages. */
  readonly file?: string;
  /** Name of the plan; by default the file's name without its ending. */
  readonly name?: string;
}

/**
 * Reads a plan from a table (CSV; semicolons and tabs will do), one row per layer. Columns: passage, from_bar, to_bar, role, parts, and, if
 * wanted, figure, articulation, dynamic (`mf`, or `p to f`), octave, technique. Parts are joined by ` + `. Rows
 * with the same passage name and bars make one passage.
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
  const [head, ...rows] = tableRows(text);
  if (head === undefined) {
    throw planError("it has no rows", { file }, `Begin with a row that names ${REQUIRED_COLUMNS.join(", ")}`);
  }
  checkColumns(head.fields, { file, row: head.row });
  if (rows.length === 0) throw planError("it has no rows", { file }, "Write one row per layer");

  const passages = new Map<
    string,
    { name: string; fromBar: number; toBar: number; assignments: Assignment[] }
  >();
  for (const row of rows) {
    const { passage: name, fromBar, toBar, assignment } = readRow(head.fields, row, file);
    const key = `${name}\n${fromBar}\n${toBar}`;
    const passage = passages.get(key) ?? { name, fromBar, toBar, assignments: [] };
    passage.assignments.push(assignment);
    passages.set(key, passage);
  }
  return {
    name,
    passages: [...passages.values()].sort((a, b) => a.fromBar - b.fromBar || a.toBar - b.toBar),
  };
}

function planError(problem: string, where: Place, remedy: string): InputError {
  return new InputError({ action: "read the plan", problem, where, remedy });
}

function checkColumns(columns: readonly string[], where: Place): void {
  for (const column of REQUIRED_COLUMNS) {
    if (!columns.includes(column)) {
      throw planError(
        `it has no column "${column}"`,
        where,
        columns.length === 1 && where.file === undefined
          ? `Give the text of the table, not the name of its file; its first row must name ${
            REQUIRED_COLUMNS.join(", ")
          }`
          : `Its first row must name ${REQUIRED_COLUMNS.join(", ")}`,
      );
    }
  }
  columns.forEach((column, i) => {
    if (!(COLUMNS as readonly string[]).includes(column)) {
      throw planError(
        `"${column}" is not a column of a plan`,
        where,
        `The columns are ${COLUMNS.join(", ")}`,
      );
    }
    if (columns.indexOf(column) !== i) {
      throw planError(`the column "${column}" stands twice`, where, "Keep one of them");
    }
  });
}

function readRow(
  columns: readonly string[],
  { fields, row, badQuotes }: NumberedRow,
  file: string | undefined,
): {
  readonly passage: string;
  readonly fromBar: number;
  readonly toBar: number;
  readonly assignment: Assignment;
} {
  if (badQuotes) {
    throw planError(
      "a field's quotes are not closed, or stand inside it",
      { file, row },
      `Put a field that holds commas or quotes in quotes, and write each quote within it twice`,
    );
  }
  if (fields.length !== columns.length) {
    throw planError(
      `the row has too ${fields.length < columns.length ? "few" : "many"} fields`,
      { file, row },
      `Give the row as many fields as the first row has, ${columns.length}, and put fields that hold commas in quotes`,
    );
  }
  const field = (column: PlanColumn) => fields[columns.indexOf(column)] ?? "";
  const at = (column: PlanColumn): Place => ({ file, row, column });
  const whole = (column: "from_bar" | "to_bar" | "octave"): number => {
    const value = field(column);
    if (value === "") throw planError("no bar is given", at(column), "Write the bar's number as printed");
    if (!/^[+-]?\d{1,9}$/.test(value)) {
      throw planError(
        `"${value}" is not a whole number`,
        at(column),
        "Write bar numbers as printed and octaves as -1, 0, 1",
      );
    }
    return Number(value);
  };

  const passage = field("passage");
  if (passage === "") throw planError("the passage has no name", at("passage"), "Give it a name");
  const fromBar = whole("from_bar");
  const toBar = whole("to_bar");
  if (toBar < fromBar) {
    throw planError(
      `the passage ends in bar ${toBar}, before it begins in bar ${fromBar}`,
      at("to_bar"),
      "Swap them",
    );
  }
  const role = field("role").toLowerCase();
  if (role === "") throw planError("no role is given", at("role"), `Use one of ${GIVEN_ROLES.join(", ")}`);
  const stroke = field("articulation");
  const manner = field("technique").toLowerCase() || "ordinario";
  const dynamics = (field("dynamic") || "mf").split(/\s+to\s+/i);
  if (dynamics.length > 2) {
    throw planError(
      `"${field("dynamic")}" has more than a start and an end`,
      at("dynamic"),
      'Write one dynamic, or two as in "p to f", and split the passage for more',
    );
  }
  const assignment = assignmentOf({
    role: role as Role,
    ...(field("figure") === "" ? {} : { figure: field("figure") }),
    parts: field("parts").split("+").map((p) => p.trim()).filter((p) => p !== ""),
    articulation: articulationOf(stroke.toLowerCase()) ?? stroke as LayerArticulation,
    dynamic: dynamics[0]!,
    dynamicEnd: dynamics.at(-1)!,
    octave: field("octave") === "" ? null : whole("octave"),
    technique: Object.hasOwn(PRINTED_TECHNIQUES, manner) ? PRINTED_TECHNIQUES[manner]! : manner as Technique,
    where: { file, row },
  }, ({ problem, column, remedy }) => {
    throw planError(problem, at(column), remedy);
  });
  return { passage, fromBar, toBar, assignment };
}

/**
 * Writes a plan as the table that {@linkcode readPlan} reads.
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
      dynamic: a.dynamic === a.dynamicEnd ? a.dynamic : `${a.dynamic} to ${a.dynamicEnd}`,
      octave: a.octave ?? "",
      technique: a.technique,
    }))
  );
  return Papa.unparse(rows, { columns: [...COLUMNS], newline: "\n" }) + "\n";
}
