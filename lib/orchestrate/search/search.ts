/** Looking for plans that meet wishes. */
import {
  A_COUNT,
  A_FUNCTION,
  A_PLAN,
  A_RECORD,
  A_SCORE,
  A_SIGNAL,
  A_SKETCH,
  A_WHOLE,
  AN_ORCHESTRA_PART,
  checkArgument,
  checkOptions,
  listOf,
} from "../../base/arguments.ts";
import { refusals } from "../../base/errors.ts";
import { orchestra as orchestraByName, type OrchestraPart } from "../../instruments/orchestra.ts";
import { printedPassages } from "../../measures/passages/printed_passages.ts";
import type { Score } from "../../score/model.ts";
import type { Plan } from "../plan/plan.ts";
import type { Sketch } from "../plan/sketch.ts";
import { sketchFrom } from "../rewrite/sketch_from.ts";
import {
  bestPlans,
  choiceOf,
  isPossible,
  limitsOf,
  otherwiseThan,
  type PlanCandidate,
  type PlanTask,
} from "./best_plans.ts";
import { scoringChooser } from "./choose_scorings.ts";
import { conflictOf, type Must } from "./conflict_of.ts";
import { type MeasuredPassage, passageMeasurer, planMeasurer } from "./measured_plan.ts";
import type { PassageAsked, PlanWishes } from "./plan_wishes.ts";
import { reachedBy, reasonsFor, tradedIn } from "./plan_words.ts";
import { polished } from "./polish.ts";
import { poolsInThreads, threadsFor } from "./pools_in_threads.ts";
import { drawnScorings, PLAYER_WISHES, type PlayerWish } from "./scoring_pool.ts";
import { groundOf, type SearchGround, shapeOf } from "./search_ground.ts";
import type { FoundPlan, PlansFound, SearchProgress } from "./search_results.ts";
import type { Scoring } from "./wish_terms.ts";

/** Options of {@linkcode search}. */
export interface SearchOptions {
  /** What is asked of the plans. Without passages, those at the rehearsal marks of the tune are scored. */
  readonly wishes?: Partial<PlanWishes>;
  /** Who can play. By default the symphony orchestra; for a finished score its own parts. */
  readonly orchestra?: readonly OrchestraPart[];
  /** A plan whose layers stand already: those in the bars of a passage stay and are added to, those elsewhere are played around it. */
  readonly fixed?: Plan;
  /** How many plans, 3 by default. */
  readonly k?: number;
  /** Scorings that are written and measured for each passage, 80 by default: more take longer and come nearer. */
  readonly scorings?: number;
  /** Where chance begins; the same seed gives the same plans. Default 1. */
  readonly seed?: number;
  /** Threads in which scorings are drawn and measured; the plans are the same in any number. By default as many as there are processors where there is enough to do; 0 for the caller's own. */
  readonly workers?: number;
  /** Called as scorings and plans are measured. */
  readonly onProgress?: (progress: SearchProgress) => void;
  /** Stops the search where it is. */
  readonly signal?: AbortSignal;
}

const ACTION = "look for plans";
const OPTIONS = {
  wishes: A_RECORD,
  orchestra: listOf(AN_ORCHESTRA_PART, "a list of parts"),
  fixed: A_PLAN,
  k: A_COUNT,
  scorings: A_COUNT,
  seed: A_WHOLE,
  workers: undefined,
  onProgress: A_FUNCTION,
  signal: A_SIGNAL,
};
/** Scorings drawn for each passage where the wishes cannot be met: so many with no regard to players, and with regard to each of their wishes alone. */
const OPEN_SCORINGS = 6;
/** Changes that are drawn to better the plans, all together, for each scoring that is drawn for a passage. */
const CHANGES_PER_SCORING = 8;

