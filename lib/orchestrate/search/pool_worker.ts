/** A thread of a search for plans: is given the job once, then passages one by one, and sends back their scorings. */
import { parentPort } from "node:worker_threads";
import { addInstrument, type Instrument } from "../../instruments/catalogue.ts";
import type { OrchestraPart } from "../../instruments/orchestra.ts";
import type { Plan } from "../plan/plan.ts";
import type { Sketch } from "../plan/sketch.ts";
import { passageMeasurer } from "./measured_plan.ts";
import type { PlanWishes } from "./plan_wishes.ts";
import { drawnScorings, PLAYER_WISHES } from "./scoring_pool.ts";
import { groundOf } from "./search_ground.ts";
import type { Scoring } from "./wish_terms.ts";

/** What scorings are drawn for. */
export interface PoolJob {
  readonly sketch: Sketch;
  readonly wishes: PlanWishes;
  readonly orchestra: readonly OrchestraPart[];
  readonly fixed: Plan | undefined;
  /** Scorings of each passage. */
  readonly count: number;
  readonly seed: number;
}

export type ToPoolThread =
  | { readonly kind: "job"; readonly job: PoolJob; readonly ownInstruments: readonly Instrument[] }
  | { readonly kind: "passage"; readonly passage: number };

export type FromPoolThread =
  | { readonly kind: "scoring" }
  | { readonly kind: "pool"; readonly passage: number; readonly pool: readonly Scoring[] }
  | { readonly kind: "failed"; readonly message: string };

let draw: ((passage: number) => Iterable<Scoring>) | undefined;

const say = (message: FromPoolThread) => parentPort!.postMessage(message);

parentPort!.on("message", (data: ToPoolThread) => {
  if (data.kind === "job") {
    const { sketch, wishes, orchestra, fixed, count, seed } = data.job;
    data.ownInstruments.forEach(addInstrument);
    const ground = groundOf(sketch, wishes, { orchestra, fixed });
    const measure = passageMeasurer(sketch, { orchestra, spans: ground.spans });
    draw = (passage) => drawnScorings({ ground, passage, count, seed, minds: PLAYER_WISHES, measure });
    return;
  }
  const pool: Scoring[] = [];
  try {
    for (const scoring of draw!(data.passage)) {
      pool.push(scoring);
      say({ kind: "scoring" });
    }
  } catch (error) {
    return say({
      kind: "failed",
      message: error instanceof Error ? error.stack ?? error.message : String(error),
    });
  }
  say({ kind: "pool", passage: data.passage, pool });
});
