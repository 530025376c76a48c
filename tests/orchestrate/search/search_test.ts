/** Looking for plans: what must be met is met in the notes, what cannot be had is named, the same seed finds the same. */
import { assert, assertAlmostEquals, assertEquals, assertRejects } from "@std/assert";
import { InputError } from "../../../lib/base/errors.ts";
import { demoPlans, demoSketch } from "../../../lib/demo.ts";
import { orchestra } from "../../../lib/instruments/orchestra.ts";
import { playability } from "../../../lib/measures/playability/playability.ts";
import { study } from "../../../lib/measures/compare/compare.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { judgePlan } from "../../../lib/orchestrate/search/judge_plan.ts";
import type { PlanWishes } from "../../../lib/orchestrate/search/plan_wishes.ts";
import { search } from "../../../lib/orchestrate/search/search.ts";
import type { FoundPlan } from "../../../lib/orchestrate/search/search_results.ts";
import type { Score } from "../../../lib/score/model.ts";
import { instrumentById } from "../../../lib/instruments/catalogue.ts";

const sketch = demoSketch();
const chamber = orchestra("chamber");

const WISHES: PlanWishes = {
  passages: [
    { name: "Calm water", fromBar: 1, toBar: 8, momentum: 1, leadAtLeast: 0.4, lead: ["Clarinet 1"] },
    {
      name: "Quickening",
      fromBar: 9,
      toBar: 16,
      momentum: 2.5,
      leadAtLeast: 0.4,
      rest: ["Flutes", "Horn 1"],
    },
    { name: "Rapids", fromBar: 17, toBar: 24, momentum: 4.5, leadAtLeast: 0.4, play: ["Trumpet 1"] },
    { name: "A pool", fromBar: 25, toBar: 32, momentum: 1.5, leadAtLeast: 0.4 },
  ],
  brassAtMost: 0.25,
  findingsAtMost: 2,
};
const found = await search(sketch, { wishes: WISHES, orchestra: chamber, k: 2, scorings: 10, seed: 5 });

function written({ plan }: FoundPlan): Score {
  return realise(sketch, plan, { orchestra: chamber, tacetParts: true });
}

/** Names of the parts that begin a note in bars from one to another, as printed. */
function playing({ parts, notes, bars }: Score, from: number, to: number): ReadonlySet<string> {
  const [start, end] = [bars[from - 1]!.startTicks, bars[to]?.startTicks ?? Infinity];
  return new Set(
    notes.filter((n) => n.onsetTicks >= start && n.onsetTicks < end).map((n) => parts[n.part]!.name),
  );
}

Deno.test("who is to lead leads, who is to play plays, who is to rest rests: counted in the notes", () => {
  assertEquals(found.plans.length, 2);
  for (const one of found.plans) {
    const score = written(one);
    const leads = one.plan.passages[0]!.assignments.filter((a) => a.role === "lead").flatMap((a) => a.parts);
    assertEquals(leads, ["Clarinet 1"]);
    for (const part of ["Flute 1", "Flute 2", "Horn 1"]) assert(!playing(score, 9, 16).has(part), part);
    assert(playing(score, 17, 24).has("Trumpet 1"));
    const brass = score.parts.filter((p) => instrumentById(p.instrument).family === "brass");
    for (const { name } of brass) {
      const bars = score.bars.slice(0, 32).filter((_, i) => playing(score, i + 1, i + 1).has(name)).length;
      assert(bars <= 8, `${name} plays in ${bars} of 32 bars`);
    }
  }
});

Deno.test("the lead is as loud as was asked, and a plan that has it otherwise is told so", async () => {
  for (const dynamic of ["ppp", "p", "f"]) {
    const passages = [{ name: "A pool", fromBar: 25, toBar: 32, momentum: 2, dynamic }];
    const { plans: [best] } = await search(sketch, {
      wishes: { passages },
      orchestra: chamber,
      k: 1,
      scorings: 6,
    });
    const leads = best!.plan.passages[0]!.assignments.filter((a) => a.role === "lead");
    assertEquals(new Set(leads.map((a) => a.dynamic)), new Set([dynamic]));
    const judged = (asked: string) =>
      judgePlan(sketch, best!.plan, {
        wishes: { passages: [{ ...passages[0]!, dynamic: asked }] },
        orchestra: chamber,
      }).reached.find((r) => r.about === "dynamic");
    assertEquals(judged(dynamic)?.met, true);
    assertEquals(judged("mf"), {
      ...judged(dynamic)!,
      wish: "A pool: the lead plays mf",
      met: false,
      short: 1,
    });
  }
});

Deno.test("what is said of a plan is what its notes measure, and nobody is asked the impossible", () => {
  for (const one of found.plans) {
    const score = written(one);
    assertEquals(playability(score).findings.filter((f) => f.severity === "impossible"), []);
    const { momentum, balance, freshness } = study(score);
    assertAlmostEquals(one.measures.momentum, momentum.whole.momentum, 0.03 * momentum.whole.momentum);
    assertAlmostEquals(one.measures.audibleShare!, balance.whole.audibleShare!, 0.03);
    assertAlmostEquals(one.measures.freshness, freshness.whole.freshness, 1e-9);
    assertEquals(
      judgePlan(sketch, one.plan, { wishes: WISHES, orchestra: chamber }).shortfall,
      one.shortfall,
    );
    for (const { reached, wanted, wish } of one.reached) {
      if (wish.includes("keeps")) assert(reached! >= wanted! - 0.02, `${wish}: ${reached}`);
    }
  }
});

