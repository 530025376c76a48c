import { assert, assertAlmostEquals, assertEquals, assertGreater, assertThrows } from "@std/assert";
import fc from "fast-check";
import { attribution, demoPlans, demoSketch, momentum, realise, type Role } from "ripieno";
import type { SharedBy } from "ripieno/measures";
import { ROLE_NAMES } from "ripieno/texture";
import { type Line, repeatedNotes, smallScore } from "../small_scores.ts";

const WAYS: readonly SharedBy[] = ["layer", "role", "family", "part"];

const lines = fc.array(
  fc.record({
    instrument: fc.constantFrom("flute", "oboe", "horn in F", "violin", "cello", "timpani"),
    role: fc.constantFrom<Role>("lead", "pulse", "figuration", "pad"),
    layer: fc.constantFrom("a", "b", "c"),
    every: fc.constantFrom(1 / 4, 1 / 3, 1 / 2, 1, 3 / 2, 4),
    slurred: fc.boolean(),
  }),
  { minLength: 1, maxLength: 6 },
).map((all): readonly Line[] =>
  all.map(({ instrument, layer, every, slurred }, i) => ({
    instrument,
    layer,
    // A layer has one role.
    role: ({ a: "lead", b: "pulse", c: "figuration" } as const)[layer as "a" | "b" | "c"],
    notes: repeatedNotes(60 + 3 * i, every, { slurred }),
  }))
);

Deno.test("attribution() sums to the same momentum however it is shared out, bar by bar and over the whole", () => {
  fc.assert(
    fc.property(lines, (parts) => {
      const score = smallScore(parts);
      const measured = momentum(score);
      for (const by of WAYS) {
        const shared = attribution(score, { by });
        assertAlmostEquals(shared.whole.momentum, measured.whole.momentum, 1e-9);
        assertAlmostEquals(
          shared.rows.reduce((sum, r) => sum + r.contribution, 0),
          shared.whole.momentum,
          1e-9,
        );
        assertAlmostEquals(shared.rows.reduce((sum, r) => sum + r.share, 0), 1, 1e-9);
        for (const { barIndex, momentum: whole } of measured.perBar) {
          const sum = shared.perBar.filter((r) => r.barIndex === barIndex).reduce(
            (all, r) => all + r.contribution,
            0,
          );
          assertAlmostEquals(sum, whole, 1e-9);
        }
      }
    }),
    { seed: 1953, numRuns: 40 },
  );
});

Deno.test("attribution() by layer is what momentum() says of its layers", () => {
  const score = realise(demoSketch(), demoPlans().moving);
  const measured = momentum(score);
  const { perBar, rows } = attribution(score);
  for (const l of measured.perLayer.filter((l) => l.audibility > 0)) {
    const row = perBar.find((r) => r.barIndex === l.barIndex && r.name === l.layer)!;
    assertEquals(rows.find((r) => r.name === l.layer)!.role, l.role);
    assertAlmostEquals(row.contribution, l.contribution, 1e-12);
    assertAlmostEquals(row.alone, l.alone, 1e-12);
    assertAlmostEquals(row.takenAway, l.takenAway, 1e-12);
  }
});

Deno.test("attribution() gives twin parts of a layer the same, alone nearly all, and taken away nothing", () => {
  const violas = (part: string): Line => ({
    instrument: "viola",
    name: part,
    role: "pulse",
    layer: "pulse",
    notes: repeatedNotes(60, 0.5),
  });
  const { rows, whole } = attribution(smallScore([violas("I"), violas("II")]), { by: "part" });
  assertEquals(rows.map((r) => r.name), ["I", "II"]);
  for (const row of rows) {
    assertAlmostEquals(row.contribution, whole.momentum / 2, 1e-12);
    assertAlmostEquals(row.alone, whole.momentum, 1e-12);
    assertAlmostEquals(row.takenAway, 0, 1e-12);
  }
});

Deno.test("attribution() of the demo: families and roles by name, the largest first; strings and winds both carry it", () => {
  const score = realise(demoSketch(), demoPlans().moving);
  const families = attribution(score, { by: "family" }).rows;
  assert(families.every((r) => ["strings", "woodwind", "brass", "percussion"].includes(r.name)));
  families.slice(1).forEach((r, i) => assert(r.contribution <= families[i]!.contribution));
  assertGreater(families.find((r) => r.name === "strings")!.share, 0.1);
  const roles = attribution(score, { by: "role" }).rows;
  assert(roles.every((r) => (ROLE_NAMES as readonly string[]).includes(r.name)));
  for (const row of [...families, ...roles]) {
    assertEquals(row.contributionError, 0);
    assert(
      row.takenAway <= row.contribution * 1.05 + 1e-9 && row.contribution <= row.alone * 1.05 + 1e-9,
      row.name,
    );
  }
});

Deno.test("attribution() by part of twenty parts states an error, and still sums to the whole", () => {
  const score = smallScore(
    Array.from({ length: 20 }, (_, i): Line => ({
      instrument: "violin",
      name: `Desk ${i % 10}`,
      role: "pulse",
      layer: `layer ${i % 5}`,
      notes: repeatedNotes(55 + i, 1 / (1 + i % 4)),
    })),
  );
  const { rows, whole } = attribution(score, { by: "part" });
  assertEquals(new Set(rows.map((r) => r.name)).size, 20);
  assert(rows.some((r) => r.contributionError > 0));
  assertAlmostEquals(rows.reduce((sum, r) => sum + r.contribution, 0), whole.momentum, 1e-9);
});

