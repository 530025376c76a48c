/** A scoring with one group of players more, one less, or another in its place; or with another figure. */
import { seatsNamedBy } from "../plan/place_assignments.ts";
import { assign, type Assignment } from "../plan/plan.ts";
import type { Seat } from "../plan/seat.ts";
import type { FigureId } from "../../texture/figures.ts";
import { canBeBass, canHold, canLead, canMove, canPunctuate, type PlayerGroup } from "./colours.ts";
import { figuresThrough, FORTE, leadsAt, mayLand, movesAt, type ScoringTask } from "./draw_scoring.ts";

interface ChangeOptions {
  readonly seats: readonly Seat[];
  readonly random: () => number;
}

/** How often a change is another figure, and how often a group less. */
const CHANGES = { figure: 0.3, less: 0.25 } as const;

/** A scoring with one layer changed in who plays it or in its figure; undefined where chance found nothing. */
export function changeVoices(
  task: Omit<ScoringTask, "drive">,
  layers: readonly Assignment[],
  { seats, random }: ChangeOptions,
): readonly Assignment[] | undefined {
  const one = <T>(list: readonly T[]): T | undefined => list[Math.floor(random() * list.length)];
  const at = one(layers.filter((a) => !task.kept.includes(a)));
  if (at === undefined || (at.role === "lead" && task.lead.length > 0)) return undefined;
  const chance = random();
  const groups = at.parts.flatMap((name) =>
    task.colours.filter((c) => c.parts.length === 1 && c.parts[0] === name).slice(0, 1)
  );
  const withParts = (own: readonly PlayerGroup[], figure: string = at.figure): readonly Assignment[] => {
    const sorted = own.toSorted((a, b) => a.seats[0]! - b.seats[0]!);
    const parts = sorted.flatMap((c) => c.parts);
    return layers.map((a) => a === at ? assign({ ...at, figure: figure as FigureId, parts }) : a);
  };
  if (chance < CHANGES.figure) {
    const figure = one(figuresFor(task, at, groups).filter((id) => id !== at.figure));
    return figure === undefined ? undefined : withParts(groups, figure);
  }
  const gone = one(groups);
  const less = groups.filter((c) => c !== gone);
  if (chance < CHANGES.figure + CHANGES.less) return less.length === 0 ? undefined : withParts(less);
  const used = new Set([
    ...task.rest,
    ...layers.flatMap((a) => seatsNamedBy(a.parts, seats)),
  ]);
  const rest = random() < 0.5 ? less : groups;
  const next = one(
    task.colours.filter((c) =>
      c.seats.every((seat) => !used.has(seat)) && isFirst(c, task, used) && isAble(c, at, task) &&
      figuresFor(task, at, [...rest, c]).includes(at.figure)
    ),
  );
  return next && withParts([...rest, next]);
}

/** Figures that all of some groups can be asked for in a layer. */
function figuresFor(
  task: Omit<ScoringTask, "drive">,
  { role, figure }: Assignment,
  groups: readonly PlayerGroup[],
): readonly string[] {
  if (role === "lead" || role === "counterline" || role === "punctuation" || groups.length === 0) {
    return [figure];
  }
  const family = groups[0]!.instrument.family;
  if (groups.some((c) => c.instrument.family !== family)) return [figure];
  return figuresThrough(task, role, groups).map((f) => f.id);
}

/** Whether nobody of a kind is free who sits before a single player: a line for one goes to the first. */
function isFirst(
  c: PlayerGroup,
  { colours }: Pick<ScoringTask, "colours">,
  used: ReadonlySet<number>,
): boolean {
  return c.seats.length > 1 || c.isSection ||
    !colours.some((other) =>
      other.seats.length === 1 && other.instrument.id === c.instrument.id &&
      other.seats[0]! < c.seats[0]! && !used.has(other.seats[0]!)
    );
}

/** Whether a group can have a role at the level of a passage, as drawn scorings have it: brass below and behind only where it is loud. */
function isAble(
  c: PlayerGroup,
  { role }: Assignment,
  { tune, level, restsNext }: Omit<ScoringTask, "drive">,
): boolean {
  const [isLoud, isBrass] = [level >= FORTE, c.instrument.family === "brass"];
  switch (role) {
    case "lead":
      return canLead(c, tune) && leadsAt(c, level);
    case "bass":
      return canBeBass(c) && (isLoud || !isBrass);
    case "pad":
      return canHold(c) && (isLoud || !isBrass || c.instrument.id.startsWith("horn"));
    case "counterline":
      return canHold(c) && leadsAt(c, level);
    case "punctuation":
      return canPunctuate(c);
    default:
      return canMove(c) && movesAt(c, level) && mayLand(c, role, { restsNext });
  }
}
