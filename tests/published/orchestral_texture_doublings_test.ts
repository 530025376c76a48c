/**
 * Doublings, against human annotations of layers: Le, Giraud, Levé, Accornero et al., "A Corpus Describing Orchestral
 * Texture in First Movements of Classical and Early-Romantic Symphonies", DLfM 2022 (scores: OpenScore Orchestra, CC0;
 * Mozart: iis-mctl/mctl-symphony-dataset, MIT).
 *
 * Two instruments that sound in a bar are a doubling where the annotators put them into one layer in unison, and none
 * where they put them into different layers. By shared onsets and pitch classes alone, the four Beethoven movements
 * give recall 0.776 at 0.046 false positives. Every movement is read with weights that were fitted without it, and
 * whose limit was set without it (`tests/setup/fit_doubling_weights.ts`).
 *
 * A second opinion on four movements that no weights have seen: M. Gotham et al., Hauptstimme (MarkGotham/Hauptstimme,
 * commit 8f677853c45b74ca0afcd79677e5379c06c82354, CC BY-SA), whose own program says, block by block of the melody,
 * which parts go in unison (U) or octaves (P8). It names few of the doublings there are, so only those it names count.
 */
import { assert, assertEquals, assertGreater, assertLess } from "@std/assert";
import { relationOf } from "../../lib/texture/recognise/relations.ts";
import type { DoublingWeights } from "../../lib/texture/judge/doubling_weights.ts";
import { type CellFeatures, cellFeatures } from "../../lib/texture/features/features.ts";
import type { Score } from "../../lib/score/model.ts";
import { annotatedPairs } from "../setup/annotated_pairs.ts";
import {
  type AnnotatedCell,
  annotatedCells,
  corpusFolders,
  MOVEMENTS,
  scoreOf,
  textureAnnotation,
} from "../setup/texture_corpus.ts";
import { csvRows } from "../setup/shared_data.ts";
import { example } from "../texture/examples.ts";
import leftOut from "./data/doubling_weights_left_out.json" with { type: "json" };

interface Counts {
  /** Pairs in one layer in unison. */
  readonly unison: number;
  /** Those of them that are called unison. */
  readonly found: number;
  /** Pairs in different layers. */
  readonly apart: number;
  /** Those of them that are called unison. */
  readonly wrong: number;
}

/** Counts of a movement; a code for two players doubles another where one of them does. */
function count(score: Score, annotation: readonly AnnotatedCell[], weights?: DoublingWeights): Counts {
  const features = cellFeatures(score);
  const playersOf = ({ barIndex, parts }: AnnotatedCell): readonly CellFeatures[] =>
    parts.map((p) => features[barIndex * score.parts.length + p]!).filter((f) => f.line.length > 0);
  const counts = { unison: 0, found: 0, apart: 0, wrong: 0 };
  for (const { unison, players } of annotatedPairs(annotation, playersOf)) {
    if (players.length === 0) continue;
    const same = players.some((cells) =>
      cells[0].part !== cells[1].part &&
      relationOf(cells, score, weights ? { weights } : {}).relation === "unison"
    );
    if (unison) {
      counts.unison++;
      if (same) counts.found++;
    } else {
      counts.apart++;
      if (same) counts.wrong++;
    }
  }
  return counts;
}

Deno.test("a small example of our own is counted as by hand", () => {
  const score = example([
    ["violin", "A5:3/2 G5:1/2 F5:1 D6:1"],
    ["viola", "(D4:1/4)x16"],
    ["horn in F", "F4:4"],
    ["oboe", "A5:3/2 G5:1/2 F5:1 D6:1"],
    ["cello", "(D3:1/4)x16"],
  ]);
  const row = (part: number, layer: string, relation: string) => ({
    part_numbers: String(part),
    score_measure: "1",
    sounds_in_bar: "1",
    layer,
    role: "",
    relation,
    mel: "1",
    rhythm: "0",
    harm: "0",
  });
  const rows = [
    row(1, "a", "u"),
    row(4, "a", "u"),
    row(2, "b", "u"),
    row(5, "b", "u"),
    row(3, "a", "u"), // as if the horn went with the tune
  ];
  // Four pairs of one layer, of which the horn's two are not found; six pairs of different layers.
  assertEquals(count(score, annotatedCells(score, rows)), { unison: 4, found: 2, apart: 6, wrong: 0 });
});

