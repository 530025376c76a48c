/** Changing one choice of a plan. */
import { A_PLAN, checkArgument } from "../../base/arguments.ts";
import { InputError, type Place } from "../../base/errors.ts";
import { isTempo, TEMPO_RANGE } from "../../score/tempo_range.ts";
import type { DefinedFigure } from "../../texture/define_figure.ts";
import { refuseUnknown } from "../../base/settings.ts";
import { EXTRA_FIELDS, extrasFor, withoutExtras } from "./extra_columns.ts";
import { assign, type Assignment, type AssignmentInput, type Plan } from "./plan.ts";

/** What can be changed of a layer. */
const CHANGEABLE = [
  "role",
  "figure",
  "parts",
  "articulation",
  "dynamic",
  "dynamicEnd",
  "dynamicMiddle",
  "octave",
  "technique",
  ...EXTRA_FIELDS,
];

/** What a change may say. */
const CHANGES = ["set", "setIn", "remove", "double", "quartersPerMinute", "players", "name"];

/** Which layers of a plan a change applies to; what is left out matches everything. */
export interface LayersOf {
  /** Name of the passage, or names of several. */
  readonly passage?: string | readonly string[];
  /** Role of the layer. */
  readonly role?: Assignment["role"];
  /** A part that is in the layer. */
  readonly part?: string;
}

/** What to change. */
export interface Change {
  /** New values for the matching layers. A new role without a new figure takes that role's usual figure. */
  readonly set?: Partial<AssignmentInput>;
  /** New values that differ from passage to passage, by its name, beside those of `set`. */
  readonly setIn?: Readonly<Record<string, Partial<AssignmentInput>>>;
  /** Take the matching layers out. */
  readonly remove?: boolean;
  /** Parts to add to the matching layers, for a doubling. */
  readonly double?: readonly string[];
  /** Tempo of the whole setting, in quarter notes per minute, from 4 to 1200. */
  readonly quartersPerMinute?: number;
  /** Players per part, by part name. */
  readonly players?: Readonly<Record<string, number>>;
  /** Name of the new plan; by default the old one's with the change in words. */
  readonly name?: string;
}

/**
 * A new plan with one choice changed: who plays, figure, articulation, dynamic, doubling, tempo, section size. A layer
 * that is changed stands in no file any more: what is wrong with it is told by its passage, role and parts.
 *
 * @param plan the plan; not changed
 * @param change what to change
 * @param options which layers; by default all
 * @returns the new plan
 * @throws {InputError} when the change is empty, no layer matches, the tempo is not from 4 to 1200, or the new
 *   value is not one the library knows; with the passage, role and parts it was meant for
 *
 * @example
 * ```ts
 * import { demoPlans, vary } from "ripieno";
 * import { assert } from "@std/assert";
 * const slower = vary(demoPlans().moving, { set: { figure: "repeated eighths" } }, { role: "pulse" });
 * assert(slower.passages.flatMap((p) => p.assignments).filter((a) => a.role === "pulse")
 *   .every((a) => a.figure === "repeated eighths"));
 * ```
 *
 * @example The tune is handed from passage to passage, in one change
 * ```ts
 * import { demoPlans, vary } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const setIn = { "Quickening": { parts: ["Oboe 2"] }, "Rapids": { parts: ["Trumpet 1"] } };
 * const round = vary(demoPlans().moving, { setIn, name: "tune handed round" }, { role: "lead" });
 * const leads = round.passages.map((p) => p.assignments.find((a) => a.role === "lead")!.parts[0]);
 * assertEquals(leads.slice(1, 3), ["Oboe 2", "Trumpet 1"]);
 * ```
 */
export function vary(plan: Plan, change: Change, options: LayersOf = {}): Plan {
  checkArgument("change the plan", plan, A_PLAN);
  const changesLayers = refuseEmpty(plan, change, options);
  const unmatched = new Set(Object.keys(change.setIn ?? {}));
  let matched = 0;
  const passages = plan.passages.map((passage) => {
    const here = changesLayers ? changeIn(change, passage.name) : undefined;
    return {
      ...passage,
      assignments: passage.assignments.flatMap((a): readonly Assignment[] => {
        if (!here || !isMeant(a, passage.name, options)) return [a];
        matched++;
        unmatched.delete(passage.name);
        if (here.remove) return [];
        const where = { passage: passage.name, role: a.role, part: a.parts.join(" + ") };
        return [assignedIn(plan, where, changed(a, here))];
      }),
    };
  });
  const [missed] = unmatched;
  if (changesLayers && (matched === 0 || missed !== undefined)) throw noLayer(plan, options, missed);
  return {
    ...plan,
    name: change.name ?? `${plan.name}, ${describe(change, options)}`,
    passages,
    ...(change.quartersPerMinute === undefined ? {} : { quartersPerMinute: change.quartersPerMinute }),
    ...(change.players === undefined ? {} : { players: { ...plan.players, ...change.players } }),
  };
}

