/** Reading a texture: 30 parts and 500 bars, and how the cost grows with the notes. */
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { example, type PartText } from "./examples.ts";

/** Thirty parts that hold, pulse, figure, run and sing, so many bars long. */
function full(bars: number) {
  const kinds: readonly PartText[] = [
    ["violin", `(A5:3/2 G5:1/2 F5:1 D6:1)x${bars}`],
    ["viola", `(D4:1/4)x${bars * 16}`],
    ["horn in F", `(F4:4)x${bars}`],
    ["clarinet in Bb", `(D4:1/2 F4:1/2 A4:1/2 F4:1/2)x${bars * 2}`],
    ["double bass", `(D2:1)x${bars * 4}`],
  ];
  return example(Array.from({ length: 30 }, (_, p) => kinds[p % kinds.length]!));
}

for (const times of [1, 2, 4, 8]) { // 62 to 500 bars
  const score = full(Math.floor(500 / 8 * times));
  Deno.bench(`30 parts, ${score.bars.length} bars, ${score.notes.length} notes`, () => void recognise(score));
}
