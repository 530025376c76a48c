/** What happens where the orchestration turns. */
import type { RoleCell } from "../../texture/model.ts";
import { type BarsRead, cellsOf } from "./bars_read.ts";
import { chiefOf } from "./leads_of.ts";
import type { RecipeTurn, TurnKind } from "./recipe_results.ts";

const TURN_KINDS: readonly TurnKind[] = [
  "another lead",
  "another figure",
  "families come in",
  "families leave",
];

/** What happens at turns, each held against the bar before. */
export function turnsOf(read: BarsRead, changes: readonly number[]): readonly RecipeTurn[] {
  const counts = new Map<TurnKind, number>(TURN_KINDS.map((kind) => [kind, 0]));
  for (const bar of changes) {
    for (const kind of turnAt(read, bar)) counts.set(kind, counts.get(kind)! + 1);
  }
  return TURN_KINDS.map((what) => ({
    what,
    share: changes.length === 0 ? 0 : counts.get(what)! / changes.length,
  }));
}

function turnAt(read: BarsRead, bar: number): readonly TurnKind[] {
  const [before, now] = [bar - 1, bar].map((b) => cellsOf(read, b).filter((c) => c.role !== "rest"));
  const familiesIn = (cells: readonly RoleCell[]) =>
    new Set(cells.map((c) => read.instruments[c.part]!.family));
  const [were, are] = [familiesIn(before!), familiesIn(now!)];
  const figures = new Map(before!.map((c) => [c.part, c.figure]));
  const happened: Readonly<Record<TurnKind, boolean>> = {
    "another lead": chiefOf(read, bar - 1) !== chiefOf(read, bar),
    "another figure": now!.some((c) => figures.has(c.part) && figures.get(c.part) !== c.figure),
    "families come in": [...are].some((family) => !were.has(family)),
    "families leave": [...were].some((family) => !are.has(family)),
  };
  return TURN_KINDS.filter((kind) => happened[kind]);
}
