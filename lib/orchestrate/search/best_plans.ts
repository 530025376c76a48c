/** The best plans from pools of scorings: chosen by the solver, written whole, measured anew and refined. */
import type { Plan } from "../plan/plan.ts";
import type { Limit, ScoringChoice } from "./choose_scorings.ts";
import type { MeasuredPlan } from "./measured_plan.ts";
import { planOf } from "./scoring_pool.ts";
import { costOf, CRAFT, likeness, turnCost } from "./craft.ts";
import type { SearchGround } from "./search_ground.ts";
import { remeasured, type Scoring, wholeShort, type WholeTerm } from "./wish_terms.ts";

/** Share of the bars that have to be scored otherwise for a plan to count as another one. */
const OTHERWISE = 0.5;
/** Two scorings of a passage are alike when more than this share of their parts do the same. */
const ALIKE = 0.6;
/** Alternatives tried for one plan, and at one passage of it. */
const TRIES = { perPlan: 14, perPassage: 5 } as const;
/** Scorings of a passage among which the solver chooses, the cheapest, where these are enough: its time grows with the pairs. */
const CHEAPEST = 28;

/** A plan with all that is known of it. */
export interface PlanCandidate {
  readonly plan: Plan;
  /** Number of the scoring of each passage in its pool, from which it may have been bettered. */
  readonly chosen: readonly number[];
  /** The scorings as they came out. */
  readonly scorings: readonly Scoring[];
  readonly measured: MeasuredPlan;
  readonly shortfall: number;
}

/** What plans are made from. */
export interface PlanTask {
  readonly ground: SearchGround;
  readonly pools: readonly (readonly Scoring[])[];
  readonly choose: (choice: ScoringChoice) => readonly number[] | undefined;
  readonly measure: (plan: Plan) => MeasuredPlan | undefined;
}

/** Limits of a wish for the whole, as the solver takes them. */
export function limitsOf(term: WholeTerm, pools: PlanTask["pools"]): readonly Limit[] {
  const { atLeast, atMost } = term;
  return term.sums.map((of) => ({
    adds: pools.map((pool, p) => pool.map((scoring) => of(scoring, p))),
    ...(atLeast === undefined ? {} : { atLeast }),
    ...(atMost === undefined ? {} : { atMost }),
  }));
}

/** Whether anything meets the limits, whatever it costs. */
export function isPossible({ choose }: Pick<PlanTask, "choose">, { costs, limits }: ScoringChoice): boolean {
  return choose({ costs, limits }) !== undefined;
}

/** The cheapest scorings of each passage alone, or all where the wishes cannot be met by these. */
function narrowed(task: PlanTask, choice: ScoringChoice): ScoringChoice {
  const costs = choice.costs.map((own) => {
    const limit = own.filter((c) => c !== null).sort((a, b) => a - b)[CHEAPEST - 1] ?? Infinity;
    return own.map((cost) => cost !== null && cost > limit ? null : cost);
  });
  return isPossible(task, { ...choice, costs }) ? { ...choice, costs } : choice;
}

/** The choice that meets all that must be met at the least cost. */
export function choiceOf(task: PlanTask): ScoringChoice {
  const { ground, pools } = task;
  const musts = ground.passageTerms.filter((t) => t.must);
  const turns = ground.wishes.passages.length > 1;
  return {
    costs: pools.map((pool, p) =>
      pool.map((scoring) =>
        musts.some((t) => t.passage === p && t.shortOf(scoring) > 0) ? null : costOf(task.ground, p, scoring)
      )
    ),
    ...(turns ? { after: (p, first, second) => turnCost(pools[p]![first]!, pools[p + 1]![second]!) } : {}),
    limits: ground.wholeTerms.flatMap((term) => limitsOf(term, pools)),
  };
}

/** A limit that keeps a choice away from one that is made already: half of the bars have to be scored otherwise. */
function awayFrom(chosen: readonly number[], { ground, pools }: PlanTask): Limit {
  return {
    adds: pools.map((pool, p) =>
      pool.map((scoring) => likeness(scoring, pool[chosen[p]!]!) > ALIKE ? ground.barShares[p]! : 0)
    ),
    atMost: 1 - OTHERWISE + 1e-9,
  };
}

/** Share of the bars in which two choices are scored otherwise. */
export function otherwiseThan(a: PlanCandidate, b: PlanCandidate, { ground }: PlanTask): number {
  return a.scorings.reduce(
    (sum, s, p) => sum + (likeness(s, b.scorings[p]!) > ALIKE ? 0 : ground.barShares[p]!),
    0,
  );
}

