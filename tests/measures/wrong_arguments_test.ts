/** Slips a notebook does not catch are answered in a sentence, by the measures and by what is built on them. */
import { assertRejects, assertStringIncludes, assertThrows } from "@std/assert";
import {
  attackRateLadderChart,
  chartSvg,
  demoPlans,
  demoSketch,
  effects,
  InputError,
  momentSound,
  momentum,
  remedies,
  type Score,
  sensitivity,
  sweep,
} from "ripieno";
import { smallScore } from "./small_scores.ts";

const noBars: Score = {
  ...smallScore([{ instrument: "flute", role: "lead", notes: [] }], { bars: 1 }),
  bars: [],
};
const rows = [{ tempo: 96, momentum: 1 }, { tempo: 132, momentum: 2 }, { tempo: 96, momentum: 3 }];

Deno.test("a score without bars has no moment to look at and no passage to mend, and its charts are empty", () => {
  assertThrows(() => momentSound(noBars, { bar: 0 }), InputError, "no bars");
  assertThrows(() => remedies(noBars, { fromBar: 0, toBar: 0 }), InputError, "no bars");
  const words = chartSvg(attackRateLadderChart(momentum(noBars), noBars));
  assertStringIncludes(words, "attacks per second");
});

Deno.test("what is missing or of the wrong kind is named", () => {
  const score = smallScore([{ instrument: "flute", role: "lead", notes: [] }], { bars: 1 });
  assertThrows(() => momentSound(score, {} as never), InputError, "no bar is given");
  assertThrows(() => effects(rows, undefined as never), InputError, "the options are missing");
  assertThrows(() => effects(rows, { of: "momentum", by: "tempo" as never }), InputError, "by is not a list");
  assertThrows(() => effects(rows, { of: "momentum", interval: 2 }), InputError, "the interval is 2");
  assertThrows(() => effects(rows, { of: "momentum", samples: NaN }), InputError, "samples is NaN");
  assertThrows(() => effects([null] as never, { of: "momentum" }), InputError, "not every row");
  assertThrows(
    () => sensitivity([score], { measures: "momentum" as never }),
    InputError,
    '"measures" needs a list of names',
  );
});

Deno.test("a sweep names what is missing, and an abort on the same tick is heard in threads too", async () => {
  const plan = demoPlans().moving;
  const sketch = demoSketch();
  await assertRejects(() => sweep(plan, null as never, { sketch }), InputError, "no grid");
  await assertRejects(
    () => sweep(null as never, { tempo: [96] }, { sketch }),
    InputError,
    "it needs a plan and got null",
  );
  await assertRejects(
    () => sweep(plan, { tempo: [96] }, { sketch, measures: "momentum" as never }),
    InputError,
    '"measures" needs a list of measures',
  );
  const stateFile = await Deno.makeTempFile();
  try {
    await Deno.remove(stateFile);
    const stop = new AbortController();
    const running = sweep(plan, { tempo: [96, 132] }, {
      sketch,
      layers: { role: "pulse" },
      workers: 1,
      stateFile,
      signal: stop.signal,
    });
    stop.abort();
    await assertRejects(() => running, DOMException);
  } finally {
    await Deno.remove(stateFile).catch(() => {});
  }
});
