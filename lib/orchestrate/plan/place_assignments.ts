/** Who sits where: a plan's names and bars looked up in the orchestra and the sketch. */
import { InputError, type Place } from "../../base/errors.ts";
import { memo } from "../../base/memo.ts";
import { nearestFirst } from "../../base/nearest_first.ts";
import type { Ticks } from "../../base/units.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import { lineName } from "../../instruments/names/line_name.ts";
import type { OrchestraPart } from "../../instruments/orchestra.ts";
import type { Bar } from "../../score/model.ts";
import { definedFigures } from "../../texture/define_figure.ts";
import { type Figure, figureById } from "../../texture/figures.ts";
import { arrangementSlip } from "./arrangement.ts";
import { divisionSlip, hasDesks } from "./division.ts";
import type { Assignment, Passage, Plan, PlanColumn } from "./plan.ts";
import { fieldOf } from "./plan_json.ts";
import type { Seat } from "./seat.ts";

/** A stretch of the tune. */
export interface TuneSpan {
  readonly fromTicks: Ticks;
  readonly toTicks: Ticks;
}

/** One layer of one passage, with everything it names found. */
export interface PlacedAssignment {
  readonly passage: Passage;
  /** The plan's row. */
  readonly assignment: Assignment;
  readonly figure: Figure;
  /** Indexes of its seats, in score order. */
  readonly seats: readonly number[];
  readonly fromBarIndex: number;
  readonly toBarIndex: number;
  /** Id of the layer, unique in the plan. */
  readonly layer: string;
  /** The stretch of the tune that a lead plays; that of its bars where it is left out. */
  readonly tune?: TuneSpan;
}

/**
 * The orchestra's lines with their instruments and the plan's players; refuses players of an unknown part, or no
 * whole number of them.
 */
export function seatsOf(plan: Plan, orchestra: readonly OrchestraPart[]): readonly Seat[] {
  for (const [name, players] of Object.entries(plan.players ?? {})) {
    if (!Number.isInteger(players) || players < 1) {
      throw planError(plan, `it gives "${name}" ${players} players`, "Give a whole number from 1");
    }
    if (!orchestra.some((p) => p.name === name)) {
      const problem = `it sets the players of "${name}", which is not in the orchestra`;
      throw planError(plan, problem, partsNear(name, orchestra));
    }
  }
  return orchestra.map((part) => ({
    part: { ...part, players: plan.players?.[part.name] ?? part.players },
    instrument: instrumentById(part.instrument),
  }));
}

function planError(plan: Plan, problem: string, remedy: string): InputError {
  return new InputError({ action: "realise the plan", problem, where: { file: plan.name }, remedy });
}

/** The parts there are, those first whose names are nearest to one that is not among them. */
export function partsNear(name: string, parts: readonly { readonly name: string }[]): string {
  return `Its parts are ${nearestFirst(name, parts.map((p) => p.name)).join(", ")}`;
}

/**
 * Indexes of the seats a name in a plan stands for: one part, all numbered parts of a plural such as `Horns`, or
 * none.
 */
export function seatsNamed(name: string, seats: readonly Seat[]): readonly number[] {
  const wanted = name.trim().toLowerCase();
  const exact = seats.findIndex((s) => s.part.name.toLowerCase() === wanted);
  if (exact >= 0) return [exact];
  // "Horn" alone could be any of four; only the plural means them all.
  if (!wanted.endsWith("s")) return [];
  const stem = wanted.replace(/s$/, "");
  const having = (nameOf: (part: string) => string) =>
    seats.flatMap((s, i) => nameOf(s.part.name) === stem ? [i] : []);
  const all = having(stemOf);
  return all.length > 0 ? all : having((part) => stemOf(part).replace(KEY, ""));
}

