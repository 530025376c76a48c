/** The choices of a sweep: checked once, counted through, and put into plans. */
import { refusals } from "../../base/errors.ts";
import { type OrchestraPart, sectionSizes } from "../../instruments/orchestra.ts";
import { DYNAMIC_MARKS, dynamicOf } from "../../score/dynamics.ts";
import { isTempo, TEMPO_RANGE } from "../../score/tempo_range.ts";
import { refuseUnknown } from "../../base/settings.ts";
import { type Figure, figureById, figuresFor } from "../../texture/figures.ts";
import type { Role } from "../../texture/roles.ts";
import { partsNear, seatsNamed, seatsNamedBy, seatsOf } from "../plan/place_assignments.ts";
import {
  ARTICULATION_WORDS,
  articulationOf,
  type Assignment,
  type AssignmentInput,
  type Plan,
} from "../plan/plan.ts";
import { marksOf, readDynamics } from "../plan/layer_dynamics.ts";
import type { Sketch } from "../plan/sketch.ts";
import { isMeant, type LayersOf, vary } from "../plan/vary.ts";

/** What a sweep tries: for each choice the values it may take. At least one choice is given. */
export interface SweepGrid {
  /** Sketches by name: the same tune over other chords, for example. */
  readonly sketch?: Readonly<Record<string, Sketch>>;
  /** Who plays: part names joined by ` + ` or in a list, or lists of part names by a name for them. */
  readonly who?: readonly (string | readonly string[])[] | Readonly<Record<string, readonly string[]>>;
  /** Figures of the layers' role, those of one's own that the plan has among them. */
  readonly figure?: readonly string[];
  /** Strokes, in the words of a plan: `tongued`, `staccato`, `slurred`, … */
  readonly articulation?: readonly string[];
  /** Dynamics, steady as in `mf`, on the way as in `p to f`, or a swell as in `p to mf to p`. */
  readonly dynamic?: readonly string[];
  /** Tempos of the whole setting, in quarter notes per minute, from 4 to 1200. */
  readonly tempo?: readonly number[];
  /**
   * Players on each string section of the layers (lines of single players stay), or the name of an ensemble of
   * `sectionSizes`, which sets all string sections.
   */
  readonly sectionSize?: readonly (number | string)[];
}

/** One of the choices of a sweep. */
export type SweepChoice = "sketch" | "who" | "figure" | "articulation" | "dynamic" | "tempo" | "sectionSize";

/** The choices a sweep knows, in the order of its columns; the last varies fastest from row to row. */
const CHOICES: readonly SweepChoice[] = [
  "sketch",
  "who",
  "figure",
  "articulation",
  "dynamic",
  "tempo",
  "sectionSize",
];

/** The values a setting has, by choice: its columns in the rows. */
export type SweepChoices = { readonly [K in SweepChoice]?: string | number };

interface GridChoice {
  readonly name: SweepChoice;
  /** Its values as they stand in the rows. */
  readonly values: readonly (string | number)[];
}

interface GridOptions {
  readonly orchestra: readonly OrchestraPart[];
  /** Which layers the choices of who, figure, articulation, dynamic and section size apply to. */
  readonly layers: LayersOf | undefined;
}

interface CheckedGrid {
  /** Its choices, the last varying fastest. */
  readonly choices: readonly GridChoice[];
  readonly settings: number;
  /** Values of a setting, counted from 0. */
  readonly valuesOf: (setting: number) => SweepChoices;
  /** Plan of a setting, counted from 0. */
  readonly planOf: (setting: number) => Plan;
}

/** More settings than anybody waits for. */
const MOST_SETTINGS = 1_000_000;

/**
 * Checks every name and figure of a grid, so that a long sweep does not find out at the end, and makes it ready to
 * count through.
 */
export function checkedGrid(plan: Plan, grid: SweepGrid, options: GridOptions): CheckedGrid {
  refuseUnknown("sweep", grid, CHOICES);
  const choices = CHOICES.flatMap((name): GridChoice[] => {
    const given: unknown = grid[name];
    return given === undefined ? [] : [{ name, values: valuesGiven(name, given) }];
  });
  if (choices.length === 0) {
    throw sweepError("the grid has no choices", `Give at least one of ${CHOICES.join(", ")}`);
  }
  const settings = choices.reduce((product, c) => product * c.values.length, 1);
  if (settings > MOST_SETTINGS) {
    throw sweepError(
      `the grid has ${settings} settings, more than ${MOST_SETTINGS}`,
      "Give fewer values, or sweep one half after the other",
    );
  }
  const layers = layersMeant(plan, grid, options.layers);
  const matched = matchedLayers(plan, grid, layers);
  checkValues(plan, grid, { matched, orchestra: options.orchestra });

  const strides = choices.map((_, i) => choices.slice(i + 1).reduce((p, c) => p * c.values.length, 1));
  const valuesOf = (setting: number): SweepChoices =>
    Object.fromEntries(
      choices.map((c, i) => [c.name, c.values[Math.floor(setting / strides[i]!) % c.values.length]!]),
    );
  return {
    choices,
    settings,
    valuesOf,
    planOf: (setting) => planWith(plan, valuesOf(setting), { grid, layers, orchestra: options.orchestra }),
  };
}

