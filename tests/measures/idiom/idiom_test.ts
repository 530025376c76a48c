/** Idiom by hand, on counts of the test's own, and what it may be relied on for as properties of generated counts and scores. */
import { assert, assertAlmostEquals, assertEquals, assertGreater, assertLess } from "@std/assert";
import fc from "fast-check";
import { demoPlans, demoSketch, realise, study, vary } from "ripieno";
import { idiom } from "ripieno/measures";
import { knownUses, openScoreUses, type UseCount } from "../../../lib/measures/idiom/counted_uses.ts";
import { plainInstrument, USE_DYNAMICS, USE_REGISTERS, usesOf } from "../../../lib/measures/idiom/uses_of.ts";
import { ROLE_NAMES } from "../../../lib/texture/roles.ts";
import { textureOf } from "../../../lib/texture/recognise/recognise.ts";
import { repeatedNotes, smallScore } from "../small_scores.ts";

const roles = ROLE_NAMES.filter((role) => role !== "rest");
const count = (
  instrument: string,
  role: (typeof roles)[number],
  bars: number,
  more: Partial<UseCount> = {},
) => ({ instrument, role, register: "middle", dynamic: "loud", bars, ...more }) as UseCount;

Deno.test("the usualness of a use by hand: role against all instruments, register and dynamic against the commonest", () => {
  const counts = [
    count("flute", "lead", 300),
    count("flute", "lead", 100, { register: "high" }),
    count("flute", "pad", 100, { dynamic: "soft" }),
    count("oboe", "pad", 500),
  ];
  // With next to no leaning on the family, the flute's own counts alone.
  const flute = knownUses(counts, 1e-6)("flute");
  assertEquals(flute.bars, 500);
  const lead = flute.usualnessOf({ role: "lead", register: "high", dynamic: "loud" })!;
  // Of all thousand bars 400 lead, of the flute's 400 of 500; a lead is a third as often high as in the middle.
  assertEquals(lead.ofRole, 1);
  assertAlmostEquals(lead.ofRegister, 1 / 3, 1e-6);
  const pad = flute.usualnessOf({ role: "pad", register: "middle", dynamic: "soft" })!;
  // A pad is a fifth of the flute's bars and 600 of 1000 of all; each of nine roles counts one bar more.
  assertAlmostEquals(pad.ofRole, 0.2 / ((600 + 1) / 1009), 1e-6);
  assertAlmostEquals(pad.ofDynamic, 100 / 300, 1e-6);
  assertAlmostEquals(pad.usualness, pad.ofRole * pad.ofRegister * pad.ofDynamic, 1e-12);
});

Deno.test("an instrument that nobody counted goes by its family, and a family that nobody counted by nothing", () => {
  const known = knownUses([count("flute", "lead", 300), count("oboe", "pad", 100)], 50);
  assertEquals(known("clarinet in Bb").bars, 0);
  const clarinet = known("clarinet in A").usualnessOf({ role: "lead", register: "middle", dynamic: "loud" })!;
  assertGreater(clarinet.usualness, 0.5);
  assertEquals(known("violin").usualnessOf({ role: "lead", register: "middle", dynamic: "loud" }), null);
  assertEquals([plainInstrument("clarinet in Bb"), plainInstrument("horn in F"), plainInstrument("violin")], [
    "clarinet",
    "horn",
    "violin",
  ]);
});

const someCounts = fc.array(
  fc.record({
    instrument: fc.constantFrom("flute", "oboe", "clarinet", "bassoon"),
    role: fc.constantFrom(...roles),
    register: fc.constantFrom(...USE_REGISTERS),
    dynamic: fc.constantFrom(...USE_DYNAMICS),
    bars: fc.integer({ min: 1, max: 500 }),
  }),
  { minLength: 1, maxLength: 30 },
);

Deno.test("axiom: usualness lies over 0 and up to 1, and the commonest register and dynamic of a role have 1", () => {
  fc.assert(
    fc.property(someCounts, fc.double({ min: 1, max: 200, noNaN: true }), (counts, priorBars) => {
      const flute = knownUses(counts, priorBars)("flute");
      for (const role of roles) {
        const all = USE_REGISTERS.flatMap((register) =>
          USE_DYNAMICS.map((dynamic) => flute.usualnessOf({ role, register, dynamic })!)
        );
        for (const { usualness } of all) assert(usualness > 0 && usualness <= 1 + 1e-12);
        assertAlmostEquals(Math.max(...all.map((u) => u.ofRegister)), 1, 1e-12);
        assertAlmostEquals(Math.max(...all.map((u) => u.ofDynamic)), 1, 1e-12);
      }
    }),
    { seed: 1844, numRuns: 60 },
  );
});