/** The key of an instrument, before its name or after it: horns in E flat and in C are the horns. */
const KEY = /^[a-h](b|#|♭|♯)?( basso| alto)? (?=\S)| in [a-h](b|#|♭|♯)?$/;

/** The seats that names in a plan stand for, name by name. */
export function seatsNamedBy(names: readonly string[], seats: readonly Seat[]): readonly number[] {
  return names.flatMap((name) => seatsNamed(name, seats));
}

const stems = memo<string>(200);

/** The name of a part without its number, in the singular. */
function stemOf(name: string): string {
  return stems(name, () => lineName(name).stem.toLowerCase().replace(/s$/, ""));
}

/**
 * A plan's layers in its order, with bars, parts and figures looked up; refuses what is unknown, and a part with two
 * roles at once.
 */
export function placeAssignments(
  plan: Plan,
  seats: readonly Seat[],
  bars: readonly Bar[],
): readonly PlacedAssignment[] {
  if (plan.passages.every((p) => p.assignments.length === 0)) {
    throw planError(plan, "it has no layers", "Add at least one passage with a lead");
  }
  const layersOf = new Map<string, number>();
  const figures = definedFigures(plan.figures ?? []);
  const placed = plan.passages.flatMap((passage) => {
    const [fromBarIndex, toBarIndex] = barsOf({ plan, passage }, bars);
    const place = `${passage.name} ${passage.fromBar}-${passage.toBar}`;
    return passage.assignments.map((assignment): PlacedAssignment => {
      const spot = { plan, passage, assignment };
      const number = (layersOf.get(place) ?? 0) + 1;
      layersOf.set(place, number);
      const layer = `${place}: ${number} ${assignment.role}`;
      const [figure, own] = [figureOf(spot, figures), seatsOfAssignment(spot, seats)];
      return { passage, assignment, figure, seats: own, fromBarIndex, toBarIndex, layer };
    });
  });
  checkOneRole(plan, placed, { seats, bars });
  return placed;
}

function checkOneRole(
  plan: Plan,
  placed: readonly PlacedAssignment[],
  { seats, bars }: { readonly seats: readonly Seat[]; readonly bars: readonly Bar[] },
): void {
  const takenBy = new Map<number, PlacedAssignment>();
  for (const entry of placed) {
    const { passage, assignment, fromBarIndex, toBarIndex } = entry;
    for (const seat of entry.seats) {
      for (let b = fromBarIndex; b <= toBarIndex; b++) {
        const other = takenBy.get(seat * bars.length + b);
        if (other) {
          const roles = `${other.assignment.role} and ${assignment.role}`;
          throw placeError({ plan, passage, assignment }, {
            problem: `"${seats[seat]!.part.name}" has two roles in bar ${bars[b]!.number}, ${roles}`,
            column: "parts",
            remedy: "Give each part one role at a time, or use another player of the section",
          });
        }
        takenBy.set(seat * bars.length + b, entry);
      }
    }
  }
}

function figureOf(spot: Spot & { readonly assignment: Assignment }, figures: readonly Figure[]): Figure {
  const { role, figure: id } = spot.assignment;
  const figure: Figure | undefined = figureById(id) ?? figures.find((f) => f.id === id);
  if (figure?.role === role) return figure;
  const problem = `"${id}" is not a figure of ${role}`;
  const remedy = "Use assign() to check it; a figure of your own must be among the plan's figures";
  throw placeError(spot, { problem, column: "figure", remedy });
}

/** A layer of a plan, or a whole passage. */
interface Spot {
  readonly plan: Pick<Plan, "name">;
  readonly passage: Passage;
  readonly assignment?: Assignment;
}

/** Says where the layer was read from, row or field; else the plan, with the passage, role and parts. */
export function placeError(
  { plan, passage, assignment }: Spot,
  details: { readonly problem: string; readonly column: PlanColumn; readonly remedy: string },
): InputError {
  const { problem, column, remedy } = details;
  const read = (assignment ?? passage.assignments.find((a) => a.where !== undefined))?.where;
  const layer = assignment && { role: assignment.role, part: assignment.parts.join(" + ") };
  const where: Place = read?.row !== undefined
    ? { ...read, column }
    : read?.layer !== undefined
    ? { ...read, ...(assignment ? {} : { layer: undefined }), field: fieldOf(column) }
    : { file: plan.name, passage: passage.name, ...layer };
  return new InputError({ action: "realise the plan", problem, where, remedy });
}

function barsOf(spot: Spot, bars: readonly Bar[]): readonly [number, number] {
  const { passage } = spot;
  const indexOf = (printed: number) => bars.findIndex((b) => b.number === String(printed));
  const [fromBarIndex, toBarIndex] = [indexOf(passage.fromBar), indexOf(passage.toBar)];
  if (fromBarIndex < 0 || toBarIndex < 0) {
    throw placeError(spot, {
      problem: `the passage "${passage.name}" reaches to bar ${
        fromBarIndex < 0 ? passage.fromBar : passage.toBar
      }, but the sketch has bars ${bars[0]?.number} to ${bars.at(-1)?.number}`,
      column: fromBarIndex < 0 ? "from_bar" : "to_bar",
      remedy: "Use bars of the sketch",
    });
  }
  if (toBarIndex < fromBarIndex) {
    throw placeError(spot, {
      problem:
        `the passage "${passage.name}" ends in bar ${passage.toBar}, before it begins in bar ${passage.fromBar}`,
      column: "to_bar",
      remedy: "Swap them",
    });
  }
  return [fromBarIndex, toBarIndex];
}

/**
 * The seats of a layer in groups that play together, in the order of the plan's names; where all are of one name, each by
 * itself.
 */
export function groupsOfSeats({ parts }: Assignment, seats: readonly Seat[]): readonly (readonly number[])[] {
  const named = parts.map((name) => seatsNamed(name, seats));
  return named.length > 1 ? named : named.flat().map((seat) => [seat]);
}

/** The seats a layer names, each once. */
function seatsOfAssignment(
  spot: Spot & { readonly assignment: Assignment },
  seats: readonly Seat[],
): readonly number[] {
  const { assignment } = spot;
  if (assignment.articulation === "slurred" && assignment.role === "pulse") {
    throw placeError(spot, {
      problem: `"${assignment.figure}" repeats one pitch, which cannot be slurred`,
      column: "articulation",
      remedy: "Use portato or tenuto, or a figure that moves",
    });
  }
  const chosen: number[] = [];
  for (const name of assignment.parts) {
    const found = seatsNamed(name, seats);
    if (found.length === 0) {
      throw placeError(spot, {
        problem: `"${name}" is not in the orchestra`,
        column: "parts",
        remedy: partsNear(name, seats.map((s) => s.part)),
      });
    }
    for (const seat of found) {
      if (chosen.includes(seat)) {
        throw placeError(spot, {
          problem: `"${seats[seat]!.part.name}" is named twice in one layer`,
          column: "parts",
          remedy: "Name each part once",
        });
      }
      chosen.push(seat);
    }
  }
  if (assignment.handOver !== undefined && chosen.length < 2 && !chosen.some((i) => hasDesks(seats[i]!))) {
    throw placeError(spot, {
      problem: `"${assignment.parts.join(" + ")}" has nobody to hand the figure over to`,
      column: "hand_over",
      remedy: "Name two parts or more or a section of strings, or leave it empty",
    });
  }
  checkSharing(spot, chosen.map((i) => seats[i]!));
  return chosen.sort((a, b) => a - b);
}

/** Refuses a division and an order of winds that the parts of a layer cannot have. */
function checkSharing(spot: Spot & { readonly assignment: Assignment }, own: readonly Seat[]): void {
  const { divisi } = spot.assignment;
  const divided = divisionSlip(divisi, own);
  if (divided) throw placeError(spot, { ...divided, column: "divisi" });
  const arranged = arrangementSlip(spot.assignment, own);
  if (arranged) throw placeError(spot, { ...arranged, column: "voicing" });
}
