/**
 * Ten thousand settings of the demo: run with `deno bench -A tests/orchestrate/sweep_bench.ts`. The whole grid is run
 * once, in as many threads as there are processors; the single settings beside it show where the time goes.
 */
import { demoPlans, demoSketch, sweep } from "ripieno";
import type { SweepGrid } from "ripieno/orchestrate";

/** 5 groups, 5 figures, 5 strokes, 5 dynamics, 4 tempos and 4 section sizes. */
const GRID: SweepGrid = {
  who: {
    strings: ["Violins II", "Violas"],
    violas: ["Violas"],
    trombones: ["Trombones"],
    trumpets: ["Trumpets"],
    "oboe and cor anglais": ["Oboe 2", "Cor anglais"],
  },
  figure: [
    "repeated quarters",
    "repeated eighths",
    "repeated sixteenths",
    "eighth and two sixteenths",
    "off-beats",
  ],
  articulation: ["tongued", "tenuto", "staccato", "accent", "portato"],
  dynamic: ["pp", "p", "mf", "f", "ff"],
  tempo: [84, 108, 132, 160],
  sectionSize: [4, 8, 12, 16],
};

const options = { sketch: demoSketch(), layers: { role: "pulse" as const } };

Deno.bench("10,000 settings of the demo, all measures", { n: 1, warmup: 0 }, async () => {
  const rows = await sweep(demoPlans().moving, GRID, options);
  if (rows.length !== 10_000) throw new Error(`${rows.length} rows`);
});

Deno.bench("80 settings in the caller's own thread, in full detail", { n: 1, warmup: 0 }, async () => {
  const few = { ...GRID, who: ["Violas"], figure: ["off-beats"], articulation: ["accent"] };
  await sweep(demoPlans().moving, few, { ...options, workers: 0, detail: "full" });
});
