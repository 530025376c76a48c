/**
 * How many times faster than it sounds a score is rendered: run with `deno bench -A tests/show/audition/audition_bench.ts`,
 * alone on the machine, and divide 87 seconds by the processor time; the demo has 15 parts.
 */
import { demoPlans, demoSketch, realise } from "ripieno";
import { audition, soundFile } from "ripieno/show";

const score = realise(demoSketch(), demoPlans().moving);

Deno.bench("the demo as stems by role, in the hall", { n: 3, warmup: 1 }, () => {
  audition(score, { stemsBy: "role" });
});

Deno.bench("the demo as stems by role, on the stage", { n: 3, warmup: 1 }, () => {
  audition(score, { stemsBy: "role", hall: "none" });
});

Deno.bench("the demo as an MP3 file", { n: 3, warmup: 1 }, async () => {
  await soundFile(score);
});
