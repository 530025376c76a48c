/** A worker that measures plans of the demo and scores in the order asked for, in modules of its own that know no others. */
import { balance, demoPlans, demoSketch, momentum, readScore, realise, study } from "ripieno";

type PlanName = keyof ReturnType<typeof demoPlans>;

/** What is measured: plans of the demo by name, files of scores by path. */
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
  for (const path of data.scores ?? []) measured[path] = JSON.stringify(study(await readScore(path)));
  self.postMessage(measured);
};