Deno.test("axiom: the oftener a use was met, the more usual it is", () => {
  fc.assert(
    fc.property(someCounts, fc.nat(), fc.integer({ min: 1, max: 500 }), (counts, at, more) => {
      const one = counts[at % counts.length]!;
      const of = (all: readonly UseCount[]) => knownUses(all, 50)(one.instrument).usualnessOf(one)!;
      const [before, after] = [of(counts), of([...counts, { ...one, bars: more }])];
      assert(after.usualness >= before.usualness - 1e-9, `${after.usualness} < ${before.usualness}`);
    }),
    { seed: 1845, numRuns: 150 },
  );
});

Deno.test("axiom: the order of parts and the tempo change nothing, and what is silent or has no pitch does not count", () => {
  const lines = [
    { instrument: "flute", role: "lead" as const, notes: repeatedNotes(79, 1) },
    { instrument: "cello", role: "pulse" as const, notes: repeatedNotes(48, 0.5, { dynamic: 3 }) },
  ];
  const of = (all: typeof lines, quartersPerMinute = 120) =>
    idiom(smallScore(all, { quartersPerMinute })).whole;
  const whole = of(lines);
  for (const other of [of(lines.toReversed()), of(lines, 60)]) {
    assertAlmostEquals(other.idiom!, whole.idiom!, 1e-12);
    assertAlmostEquals(other.unusualShare, whole.unusualShare, 1e-12);
  }
  const drums = repeatedNotes(40, 1).map((n) => ({ ...n, unpitched: true }));
  const more = [...lines, { instrument: "oboe", role: "pad" as const, notes: [] }, {
    instrument: "drum set",
    role: "pulse" as const,
    notes: drums,
  }];
  assertAlmostEquals(of(more as typeof lines).idiom!, whole.idiom!, 1e-12);
  assertEquals(idiom(smallScore([], {})).whole, { idiom: null, unusualShare: 0 });
});

Deno.test("the counts that come with the library: only counts, of known instruments and roles, with a source", () => {
  const uses = openScoreUses();
  assertGreater(uses.reduce((sum, u) => sum + u.bars, 0), 50_000);
  for (const { role, register, dynamic, bars } of uses) {
    assert(
      (roles as readonly string[]).includes(role) && USE_REGISTERS.includes(register),
      `${role} ${register}`,
    );
    assert(USE_DYNAMICS.includes(dynamic) && Number.isInteger(bars) && bars > 0);
  }
  const lines = Deno.readTextFileSync(new URL("../../../data/idiom_counts.csv", import.meta.url)).trim()
    .split("\n");
  assertEquals(lines[0], "instrument,role,register,dynamic,bars,source");
  assert(lines[1]!.includes("OpenScore Orchestra"));
});

Deno.test("what an orchestrator would laugh at is less usual: a tuba with the tune, a piccolo with the bass of the strings", () => {
  const { held, moving } = demoPlans();
  const of = (plan: typeof held) => idiom(realise(demoSketch(), plan, { refuseImpossible: false }));
  const tuba = of(vary(held, { set: { parts: ["Tuba"], octave: -2 } }, { role: "lead" }));
  assertLess(tuba.whole.idiom!, of(held).whole.idiom!);
  const tubaPart = tuba.perPart.find((p) => p.partName === "Tuba")!;
  const violins = of(held).perPart.find((p) => p.partName === "Violins I")!;
  assertLess(tubaPart.idiom!, 0.5 * violins.idiom!);
  const trombones = of(vary(moving, { set: { parts: ["Trombones"] } }, { role: "figuration" }));
  assertLess(trombones.whole.idiom!, of(moving).whole.idiom!);
});

Deno.test("a use has the mean pitch and dynamic of what begins; study() may leave idiom out", () => {
  const score = smallScore([{
    instrument: "flute",
    role: "lead",
    notes: repeatedNotes(95, 1, { dynamic: 7, to: 8 }),
  }]);
  assertEquals(
    usesOf(score, textureOf(score)).map((u) => [u.instrument, u.role, u.register, u.dynamic]),
    [["flute", "lead", "high", "loud"], ["flute", "lead", "high", "loud"]],
  );
  assertEquals(study(score, { idiom: false }).idiom, null);
});
