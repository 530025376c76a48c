/** Where each lead of a plan takes the tune up and gives it away: at bar lines, or with the upbeat to its passage. */
import type { Ticks } from "../../base/units.ts";
import type { Bar } from "../../score/model.ts";
import { opensWithUpbeat } from "../../score/time.ts";
import type { LayerUpbeat } from "./extra_columns.ts";
import { type PlacedAssignment, placeError } from "./place_assignments.ts";
import type { Plan } from "./plan.ts";
import type { Seat } from "./seat.ts";

/** Quarters of an upbeat. */
const QUARTERS: Readonly<Record<LayerUpbeat, number>> = {
  sixteenth: 1 / 4,
  eighth: 1 / 2,
  "dotted eighth": 3 / 4,
  quarter: 1,
  "dotted quarter": 3 / 2,
  half: 2,
  "dotted half": 3,
};

/** What a plan is placed on. */
interface Placing {
  readonly plan: Pick<Plan, "name">;
  readonly seats: readonly Seat[];
  readonly bars: readonly Bar[];
  readonly ticksPerQuarter: Ticks;
}

/**
 * The layers of a plan, each lead with the stretch of the tune that it plays: one that has an upbeat comes in so long before
 * its passage, and who led until there gives the tune away. An upbeat that opens the piece, and that no passage has, goes with
 * the first whole bar.
 *
 * @throws {InputError} when there is no bar before the passage or the upbeat is longer than that, or when one of its parts
 *   plays something else there
 */
export function withUpbeats(placed: readonly PlacedAssignment[], on: Placing): readonly PlacedAssignment[] {
  const { bars, ticksPerQuarter } = on;
  const upbeatOf = ({ assignment: { upbeat } }: PlacedAssignment): Ticks =>
    upbeat === undefined ? 0 : QUARTERS[upbeat] * ticksPerQuarter;
  return withOpening(placed, on).map((p): PlacedAssignment => {
    if (p.assignment.role !== "lead") return p;
    const before = upbeatOf(p);
    if (before > 0) checkUpbeat(p, before, placed, on);
    const next = placed.filter((q) => q.assignment.role === "lead" && q.fromBarIndex === p.toBarIndex + 1);
    const last = bars[p.toBarIndex]!;
    const fromTicks = bars[p.fromBarIndex]!.startTicks - before;
    const toTicks = last.startTicks + last.durationTicks - Math.max(0, ...next.map(upbeatOf));
    return { ...p, tune: { fromTicks, toTicks } };
  });
}

/** The same, with the upbeat that opens the piece in the hands of those who lead in the first whole bar, where a plan gives it to nobody. */
function withOpening(
  placed: readonly PlacedAssignment[],
  score: Pick<Placing, "bars" | "ticksPerQuarter">,
): readonly PlacedAssignment[] {
  if (!opensWithUpbeat(score) || placed.some((p) => p.fromBarIndex === 0)) return placed;
  return placed.map((p) => {
    const { role, upbeat } = p.assignment;
    return role === "lead" && p.fromBarIndex === 1 && upbeat === undefined ? { ...p, fromBarIndex: 0 } : p;
  });
}

/** Refuses an upbeat for which there is no room. */
function checkUpbeat(
  p: PlacedAssignment,
  ticks: Ticks,
  placed: readonly PlacedAssignment[],
  { plan, seats, bars }: Placing,
): void {
  const { passage, assignment, fromBarIndex } = p;
  const refuse = (problem: string, remedy: string) =>
    placeError({ plan, passage, assignment }, { problem, column: "upbeat", remedy });
  const before = bars[fromBarIndex - 1];
  const upbeat = `the upbeat of a ${assignment.upbeat}`.replace("a eighth", "an eighth");
  if (before === undefined) {
    throw refuse(`nothing comes before bar ${passage.fromBar} for ${upbeat}`, "Leave it empty");
  }
  if (ticks > before.durationTicks) {
    throw refuse(`${upbeat} is longer than bar ${before.number} before it`, "Write a shorter one");
  }
  const other = placed.find((q) =>
    q.assignment.role !== "lead" && q.fromBarIndex < fromBarIndex && q.toBarIndex >= fromBarIndex - 1 &&
    q.seats.some((seat) => p.seats.includes(seat))
  );
  if (other === undefined) return;
  const busy = seats[other.seats.find((seat) => p.seats.includes(seat))!]!.part.name;
  throw refuse(
    `"${busy}" plays the ${other.assignment.role} until bar ${before.number}, where ${upbeat} begins`,
    "Let it rest there, or leave the upbeat empty",
  );
}