/**
 * Looks for plans that meet wishes: who does what in each passage so that momentum follows what is wanted, the lead stays
 * audible, players rest or play as they are asked to, and nobody is asked the impossible.
 *
 * Scorings of each passage are drawn by chance within what orchestrators do, written into the notes and measured; the solver
 * HiGHS (a mixed-integer model) chooses one for each passage so that all that must be met is met at the least cost, where the
 * same lead and the same jobs in neighbouring passages cost too; the choice is written whole, measured anew and bettered, first by
 * exchanging scorings, then by changing one job, one group of players, one figure or one dynamic at a time. Each further plan is scored otherwise in at least half of the bars than those before it. A wanted
 * momentum is come near to; every other wish of a passage, findings, brass and who plays must be met.
 *
 * Limits that keep players out of trouble are guides: the players and their teachers decide, and local rules on noise and
 * working time apply.
 *
 * @param from a sketch, or a finished score of which the tune and the chords are read
 * @param options wishes, orchestra, fixed layers, how many plans, how much is tried, seed, progress
 * @returns plans, the best first, each measured, with reasons and with what was traded; where none is possible, the fewest
 *   wishes that cannot be had together
 * @throws {InputError} when a wish names a part or a bar there is not, or nothing can be read of the score
 *
 * @example
 * ```ts
 * import { demoSketch } from "ripieno";
 * import { orchestra } from "ripieno/instruments";
 * import { search } from "ripieno/orchestrate";
 * import { assert, assertEquals } from "@std/assert";
 * const passages = [
 *   { name: "Calm", fromBar: 1, toBar: 4, momentum: 1, rest: ["Violins I"] },
 *   { name: "Rapids", fromBar: 17, toBar: 20, momentum: 4 },
 * ];
 * const { plans } = await search(demoSketch(), {
 *   wishes: { passages },
 *   orchestra: orchestra("chamber"),
 *   k: 1,
 *   scorings: 8,
 * });
 * assertEquals(plans[0]!.plan.passages.map((p) => p.name), ["Calm", "Rapids"]);
 * assert(plans[0]!.plan.passages[0]!.assignments.every((a) => !a.parts.includes("Violins I")));
 * ```
 */
export async function search(from: Sketch | Score, options: SearchOptions = {}): Promise<PlansFound> {
  checkArgument(ACTION, from, A_RECORD);
  checkArgument(ACTION, from, "tune" in from ? A_SKETCH : A_SCORE);
  checkOptions(ACTION, options, OPTIONS);
  const { k = 3, scorings = 80, seed = 1, onProgress = () => {}, signal, fixed, workers } = options;
  refuseThreads(workers);
  const sketch = "tune" in from ? from : sketchFrom(from);
  const orchestra = options.orchestra ?? ("tune" in from ? orchestraByName() : orchestraOf(from));
  const passages = options.wishes?.passages ?? passagesOf(sketch.score);
  const wishes = { ...options.wishes, passages };
  const ground = groundOf(sketch, wishes, { orchestra, fixed });
  const { spans } = ground;
  const measure = planMeasurer(sketch, { orchestra, spans, shape: shapeOf(ground) });
  const measurePassage = passageMeasurer(sketch, { orchestra, spans });
  const choose = await scoringChooser();
  const run: SearchRun = { ground, measurePassage, seed, signal, onProgress };
  const threads = threadsFor({ workers, passages: passages.length, scorings });
  const pools = threads === 0
    ? await poolsOf(run, { count: scorings, minds: PLAYER_WISHES })
    : await poolsInThreads({ sketch, wishes, orchestra, fixed, count: scorings, seed }, {
      threads,
      signal,
      onScoring: counting(onProgress, scorings * passages.length),
    });
  const task: PlanTask = { ground, pools, choose, measure };
  const silent = pools.findIndex((pool) => pool.length === 0);
  if (silent >= 0 || !isPossible(task, choiceOf(task))) return await impossible(run, task);
  const { candidates, tried } = await candidatesOf(run, task, k);
  const { best, changes } = await bettered(run, task, {
    candidates,
    k,
    steps: CHANGES_PER_SCORING * scorings,
  });
  return answerOf(task, best, {
    k,
    tried,
    scorings: pools.reduce((sum, pool) => sum + pool.length, 0),
    changes,
  });
}

