/** Who leads along the bars: shares against the sum over all courses, and what readings say of them. */
import { assert, assertAlmostEquals, assertEquals, assertGreater, assertLess } from "@std/assert";
import { HAND_OVER_COST, sharesAlong } from "../../lib/texture/judge/lead_course.ts";
import { assignRole } from "../../lib/texture/assign_role.ts";
import { isAlsoPossible } from "../../lib/texture/also_possible.ts";
import { pageOf } from "../../lib/texture/features/page.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { trackLead } from "../../lib/texture/recognise/track_lead.ts";
import { writtenTexture } from "../../lib/texture/written.ts";
import { demoScore } from "../../lib/demo.ts";
import { practiceSettings } from "../setup/practice_settings.ts";
import { random } from "../setup/random.ts";
import { example } from "./examples.ts";

/** All courses through the bars, each with how likely it is beside the others. */
function allCourses(values: Float64Array, candidates: readonly (readonly number[])[], parts: number) {
  let courses: { readonly cells: readonly number[]; readonly log: number }[] = [{ cells: [], log: 0 }];
  for (const cells of candidates) {
    if (cells.length === 0) {
      courses = courses.map((c) => ({ ...c, cells: [...c.cells, -1] }));
      continue;
    }
    courses = courses.flatMap((c) =>
      cells.map((i) => {
        const before = c.cells.at(-1) ?? -1;
        const costs = before >= 0 && before % parts !== i % parts ? HAND_OVER_COST : 0;
        return { cells: [...c.cells, i], log: c.log + values[i]! - costs };
      })
    );
  }
  return courses;
}

Deno.test("shares of the lead are those of all courses through the bars, each as likely as its sum says", () => {
  const next = random(11);
  const parts = 3;
  for (let round = 0; round < 40; round++) {
    const bars = 1 + Math.floor(next() * 5);
    const values = Float64Array.from({ length: bars * parts }, () => 8 * next() - 4);
    const candidates = Array.from(
      { length: bars },
      (_, b) => [0, 1, 2].map((p) => b * parts + p).filter(() => next() < 0.75),
    );
    const courses = allCourses(values, candidates, parts);
    const total = courses.reduce((sum, c) => sum + Math.exp(c.log), 0);
    sharesAlong(values, candidates, parts).forEach((share, i) => {
      const through = courses.filter((c) => c.cells.includes(i));
      const expected = through.reduce((sum, c) => sum + Math.exp(c.log), 0) / total;
      assertAlmostEquals(
        candidates.flat().includes(i) ? share : 0,
        candidates.flat().includes(i) ? expected : 0,
        1e-9,
      );
    });
  }
});

Deno.test("one bar that asks a little less is no hand-over; two parts in turn with much to say are", () => {
  const parts = 2;
  const bars = Array.from({ length: 7 }, (_, b) => [2 * b, 2 * b + 1]);
  const flicker = Float64Array.from([2, 0, 2, 0, 2, 0, 0.4, 1, 2, 0, 2, 0, 2, 0]);
  assertGreater(sharesAlong(flicker, bars, parts)[6]!, 0.5);
  const turns = Float64Array.from([6, 0, 0, 6, 6, 0, 0, 6, 6, 0, 0, 6, 6, 0]);
  const shares = sharesAlong(turns, bars, parts);
  bars.forEach(([i, j], b) => assertEquals(shares[i!]! > shares[j!]!, b % 2 === 0));
});

Deno.test("the lines of a bar that is read share one lead, the chief line has most of it, and leads are not also possible", () => {
  const scores = practiceSettings().filter((_, i) => i % 9 === 0).map(({ score }) => score);
  for (const score of [demoScore(), ...scores]) {
    const { cells } = recognise(score);
    const track = trackLead(score);
    const parts = score.parts.length;
    const { partsOf } = pageOf(score);
    score.bars.forEach((_, b) => {
      const bar = cells.slice(b * parts, (b + 1) * parts);
      const sum = partsOf.reduce((all, line) => all + Math.max(...line.map((p) => bar[p]!.leadShare)), 0);
      const { part } = track[b]!;
      if (part === null) return assertEquals(sum, 0);
      assertLess(Math.abs(sum - 1), 0.02);
      assert(bar.every((c) => c.leadShare <= bar[part]!.leadShare));
    });
    for (const cell of cells) {
      assertEquals(isAlsoPossible(cell), cell.reason.includes("also possible as the lead"));
      assert(!(isAlsoPossible(cell) && (cell.role === "lead" || cell.role === "rest")));
    }
  }
});

Deno.test("where two parts on notes of their own both sing, the one that is not called lead is also possible, or leads too", () => {
  const score = example([
    ["oboe", "(A5:3/2 G5:1/2 F5:1 D6:1 C6:3/2 A5:1/2 G5:1 E5:1)x2"],
    ["clarinet in Bb", "(F4:1 A4:1/2 G4:1/2 D5:3/2 C5:1/2 E5:1/2 D5:1/2 C5:1 B4:1 G4:1)x2"],
    ["double bass", "(D2:4 C2:4)x2"],
  ]);
  const { cells } = recognise(score);
  score.bars.forEach((_, b) => {
    const [oboe, clarinet, bass] = cells.slice(b * 3, b * 3 + 3);
    assert(
      [oboe!, clarinet!].every((c) => c.role === "lead" || isAlsoPossible(c)),
      JSON.stringify([oboe, clarinet]),
    );
    assert(bass!.leadShare < 0.05);
  });
});

Deno.test("in a written texture and in a corrected one a lead has all of the lead, and what does not lead none", () => {
  const written = writtenTexture(demoScore())!;
  assert(written.cells.every((c) => c.leadShare === (c.role === "lead" ? 1 : 0)));
  const read = recognise(demoScore());
  const part = read.cells.find((c) => c.role === "lead")!.part;
  const corrected = assignRole(read, { part, fromBarIndex: 0, toBarIndex: 3, role: "pad" });
  assert(corrected.cells.filter((c) => c.part === part && c.barIndex <= 3).every((c) => c.leadShare === 0));
});
