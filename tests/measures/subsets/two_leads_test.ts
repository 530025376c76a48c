/** Every choice of the layers of two bars with two leads against the balance of a score that has no others. */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { balance, textureOf } from "ripieno";
import { subsetMeasures } from "../../../lib/measures/subsets/subset_measures.ts";
import { type Line, smallScore } from "../small_scores.ts";

const line = (instrument: string, role: Line["role"], layer: string, notes: Line["notes"]): Line => ({
  instrument,
  role,
  layer,
  notes,
});
/** The flute is held over the bar line; the harp leads in the first bar, and has died away by the end of the second. */
const LINES: readonly Line[] = [
  line("flute", "lead", "flute", [{ at: 2, quarters: 4, pitch: 77, dynamic: 4 }]),
  line("harp", "lead", "harp", [{ at: 0, quarters: 1, pitch: 72 }, { at: 1, quarters: 1, pitch: 74 }]),
  line("cello", "bass", "cello", [{ at: 0, quarters: 8, pitch: 43, dynamic: 6 }]),
  line("clarinet in Bb", "pad", "clarinet", [{ at: 4, quarters: 4, pitch: 74, dynamic: 7 }]),
];

Deno.test("the lead in every choice of layers is as audible as in a score of these layers alone", () => {
  const score = smallScore(LINES);
  const texture = textureOf(score);
  const bars = subsetMeasures(score, { texture, balance: balance(score, { texture }) });
  assertEquals(bars.map((b) => b.layers.toSorted()), [
    ["cello", "flute", "harp"],
    ["cello", "clarinet", "flute"],
  ]);
  let judged = 0;
  for (const [b, { layers, leadAudible }] of bars.entries()) {
    assertEquals(leadAudible.length, 2 ** layers.length);
    for (const [subset, share] of leadAudible.entries()) {
      const chosen = layers.filter((_, i) => (subset & 2 ** i) !== 0);
      const alone = smallScore(LINES.map((l) => chosen.includes(l.layer!) ? l : { ...l, notes: [] }));
      const expected = balance(alone).perBar[b]!.audibleShare;
      if (expected === null) assert(Number.isNaN(share), `${chosen}`);
      else {
        judged++;
        assertAlmostEquals(share, expected, 1e-9, `bar ${b + 1}: ${chosen}`);
      }
    }
  }
  // Six of eight choices have a lead in the first bar, four in the second.
  assertEquals(judged, 10);
});