function refuseThreads(workers: number | undefined): void {
  if (workers === undefined || (Number.isInteger(workers) && workers >= 0)) return;
  throw refusals(ACTION)(
    `it is to work in ${workers} threads`,
    "Give a whole number, 0 for the caller's own",
  );
}

/** Tells of one scoring more, whoever drew it. */
function counting(tell: (progress: SearchProgress) => void, total: number): () => void {
  let done = 0;
  return () => tell({ step: "scorings", done: ++done, total });
}

/** The parts of a score as an orchestra. */
function orchestraOf({ parts }: Score): readonly OrchestraPart[] {
  return parts.map(({ name, instrument, players }) => ({ name, instrument, players }));
}

/** Passages from rehearsal mark to rehearsal mark. */
function passagesOf(score: Score): readonly PassageAsked[] {
  return printedPassages(score).map(({ name, fromBarIndex, toBarIndex }, i) => ({
    name: name === "" ? `Passage ${i + 1}` : name,
    fromBar: Number(score.bars[fromBarIndex]!.number),
    toBar: Number(score.bars[toBarIndex]!.number),
  }));
}

/** A search under way. */
interface SearchRun {
  readonly ground: SearchGround;
  readonly measurePassage: (passage: number, plan: Plan) => MeasuredPassage | undefined;
  readonly seed: number;
  readonly signal: AbortSignal | undefined;
  readonly onProgress: (progress: SearchProgress) => void;
}

/** Lets others have their turn, and stops where that is asked. */
async function breathe(signal: AbortSignal | undefined): Promise<void> {
  await new Promise((resolve) => setTimeout(resolve, 0));
  signal?.throwIfAborted();
}

async function poolsOf(
  { ground, measurePassage, seed, signal, onProgress }: SearchRun,
  { count, minds }: { readonly count: number; readonly minds: readonly PlayerWish[] },
): Promise<readonly (readonly Scoring[])[]> {
  const total = count * ground.spans.length;
  const pools: Scoring[][] = [];
  let done = 0;
  for (const passage of ground.spans.keys()) {
    const pool: Scoring[] = [];
    for (const scoring of drawnScorings({ ground, passage, count, seed, minds, measure: measurePassage })) {
      pool.push(scoring);
      onProgress({ step: "scorings", done: ++done, total });
      await breathe(signal);
    }
    pools.push(pool);
  }
  return pools;
}

async function candidatesOf({ signal, onProgress }: SearchRun, task: PlanTask, k: number) {
  const candidates: PlanCandidate[] = [];
  let tried = 0;
  for (const candidate of bestPlans(task, k + 1)) {
    if (candidate) candidates.push(candidate);
    onProgress({ step: "plans", done: ++tried, total: tried });
    await breathe(signal);
  }
  return { candidates, tried };
}

/** The best plans, each scored otherwise in half of the bars than those before it. */
function differing(
  task: PlanTask,
  candidates: readonly PlanCandidate[],
  k: number,
): readonly PlanCandidate[] {
  const kept: PlanCandidate[] = [];
  for (const candidate of candidates.toSorted((a, b) => a.shortfall - b.shortfall)) {
    if (kept.length < k && kept.every((other) => differs(task, candidate, other))) kept.push(candidate);
  }
  return kept;
}

function differs(task: PlanTask, a: PlanCandidate, b: PlanCandidate): boolean {
  return otherwiseThan(a, b, task) >= 0.5 - 1e-9;
}

