/** Who takes which role, passage by passage. */
import { A_RECORD, checkArgument, listOf } from "../../base/arguments.ts";
import { InputError, type Place } from "../../base/errors.ts";
import { nearestFirst } from "../../base/nearest_first.ts";
import { DYNAMIC_MARKS, dynamicOf } from "../../score/dynamics.ts";
import type { Technique } from "../../score/model.ts";
import { type DefinedFigure, definedFigures } from "../../texture/define_figure.ts";
import { type Figure, figureById, figuresFor } from "../../texture/figures.ts";
import { isRole, type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { type LayerDynamics, marksOf } from "./layer_dynamics.ts";
import { columnOf, EXTRA_FIELDS, extrasOf, type LayerExtras, withoutExtras } from "./extra_columns.ts";

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

/** One layer of one passage. */
export interface Assignment extends LayerDynamics, LayerExtras {
  /** What the layer is for. */
  readonly role: Role;
  /** Pattern it plays, one of the figures of that role, or one of the plan's own. */
  readonly figure: Figure["id"];
  /** Names of the parts in it, as the orchestra names them; a plural such as `Horns` takes all numbered ones. */
  readonly parts: readonly string[];
  /** How its strokes are begun and joined. */
  readonly articulation: LayerArticulation;
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
  /** Figures of one's own that its layers name, made by `defineFigure`. */
  readonly figures?: readonly Figure[];
}

/** Roles a part can be given; parts not named rest. */
export const GIVEN_ROLES = ROLE_NAMES.filter((r) => r !== "rest");

/** What an assignment must be given; the rest has defaults. */
export type AssignmentInput =
  & Pick<Assignment, "role" | "parts">
  & Partial<Omit<Assignment, "where" | "figure">>
  & {
    /** The figure by its name, or one of one's own, which the plan needs among its figures too. */
    readonly figure?: Figure["id"] | DefinedFigure;
  };

/** Columns that every written table has. */
export const USUAL_COLUMNS = [
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

/** Columns that a table may have. */
export const PLAN_COLUMNS = [...USUAL_COLUMNS, ...EXTRA_FIELDS.map(columnOf)] as const;

export type PlanColumn = (typeof PLAN_COLUMNS)[number];

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
  const { where: _row, figure, ...others }: AssignmentInput & Pick<Assignment, "where"> = input;
  const figures = typeof figure === "object" && figure !== null ? definedFigures([figure]) : [];
  const named = figures[0]?.id ?? figure as Figure["id"] | undefined;
  const choices = named === undefined ? others : { ...others, figure: named };
  const tell = ({ problem, remedy, remedyInCode = remedy }: Slip): never => {
    const { role, parts } = choices;
    const where = {
      ...isRole(role) ? { role } : {},
      ...Array.isArray(parts) ? { part: parts.join(" + ") } : {},
    };
    throw new InputError({ action, problem, where, remedy: remedyInCode });
  };
  return assignmentOf(choices, { tell, figures });
}

/** The kind of a list of figures. */
export const FIGURES_OF_ONES_OWN = listOf(A_RECORD, "a list of figures, each made by defineFigure");

/** Choices as they were written, whose words may be wrong. */
type Written = Omit<AssignmentInput, "role" | "figure"> & Pick<Assignment, "where"> & {
  readonly role: string;
  readonly figure?: string;
};

/** The assignment of some choices, each of which the library must know; what is wrong is told. */
export function assignmentOf(
  choices: Written,
  { tell, figures }: { readonly tell: (slip: Slip) => never; readonly figures: readonly Figure[] },
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
  const { figure: called = figuresFor(role)[0]!.id, dynamicEnd = dynamic } = choices;
  const known: readonly Figure[] = [...figuresFor(role), ...figures.filter((f) => f.role === role)];
  const figure = known.find((f) => f.id === called)?.id;
  if (figure === undefined) return tell(slipOfFigure(called, { role, figures, known }));
  const { dynamicMiddle, ...others } = choices;
  const dynamics: LayerDynamics = {
    dynamic,
    ...(dynamicMiddle === undefined ? {} : { dynamicMiddle }),
    dynamicEnd,
  };
  const slip = marksOf(dynamics).map(slipOfDynamic).find((each) => each !== undefined) ??
    slipOfManner({ articulation, octave, technique });
  if (slip) tell(slip);
  const extras = extrasOf(choices, role);
  if ("problem" in extras) return tell(extras);
  const rest = withoutExtras(others);
  return { ...rest, ...extras, ...dynamics, role, parts, figure, articulation, octave, technique };
}

function slipOfFigure(
  figure: string,
  { role, figures, known }: {
    readonly role: Role;
    readonly figures: readonly Figure[];
    readonly known: readonly Figure[];
  },
): Slip {
  const ofRole = known.map((f) => f.id);
  const other = figureById(figure) ?? figures.find((f) => f.id === figure);
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
    remedy: `${marks}, or up to three joined by "to" as in "p to f"`,
    remedyInCode:
      `${marks}; where it grows or fades, dynamicEnd is the last, and dynamicMiddle the peak of a swell`,
  };
}

/** Octaves from the tune or the usual place that any instrument could be asked for. */
const MOST_OCTAVES = 5;

/** An articulation that is none; `pizzicato` is a technique. */
function slipOfArticulation(articulation: string): Slip {
  const column = "articulation";
  return (TECHNIQUES as readonly string[]).includes(articulation)
    ? {
      problem: `"${articulation}" is a technique, not an articulation`,
      column,
      remedy: "Write it in the column technique",
      remedyInCode: "Give it as the technique",
    }
    : {
      problem: `"${articulation}" is not an articulation`,
      column,
      remedy: `Use one of ${ARTICULATION_WORDS.join(", ")}`,
      remedyInCode: `Use one of ${ARTICULATIONS.join(", ")}`,
    };
}

/** A technique that is none; `staccato` is an articulation. */
function slipOfTechnique(technique: string): Slip {
  const column = "technique";
  return ARTICULATION_WORDS.includes(technique)
    ? {
      problem: `"${technique}" is an articulation, not a technique`,
      column,
      remedy: "Write it in the column articulation",
      remedyInCode: "Give it as the articulation",
    }
    : {
      problem: `"${technique}" is not a technique`,
      column,
      remedy: `Use one of ${TECHNIQUES.join(", ")}`,
    };
}

function slipOfManner(
  { articulation, octave, technique }: Pick<Assignment, "articulation" | "octave" | "technique">,
): Slip | undefined {
  if (!ARTICULATIONS.includes(articulation)) return slipOfArticulation(articulation);
  if (!TECHNIQUES.includes(technique)) return slipOfTechnique(technique);
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