/** Refuses a change that says nothing or what there is not; otherwise tells whether it changes layers. */
function refuseEmpty(plan: Plan, change: Change, options: LayersOf): boolean {
  const action = "change the plan";
  refuseUnknown(action, change, CHANGES);
  refuseUnknown(action, options, ["passage", "role", "part"]);
  for (const set of [change.set ?? {}, ...Object.values(change.setIn ?? {})]) {
    refuseUnknown(action, set, CHANGEABLE);
  }
  const changesLayers = change.set !== undefined || change.setIn !== undefined || change.remove === true ||
    change.double !== undefined;
  if (!changesLayers && change.quartersPerMinute === undefined && change.players === undefined) {
    throw varyError(
      plan,
      "the change says nothing",
      "Give set, setIn, remove, double, quartersPerMinute or players",
    );
  }
  if (change.quartersPerMinute !== undefined && !isTempo(change.quartersPerMinute)) {
    throw varyError(plan, `${change.quartersPerMinute} is not a tempo`, `Give one ${TEMPO_RANGE}`);
  }
  return changesLayers;
}

/** The change as it is for one passage; nothing where only others are changed. */
function changeIn({ set, setIn, ...rest }: Change, passage: string): Change | undefined {
  const own = setIn && Object.hasOwn(setIn, passage) ? setIn[passage] : undefined;
  if (setIn !== undefined && own === undefined && set === undefined && !rest.remove && !rest.double) {
    return undefined;
  }
  return own === undefined && set === undefined ? rest : { ...rest, set: { ...set, ...own } };
}

function noLayer(plan: Plan, options: LayersOf, missed: string | undefined): InputError {
  const asked = missed === undefined ? options : { ...options, passage: missed };
  const words = Object.entries(asked).map(([key, value]) => `${key} ${listed(value)}`).join(", ");
  return varyError(
    plan,
    `no layer matches ${words || "(the plan is empty)"}`,
    `Its passages are ${listed(plan.passages.map((p) => p.name))}`,
  );
}

function listed(names: string | readonly string[]): string {
  return [names].flat().map((name) => `"${name}"`).join(", ");
}

/** The changed layer; what is wrong with the change is told with the layer it was meant for. */
function assignedIn(plan: Plan, where: Place, input: AssignmentInput): Assignment {
  try {
    // A figure of the plan's own is known by its record.
    const own = plan.figures?.find((f) => f.id === input.figure);
    return assign(own ? { ...input, figure: own as DefinedFigure } : input);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const { problem, remedy } = error;
    throw varyError(plan, problem, remedy, where);
  }
}

function varyError(plan: Plan, problem: string, remedy: string, where: Place = {}): InputError {
  return new InputError({ action: `change the plan "${plan.name}"`, problem, where, remedy });
}

/** The choices of a layer after the change. A new role has a figure of its own and drops choices that are for others; a new dynamic is steady unless it is said otherwise. */
function changed(
  { figure, where: _row, dynamicMiddle, ...rest }: Assignment,
  { set = {}, double }: Change,
): AssignmentInput {
  const keepsFigure = set.role === undefined || set.role === rest.role;
  const isSteady = set.dynamic !== undefined && set.dynamicEnd === undefined;
  const parts = set.parts ?? rest.parts;
  return {
    ...withoutExtras(rest),
    ...extrasFor(rest, set.role ?? rest.role),
    ...(keepsFigure ? { figure } : {}),
    ...(isSteady ? { dynamicEnd: set.dynamic! } : {}),
    ...(set.dynamic === undefined && dynamicMiddle !== undefined ? { dynamicMiddle } : {}),
    ...set,
    parts: double === undefined ? parts : [...parts, ...double],
  };
}

/** Whether a layer of a passage is one of those meant. */
export function isMeant(a: Assignment, passage: string, options: LayersOf): boolean {
  return (options.passage === undefined || [options.passage].flat().includes(passage)) &&
    (options.role === undefined || options.role === a.role) &&
    (options.part === undefined || a.parts.includes(options.part));
}

function describe(change: Change, options: LayersOf): string {
  const who = [options.part, options.role, options.passage && `in ${[options.passage].flat().join(" and ")}`]
    .filter(Boolean).join(" ") ||
    "all";
  const words: string[] = [];
  if (change.remove) words.push(`without ${who}`);
  const sets = [["", change.set ?? {}], ...Object.entries(change.setIn ?? {})] as const;
  for (const [passage, set] of sets) {
    const there = passage === "" ? who : `${who} in ${passage}`;
    for (const [key, value] of Object.entries(set)) {
      words.push(`${there} ${key} ${Array.isArray(value) ? value.join(" + ") : value}`);
    }
  }
  if (change.double) words.push(`${who} doubled by ${change.double.join(" + ")}`);
  if (change.quartersPerMinute !== undefined) {
    words.push(`at ${change.quartersPerMinute} quarters per minute`);
  }
  for (const [part, players] of Object.entries(change.players ?? {})) {
    words.push(`${part} ${players} players`);
  }
  return words.join(", ");
}