const sweepError = refusals("sweep");

/** The values of a choice as they will stand in the rows. */
function valuesGiven(name: SweepChoice, given: unknown): readonly (string | number)[] {
  const byName = name === "sketch" || name === "who" && !Array.isArray(given);
  if (byName ? typeof given !== "object" || given === null || Array.isArray(given) : !Array.isArray(given)) {
    throw sweepError(
      `the values of ${name} are not ${name === "sketch" ? "named sketches" : "a list"}`,
      name === "sketch"
        ? "Write them as { plain: sketch, other: anotherSketch }"
        : `Write them as [${name === "tempo" ? "96, 132" : '"…", "…"'}]`,
    );
  }
  const values = byName
    ? Object.keys(given as object)
    : (given as unknown[]).map((v) => Array.isArray(v) ? v.join(" + ") : v as string | number);
  if (values.length === 0) {
    throw sweepError(`${name} has no values`, "Give at least one, or leave the choice out");
  }
  const wrong = values.find((v) => typeof v !== "string" && !(typeof v === "number" && Number.isFinite(v)));
  if (wrong !== undefined) {
    throw sweepError(`${name} has the value ${String(wrong)}`, "Give names or figures");
  }
  const twice = values.find((v, i) => values.indexOf(v) !== i);
  if (twice !== undefined) throw sweepError(`${name} has "${twice}" twice`, "Give each value once");
  return values;
}

/** Choices that change layers rather than the whole setting. */
function changesLayers(grid: SweepGrid): boolean {
  return [grid.who, grid.figure, grid.articulation, grid.dynamic].some((c) => c !== undefined);
}

/** The layers given, or those of the one role all the figures belong to. */
function layersMeant(plan: Plan, grid: SweepGrid, layers: LayersOf | undefined): LayersOf {
  if (layers !== undefined) {
    refuseUnknown("sweep", layers, ["passage", "role", "part"]);
    return layers;
  }
  const roles = new Set((grid.figure ?? []).map((f) => figureOf(plan, f)?.role));
  const [role] = roles;
  if (roles.size === 1 && role !== undefined) return { role };
  const most = Math.max(0, ...plan.passages.map((p) => p.assignments.length));
  if (grid.who !== undefined && most > 1) {
    throw sweepError(
      "it does not say which layers the players of who are for, and nobody can be in all of them",
      'Give layers, for example layers: { role: "pulse" }',
    );
  }
  return {};
}

function matchedLayers(plan: Plan, grid: SweepGrid, layers: LayersOf): readonly Assignment[] {
  const matched = plan.passages.flatMap((p) => p.assignments.filter((a) => isMeant(a, p.name, layers)));
  if (matched.length === 0 && (changesLayers(grid) || grid.sectionSize !== undefined)) {
    const wanted = Object.entries(layers).map(([key, value]) => `${key} "${value}"`).join(", ");
    const passages = plan.passages.map((p) => `"${p.name}"`).join(", ");
    const roles = new Set(plan.passages.flatMap((p) => p.assignments.map((a) => a.role)));
    throw sweepError(
      `no layer of the plan "${plan.name}" matches ${wanted || "anything, since it has none"}`,
      `Its passages are ${passages}, its roles ${[...roles].join(", ")}`,
    );
  }
  return matched;
}

function checkValues(
  plan: Plan,
  grid: SweepGrid,
  { matched, orchestra }: {
    readonly matched: readonly Assignment[];
    readonly orchestra: readonly OrchestraPart[];
  },
): void {
  const seats = seatsOf(plan, orchestra);
  for (const parts of peopleOf(grid).values()) {
    if (parts.length === 0) throw sweepError("a value of who names nobody", "Name at least one part");
    const unknown = parts.find((name) => seatsNamed(name, seats).length === 0);
    if (unknown === undefined) continue;
    throw sweepError(`"${unknown}" is not in the orchestra`, partsNear(unknown, orchestra));
  }
  checkFigures(plan, grid, [...new Set(matched.map((a) => a.role))]);
  checkEach(grid.articulation, {
    isOne: (word) => word !== "" && articulationOf(String(word).toLowerCase()) !== undefined,
    problem: (word) => `"${word}" is not an articulation`,
    remedy: `Use one of ${ARTICULATION_WORDS.join(", ")}`,
  });
  checkEach(grid.dynamic, {
    isOne: (dynamic) => {
      const dynamics = readDynamics(String(dynamic));
      return dynamics !== undefined && marksOf(dynamics).every((mark) => dynamicOf(mark) !== undefined);
    },
    problem: (dynamic) => `"${dynamic}" is not a dynamic`,
    remedy: `Use one of ${DYNAMIC_MARKS.join(", ")}, or up to three joined by "to" as in "p to f"`,
  });
  checkEach(grid.tempo, {
    isOne: isTempo,
    problem: (tempo) => `${tempo} is not a tempo`,
    remedy: `Give one ${TEMPO_RANGE}`,
  });
  const ensembles = sectionSizes().map((row) => row.ensemble);
  checkEach(grid.sectionSize, {
    isOne: (size) =>
      typeof size === "number" ? Number.isInteger(size) && size >= 1 : ensembles.includes(size),
    problem: (size) => `"${size}" is not a section size`,
    remedy: `Give a whole number of players from 1, or one of ${ensembles.map((e) => `"${e}"`).join(", ")}`,
  });
}

