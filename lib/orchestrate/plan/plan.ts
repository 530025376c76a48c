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
import { type TableRow, tableRows } from "./rows_of_table.ts";

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

/**
 * The articulation a word in a plan stands for.
 *
 * @param word for example `tongued`; an empty one is plain
 * @returns the articulation, or undefined when the word is none
 */
export function articulationOf(word: string): LayerArticulation | undefined {
  return Object.hasOwn(STROKE_WORDS, word) ? STROKE_WORDS[word] : undefined;
}

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
  /** Where the assignment stands in the file it was read from, for messages. */
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
export type AssignmentInput = Pick<Assignment, "role" | "parts"> & Partial<Assignment>;

/**
 * An assignment with every field set: the role's usual figure, plain strokes, mezzo-forte, ordinario.
 *
 * @param input role, parts and whatever differs from the defaults
 * @returns the assignment
 * @throws {InputError} when a value is not one the library knows
 *
 * @example
 * ```ts
 * import { assign } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(assign({ role: "pad", parts: ["Horns"] }).figure, "held chord");
 * ```
 */
export function assign(input: AssignmentInput): Assignment {
  checkArgument("read the plan", input, A_RECORD);
  const { role } = input;
  const fail = (problem: string, column: Column, remedy: string): never => {
    const where = input.where ?? {};
    throw planError(problem, where.row === undefined ? where : { ...where, column }, remedy);
  };
  if (!isRole(role) || role === "rest") {
    fail(
      `"${role}" is not a role a part can be given`,
      "role",
      `Use one of ${GIVEN_ROLES.join(", ")}; parts not named rest`,
    );
  }
  const ofRole = figuresFor(role);
  const figure = input.figure ?? ofRole[0]!.id;
  if (!ofRole.some((f) => f.id === figure)) {
    const other = figureById(figure);
    fail(
      other
        ? `the figure "${figure}" belongs to the role ${other.role}, not to ${role}`
        : `"${figure}" is not a figure`,
      "figure",
      `For ${role} use one of ${
        nearestFirst(figure, ofRole.map((f) => f.id)).map((f) => `"${f}"`).join(", ")
      }`,
    );
  }
  const dynamic = input.dynamic ?? "mf";
  const dynamicEnd = input.dynamicEnd ?? dynamic;
  for (const mark of [dynamic, dynamicEnd]) {
    if (dynamicOf(mark) === undefined) {
      fail(
        `"${mark}" is not a dynamic`,
        "dynamic",
        `Use one of ${DYNAMIC_MARKS.join(", ")}, or two joined by "to" as in "p to f"`,
      );
    }
  }
  if (!Array.isArray(input.parts)) {
    fail(`the parts of the ${input.role} are not a list`, "parts", `Write them as ["Flute 1", "Horns"]`);
  }
  if (input.parts.length === 0) {
    fail(`the ${role} is given to nobody`, "parts", `Name the parts, joined by " + "`);
  }
  return {
    articulation: "plain",
    octave: null,
    technique: "ordinario",
    ...input,
    figure,
    dynamic,
    dynamicEnd,
  };
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

type Column = (typeof COLUMNS)[number];

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

/** Octaves from the tune or the usual place that any instrument could be asked for. */
const MOST_OCTAVES = 5;

function readRow(
  columns: readonly string[],
  { fields, row, badQuotes }: TableRow,
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
  const field = (column: Column) => fields[columns.indexOf(column)] ?? "";
  const at = (column: Column): Place => ({ file, row, column });
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
  const stroke = field("articulation").toLowerCase();
  const articulation = articulationOf(stroke);
  if (articulation === undefined) {
    throw planError(
      `"${field("articulation")}" is not an articulation`,
      at("articulation"),
      `Use one of ${ARTICULATION_WORDS.join(", ")}`,
    );
  }
  const manner = field("technique").toLowerCase() || "ordinario";
  const technique = Object.hasOwn(PRINTED_TECHNIQUES, manner) ? PRINTED_TECHNIQUES[manner]! : manner;
  if (!(TECHNIQUES as readonly string[]).includes(technique)) {
    throw planError(
      `"${technique}" is not a technique`,
      at("technique"),
      `Use one of ${TECHNIQUES.join(", ")}`,
    );
  }
  const dynamics = (field("dynamic") || "mf").split(/\s+to\s+/i);
  if (dynamics.length > 2) {
    throw planError(
      `"${field("dynamic")}" has more than a start and an end`,
      at("dynamic"),
      'Write one dynamic, or two as in "p to f", and split the passage for more',
    );
  }
  const octave = field("octave") === "" ? null : whole("octave");
  if (octave !== null && Math.abs(octave) > MOST_OCTAVES) {
    throw planError(
      `it asks for an octave of ${octave}`,
      at("octave"),
      "Use -2, -1, 0, 1, 2 or leave it empty",
    );
  }
  const assignment = assign({
    role: role as Role,
    ...(field("figure") === "" ? {} : { figure: field("figure") }),
    parts: field("parts").split("+").map((p) => p.trim()).filter((p) => p !== ""),
    articulation,
    dynamic: dynamics[0]!,
    dynamicEnd: dynamics.at(-1)!,
    octave,
    technique: technique as Technique,
    where: { file, row },
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
