/** What an orchestrator would laugh at in a scoring of a passage, however it came about. Rules of common practice, no source. */
import type { Bar, Score } from "../../score/model.ts";
import { isCompound } from "../../score/time.ts";
import { figureById } from "../../texture/figures.ts";
import type { Assignment } from "../plan/plan.ts";
import { canBeBass, type PlayerGroup } from "./colours.ts";
import { areAllContra, FORTE, isSuitedTo, movesWith, type ScoringTask } from "./draw_scoring.ts";

/** Roles whose players share a figure that moves. */
const MOVES: readonly string[] = ["pulse", "figuration", "run", "trill"];

/** What is known of a passage and its layers. */
interface PracticeTask extends Omit<ScoringTask, "drive"> {
  readonly seatsOf: (a: Assignment) => readonly number[];
}

/**
 * Whether a scoring goes against practice: a second player plays while the first of a kind rests, or leads while the first does
 * something else; double basses are a bass alone though others are free; low instruments run or shake, and a piccolo repeats
 * chords; far-off instruments share a figure; beats are divided in three and in two or four at once; where it is loud, some
 * strings rest while others play more than the bass. What was asked for or stood before is left to who asked.
 */
export function isAgainstPractice(task: PracticeTask, layers: readonly Assignment[]): boolean {
  const own = layers.filter((a) => !task.kept.includes(a));
  const asked = new Set([...task.lead, ...task.play].flatMap((c) => c.seats));
  const doing = new Map(layers.flatMap((a) => task.seatsOf(a).map((seat) => [seat, a.role] as const)));
  const single = task.colours.filter((c) => c.seats.length === 1);
  const groupsOf = (a: Assignment) => {
    const seats = task.seatsOf(a).filter((seat) => !asked.has(seat));
    return single.filter((c) => seats.includes(c.seats[0]!));
  };
  const isFree = ({ seats: [seat] }: PlayerGroup) => !doing.has(seat!) && !task.rest.has(seat!);
  const sections = single.filter((c) => c.isSection && !task.rest.has(c.seats[0]!));
  const isMore = (role: string | undefined) => role !== undefined && role !== "bass";
  const leavesStrings = task.level >= FORTE && sections.some(isFree) &&
    sections.some(({ seats: [seat] }) => !asked.has(seat!) && isMore(doing.get(seat!)));
  return leavesStrings || dividesTwoWays(own, task) || own.some((a) => {
    const groups = groupsOf(a);
    return groups.some((c) => isOutOfTurn(c, a.role, { single, doing, rest: task.rest })) ||
      (a.role === "bass" && groups.length > 0 && areAllContra(groups) &&
        single.some((c) => isFree(c) && canBeBass(c) && !areAllContra([c]) && joinsBass(c, task.level))) ||
      (MOVES.includes(a.role) &&
        groups.some((c, i) => !isSuitedTo(c, a.role) || groups.slice(i + 1).some((d) => !movesWith(c, d))));
  });
}

/** Brass joins a bass where it is loud. */
function joinsBass({ instrument }: PlayerGroup, level: number): boolean {
  return instrument.family !== "brass" || level >= FORTE;
}

/** Whether a player plays though one who sits before it on the same instrument rests, or leads though that one does something else. */
function isOutOfTurn(
  { instrument, seats: [seat], isSection }: PlayerGroup,
  role: string,
  { single, doing, rest }: {
    readonly single: readonly PlayerGroup[];
    readonly doing: ReadonlyMap<number, string>;
    readonly rest: ReadonlySet<number>;
  },
): boolean {
  if (isSection) return false;
  return single.some(({ instrument: other, seats: [before] }) =>
    other.id === instrument.id && before! < seat! && !rest.has(before!) &&
    (!doing.has(before!) || (role === "lead" && doing.get(before!) !== "lead"))
  );
}

/** Whether layers that move divide the beat in three and in two or four at once, in a metre whose beats are not in three. */
function dividesTwoWays(
  layers: readonly Assignment[],
  { score, bars }: { readonly score: Score; readonly bars: { readonly fromBarIndex: number } },
): boolean {
  const first: Bar = score.bars[bars.fromBarIndex]!;
  if (isCompound(first)) return false;
  const strokes = layers.filter((a) => MOVES.includes(a.role) || a.role === "bass").flatMap((a) =>
    figureById(a.figure)?.strokes.map((s) => s.at) ?? []
  );
  const isOn = (at: number, parts: number) => Math.abs(at * parts - Math.round(at * parts)) < 1e-6;
  return strokes.some((at) => !isOn(at, 8)) && strokes.some((at) => isOn(at, 8) && !isOn(at, 1));
}