const folders = corpusFolders();
if (folders) {
  Deno.test("parts in unison or octaves are found, at few false ones, in movements the weights have not seen", () => {
    const weightsWithout: Readonly<Record<string, DoublingWeights>> = leftOut;
    const total = { unison: 0, found: 0, apart: 0, wrong: 0 };
    for (const movement of MOVEMENTS.filter((m) => m.texture !== undefined)) {
      const score = scoreOf(movement, folders);
      const weights = weightsWithout[movement.name];
      assert(weights, movement.name);
      const counts = count(score, textureAnnotation(movement, score, folders), weights);
      report(movement.name, counts);
      assertGreater(counts.found / counts.unison, 0.78);
      assertLess(counts.wrong / counts.apart, 0.1);
      if (!movement.name.startsWith("Beethoven")) continue;
      for (const key of ["unison", "found", "apart", "wrong"] as const) total[key] += counts[key];
    }
    report("all four of Beethoven", total);
    assertGreater(total.unison, 6000);
    assertGreater(total.apart, 27_000);
    assertGreater(total.found / total.unison, 0.88);
    assertLess(total.wrong / total.apart, 0.045);
  });
}

/** Pairs that a program of others says go in unison or octaves throughout a block of bars. */
function namedByProgram(
  score: Score,
  rows: readonly Record<string, string>[],
): readonly [bar: number, a: number, b: number][] {
  const columns = Object.keys(rows[0]!).slice(2);
  return rows.flatMap((row) => {
    const main = columns.findIndex((c) => row[c] === "Main Part");
    const pairs = new Set<string>();
    columns.forEach((column, a) => {
      for (const [, other] of (row[column] ?? "").matchAll(/(?:U|P1|P8)\(([^)]*)\)/g)) {
        const b = other === "Main" ? main : columns.indexOf(other!);
        if (b >= 0 && b !== a) pairs.add(`${Math.min(a, b)} ${Math.max(a, b)}`);
      }
    });
    return score.bars.flatMap(({ startTicks, durationTicks }, bar) => {
      const start = startTicks / score.ticksPerQuarter;
      const end = (startTicks + durationTicks) / score.ticksPerQuarter;
      if (start < Number(row["qstamp_start"]) || end > Number(row["qstamp_end"])) return [];
      return [...pairs].map((pair): [number, number, number] => {
        const [a, b] = pair.split(" ").map(Number) as [number, number];
        return [bar, a, b];
      });
    });
  });
}

if (folders) {
  Deno.test("unisons and octaves that another program names are found, in movements no weights have seen", () => {
    let [named, found] = [0, 0];
    for (const movement of MOVEMENTS.filter((m) => m.melody !== undefined && m.texture === undefined)) {
      const score = scoreOf(movement, folders);
      const features = cellFeatures(score);
      const file = movement.melody!.replace("hauptstimme", "part_relations");
      const rows = csvRows(new URL(file, folders["openscore-orchestra"]));
      const counts = { named: 0, found: 0 };
      for (const [bar, a, b] of namedByProgram(score, rows)) {
        const [x, y] = [a, b].map((p) => features[bar * score.parts.length + p]!) as [
          CellFeatures,
          CellFeatures,
        ];
        if (x.line.length === 0 || y.line.length === 0) continue;
        counts.named++;
        if (relationOf([x, y], score).relation === "unison") counts.found++;
      }
      console.log(`${movement.name}: ${counts.found} of ${counts.named}`);
      named += counts.named;
      found += counts.found;
    }
    assertGreater(named, 1800);
    assertGreater(found / named, 0.92);
  });
}

function report(name: string, { unison, found, apart, wrong }: Counts): void {
  console.log(
    `${name}: recall ${(found / unison).toFixed(3)} of ${unison}, false positives ${
      (wrong / apart).toFixed(3)
    } of ${apart}`,
  );
}
