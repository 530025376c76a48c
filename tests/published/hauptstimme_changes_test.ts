/**
 * Changes of the lead annotated by people: the main-melody annotations of OpenScore Orchestra (MarkGotham/Hauptstimme,
 * commit 8f677853c45b74ca0afcd79677e5379c06c82354, annotations CC BY-SA: Hauptstimme annotation team, M. Gotham et al.).
 *
 * Measured is how well the novelty of `freshness` tells bars in which the main melody goes to another part from all
 * others: the area under the ROC curve, over all movements together, first bars left out. Reference figure on the same
 * eight movements: change of the set of sounding instruments (Jaccard), two bars before against two after, 0.632.
 * Every movement is read with weights of recognition that were fitted without it; nothing behind the novelty curve is
 * fitted.
 */
import { assertEquals, assertGreater } from "@std/assert";
import { freshness } from "../../lib/measures/freshness/freshness.ts";
import { barIndexOf } from "../../lib/score/time.ts";
import type { Score } from "../../lib/score/model.ts";
import { recognise, type RecogniseOptions } from "../../lib/texture/recognise/recognise.ts";
import { rocArea } from "../setup/roc_area.ts";
import {
  corpusFolders,
  melodyAnnotation,
  type MelodyEntry,
  MOVEMENTS,
  scoreOf,
} from "../setup/texture_corpus.ts";
import { example } from "../texture/examples.ts";
import { weightsWithout } from "../setup/left_out_weights.ts";

/** Novelty at bars in which the melody goes to another part, and in all others but the first. */
function told(
  score: Score,
  entries: readonly MelodyEntry[],
  options: RecogniseOptions = {},
): { changes: number[]; others: number[] } {
  const handedOver = new Set(
    entries.filter((entry, i) => i > 0 && entry.part !== entries[i - 1]!.part)
      .map((entry) => barIndexOf(score, Math.round(entry.quarters * score.ticksPerQuarter))),
  );
  const sides = { changes: [] as number[], others: [] as number[] };
  for (
    const { barIndex, novelty } of freshness(score, { texture: recognise(score, options) }).perBar.slice(1)
  ) {
    (handedOver.has(barIndex) ? sides.changes : sides.others).push(novelty);
  }
  return sides;
}

Deno.test("a tune of our own handed from the oboe to the violin stands out in the bar in which it is", () => {
  const tune = "D5:3/2 C5:1/2 B4:1 G5:1 F5:3/2 D5:1/2 C5:1 A4:1";
  const score = example([
    ["oboe", `${tune} ${tune} r:16`],
    ["violin", `r:16 ${tune} ${tune}`],
    ["viola", "(D4:4 C4:4)x4"],
  ]);
  const { changes, others } = told(score, [{ quarters: 0, part: 0 }, { quarters: 16, part: 1 }]);
  assertEquals([changes.length, others.length], [1, 6]);
  assertGreater(rocArea(changes, others), 0.99);
});

const folders = corpusFolders();
if (folders) {
  Deno.test("novelty finds annotated changes of the lead better than a change of instruments does", () => {
    const all = { changes: [] as number[], others: [] as number[] };
    for (const movement of MOVEMENTS.filter((m) => m.melody !== undefined)) {
      const score = scoreOf(movement, folders);
      const weights = weightsWithout(movement.work);
      const { changes, others } = told(score, melodyAnnotation(movement, folders), { weights });
      console.log(`${movement.name}: ${changes.length} changes, area ${rocArea(changes, others).toFixed(3)}`);
      assertGreater(rocArea(changes, others), 0.56, movement.name);
      all.changes.push(...changes);
      all.others.push(...others);
    }
    const area = rocArea(all.changes, all.others);
    console.log(
      `all: ${all.changes.length} changes, ${all.others.length} other bars, area ${area.toFixed(3)}`,
    );
    assertGreater(all.changes.length, 700);
    assertGreater(area, 0.755);
  });
}
