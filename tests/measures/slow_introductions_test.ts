/**
 * Slow introductions and the fast sections after them: the sections annotated by Le, Giraud, Levé, Accornero et al., A
 * Corpus Describing Orchestral Texture in First Movements of Classical and Early-Romantic Symphonies, DLfM 2022, on
 * scores of OpenScore Orchestra (MarkGotham/Hauptstimme, CC0 1.0) with their tempo marks. Every movement with a score
 * and an introduction of more than four bars counts; two opening chords are none.
 */
import { assertGreater, assertLess } from "@std/assert";
import { momentum } from "ripieno";
import type { MomentumBar } from "ripieno/measures";
import { openTexture } from "../setup/open_scores.ts";
import { csvRows } from "../setup/shared_data.ts";
import { corpusFolders, MOVEMENTS, scoreOf, urlOf } from "../setup/texture_corpus.ts";
import { repeatedNotes, smallScore } from "./small_scores.ts";

/** Mean momentum over some bars. */
function meanOf(bars: readonly MomentumBar[]): number {
  return bars.reduce((sum, b) => sum + b.momentum, 0) / bars.length;
}

Deno.test("the same eighths at 40 move less than at 132, and a pulse that quickens raises every bar", () => {
  const score = smallScore([{
    instrument: "viola",
    role: "pulse",
    players: 8,
    notes: repeatedNotes(60, 0.5, { to: 24 }),
  }], { bars: 6, quartersPerMinute: 40, tempos: [[8, 80], [16, 132]] });
  const bars = momentum(score).perBar;
  const [slow, middle, fast] = [bars.slice(1, 2), bars.slice(3, 4), bars.slice(5)].map(meanOf);
  assertLess(slow!, 0.6 * middle!);
  assertLess(middle!, 0.75 * fast!);
});

const folders = corpusFolders();
if (folders) {
  Deno.test("annotated slow introductions move much less than the first and second themes after them", () => {
    let found = 0;
    for (const movement of MOVEMENTS.filter((m) => m.texture !== undefined && m.melody !== undefined)) {
      const rows = csvRows(new URL(`${movement.texture}.cells.csv`, folders["orchestral-texture"]));
      const sections = new Map(rows.map((row) => [Number(row["score_measure"]) - 1, row["section"]]));
      const introduction = [...sections.values()].filter((s) => s === "Int").length;
      if (introduction <= 4) continue;
      found++;
      const { perBar } = momentum(scoreOf(movement, folders), {
        texture: openTexture(urlOf(movement, folders)),
        layers: false,
      });
      const of = (section: string) => meanOf(perBar.filter((b) => sections.get(b.barIndex) === section));
      const [slow, first, second] = [of("Int"), of("P"), of("S")];
      console.log(
        `${movement.name}: introduction ${slow.toFixed(2)}, first theme ${first.toFixed(2)}, second ${
          second.toFixed(2)
        } driving attacks per second`,
      );
      assertLess(slow, 0.5 * first, movement.name);
      assertLess(slow, 0.6 * second, movement.name);
    }
    assertGreater(found, 1);
  });
}
