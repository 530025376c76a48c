/** How a plan of one's own does against wishes. */
import {
  A_PLAN,
  A_RECORD,
  A_SKETCH,
  AN_ORCHESTRA_PART,
  checkArgument,
  checkOptions,
  listOf,
} from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { orchestra as orchestraByName, type OrchestraPart } from "../../instruments/orchestra.ts";
import type { Plan } from "../plan/plan.ts";
import type { Sketch } from "../plan/sketch.ts";
import { judged } from "./best_plans.ts";
import { planMeasurer } from "./measured_plan.ts";
import { reachedBy, reasonsFor } from "./plan_words.ts";
import type { PlanWishes } from "./plan_wishes.ts";
import { scoringOf } from "./scoring_pool.ts";
import { groundOf, shapeOf } from "./search_ground.ts";
import type { FoundPlan } from "./search_results.ts";

/** Options of {@linkcode judgePlan}. */
export interface JudgePlanOptions {
  /** What is asked. */
  readonly wishes: PlanWishes;
  /** Who can play; by default the symphony orchestra. */
  readonly orchestra?: readonly OrchestraPart[];
}

const ACTION = "hold the plan against the wishes";
const OPTIONS = { wishes: A_RECORD, orchestra: listOf(AN_ORCHESTRA_PART, "a list of parts") };

/**
 * Holds a plan against wishes as `search` does with those it finds: written whole, measured, each wish with what was reached.
 * So a plan made by hand can be compared with those that were found.
 *
 * @param sketch the sketch it is for
 * @param plan the plan; it needs a passage for each passage of the wishes, with the same bars
 * @param options wishes, orchestra
 * @returns the plan with its measures, the shortfall (0 where all that is wished and all that the craft asks is met) and what
 *   became of each wish
 * @throws {InputError} when a passage is missing, a wish names what there is not, or the plan cannot be played
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch } from "ripieno";
 * import { judgePlan } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const passages = [{ name: "Rapids", fromBar: 17, toBar: 24, momentum: 20 }];
 * const { reached } = judgePlan(demoSketch(), demoPlans().rotating, { wishes: { passages } });
 * assertEquals(reached.map((r) => [r.wish, r.met]), [["Rapids: momentum 20", false]]);
 * ```
 */
export function judgePlan(sketch: Sketch, plan: Plan, options: JudgePlanOptions): FoundPlan {
  checkArgument(ACTION, sketch, A_SKETCH);
  checkArgument(ACTION, plan, A_PLAN);
  checkOptions(ACTION, options, OPTIONS);
  const orchestra = options.orchestra ?? orchestraByName();
  const ground = groundOf(sketch, options.wishes, { orchestra, fixed: undefined });
  const fail = (problem: string, remedy: string) =>
    new InputError({ action: ACTION, problem, where: { file: plan.name }, remedy });
  const layers = options.wishes.passages.map(({ name, fromBar, toBar }) => {
    const own = plan.passages.filter((p) => p.fromBar === fromBar && p.toBar === toBar);
    if (own.length > 0) return own.flatMap((p) => p.assignments);
    throw fail(
      `it has no passage from bar ${fromBar} to ${toBar}, as "${name}" has`,
      "Give the wishes for the passages of the plan",
    );
  });
  const measured = planMeasurer(sketch, { orchestra, spans: ground.spans, shape: shapeOf(ground) })(plan);
  if (!measured) throw fail("it cannot be written or played", "realise() says what stands in the way");
  const scorings = layers.map((assignments, p) => scoringOf(ground, assignments, measured.passages[p]!));
  const candidate = { plan, chosen: [], scorings, measured, shortfall: judged(ground, scorings, measured) };
  return {
    plan,
    measures: measured.whole,
    shortfall: candidate.shortfall,
    reached: reachedBy(ground, candidate),
    reasons: reasonsFor(ground, candidate),
    traded: [],
    otherwise: 1,
  };
}
