import { assert, assertAlmostEquals, assertEquals, assertGreater } from "@std/assert";
import {
  balance,
  compare,
  demoPlans,
  demoSketch,
  freshness,
  momentum,
  playability,
  realise,
  study,
} from "ripieno";
import { contour, fullness, idiom } from "ripieno/measures";
import { repeatedNotes, smallScore } from "../small_scores.ts";

const { held, moving, rotating } = demoPlans();
const studies = [held, moving, rotating].map((plan) =>
  study(realise(demoSketch(), plan), { name: plan.name })
);

Deno.test("study() is the measures of the same score and texture", () => {
  const score = realise(demoSketch(), moving);
  const { name, ...measures } = study(score);
  assertEquals(name, score.source);
  assertEquals(measures, {
    balance: balance(score),
    momentum: momentum(score),
    freshness: freshness(score),
    fullness: fullness(score),
    contour: contour(score),
    idiom: idiom(score),
    playability: playability(score),
  });
});

Deno.test("study() says each step before it takes it", () => {
  const steps = (written: boolean) => {
    const said: string[] = [];
    const notes = repeatedNotes(79, 1);
    study(smallScore([{ instrument: "flute", role: "lead", notes }], { written }), {
      onStep: (step) => said.push(step),
    });
    return said;
  };
  assertEquals(steps(true), [
    "weighing the balance",
    "measuring momentum",
    "measuring freshness",
    "weighing the chords",
    "following the contour",
    "checking playability",
  ]);
  assertEquals(steps(false)[0], "reading the texture");
});

Deno.test("compare() puts settings in the order given, one flat row each, with the figures of the studies", () => {
  const rows = compare(studies);
  assertEquals(rows.map((r) => r.name), ["held chords", "moving textures", "roles handed round"]);
  rows.forEach((row, i) => {
    const s = studies[i]!;
    assertEquals(row.momentum, s.momentum.whole.momentum);
    assertEquals(row.audibleShare, s.balance.whole.audibleShare);
    assertEquals(row.freshness, s.freshness.whole.freshness);
    assertEquals([row.impossible, row.risky, row.tiring], [
      s.playability.whole.impossible,
      s.playability.whole.risky,
      s.playability.whole.tiring,
    ]);
    const lead = s.momentum.perRole.find((r) => r.role === "lead")!.contribution;
    assertAlmostEquals(row.secondaryShare, 1 - lead / row.momentum, 1e-12);
    assert(Object.values(row).every((v) => v === null || typeof v === "number" || typeof v === "string"));
  });
  assertEquals(compare([]), []);
});

Deno.test("the demo's plans stand in the order common practice says (common practice, no source)", () => {
  const [chords, textures, round] = compare(studies);
  assertGreater(textures!.momentum, chords!.momentum);
  assertGreater(round!.freshness, textures!.freshness);
  assertGreater(textures!.secondaryShare, chords!.secondaryShare);
});

Deno.test("compare() of silence divides nothing by nothing", () => {
  const [row] = compare([study(smallScore([]), { name: "silence" })]);
  assertEquals([row!.momentum, row!.secondaryShare, row!.audibleShare], [0, 0, null]);
  const pulse = smallScore([{ instrument: "viola", role: "pulse", notes: repeatedNotes(55, 0.5) }]);
  assertEquals(
    compare([study(pulse)])[0]!.secondaryShare,
    1,
    "where nobody leads, all is in what accompanies",
  );
});

Deno.test("study() leaves idiom out where it is told to, and compare() has no figure for it then", () => {
  const score = smallScore([{ instrument: "flute", role: "lead", notes: repeatedNotes(79, 1) }]);
  const [without, told, usual] = [{ idiom: false }, { idiom: true }, {}].map((o) => study(score, o));
  assertEquals([without!.idiom, compare([without!])[0]!.idiom], [null, null]);
  assertEquals(told, usual);
  assertEquals(compare([usual!])[0]!.idiom, usual!.idiom!.whole.idiom);
});