/** The best plans, each bettered as far as that leaves them different. */
async function bettered(
  run: SearchRun,
  task: PlanTask,
  { candidates, k, steps }: {
    readonly candidates: readonly PlanCandidate[];
    readonly k: number;
    readonly steps: number;
  },
): Promise<{ readonly best: readonly PlanCandidate[]; readonly changes: number }> {
  const kept = [...differing(task, candidates, k)];
  let [done, changes] = [0, 0];
  for (const [i, candidate] of kept.entries()) {
    const mayStand = (one: PlanCandidate) => kept.every((other, j) => j === i || differs(task, one, other));
    const onTried = () => changes++;
    const options = { ...task, ...run, steps: Math.ceil(steps / kept.length), mayStand, onTried };
    for (const best of polished(options, candidate)) {
      kept[i] = best;
      run.onProgress({ step: "changes", done: Math.min(++done, steps), total: steps });
      await breathe(run.signal);
    }
  }
  return { best: kept.sort((a, b) => a.shortfall - b.shortfall), changes };
}

function answerOf(
  task: PlanTask,
  kept: readonly PlanCandidate[],
  { k, tried, scorings, changes = 0 }: {
    readonly k: number;
    readonly tried: number;
    readonly scorings: number;
    readonly changes?: number;
  },
): PlansFound {
  const plans = kept.map((candidate, i): FoundPlan => ({
    plan: { ...candidate.plan, name: `plan ${i + 1}` },
    measures: candidate.measured.whole,
    shortfall: candidate.shortfall,
    reached: reachedBy(task.ground, candidate),
    reasons: reasonsFor(task.ground, candidate),
    traded: tradedIn(task, candidate),
    otherwise: Math.min(1, ...kept.slice(0, i).map((other) => otherwiseThan(candidate, other, task))),
  }));
  const count =
    `${scorings} scorings of ${task.ground.spans.length} passages, ${tried} plans and ${changes} changes were tried`;
  const missed = plans[0]?.reached.filter((r) => !r.met).length ?? 0;
  const said = plans.length === 0
    ? `No plan could be written; ${count}.`
    : `${plans.length} of ${k} plans; the first ${
      missed === 0 ? "meets every wish" : `misses ${missed} of ${plans[0]!.reached.length} wishes`
    }. ${count}.`;
  return { plans, conflict: [], tried: { scorings, plans: tried, changes }, said };
}

/** Says which wishes stand against each other; scorings without regard to who is asked for show what else would be possible. */
async function impossible(run: SearchRun, task: PlanTask): Promise<PlansFound> {
  const pools = task.pools.map((pool) => [...pool]);
  for (const minds of [[], ...PLAYER_WISHES.map((wish) => [wish])]) {
    const open = await poolsOf(run, { count: OPEN_SCORINGS, minds });
    open.forEach((own, p) => pools[p]!.push(...own));
  }
  const all = { ...task, pools };
  const { passageTerms, wholeTerms } = run.ground;
  const musts = [
    ...passageTerms.filter((t) => t.must).map((t): Must => ({
      words: t.words,
      allows: (passage, k) => passage !== t.passage || t.shortOf(pools[passage]![k]!) === 0,
      limits: [],
    })),
    ...wholeTerms.map((t): Must => ({ words: t.words, allows: () => true, limits: limitsOf(t, pools) })),
  ];
  const isHad = (some: readonly Must[]) =>
    task.choose({
      costs: pools.map((pool, p) => pool.map((_, i) => some.every((m) => m.allows(p, i)) ? 0 : null)),
      limits: some.flatMap((m) => m.limits),
    }) !== undefined;
  const conflict = conflictOf(musts, isHad).map((m) => m.words);
  const scorings = pools.reduce((sum, pool) => sum + pool.length, 0);
  if (conflict.length === 0) {
    const found = await candidatesOf(run, all, 1);
    return answerOf(all, differing(all, found.candidates, 1), { k: 1, tried: found.tried, scorings });
  }
  return {
    plans: [],
    conflict,
    tried: { scorings, plans: 0, changes: 0 },
    said: conflict.length === 1
      ? `No scoring that was tried meets the wish "${conflict[0]}"; ${scorings} were tried.`
      : `These wishes cannot be had together: ${
        conflict.map((c) => `"${c}"`).join(" and ")
      }; ${scorings} scorings were tried.`,
  };
}
