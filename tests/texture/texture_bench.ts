/** Reading a texture: 30 parts and 500 bars, and how the cost grows with the notes. */
import { pageOf } from "../../lib/texture/features/page.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { fullScore } from "./full_score.ts";

for (const times of [1, 2, 4, 8]) { // 62 to 500 bars
  const score = fullScore(Math.floor(500 / 8 * times));
  const lines = pageOf(score).partsOf.length;
  if (lines !== 30) throw new Error(`The bench is for 30 lines, not ${lines}.`);
  Deno.bench(`30 lines, ${score.bars.length} bars, ${score.notes.length} notes`, () => void recognise(score));
}
