/** Spate, the bundled demo: a 48-bar cue for an invented documentary about a canoe on a river in flood. */
import { once } from "./base/memo.ts";
import heldCsv from "../data/spate/plan_held.csv" with { type: "text" };
import movingCsv from "../data/spate/plan_moving.csv" with { type: "text" };
import rotatingCsv from "../data/spate/plan_rotating.csv" with { type: "text" };
import tuneAbc from "../data/spate/tune.abc" with { type: "text" };
import { readAbc } from "./formats/abc/read_abc.ts";
import type { Plan } from "./orchestrate/plan/plan.ts";
import { readPlan } from "./orchestrate/plan/plan_table.ts";
import { realise } from "./orchestrate/realise/realise.ts";
import { type Sketch, sketchOf } from "./orchestrate/plan/sketch.ts";
import type { Score } from "./score/model.ts";

/** The three plans of the demo. */
export interface DemoPlans {
  /** The tune over held chords, nothing else. */
  readonly held: Plan;
  /** The same tune over moving textures, everybody keeping one role. */
  readonly moving: Plan;
  /** Moving textures with the roles handed round. */
  readonly rotating: Plan;
}

const sketch = once(() => sketchOf(readAbc(tuneAbc, { file: "data/spate/tune.abc" })));
const plans = once((): DemoPlans => ({
  held: readPlan(heldCsv, { file: "data/spate/plan_held.csv", name: "held chords" }),
  moving: readPlan(movingCsv, { file: "data/spate/plan_moving.csv", name: "moving textures" }),
  rotating: readPlan(rotatingCsv, { file: "data/spate/plan_rotating.csv", name: "roles handed round" }),
}));
const score = once(() => realise(sketch(), plans().moving));

/**
 * The demo's sketch: tune and chords of Spate.
 *
 * @returns the sketch
 *
 * @example
 * ```ts
 * import { demoSketch } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(demoSketch().score.bars.length, 48);
 * ```
 */
export function demoSketch(): Sketch {
  return sketch();
}

/**
 * The demo's three plans: held chords, moving textures, roles handed round.
 *
 * @returns the plans
 *
 * @example
 * ```ts
 * import { demoPlans } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(Object.keys(demoPlans()), ["held", "moving", "rotating"]);
 * ```
 */
export function demoPlans(): DemoPlans {
  return plans();
}

/**
 * The demo as a score: Spate with moving textures.
 *
 * @returns the setting
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(demoScore().title, "Spate");
 * ```
 */
export function demoScore(): Score {
  return score();
}
