/**
 * Which part leads, against the main-melody annotations of OpenScore Orchestra (MarkGotham/Hauptstimme, commit
 * 8f677853c45b74ca0afcd79677e5379c06c82354, annotations CC BY-SA: Hauptstimme annotation team, M. Gotham et al.).
 *
 * Reference figures on the same eight movements: the highest part 0.485, "first violin if it plays, else the
 * highest" 0.567; human against human 0.875, with melody layers that cover 44 % of the sounding groups. Where an
 * annotator names one of several equal parts, a doubling of the lead counts as a hit, so the share of sounding parts
 * that are called lead is reported and held with it. Nothing was fitted to these movements.
 */
import { assertEquals, assertGreater, assertLess } from "@std/assert";
import { readMxl } from "../../lib/formats/mxl.ts";
import type { Score } from "../../lib/score/model.ts";
import { recognise } from "../../lib/texture/recognise.ts";
import { csvRows, sharedFolder } from "../setup/shared_data.ts";
import { example } from "../texture/examples.ts";

/** From here on this part has the main melody. */
interface Entry {
  readonly quarters: number;
  readonly part: number;
}

interface Counts {
  /** Bars in which the annotated part plays. */
  bars: number;
  /** Bars in which it is called lead. */
  hits: number;
  /** Bars in which the uppermost part of the score that is called lead is the annotated part. */
  single: number;
  /** Sum over the bars of the share of sounding parts called lead. */
  share: number;
}

/** The part that has the main melody for most of a bar. */
function annotatedPart(entries: readonly Entry[], from: number, to: number): number | undefined {
  const time = new Map<number, number>();
  entries.forEach((entry, i) => {
    const overlap = Math.min(to, entries[i + 1]?.quarters ?? Infinity) - Math.max(from, entry.quarters);
    if (overlap > 0) time.set(entry.part, (time.get(entry.part) ?? 0) + overlap);
  });
  return [...time].sort((a, b) => b[1] - a[1])[0]?.[0];
}

function count(score: Score, entries: readonly Entry[]): Counts {
  const counts: Counts = { bars: 0, hits: 0, single: 0, share: 0 };
  const { cells } = recognise(score);
  score.bars.forEach((bar, b) => {
    const from = bar.startTicks / score.ticksPerQuarter;
    const part = annotatedPart(entries, from, from + bar.durationTicks / score.ticksPerQuarter);
    const sounding = cells.slice(b * score.parts.length, (b + 1) * score.parts.length)
      .filter((c) => c.role !== "rest");
    if (part === undefined || !sounding.some((c) => c.part === part)) return;
    const leads = sounding.filter((c) => c.role === "lead");
    counts.bars++;
    counts.share += leads.length / sounding.length;
    if (leads.some((c) => c.part === part)) counts.hits++;
    if (leads[0]?.part === part) counts.single++;
  });
  return counts;
}

Deno.test("a hand-over of our own is hit in every bar, and every other annotation missed", () => {
  const high = "D5:3/2 C5:1/2 B4:1 G5:1 F5:3/2 D5:1/2 C5:1 A4:1";
  const score = example([["oboe", `${high} r:8`], ["violin", `r:8 ${high}`], ["viola", "(D4:4 C4:4)x2"]]);
  const right = count(score, [{ quarters: 0, part: 0 }, { quarters: 7, part: 1 }]);
  assertEquals([right.bars, right.hits, right.single, right.share], [4, 4, 4, 2]);
  assertEquals(count(score, [{ quarters: 0, part: 2 }]).hits, 0);
});

const folder = sharedFolder("openscore-orchestra");
if (folder) {
  Deno.test("the lead is the annotated part more often than the highest part is, with few parts called lead", () => {
    const total: Counts = { bars: 0, hits: 0, single: 0, share: 0 };
    const line = (name: string, c: Counts) =>
      console.log(
        `${name}: ${c.bars} bars, hit ${(c.hits / c.bars).toFixed(3)}, uppermost of them ${
          (c.single / c.bars).toFixed(3)
        }, share of parts called lead ${(c.share / c.bars).toFixed(3)}`,
      );
    for (const { name } of [...Deno.readDirSync(folder)].sort((a, b) => a.name.localeCompare(b.name))) {
      if (!name.endsWith(".hauptstimme.csv")) continue;
      const work = name.replace(".hauptstimme.csv", "");
      const entries = csvRows(new URL(name, folder))
        .map((row): Entry => ({ quarters: Number(row["qstamp"]), part: Number(row["part_num"]) }))
        .sort((a, b) => a.quarters - b.quarters);
      const score = readMxl(Deno.readFileSync(new URL(`${work}.mxl`, folder)), { file: `${work}.mxl` });
      const counts = count(score, entries);
      line(work, counts);
      for (const key of ["bars", "hits", "single", "share"] as const) total[key] += counts[key];
    }
    line("all", total);
    assertGreater(total.bars, 2600);
    assertGreater(total.hits / total.bars, 0.63);
    assertGreater(total.single / total.bars, 0.53);
    assertLess(total.share / total.bars, 0.25);
  });
}