Deno.test("plans come in order, each scored otherwise in half of the bars, and the same seed finds the same", async () => {
  const [first, second] = found.plans;
  assert(first!.shortfall <= second!.shortfall);
  assert(second!.otherwise >= 0.5);
  const again = await search(sketch, { wishes: WISHES, orchestra: chamber, k: 2, scorings: 10, seed: 5 });
  assertEquals(again.plans.map((p) => p.plan), found.plans.map((p) => p.plan));
});

Deno.test("threads find the same plans, and tell of as many scorings", async () => {
  const passages = [
    { name: "Calm water", fromBar: 1, toBar: 4, momentum: 1 },
    { name: "Rapids", fromBar: 17, toBar: 20, momentum: 4 },
  ];
  const of = async (workers: number) => {
    let scorings = 0;
    const found = await search(sketch, {
      wishes: { passages },
      orchestra: chamber,
      k: 1,
      scorings: 3,
      workers,
      onProgress: ({ step }) => step === "scorings" && scorings++,
    });
    return { found, scorings };
  };
  const [alone, together] = [await of(0), await of(2)];
  assertEquals(JSON.stringify(together), JSON.stringify(alone));
  assertEquals(alone.scorings, 6);
});

Deno.test("a contour that is wished for is followed: an arch is loudest in the middle, a bowl at its ends", async () => {
  const passages = [1, 5, 9].map((fromBar) => ({ name: `bar ${fromBar}`, fromBar, toBar: fromBar + 1 }));
  const of = async (contour: "arch" | "bowl") => {
    const wishes = { passages, contour, contourAtLeast: 0.3 };
    const { plans } = await search(sketch, { wishes, orchestra: chamber, k: 1, scorings: 3 });
    const { reached } = plans[0]!;
    assert(reached.find((r) => r.wish.includes("contour"))!.met, JSON.stringify(reached));
    const loud = study(written(plans[0]!)).balance.perBar.map((b) => b.loudnessSones);
    return [loud[1]!, loud[5]!, loud[9]!];
  };
  const [[a, b, c], [d, e, f]] = [await of("arch"), await of("bowl")];
  assert(b! > a! && b! > c!, `${a} ${b} ${c}`);
  assert(e! < d! && e! < f!, `${d} ${e} ${f}`);
  await assertRejects(
    () => search(sketch, { wishes: { passages, contourAtLeast: 0.5 }, orchestra: chamber }),
    InputError,
    "Give a contour",
  );
});

Deno.test("wishes that cannot be had together are named, and only these", async () => {
  const against = await search(sketch, {
    wishes: {
      passages: [{ name: "Rapids", fromBar: 17, toBar: 20, momentum: 3, lead: ["Horns"], leadAtLeast: 0.1 }],
      rest: ["Horn 2"],
      findingsAtMost: 20,
    },
    orchestra: chamber,
    scorings: 6,
  });
  assertEquals(against.plans, []);
  assertEquals(against.conflict, ["Rapids: Horns lead", "Horn 2 plays nowhere"]);
  const alone = await search(sketch, {
    wishes: {
      passages: [{ name: "Rapids", fromBar: 17, toBar: 20, lead: ["Double basses"], leadAtLeast: 1 }],
    },
    orchestra: chamber,
    scorings: 6,
  });
  assert(alone.conflict.length >= 1 && alone.plans.length === 0, alone.said);
});

Deno.test("layers that stand already are kept", async () => {
  const { rotating } = demoPlans();
  const lead = rotating.passages.map((p) => ({
    ...p,
    assignments: p.assignments.filter((a) => a.role === "lead"),
  }));
  const passages = [{ name: "Quickening", fromBar: 9, toBar: 16, momentum: 2 }];
  const { plans } = await search(sketch, {
    wishes: { passages },
    fixed: { ...rotating, passages: lead },
    k: 1,
    scorings: 5,
  });
  const kept = plans[0]!.plan.passages;
  assertEquals(kept.map((p) => p.name), rotating.passages.map((p) => p.name));
  assertEquals(kept[1]!.assignments.filter((a) => a.role === "lead"), lead[1]!.assignments);
});

Deno.test("what there is not is refused with a way out, and a search can be stopped", async () => {
  const asked = (wishes: Partial<PlanWishes>) => search(sketch, { wishes, orchestra: chamber });
  const passage = { name: "Rapids", fromBar: 17, toBar: 24 };
  await assertRejects(() => asked({ passages: [{ ...passage, toBar: 99 }] }), InputError, "bar 99");
  await assertRejects(
    () => asked({ passages: [{ ...passage, lead: ["Tuba"] }] }),
    InputError,
    '"Tuba" of the passage "Rapids"',
  );
  await assertRejects(
    () => asked({ passages: [{ ...passage, momentum: -1 }] }),
    InputError,
    "momentum of -1",
  );
  await assertRejects(
    () => asked({ passages: [passage, { ...passage, fromBar: 20 }] }),
    InputError,
    "before",
  );
  await assertRejects(() => asked({ passages: [passage], brassAtMost: 60 }), InputError, "share of brass");
  await assertRejects(
    () => search(sketch, { wishes: { passages: [passage] }, workers: -1 }),
    InputError,
    "-1 threads",
  );
  const stop = new AbortController();
  const stopped = search(sketch, { signal: stop.signal, orchestra: chamber, onProgress: () => stop.abort() });
  await assertRejects(() => stopped, DOMException);
});
