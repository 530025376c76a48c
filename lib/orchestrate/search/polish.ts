/** A plan made better bit by bit: one job or one mark of one passage at a time, measured alone first and then whole. */
import { randomFrom } from "../../base/random_from.ts";
import { seatsNamedBy } from "../plan/place_assignments.ts";
import type { Assignment } from "../plan/plan.ts";
import { isAgainstPractice } from "./against_practice.ts";
import { candidateWith, type PlanCandidate, type PlanTask } from "./best_plans.ts";
import { changeVoices } from "./change_voices.ts";
import { costOf } from "./craft.ts";
import { redrawScoring } from "./draw_scoring.ts";
import {
  measuredAlone,
  type PassageMeasurer,
  PLAYER_WISHES,
  sameLayers,
  scoringTask,
} from "./scoring_pool.ts";
import { FULL_DRIVE } from "./search_ground.ts";

/** What a change may cost its passage alone for the plan to be measured whole: as much as neighbours and freshness may give back. Model assumption. */
const GIVEN_BACK = 0.001;
/** A cost that is that near to the one before is the same: nothing that is measured has changed. */
const NO_CHANGE = 1e-9;
/** Least weight of a passage when one is drawn, beside what it costs. */
const ANY_PASSAGE = 0.01;

/** How often a change is one of players or figure alone, against a whole job. */
const VOICES = 0.5;

/** What a plan is bettered with. */
interface PolishTask extends PlanTask {
  readonly measurePassage: PassageMeasurer;
  readonly seed: number;
  /** Changes that are drawn; what is known, cannot be written or goes against practice is not tried. */
  readonly steps: number;
  /** Called for each change that was written and measured. */
  readonly onTried?: () => void;
  /** Whether a plan may stand in the place of the one that is bettered. */
  readonly mayStand: (candidate: PlanCandidate) => boolean;
}

/** Betters a plan; after each change that is drawn comes the best plan so far. */
export function* polished(task: PolishTask, plan: PlanCandidate): Generator<PlanCandidate> {
  const { ground, measurePassage, seed, steps, mayStand } = task;
  const { seats, wishes } = ground;
  const random = randomFrom(seed * 104729 + 17);
  const tasks = ground.spans.map((_, passage) => scoringTask({ ground, passage, minds: PLAYER_WISHES }));
  const seatsOf = (a: Assignment) => seatsNamedBy(a.parts, seats);
  let best = plan;
  const costs = plan.chosen.map((k, p) => costOf(ground, p, task.pools[p]![k]!));
  // What stands, and what was tried beside it.
  let known = knownIn(plan);
  for (let step = 0; step < steps; step++) {
    yield best;
    const p = drawnPassage(
      best.scorings.map((s, i) => ANY_PASSAGE + Math.max(0, costOf(ground, i, s))),
      random,
    );
    const wanted = wishes.passages[p]!.momentum;
    const drive = wanted === undefined ? random() : Math.min(1, wanted / FULL_DRIVE * (0.5 + random()));
    const { assignments } = best.scorings[p]!;
    const changed = random() < VOICES
      ? changeVoices(tasks[p]!, assignments, { seats, random })
      : redrawScoring({ ...tasks[p]!, drive }, assignments, { seatsOf, random });
    if (!changed || known[p]!.has(sameLayers(changed))) continue;
    known[p]!.add(sameLayers(changed));
    if (isAgainstPractice({ ...tasks[p]!, seatsOf }, changed)) continue;
    const scoring = measuredAlone(ground, { passage: p, assignments: changed }, measurePassage);
    if (!scoring) continue;
    task.onTried?.();
    const cost = costOf(ground, p, scoring);
    if (cost > costs[p]! + GIVEN_BACK || Math.abs(cost - costs[p]!) < NO_CHANGE) continue;
    const other = candidateWith(task, best.scorings.with(p, scoring), best.chosen);
    if (!other || other.shortfall >= best.shortfall || !mayStand(other)) continue;
    best = other;
    costs[p] = cost;
    known = knownIn(best);
  }
  yield best;
}

/** For each passage what is known of it: what a plan has. */
function knownIn({ scorings }: PlanCandidate): readonly Set<string>[] {
  return scorings.map(({ assignments }) => new Set([sameLayers(assignments)]));
}

/** The index of a passage, by weight. */
function drawnPassage(weights: readonly number[], random: () => number): number {
  let left = random() * weights.reduce((a, b) => a + b, 0);
  const found = weights.findIndex((weight) => (left -= weight) < 0);
  return found < 0 ? weights.length - 1 : found;
}
