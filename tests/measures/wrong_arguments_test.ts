/** Slips a notebook does not catch are answered in a sentence, by the measures and by what is built on them. */
import { assertEquals, assertRejects, assertStringIncludes, assertThrows } from "@std/assert";
import {
  attribution,
  balance,
  demoPlans,
  demoSketch,
  effects,
  freshness,
  InputError,
  momentum,
  playability,
  remedies,
  type Score,
  sensitivity,
  soundWarnings,
  study,
  sweep,
  textureOf,
} from "ripieno";
import { blend, maskingMatrix, momentSound } from "ripieno/measures";
import { attackRateLadderChart, balanceChart, chartSvg } from "ripieno/show";
import { smallScore } from "./small_scores.ts";

const noBars: Score = {
  ...smallScore([{ instrument: "flute", role: "lead", notes: [] }], { bars: 1 }),
  bars: [],
};
const rows = [{ tempo: 96, momentum: 1 }, { tempo: 132, momentum: 2 }, { tempo: 96, momentum: 3 }];

Deno.test("a score without bars has no moment to look at and no passage to mend, and its charts are empty", () => {
  assertThrows(() => momentSound(noBars, { barIndex: 0 }), InputError, "no bars");
  assertThrows(() => remedies(noBars, { fromBarIndex: 0, toBarIndex: 0 }), InputError, "no bars");
  const words = chartSvg(attackRateLadderChart(momentum(noBars), noBars));
  assertStringIncludes(words, "attacks per second");
});

Deno.test("what is missing or of the wrong kind is named", () => {
  const score = smallScore([{ instrument: "flute", role: "lead", notes: [] }], { bars: 1 });
  assertThrows(() => momentSound(score, {} as never), InputError, "no bar is given");
  assertThrows(() => effects(rows, undefined as never), InputError, "the options are missing");
  assertThrows(() => effects(rows, { of: "momentum", by: "tempo" as never }), InputError, "a list of names");
  assertThrows(() => effects(rows, { of: "momentum", interval: 2 }), InputError, "a share between 0 and 1");
  assertThrows(() => effects(rows, { of: "momentum", samples: NaN }), InputError, "a whole number from 1");
  assertThrows(() => effects([null] as never, { of: "momentum" }), InputError, "a list of rows");
  assertThrows(
    () => sensitivity([score], { measures: "momentum" as never }),
    InputError,
    '"measures" needs one or more of momentum',
  );
});

Deno.test("a balance or a texture of another score, tempo or setting is refused, and its own is taken", () => {
  const line = (role: "lead" | "pulse", instrument: string) => ({
    instrument,
    role,
    notes: [{ at: 0, quarters: 1, pitch: 72 }, { at: 4, quarters: 2, pitch: 74 }],
  });
  const score = smallScore([line("lead", "flute"), line("pulse", "viola")]);
  const heard = balance(score);
  assertEquals(momentum(score, { balance: heard }), momentum(score));
  attribution(score, { balance: heard });
  const others: readonly (readonly [Score, string])[] = [
    [
      smallScore([line("lead", "flute"), line("pulse", "viola")], { bars: 3 }),
      "has 3 bars and the score has 2",
    ],
    [
      smallScore([line("lead", "flute"), line("pulse", "viola")], { quartersPerMinute: 90 }),
      "at another time",
    ],
    [smallScore([line("lead", "flute"), { ...line("pulse", "viola"), layer: "motor" }]), 'layer "motor"'],
  ];
  for (const [other, words] of others) {
    for (const measure of [momentum, attribution]) {
      const { message } = assertThrows(() => measure(score, { balance: balance(other) }), InputError);
      assertStringIncludes(message, `the balance is not of this score`);
      assertStringIncludes(message, words);
    }
  }
  const texture = textureOf(others[0]![0]);
  for (const measure of [momentum, attribution, balance, freshness, blend, study, maskingMatrix]) {
    assertThrows(
      () => measure(score, { texture }),
      InputError,
      "the texture is of another score: it has 6 cells",
    );
  }
});

Deno.test("slips of a notebook are answered by what to do about them", () => {
  const score = smallScore([{ instrument: "flute", role: "lead", notes: [] }], { bars: 1 });
  const later = Promise.resolve(score) as never;
  assertThrows(() => balance(later), InputError, "it needs a score and got a promise. Write await before");
  assertThrows(() => study(undefined as never), InputError, "it needs a score and got nothing");
  assertThrows(
    () => balanceChart(score as never),
    InputError,
    "it needs a balance and got a record without perBar",
  );
  assertThrows(() => sensitivity(score as never), InputError, "one score by itself");
  for (const wrong of [null, "quick", 7]) {
    for (const measure of [balance, maskingMatrix, momentSound, momentum, playability, study]) {
      assertThrows(() => measure(score, wrong as never), InputError, "the options are");
    }
  }
  assertThrows(
    () => soundWarnings(score, undefined as never),
    InputError,
    "it needs a balance and got nothing",
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
