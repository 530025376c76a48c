/** What lies round balance: who covers whom, roughness, low intervals, blend, warnings with ways out. */
import { balance, demoPlans, demoSketch, realise, type Score, soundWarnings, textureOf } from "ripieno";
import { readMxl } from "ripieno/formats";
import { blend, lowIntervals, maskingMatrix, momentSound, roughBars } from "ripieno/measures";
import { sharedFolder } from "../setup/shared_data.ts";

function benchSound(name: string, score: Score): void {
  const texture = textureOf(score);
  const heard = balance(score, { texture });
  const size = `${name}, ${score.parts.length} parts, ${score.bars.length} bars`;
  Deno.bench(`who covers whom: ${size}`, () => {
    maskingMatrix(score, { texture });
  });
  Deno.bench(`one moment: ${size}`, () => {
    momentSound(score, { texture, barIndex: 4 });
  });
  Deno.bench(`roughness: ${size}`, () => {
    roughBars(score);
  });
  Deno.bench(`low intervals: ${size}`, () => {
    lowIntervals(score);
  });
  Deno.bench(`blend: ${size}`, () => {
    blend(score, { texture });
  });
  Deno.bench(`warnings with ways out: ${size}`, () => {
    soundWarnings(score, heard, { texture });
  });
}

benchSound("the demo", realise(demoSketch(), demoPlans().moving));

const scores = sharedFolder("openscore-orchestra");
if (scores) {
  const file = "Beethoven_Op.67_1.mxl";
  benchSound(file, readMxl(Deno.readFileSync(new URL(file, scores)), { file }));
}
