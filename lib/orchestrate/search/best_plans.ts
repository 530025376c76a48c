/** The best plans from pools of scorings: chosen by the solver, written whole, measured anew and refined. */
import type { Plan } from "../plan/plan.ts";
import type { Limit, ScoringChoice } from "./choose_scorings.ts";
import type { MeasuredPlan } from "./measured_plan.ts";
import { planOf } from "./scoring_pool.ts";
import { levelOf, type SearchGround } from "./search_ground.ts";
import { remeasured, type Scoring, wholeShort, type WholeTerm } from "./wish_terms.ts";

/** What the craft asks beside the wishes. Weights are model assumptions; a wish missed by a tenth weighs 0.1. */
const CRAFT = {
  /** A lead that keeps less of its loudness than this is covered. */
  leadKeeps: 0.4,
  /** One finding called tiring or risky. */
  finding: 0.03,
  /** A lead that leads on in the next passage. */
  sameLead: 0.12,
  /** All parts doing in the next passage what they did before. */
  sameScoring: 0.12,
  /** What is not fresh, as a share of freshness missed. */
  stale: 0.3,
  /** A chord beside the lead of which nothing is there, against one that is full. */
  thin: 0.3,
  /** Instruments used as hardly ever, against as most often. */
  unusual: 0.3,
  /** A passage in which all too few play, or too many, for how loud it is: none of those wanted, or as many again. */
  numbers: 0.2,
  /** A liked part that plays throughout. */
  liked: 0.05,
} as const;

/** Share of the bars that have to be scored otherwise for a plan to count as another one. */
const OTHERWISE = 0.5;
/** Two scorings of a passage are alike when more than this share of their parts do the same. */
const ALIKE = 0.6;
/** Alternatives tried for one plan, and at one passage of it. */
const TRIES = { perPlan: 10, perPassage: 4 } as const;

/** A plan with all that is known of it. */
export interface PlanCandidate {
  readonly plan: Plan;
  /** Number of the scoring of each passage in its pool. */
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

/** How far a scoring misses what its passage is asked, and what the craft asks. */
export function costOf({ ground }: Pick<PlanTask, "ground">, passage: number, scoring: Scoring): number {
  const { passageTerms, barShares, wishes, seats } = ground;
  const short = passageTerms.filter((t) => t.passage === passage).reduce(
    (sum, t) => sum + t.shortOf(scoring),
    0,
  );
  const few = Math.abs(playingShare(ground, scoring) - wantedShare(levelOf(passage, wishes)));
  const { audibleShare, findings } = scoring.measured;
  const covered = audibleShare === null ? 0 : Math.max(0, CRAFT.leadKeeps - audibleShare) / CRAFT.leadKeeps;
  const liked = new Set(wishes.favour ?? []);
  const favoured = [...scoring.doing.keys()].filter((s) => liked.has(seats[s]!.part.name)).length;
  const thin = CRAFT.thin * (1 - scoring.measured.fullness);
  const unusual = CRAFT.unusual * (1 - scoring.measured.idiom);
  return (short + covered + thin + unusual + CRAFT.numbers * few) * barShares[passage]! +
    CRAFT.finding * findings -
    CRAFT.liked * favoured * barShares[passage]!;
}

/** Share of the sustaining parts of the orchestra that play. */
function playingShare({ seats }: SearchGround, { doing }: Scoring): number {
  const able = seats.flatMap(({ instrument }, i) => instrument.sustains && !instrument.unpitched ? [i] : []);
  return able.length === 0 ? 0 : able.filter((i) => doing.has(i)).length / able.length;
}

/** Share of them that plays at a level: a third at p, half at mf, four fifths at ff. Common practice, no source. */
function wantedShare(level: number): number {
  return Math.min(0.9, Math.max(0.2, 0.33 + (level - 3) * 0.12));
}

/** Share of the parts of two scorings that do the same in both. */
export function likeness(a: Scoring, b: Scoring): number {
  const all = new Set([...a.doing.keys(), ...b.doing.keys()]);
  const same = [...a.doing].filter(([seat, doing]) => b.doing.get(seat) === doing).length;
  return all.size === 0 ? 1 : same / all.size;
}

/** What it costs to go from one scoring to another: the same lead, the same jobs. */
export function turnCost(a: Scoring, b: Scoring): number {
  const same = a.leads.filter((seat) => b.leads.includes(seat)).length;
  return CRAFT.sameLead * same / Math.max(1, a.leads.length, b.leads.length) +
    CRAFT.sameScoring * likeness(a, b);
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

/** The choice that meets all that must be met at the least cost. */
export function choiceOf(task: PlanTask): ScoringChoice {
  const { ground, pools } = task;
  const musts = ground.passageTerms.filter((t) => t.must);
  const turns = ground.wishes.passages.length > 1;
  return {
    costs: pools.map((pool, p) =>
      pool.map((scoring) =>
        musts.some((t) => t.passage === p && t.shortOf(scoring) > 0) ? null : costOf(task, p, scoring)
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
  const passages = scorings.reduce((sum, s, p) => sum + costOf({ ground }, p, s), 0);
  const musts = ground.passageTerms.filter((t) => t.must);
  const missed = musts.filter((t) => t.shortOf(scorings[t.passage]!) > 0).length +
    ground.wholeTerms.filter((t) => wholeShort(t, scorings).short > 0).length;
  const fresh = ground.wishes.freshnessAtLeast ?? 0;
  const stale = fresh > 0 ? Math.max(0, fresh - whole.freshness) / fresh : 0;
  return passages + missed + stale + CRAFT.stale * (1 - whole.freshness);
}

/** Writes a choice whole and measures it. */
function candidateOf(
  task: PlanTask,
  chosen: readonly number[],
  name: string,
): PlanCandidate | undefined {
  const picked = chosen.map((k, p) => task.pools[p]![k]!);
  const plan = planOf(
    task.ground,
    picked.map(({ assignments }, passage) => ({ passage, assignments })),
    name,
  );
  const measured = task.measure(plan);
  if (!measured) return undefined;
  const scorings = remeasured(picked, measured);
  return { plan, chosen, scorings, measured, shortfall: judged(task.ground, scorings, measured) };
}

/** Plans one after the other, each away from those before it; after each come those that were tried to better it. */
export function* bestPlans(task: PlanTask, count: number): Generator<PlanCandidate | undefined> {
  const choice = choiceOf(task);
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
  let best = candidateOf(task, chosen, "a plan");
  yield best;
  let tries = 0;
  for (const p of best ? byCost(task, best) : []) {
    const order = choice.costs[p]!.flatMap((cost, k) => cost === null || k === chosen[p] ? [] : [{ k, cost }])
      .sort((a, b) => a.cost - b.cost).slice(0, TRIES.perPassage);
    for (const { k } of order) {
      if (tries++ >= TRIES.perPlan) return;
      const other: PlanCandidate | undefined = candidateOf(task, best!.chosen.with(p, k), "a plan");
      yield other;
      if (other && other.shortfall < best!.shortfall) best = other;
    }
  }
}

function byCost(task: PlanTask, { scorings }: PlanCandidate): readonly number[] {
  return scorings.map((s, p) => ({ p, cost: costOf(task, p, s) })).sort((a, b) => b.cost - a.cost).map((
    { p },
  ) => p);
}
