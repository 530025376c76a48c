/** A worker that measures the plans of the demo in the order asked for, in modules of its own that know no others. */
import { balance, demoPlans, demoSketch, momentum, realise } from "ripieno";

type PlanName = keyof ReturnType<typeof demoPlans>;

self.onmessage = ({ data }: MessageEvent<readonly PlanName[]>) => {
  const measured = data.map((name) => {
    const score = realise(demoSketch(), demoPlans()[name]);
    const heard = balance(score);
    return [name, JSON.stringify([heard, momentum(score, { balance: heard })])] as const;
  });
  self.postMessage(Object.fromEntries(measured));
};