/** Refuses the first value of a choice that is none. */
function checkEach<Value>(
  values: readonly Value[] = [],
  { isOne, problem, remedy }: {
    readonly isOne: (value: Value) => boolean;
    readonly problem: (value: Value) => string;
    readonly remedy: string;
  },
): void {
  const wrong = values.findIndex((value) => !isOne(value));
  if (wrong >= 0) throw sweepError(problem(values[wrong]!), remedy);
}

/** A figure of the table, or one of the plan's own. */
function figureOf({ figures = [] }: Plan, name: string): Figure | undefined {
  return figureById(name) ?? figures.find((f) => f.id === name);
}

/** Refuses a figure that is not one of every role the choices apply to. */
function checkFigures(plan: Plan, { figure: figures = [] }: SweepGrid, roles: readonly Role[]): void {
  for (const figure of figures) {
    const known = figureOf(plan, figure);
    const role = roles.find((r) => known?.role !== r);
    if (role === undefined) continue;
    throw sweepError(
      known
        ? `the figure "${figure}" belongs to the role ${known.role}, and the choices apply to ${
          roles.join(", ")
        }`
        : `"${figure}" is not a figure`,
      known && roles.length > 1
        ? `Give layers: { role: "${known.role}" }`
        : `For ${role} use one of ${
          [...figuresFor(role), ...(plan.figures ?? []).filter((f) => f.role === role)]
            .map((f) => `"${f.id}"`).join(", ")
        }`,
    );
  }
}

/** Part names by the name of the group. */
function peopleOf(grid: SweepGrid): ReadonlyMap<string, readonly string[]> {
  const { who } = grid;
  if (who === undefined) return new Map();
  if (!Array.isArray(who)) return new Map(Object.entries(who as Readonly<Record<string, readonly string[]>>));
  return new Map(
    (who as readonly (string | readonly string[])[]).map((group) =>
      typeof group === "string"
        ? [group, group.split("+").map((name) => name.trim()).filter((name) => name !== "")]
        : [group.join(" + "), group]
    ),
  );
}

function planWith(
  plan: Plan,
  values: SweepChoices,
  { grid, layers, orchestra }: {
    readonly grid: SweepGrid;
    readonly layers: LayersOf;
    readonly orchestra: readonly OrchestraPart[];
  },
): Plan {
  const set: { -readonly [K in keyof AssignmentInput]?: AssignmentInput[K] } = {};
  if (values.who !== undefined) set.parts = peopleOf(grid).get(String(values.who))!;
  if (values.figure !== undefined) set.figure = figureOf(plan, String(values.figure))!.id;
  if (values.articulation !== undefined) {
    set.articulation = articulationOf(String(values.articulation).toLowerCase())!;
  }
  if (values.dynamic !== undefined) {
    Object.assign(set, readDynamics(String(values.dynamic))!);
  }
  const dressed = changesLayers(grid) ? vary(plan, { set }, layers) : plan;
  const players = values.sectionSize === undefined
    ? undefined
    : playersFor(dressed, values, { layers, orchestra, grid });
  return {
    ...dressed,
    name: Object.values(values).join(", "),
    ...(values.tempo === undefined ? {} : { quartersPerMinute: Number(values.tempo) }),
    ...(players === undefined ? {} : { players: { ...plan.players, ...players } }),
  };
}

/** Players by part: of all string sections for an ensemble's name, of the layers' sections for a figure. */
function playersFor(
  plan: Plan,
  { who, sectionSize: size }: SweepChoices,
  { layers, orchestra, grid }: {
    readonly layers: LayersOf;
    readonly orchestra: readonly OrchestraPart[];
    readonly grid: SweepGrid;
  },
): Readonly<Record<string, number>> {
  if (typeof size === "string") {
    const row = sectionSizes().find((r) => r.ensemble === size)!;
    const sections: readonly (readonly [string, number])[] = [
      ["Violins I", row.violins1],
      ["Violins II", row.violins2],
      ["Violas", row.violas],
      ["Cellos", row.cellos],
      ["Double basses", row.doubleBasses],
    ];
    return Object.fromEntries(sections.filter(([name]) => orchestra.some((p) => p.name === name)));
  }
  const seats = seatsOf(plan, orchestra);
  // A layer that was chosen by a part which has left it is found by its new parts.
  const own = layers.part !== undefined && who !== undefined
    ? peopleOf(grid).get(String(who))!
    : matchedLayers(plan, grid, layers).flatMap((a) => a.parts);
  const sections = [...new Set(seatsNamedBy(own, seats))]
    .map((seat) => orchestra[seat]!)
    .filter((part) => part.players > 1);
  return Object.fromEntries(sections.map((part) => [part.name, Number(size)]));
}