Deno.test("attribution() refuses what it cannot share by, and too many in one bar", () => {
  const score = smallScore([{ instrument: "flute", role: "lead", notes: repeatedNotes(70, 1) }]);
  assertThrows(
    () => attribution(score, { by: "colour" as never }),
    Error,
    '"layer", "role", "family" or "part"',
  );
  const crowd = smallScore(
    Array.from({ length: 53 }, (_, i): Line => ({
      instrument: "violin",
      role: "pulse",
      layer: "pulse",
      notes: repeatedNotes(40 + i, 4),
    })),
  );
  assertThrows(() => attribution(crowd, { by: "part" }), Error, "53 parts attack in one bar");
});

Deno.test("attribution() of silence shares out nothing", () => {
  const { whole, rows } = attribution(smallScore([{ instrument: "flute", role: "lead", notes: [] }]));
  assertEquals([whole.momentum, rows], [0, []]);
});

Deno.test("attribution() weighs bars by their seconds; who plays alone has all of a bar, alone and taken away", () => {
  const violin: Line = {
    instrument: "violin",
    role: "lead",
    layer: "lead",
    notes: repeatedNotes(79, 0.5, { to: 8 }),
  };
  const horn: Line = {
    instrument: "horn in F",
    role: "pulse",
    layer: "pulse",
    notes: repeatedNotes(60, 1, { from: 8, to: 12 }),
  };
  // Two bars of two seconds, one of four, a bar of nothing.
  const score = smallScore([violin, horn], { bars: 4, tempos: [[8, 60]] });
  const bars = momentum(score).perBar.map((b) => b.momentum);
  const names = {
    layer: ["lead", "pulse"],
    role: ["lead", "pulse"],
    family: ["strings", "brass"],
    part: ["violin 1", "horn in F 2"],
  };
  for (const by of WAYS) {
    const { whole, rows, perBar } = attribution(score, { by });
    const [first, second] = [(2 * bars[0]! + 2 * bars[1]!) / 12, 4 * bars[2]! / 12];
    assertAlmostEquals(whole.momentum, first + second, 1e-12);
    assertGreater(first, second);
    rows.forEach((row, i) => {
      const own = [first, second][i]!;
      assertEquals([row.name, row.contributionError], [names[by][i], 0]);
      for (const figure of [row.contribution, row.alone, row.takenAway]) {
        assertAlmostEquals(figure, own, 1e-12);
      }
      assertAlmostEquals(row.share, own / whole.momentum, 1e-12);
      assertEquals(row.role, by === "layer" || by === "role" ? (["lead", "pulse"] as const)[i] : undefined);
    });
    assertEquals(
      perBar.map((r) => [r.barIndex, r.bar, r.name]),
      [0, 1, 2].map((b) => [
        b,
        String(b + 1),
        names[by][b < 2 ? 0 : 1],
      ]),
    );
  }
});

Deno.test("attribution() puts who carries most first, and of two alike the one whose name comes first", () => {
  const line = (layer: string, every: number, from: number, to: number): Line => ({
    instrument: "violin",
    role: "pulse",
    layer,
    notes: repeatedNotes(67, every, { from, to }),
  });
  const names = (...lines: readonly Line[]) => attribution(smallScore(lines)).rows.map((r) => r.name);
  assertEquals(names(line("slow", 2, 0, 4), line("quick", 0.5, 4, 8)), ["quick", "slow"]);
  assertEquals(names(line("quick", 0.5, 0, 4), line("slow", 2, 4, 8)), ["quick", "slow"]);
  assertEquals(names(line("b", 1, 0, 8), line("a", 1, 0, 8)), ["a", "b"]);
});

Deno.test("attribution() is exact between twelve, and says its error from thirteen on; fifty-two may share", () => {
  const shared = (count: number, bars = 1) => {
    const parts = Array.from({ length: count }, (_, i): Line => ({
      instrument: "violin",
      role: "pulse",
      layer: "pulse",
      name: `Desk ${i}`,
      notes: Array.from(
        { length: bars },
        (_, b) => ({ at: 4 * b + i % 2, quarters: 1, pitch: 60 + i, dynamic: 1 + i % 7 }),
      ),
    }));
    return attribution(smallScore(parts, { bars, tempos: [[4, 40]] }), { by: "part" });
  };
  const errorsOf = (count: number) => shared(count).rows.map((r) => r.contributionError);
  assertEquals([errorsOf(12), errorsOf(13)].map((errors) => errors.some((error) => error > 0)), [
    false,
    true,
  ]);
  assertEquals(errorsOf(52).length, 52);
  const { rows, whole } = shared(12);
  assertAlmostEquals(rows.reduce((sum, r) => sum + r.contribution, 0), whole.momentum, 1e-9);
  // Errors of bars are independent: their squares add up, each by the share of the time, two and six seconds of eight.
  const both = shared(13, 2);
  for (const row of both.rows) {
    const [first, second] = both.perBar.filter((r) => r.name === row.name).map((r) => r.contributionError);
    assertAlmostEquals(row.contributionError, Math.hypot(first! / 4, 3 * second! / 4), 1e-12);
  }
});

Deno.test("attribution() of less than a second is shared out as well, and of no time at all nothing", () => {
  const score = smallScore([{ instrument: "flute", role: "lead", notes: repeatedNotes(79, 1, { to: 4 }) }], {
    bars: 1,
    quartersPerMinute: 480,
  });
  const { whole, rows } = attribution(score);
  assertGreater(whole.momentum, 0);
  assertAlmostEquals(rows[0]!.share, 1, 1e-12);
  const none = { ...score, notes: [], bars: [{ ...score.bars[0]!, durationTicks: 0 }] };
  assertEquals(attribution(none).whole.momentum, 0);
});
