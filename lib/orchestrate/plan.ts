/** Who takes which role, passage by passage: the plan, and its table form. */
import Papa from "papaparse";
import { InputError, type Place } from "../errors.ts";
import { DYNAMIC_MARKS, dynamicOf } from "../score/dynamics.ts";
import type { Technique } from "../score/model.ts";
import { FIGURES, figuresFor } from "../texture/figures.ts";
import { isRole, type Role, ROLE_NAMES } from "../texture/roles.ts";

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
  /** Tempo to use instead of the sketch's, in quarter notes per minute. */
  readonly quartersPerMinute?: number;
  /** Players per part, where they differ from the orchestra's, by part name. */
  readonly players?: Readonly<Record<string, number>>;
}

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
  const where = input.where ?? {};
  if (!isRole(input.role) || input.role === "rest") {
    throw new InputError({
      action: "read the plan",
      problem: `"${input.role}" is not a role a part can be given`,
      where: { ...where, column: where.row === undefined ? undefined : "role" },
      remedy: `Use one of ${ROLE_NAMES.filter((r) => r !== "rest").join(", ")}; parts not named rest`,
    });
  }
  const figure = input.figure ?? figuresFor(input.role)[0]!.id;
  if (!figuresFor(input.role).some((f) => f.id === figure)) {
    const other = FIGURES.find((f) => f.id === figure);
    throw new InputError({
      action: "read the plan",
      problem: other
        ? `the figure "${figure}" belongs to the role ${other.role}, not to ${input.role}`
        : `"${figure}" is not a figure`,
      where: { ...where, column: where.row === undefined ? undefined : "figure" },
      remedy: `For ${input.role} use one of ${figuresFor(input.role).map((f) => `"${f.id}"`).join(", ")}`,
    });
  }
  const dynamic = input.dynamic ?? "mf";
  const dynamicEnd = input.dynamicEnd ?? dynamic;
  for (const mark of [dynamic, dynamicEnd]) {
    if (dynamicOf(mark) === undefined) {
      throw new InputError({
        action: "read the plan",
        problem: `"${mark}" is not a dynamic`,
        where: { ...where, column: where.row === undefined ? undefined : "dynamic" },
        remedy: `Use one of ${DYNAMIC_MARKS.join(", ")}, or two joined by "to" as in "p to f"`,
      });
    }
  }
  if (input.parts.length === 0) {
    throw new InputError({
      action: "read the plan",
      problem: `the ${input.role} is given to nobody`,
      where: { ...where, column: where.row === undefined ? undefined : "parts" },
      remedy: `Name the parts, joined by " + "`,
    });
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

const REQUIRED_COLUMNS = ["passage", "from_bar", "to_bar", "role", "parts"] as const;

/** Options of {@linkcode readPlan}. */
export interface ReadPlanOptions {
  /** Name of the file, for messages. */
  readonly file?: string;
  /** Name of the plan; by default the file's name without its ending. */
  readonly name?: string;
}

/**
 * Reads a plan from a table (CSV), one row per layer. Columns: passage, from_bar, to_bar, role, parts, and, if
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
  const file = options.file;
  const name = options.name ?? (file ? file.replace(/^.*[\\/]/, "").replace(/\.[^.]*$/, "") : "plan");
  const parsed = Papa.parse<Record<string, string>>(text.replace(/^\uFEFF/, "").trimEnd(), {
    header: true,
    skipEmptyLines: "greedy",
    transformHeader: (h) => h.trim(),
  });
  const columns = parsed.meta.fields ?? [];
  const bad = (problem: string, where: Place, remedy: string): never => {
    throw new InputError({ action: "read the plan", problem, where: { file, ...where }, remedy });
  };
  for (const column of REQUIRED_COLUMNS) {
    if (!columns.includes(column)) {
      bad(
        `it has no column "${column}"`,
        { row: 1 },
        `Its first row must name ${REQUIRED_COLUMNS.join(", ")}`,
      );
    }
  }
  for (const column of columns) {
    if (!(COLUMNS as readonly string[]).includes(column)) {
      bad(`"${column}" is not a column of a plan`, { row: 1 }, `The columns are ${COLUMNS.join(", ")}`);
    }
  }
  const fault = parsed.errors.find((e) => e.type !== "Delimiter");
  if (fault) {
    bad(
      fault.code === "TooFewFields" || fault.code === "TooManyFields"
        ? `the row has ${fault.code === "TooFewFields" ? "too few" : "too many"} fields`
        : fault.message.toLowerCase(),
      { row: (fault.row ?? 0) + 2 },
      `Give the row as many fields as the first row has, and put fields that hold commas in quotes`,
    );
  }
  if (parsed.data.length === 0) bad("it has no rows", {}, "Write one row per layer");

  const passages = new Map<
    string,
    { name: string; fromBar: number; toBar: number; assignments: Assignment[] }
  >();
  parsed.data.forEach((record, index) => {
    const row = index + 2;
    const field = (column: (typeof COLUMNS)[number]) => (record[column] ?? "").trim();
    const whole = (column: "from_bar" | "to_bar" | "octave"): number => {
      const value = field(column);
      if (!/^[+-]?\d+$/.test(value)) {
        bad(
          `"${value}" is not a whole number`,
          { row, column },
          "Write bar numbers as printed and octaves as -1, 0, 1",
        );
      }
      return Number(value);
    };
    const fromBar = whole("from_bar");
    const toBar = whole("to_bar");
    if (toBar < fromBar) {
      bad(
        `the passage ends in bar ${toBar}, before it begins in bar ${fromBar}`,
        { row, column: "to_bar" },
        "Swap them",
      );
    }
    const articulation = STROKE_WORDS[field("articulation").toLowerCase()];
    if (articulation === undefined) {
      bad(
        `"${field("articulation")}" is not an articulation`,
        { row, column: "articulation" },
        `Use one of ${Object.keys(STROKE_WORDS).filter((w) => w !== "").join(", ")}`,
      );
    }
    const technique = field("technique") === "" ? "ordinario" : field("technique").toLowerCase();
    if (!(TECHNIQUES as readonly string[]).includes(technique)) {
      bad(
        `"${technique}" is not a technique`,
        { row, column: "technique" },
        `Use one of ${TECHNIQUES.join(", ")}`,
      );
    }
    const dynamics = (field("dynamic") || "mf").split(/\s+to\s+/i).map((d) => d.trim());
    const assignment = assign({
      role: field("role").toLowerCase() as Role,
      ...(field("figure") === "" ? {} : { figure: field("figure") }),
      parts: field("parts").split("+").map((p) => p.trim()).filter((p) => p !== ""),
      articulation: articulation!,
      dynamic: dynamics[0]!,
      dynamicEnd: dynamics.at(-1)!,
      octave: field("octave") === "" ? null : whole("octave"),
      technique: technique as Technique,
      where: { file, row },
    });
    const key = `${field("passage")}\n${fromBar}\n${toBar}`;
    const passage = passages.get(key) ?? { name: field("passage"), fromBar, toBar, assignments: [] };
    passage.assignments.push(assignment);
    passages.set(key, passage);
  });
  return {
    name,
    passages: [...passages.values()].sort((a, b) => a.fromBar - b.fromBar || a.toBar - b.toBar),
  };
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
