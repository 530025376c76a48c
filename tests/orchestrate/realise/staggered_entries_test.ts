/** Players of a layer who come in one after another. */
import { assert, assertEquals, assertGreater } from "@std/assert";
import { assign } from "../../../lib/orchestrate/plan/plan.ts";
import { vary } from "../../../lib/orchestrate/plan/vary.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import type { Note, Score } from "../../../lib/score/model.ts";
import { beatTicks, endTicksOf } from "../../../lib/score/time.ts";
import { faultsOf, passagePlan, SKETCHES, wholePlan } from "../sketches.ts";

const firstsOf = (score: Score): readonly Note[] =>
  score.parts.map((_, p) => score.notes.find((n) => n.part === p)!);

for (const [name, sketch] of Object.entries(SKETCHES)) {
  Deno.test(`${name}: players of a pad come in a beat apart from below or above, all within half of it, and play on as before`, () => {
    for (const entries of ["from below", "from above"] as const) {
      for (
        const parts of [["Horns"], ["Clarinets", "Bassoons"], ["Violins I", "Violins II", "Violas", "Cellos"]]
      ) {
        const layer = { role: "pad", parts } as const;
        const together = realise(sketch, wholePlan(sketch, layer));
        const score = realise(sketch, wholePlan(sketch, { ...layer, entries }));
        assertEquals(faultsOf(score, "rangeComfortable"), []);
        const firsts = firstsOf(score).toSorted((a, b) => a.onsetTicks - b.onsetTicks);
        const start = Math.min(...together.notes.map((n) => n.onsetTicks));
        assertEquals(firsts[0]!.onsetTicks, start);
        const before = firstsOf(together);
        const order = (a: Note, b: Note) =>
          entries === "from below" ? a.soundingPitch - b.soundingPitch : b.soundingPitch - a.soundingPitch;
        const ranks = [...new Set(before.toSorted(order).map((n) => n.soundingPitch))];
        for (const first of firsts) {
          const rank = ranks.indexOf(before[first.part]!.soundingPitch);
          const bar = score.bars.find((b) => b.startTicks + b.durationTicks > start)!;
          // A pickup may hold fewer beats than its metre.
          if (bar.durationTicks === score.bars[1]!.durationTicks) {
            assertEquals(first.onsetTicks - start, rank * beatTicks(bar, score.ticksPerQuarter));
          }
        }
        const last = firsts.at(-1)!.onsetTicks;
        assert(last - start <= (endTicksOf(score) - start) / 2);
        // Once all have come in nothing differs.
        const rest = (s: Score) =>
          s.notes.filter((n) => n.onsetTicks > last).map((
            n,
          ) => [n.part, n.onsetTicks, n.durationTicks, n.soundingPitch]);
        if (!parts.includes("Horns") && !parts.includes("Clarinets")) {
          assertEquals(rest(score), rest(together));
        }
      }
    }
  });
}

Deno.test("in a short passage several players share a beat, and strokes are left out whole rather than cut", () => {
  const sketch = SKETCHES["four-four"]!;
  const parts = ["Horns", "Trumpets", "Bassoons"];
  const pulse = realise(
    sketch,
    passagePlan(1, 1, assign({ role: "pulse", figure: "repeated triplets", parts, entries: "from above" })),
  );
  const onsets = [...new Set(firstsOf(pulse).map((n) => n.onsetTicks))].sort((a, b) => a - b);
  assertEquals(onsets.map((at) => at / pulse.ticksPerQuarter), [0, 1]);
  assertEquals(new Set(pulse.notes.map((n) => n.durationTicks)).size, 1);
});

Deno.test("vary() sets entries and takes them back", () => {
  const sketch = SKETCHES["four-four"]!;
  const plan = wholePlan(sketch, { role: "pad", parts: ["Horns"] });
  const staggered = vary(plan, { set: { entries: "from below" } });
  assertGreater(new Set(firstsOf(realise(sketch, staggered)).map((n) => n.onsetTicks)).size, 1);
  const back = vary(staggered, { set: { entries: "together" } });
  assertEquals(back.passages, plan.passages);
});
