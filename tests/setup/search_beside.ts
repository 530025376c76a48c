/**
 * Holds what `search` finds on the demo beside what is found without it: the plan made by hand, plans drawn by chance, and a
 * local search that exchanges one scoring at a time. All are judged by one function, each plan written whole and measured
 * anew; times are of the processor, threads together.
 *
 *     deno run -A tests/setup/search_beside.ts [random plans, 1000] [local steps, 5000]
 */
import process from "node:process";
import { randomFrom } from "../../lib/base/random_from.ts";
import { demoPlans, demoSketch } from "../../lib/demo.ts";
import { orchestra as orchestraByName } from "../../lib/instruments/orchestra.ts";
import { judged } from "../../lib/orchestrate/search/best_plans.ts";
import { drawScoring } from "../../lib/orchestrate/search/draw_scoring.ts";
import { judgePlan } from "../../lib/orchestrate/search/judge_plan.ts";
import { planMeasurer } from "../../lib/orchestrate/search/measured_plan.ts";
import type { PlanWishes } from "../../lib/orchestrate/search/plan_wishes.ts";
import { planOf, scoringOf, scoringTask } from "../../lib/orchestrate/search/scoring_pool.ts";
import { search } from "../../lib/orchestrate/search/search.ts";
import { groundOf } from "../../lib/orchestrate/search/search_ground.ts";
import type { Assignment } from "../../lib/orchestrate/plan/plan.ts";

const [RANDOM, STEPS] = [Number(Deno.args[0] ?? 1000), Number(Deno.args[1] ?? 5000)];
const WANTED = [0.8, 2, 3.5, 1.2, 4.2, 1.5];
const sketch = demoSketch();
const { rotating } = demoPlans();
/** What the lesson asks for. */
const wishes: PlanWishes = {
  passages: rotating.passages.map(({ name, fromBar, toBar }, i) => ({
    name,
    fromBar,
    toBar,
    momentum: WANTED[i]!,
    leadAtLeast: 0.4,
  })),
  brassAtMost: 0.5,
  findingsAtMost: 2,
};

/** Processor seconds since the start of the process. */
function processorSeconds(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
}

function told(what: string, shortfall: number, from: number, more = ""): void {
  const seconds = (processorSeconds() - from).toFixed(1);
  console.log(`${what.padEnd(34)} ${shortfall.toFixed(3)}  ${seconds.padStart(7)} s  ${more}`);
}

const started = processorSeconds();
const byHand = judgePlan(sketch, rotating, { wishes });
told("by hand", byHand.shortfall, started, `${byHand.reached.filter((r) => !r.met).length} wishes missed`);

const orchestra = orchestraByName();
const ground = groundOf(sketch, wishes, { orchestra, fixed: undefined });
const measure = planMeasurer(sketch, { orchestra, spans: ground.spans });
const tasks = ground.spans.map((_, passage) =>
  scoringTask({ ground, passage, minds: ["lead", "play", "rest"] })
);

function drawn(passage: number, random: () => number): readonly Assignment[] {
  while (true) {
    const assignments = drawScoring({ ...tasks[passage]!, drive: random() }, random);
    if (assignments) return assignments;
  }
}

function shortfallOf(layers: readonly (readonly Assignment[])[]): number {
  const plan = planOf(ground, layers.map((assignments, passage) => ({ passage, assignments })), "a plan");
  const measured = measure(plan);
  if (!measured) return Infinity;
  return judged(ground, layers.map((own, p) => scoringOf(ground, own, measured.passages[p]!)), measured);
}

/** The lowest of plans drawn by chance. */
function bestOfRandom(count: number): void {
  const from = processorSeconds();
  const random = randomFrom(1);
  let [least, refused] = [Infinity, 0];
  for (let i = 0; i < count; i++) {
    const short = shortfallOf(tasks.map((_, p) => drawn(p, random)));
    if (short === Infinity) refused++;
    least = Math.min(least, short);
  }
  told(`best of ${count} random plans`, least, from, `${refused} cannot be played`);
}

/** Exchanges the scoring of one passage for another at each step and keeps what is better; says how far it is along the way. */
function localSearch(steps: number): void {
  const from = processorSeconds();
  const random = randomFrom(2);
  let best = tasks.map((_, p) => drawn(p, random));
  let least = shortfallOf(best);
  for (let step = 1; step <= steps; step++) {
    const p = Math.floor(random() * tasks.length);
    const other = best.with(p, drawn(p, random));
    const short = shortfallOf(other);
    if (short < least) [least, best] = [short, other];
    if (step === steps || step % 500 === 0) told(`local search, ${step} steps`, least, from);
  }
}

for (const [scorings, seed] of [[14, 3], [80, 1], [80, 2]] as const) {
  const from = processorSeconds();
  const { plans } = await search(sketch, { wishes, k: 1, scorings, seed });
  const first = judgePlan(sketch, plans[0]!.plan, { wishes });
  const missed = first.reached.filter((r) => !r.met).length;
  told(`search, ${scorings} scorings, seed ${seed}`, first.shortfall, from, `${missed} wishes missed`);
}
bestOfRandom(RANDOM);
localSearch(STEPS);