/** The shortfall of a plan measured whole: wishes for passages and for the whole, and what the craft asks. */
export function judged(ground: SearchGround, scorings: readonly Scoring[], { whole }: MeasuredPlan): number {
  const passages = scorings.reduce((sum, s, p) => sum + costOf(ground, p, s), 0);
  const musts = ground.passageTerms.filter((t) => t.must);
  const missed = musts.filter((t) => t.shortOf(scorings[t.passage]!) > 0).length +
    ground.wholeTerms.filter((t) => wholeShort(t, scorings).short > 0).length;
  const fresh = ground.wishes.freshnessAtLeast ?? 0;
  const stale = fresh > 0 ? Math.max(0, fresh - whole.freshness) / fresh : 0;
  return passages + missed + stale + CRAFT.stale * (1 - whole.freshness) + offShape(ground, whole);
}

/** How far a plan is from the contour wished for: what is wanting to the least that was asked, and the craft's own share. */
function offShape({ wishes }: SearchGround, whole: MeasuredPlan["whole"]): number {
  const { contour, contourAtLeast } = wishes;
  if (contour === undefined) return 0;
  const follows = whole.contour ?? 0;
  return CRAFT.shape * (1 - follows) / 2 + Math.max(0, (contourAtLeast ?? -1) - follows);
}

/** Writes a choice whole and measures it. */
function candidateOf(
  task: PlanTask,
  chosen: readonly number[],
): PlanCandidate | undefined {
  return candidateWith(task, chosen.map((k, p) => task.pools[p]![k]!), chosen);
}

/** Writes a scoring of each passage whole and measures it. */
export function candidateWith(
  task: PlanTask,
  picked: readonly Scoring[],
  chosen: readonly number[],
): PlanCandidate | undefined {
  const plan = planOf(
    task.ground,
    picked.map(({ assignments }, passage) => ({ passage, assignments })),
    "a plan",
  );
  const measured = task.measure(plan);
  if (!measured) return undefined;
  const scorings = remeasured(picked, measured);
  return { plan, chosen, scorings, measured, shortfall: judged(task.ground, scorings, measured) };
}

/** Plans one after the other, each away from those before it; after each come those that were tried to better it. */
export function* bestPlans(task: PlanTask, count: number): Generator<PlanCandidate | undefined> {
  const choice = narrowed(task, choiceOf(task));
  const limits = [...choice.limits];
  for (let i = 0; i < count; i++) {
    const chosen = task.choose({ ...choice, limits });
    if (!chosen) return;
    limits.push(awayFrom(chosen, task));
    yield* refined(task, choice, chosen);
  }
}

/** A choice and what comes of exchanging one scoring of it, the costliest passage first, as long as it gets better. */
function* refined(
  task: PlanTask,
  choice: ScoringChoice,
  chosen: readonly number[],
): Generator<PlanCandidate | undefined> {
  let best = candidateOf(task, chosen);
  yield best;
  let tries = 0;
  for (const p of best ? byCost(task, best) : []) {
    const order = choice.costs[p]!.flatMap((cost, k) =>
      cost === null || k === best!.chosen[p] ? [] : [{ k, cost: cost + turnsAt(task, best!, p, k) }]
    ).sort((a, b) => a.cost - b.cost).slice(0, TRIES.perPassage);
    for (const { k } of order) {
      if (tries++ >= TRIES.perPlan) return;
      const other: PlanCandidate | undefined = candidateOf(task, best!.chosen.with(p, k));
      yield other;
      if (other && other.shortfall < best!.shortfall) best = other;
    }
  }
}

/** What it costs to come to a scoring and to go on from it, beside its neighbours in a plan. */
function turnsAt({ pools }: PlanTask, { chosen }: PlanCandidate, p: number, k: number): number {
  const at = (passage: number) => pools[passage]?.[chosen[passage]!];
  const own = pools[p]![k]!;
  const [before, after] = [at(p - 1), at(p + 1)];
  return (before ? turnCost(before, own) : 0) + (after ? turnCost(own, after) : 0);
}

function byCost(task: PlanTask, { scorings }: PlanCandidate): readonly number[] {
  return scorings.map((s, p) => ({ p, cost: costOf(task.ground, p, s) })).sort((a, b) => b.cost - a.cost).map(
    (
      { p },
    ) => p,
  );
}
