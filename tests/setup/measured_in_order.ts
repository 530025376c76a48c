/** A worker that measures plans of the demo and scores in the order asked for, in modules of its own that know no others. */
import { balance, demoPlans, demoSketch, momentum, readScore, realise, study } from "ripieno";
import { someBars } from "./some_bars.ts";

type PlanName = keyof ReturnType<typeof demoPlans>;

/** What is measured: plans of the demo by name, of files of scores by path the first sixty bars. */
export interface ToMeasure {
  readonly plans?: readonly PlanName[];
  readonly scores?: readonly string[];
}

self.onmessage = async ({ data }: MessageEvent<ToMeasure>) => {
  const measured: Record<string, string> = {};
  for (const name of data.plans ?? []) {
    const score = realise(demoSketch(), demoPlans()[name]);
    const heard = balance(score);
    measured[name] = JSON.stringify([heard, momentum(score, { balance: heard })]);
  }
  for (const path of data.scores ?? []) {
    measured[path] = JSON.stringify(study(someBars(await readScore(path), { from: 0, to: 59 })));
  }
  self.postMessage(measured);
};
