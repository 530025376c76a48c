/** Figures of any choice of layers against the measures themselves. */
import { assert, assertAlmostEquals, assertEquals, assertGreater } from "@std/assert";
import { attribution, balance, demoPlans, demoSketch, momentum, realise, textureOf } from "ripieno";
import { take } from "ripieno/orchestrate";
import { subsetMeasures } from "../../../lib/measures/subsets/subset_measures.ts";

for (const [name, plan] of Object.entries(demoPlans())) {
  const score = realise(demoSketch(), plan);
  const texture = textureOf(score);
  const heard = balance(score, { texture });
  const bars = subsetMeasures(score, { texture, balance: heard });

  Deno.test(`${name}: everything together is what momentum and balance say, bar by bar`, () => {
    const { perBar } = momentum(score, { texture, balance: heard });
    for (const [b, bar] of bars.entries()) {
      assertAlmostEquals(bar.momentum.at(-1)!, perBar[b]!.momentum, 1e-9);
      const share = heard.perBar[b]!.audibleShare;
      if (share === null) assert(Number.isNaN(bar.leadAudible.at(-1)!));
      else assertAlmostEquals(bar.leadAudible.at(-1)!, share, 1e-9);
    }
  });

  Deno.test(`${name}: each layer alone, and all but it, is what attribution says`, () => {
    for (const row of attribution(score, { texture, balance: heard }).perBar) {
      const { layers, momentum: values } = bars[row.barIndex]!;
      const own = 2 ** layers.indexOf(row.name);
      assertAlmostEquals(values[own]!, row.alone, 1e-9);
      assertAlmostEquals(values.at(-1)! - values[values.length - 1 - own]!, row.takenAway, 1e-9);
    }
  });

  Deno.test(`${name}: the lead without a layer is what balance says of the score without it`, () => {
    let judged = 0, differ = 0;
    const roles = [...new Set(texture.layers.map((layer) => layer.role))].filter((role) => role !== "lead");
    for (const role of roles) {
      const without = take(score, { roles: [role], away: true, texture });
      const { perBar } = balance(without.score, { texture: without.texture, warnings: false });
      for (const [b, bar] of bars.entries()) {
        const kept = bar.layers.map((id) => texture.cells.find((cell) => cell.layer === id)!.role !== role);
        // A note that is held over from a layer into another belongs to the first here and to the second in a whole score.
        if (heldOver(b)) continue;
        const subset = kept.reduce((sum, keep, i) => sum + (keep ? 2 ** i : 0), 0);
        const share = perBar[b]!.audibleShare;
        if (share === null) continue;
        judged++;
        // What doubles the lead is found over several bars, in the whole texture here and without the layer there.
        assertAlmostEquals(bar.leadAudible[subset]!, share, 0.02, `${role}, bar ${b + 1}`);
        if (Math.abs(bar.leadAudible[subset]! - share) > 1e-9) differ++;
      }
    }
    assertGreater(judged, 40);
    assert(differ <= 0.02 * judged, `${differ} of ${judged} bars`);
  });

  /** Whether a note is held into a bar in which its part is of another layer. */
  const heldOver = (b: number) => {
    const { startTicks } = score.bars[b]!;
    return score.notes.some((n) =>
      n.onsetTicks < startTicks && n.onsetTicks + n.durationTicks > startTicks &&
      texture.cells[b * score.parts.length + n.part]!.layer !== n.layer
    );
  };
}

Deno.test("nothing is nothing, and nobody leads where no lead is left", () => {
  const score = realise(demoSketch(), demoPlans().moving);
  const texture = textureOf(score);
  const [bar] = subsetMeasures(score, { texture, balance: balance(score, { texture }) });
  assertEquals(bar!.momentum[0], 0);
  assert(Number.isNaN(bar!.leadAudible[0]!));
});
