/** Short bars joined two by two, and what is said of each then: by hand, and on settings of our own. */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import type { Bar, Score } from "../../lib/score/model.ts";
import { evidenceOf } from "../../lib/texture/clues/evidence.ts";
import { inPairs } from "../../lib/texture/features/bar_pairs.ts";
import { featuresOf } from "../../lib/texture/features/features.ts";
import { pageOf } from "../../lib/texture/features/page.ts";
import type { ScoreFrame } from "../../lib/texture/features/score_frame.ts";
import { byPairs } from "../../lib/texture/judge/by_pairs.ts";
import { FLOOR } from "../../lib/texture/judge/lead_course.ts";
import { judge } from "../../lib/texture/judge/judge.ts";
import { TEXTURE_WEIGHTS } from "../../lib/texture/judge/texture_weights.ts";
import { example, QUARTER } from "./examples.ts";

/** Bars of so many quarters, counted in such beats, at so many quarters a minute. */
function inBars(
  bars: readonly (Pick<Bar, "beats" | "beatUnit"> & { readonly quarters?: number })[],
  tempo = 120,
): Score {
  let at = 0;
  const score = example([["flute", "A4:1"]], { quartersPerMinute: tempo });
  return {
    ...score,
    bars: bars.map(({ beats, beatUnit, quarters = 4 * beats / beatUnit }, i) => {
      const startTicks = at;
      at += quarters * QUARTER;
      return {
        ...score.bars[0]!,
        number: String(i + 1),
        beats,
        beatUnit,
        startTicks,
        durationTicks: quarters * QUARTER,
      };
    }),
  };
}

const [TWO, ALLA_BREVE] = [{ beats: 2, beatUnit: 4 }, { beats: 2, beatUnit: 2 }];
const pairsOf = (score: Score) => inPairs(score)?.pairOf;

Deno.test("bars of two beats are joined from where their metre begins, an upbeat and a last one are left alone", () => {
  assertEquals(pairsOf(inBars([TWO, TWO, TWO, TWO])), [0, 0, 1, 1]);
  assertEquals(pairsOf(inBars([{ ...TWO, quarters: 1 }, TWO, TWO, TWO])), [0, 1, 1, 2]);
  assertEquals(pairsOf(inBars([TWO, { beats: 3, beatUnit: 4 }, TWO, TWO])), [0, 1, 2, 2]);
  const joined = inPairs(inBars([TWO, TWO, TWO]))!.score.bars;
  assertEquals(joined.map(({ beats, startTicks, durationTicks }) => [beats, startTicks, durationTicks]), [
    [4, 0, 4 * QUARTER],
    [2, 4 * QUARTER, 2 * QUARTER],
  ]);
});

Deno.test("beats of up to half a second are joined, and those from six tenths of a second to a second", () => {
  const isJoined = (metre: typeof TWO, tempo: number) => pairsOf(inBars([metre, metre], tempo)) !== undefined;
  // A quarter lasts 60 seconds over the tempo.
  assertEquals([240, 120, 108, 100, 80, 60, 50, 40].map((tempo) => isJoined(TWO, tempo)), [
    true,
    true,
    false,
    true,
    true,
    true,
    false,
    false,
  ]);
  // The same in notes of twice the value at twice the tempo.
  for (const tempo of [240, 120, 108, 100, 80, 60, 50, 40]) {
    assertEquals(isJoined(ALLA_BREVE, 2 * tempo), isJoined(TWO, tempo));
  }
  for (const metre of [{ beats: 4, beatUnit: 4 }, { beats: 3, beatUnit: 4 }, { beats: 6, beatUnit: 8 }]) {
    assert(!isJoined(metre, 120));
  }
});

Deno.test("who leads and what notes do is a third of the pair's, strokes go on or stand alone by half, all else is the bar's", () => {
  const { score, lines } = pageOf(example([
    ["violin", "(A5:3/2 G5:1/2 F5:1 D6:1 C6:3/2 A5:1/2 G5:1 E5:1)x2"],
    ["viola", "(D4:1/2 D4:1/2 r:1 r:2)x4"],
    ["double bass", "(D2:2)x8"],
  ], { quartersPerBar: 2 }));
  const of = (s: ScoreFrame) => judge(evidenceOf(s, featuresOf(s, lines)), TEXTURE_WEIGHTS);
  const { score: joined, pairOf } = inPairs(score)!;
  const [bars, pairs] = [of(score), of(joined)];
  const both = byPairs(bars, pairs, pairOf);
  const { parts, sounds } = bars.evidence.scene;
  const [melody, moving, held, isolated] = [0, 1, 2, 3];
  sounds.forEach((isHeard, i) => {
    if (!isHeard) return;
    const there = pairOf[Math.floor(i / parts)]! * parts + i % parts;
    const odds = (row: Float64Array, a: number, b: number) => row[a]! - row[b]!;
    for (const [a, b] of [[melody, moving], [held, isolated], [moving, held]] as const) {
      const expected = odds(pairs.does[there]!, a, b) / 3 + 2 * odds(bars.does[i]!, a, b) / 3;
      assertAlmostEquals(odds(both.does[i]!, a, b), expected, 1e-9);
    }
    const [own, paired, read] = [bars.broad[i]!, pairs.broad[there]!, both.broad[i]!];
    assertAlmostEquals(
      odds(read, moving, isolated),
      (odds(own, moving, isolated) + odds(paired, moving, isolated)) / 2,
      1e-9,
    );
    assertEquals([read[melody], read[held], read[4]], [own[melody], own[held], own[4]]);
    for (const row of [both.does[i]!, read]) {
      assertAlmostEquals(row.reduce((sum, x) => sum + Math.exp(x), 0), 1, 1e-9);
    }
  });
  score.bars.forEach((_, b) => {
    const cells = Array.from({ length: parts }, (_, p) => b * parts + p).filter((i) =>
      sounds[i] && Math.max(bars.lead.shares[i]!, pairs.lead.shares[pairOf[b]! * parts + i % parts]!) > FLOOR
    );
    const asked = cells.map((i) =>
      Math.exp(pairs.lead.shares[pairOf[b]! * parts + i % parts]! / 3 + 2 * bars.lead.shares[i]! / 3)
    );
    const all = asked.reduce((sum, x) => sum + x, 0);
    cells.forEach((i, k) => assertAlmostEquals(Math.exp(both.lead.shares[i]!), asked[k]! / all, 0.003));
    assertEquals(b * parts + both.lead.course[b]!, cells[asked.indexOf(Math.max(...asked))]);
  });
  assert(both.kinds === bars.kinds && both.evidence === bars.evidence);
});
