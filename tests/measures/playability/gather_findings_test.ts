import { assert, assertEquals, assertLessOrEqual } from "@std/assert";
import { demoPlans, demoSketch, playability, type PlayabilityFinding, realise } from "ripieno";
import { gatherFindings } from "ripieno/measures";
import { repeatedNotes, smallScore } from "../small_scores.ts";

const low = { notes: repeatedNotes(20, 1, { to: 16 }), role: "pad" as const };

Deno.test("gatherFindings() joins the parts that stumble over the same rule in the same bars", () => {
  const { findings } = playability(smallScore([
    { instrument: "flute", name: "Flute 1", ...low },
    { instrument: "oboe", name: "Oboe 1", role: "pad", notes: repeatedNotes(70, 1, { to: 16 }) },
    { instrument: "flute", name: "Flute 2", ...low },
  ], { bars: 20 }));
  assertEquals(findings.length, 2);
  const [row, ...more] = gatherFindings(findings);
  assertEquals(more, []);
  assertEquals([row!.partNames, row!.parts, row!.fromBarIndex, row!.toBarIndex, row!.places], [
    ["Flute 1", "Flute 2"],
    [0, 2],
    0,
    3,
    32,
  ]);
});

/** A finding that differs from a plain one in some fields. */
function finding(change: Partial<PlayabilityFinding>): PlayabilityFinding {
  return {
    part: 0,
    partName: "Horn 1",
    fromBarIndex: 0,
    toBarIndex: 3,
    bar: "1",
    beat: 1,
    severity: "risky",
    rule: "breath",
    what: "too long",
    figure: 20,
    limit: 10,
    unit: "seconds",
    source: "test",
    remedy: "shorten it",
    places: 1,
    ...change,
  };
}

Deno.test("gatherFindings() keeps apart other rules, other severities and other bars", () => {
  for (
    const other of [
      { rule: "range" },
      { severity: "tiring" as const },
      { fromBarIndex: 4, toBarIndex: 7 },
      { fromBarIndex: 0, toBarIndex: 20 },
    ]
  ) {
    assertEquals(gatherFindings([finding({}), finding({ part: 1, partName: "Horn 2", ...other })]).length, 2);
  }
  assertEquals(gatherFindings([finding({}), finding({ part: 1, fromBarIndex: 1, toBarIndex: 4 })]).length, 1);
  // Half of the bars of the longer one are enough.
  const joined = (toBarIndex: number, from: number, to: number) =>
    gatherFindings([finding({ toBarIndex }), finding({ part: 1, fromBarIndex: from, toBarIndex: to })])
      .length === 1;
  assertEquals([joined(3, 2, 5), joined(3, 3, 6), joined(2, 2, 4), joined(3, 2, 3), joined(4, 0, 1)], [
    true,
    false,
    false,
    true,
    false,
  ]);
});

Deno.test("gatherFindings() speaks for the worst part and names each part once", () => {
  const rows = gatherFindings([
    finding({ part: 2, partName: "Horn 3", figure: 12 }),
    finding({ part: 1, partName: "Horn 2", figure: 30, what: "far too long", beat: 3 }),
    finding({ part: 1, partName: "Horn 2", figure: 11, fromBarIndex: 1 }),
  ]);
  assertEquals(rows.map((r) => [r.partNames, r.what, r.figure, r.worstPart, r.bar, r.beat, r.places]), [
    [["Horn 2", "Horn 3"], "far too long", 30, 1, "1", 1, 3],
  ]);
  assertEquals(gatherFindings([]), []);
});

Deno.test("gatherFindings() loses no part and no place of the demo's findings", () => {
  for (const plan of Object.values(demoPlans())) {
    const { findings } = playability(realise(demoSketch(), plan));
    const rows = gatherFindings(findings);
    assertEquals(rows.reduce((sum, r) => sum + r.places, 0), findings.reduce((sum, f) => sum + f.places, 0));
    for (const f of findings) {
      assert(rows.some((r) => r.rule === f.rule && r.parts.includes(f.part) && r.severity === f.severity));
    }
    assertLessOrEqual(rows.length, findings.length);
  }
});

Deno.test("gatherFindings() keeps notes out of range apart by instrument: each has its own way back", () => {
  const { findings } = playability(smallScore([
    { instrument: "flute", name: "Flute", ...low },
    { instrument: "bassoon", name: "Bassoon", ...low },
  ], { bars: 20 }));
  const rows = gatherFindings(findings);
  assertEquals(rows.map((row) => row.partNames), [["Flute"], ["Bassoon"]]);
  assert(rows[0]!.what.includes("flute") && rows[1]!.what.includes("bassoon"));
});

Deno.test("gatherFindings() stand where the first of theirs begins: by bar, and within a bar by beat", () => {
  const of = (...places: readonly (readonly [fromBarIndex: number, beat: number])[]) => {
    const rows = gatherFindings(
      places.map(([fromBarIndex, beat], part) =>
        finding({ part, fromBarIndex, toBarIndex: fromBarIndex + 3, bar: String(fromBarIndex + 1), beat })
      ),
    );
    return rows.map((r) => [r.bar, r.beat, r.fromBarIndex, r.toBarIndex]);
  };
  assertEquals(of([2, 3], [2, 2], [2, 4]), [["3", 2, 2, 5]]);
  assertEquals(of([2, 3], [3, 1]), [["3", 3, 2, 6]]);
  assertEquals(of([3, 1], [2, 4]), [["3", 4, 2, 6]]);
});
