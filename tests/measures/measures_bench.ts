import {
  attribution,
  balance,
  demoPlans,
  demoSketch,
  freshness,
  momentum,
  playability,
  realise,
  type Score,
  study,
  textureOf,
} from "ripieno";
import { readMxl } from "ripieno/formats";
import { shapleyShares } from "../../lib/measures/momentum/shapley.ts";
import { sharedFolder } from "../setup/shared_data.ts";

/** The four measures of a score, apart and together. */
function benchMeasures(name: string, score: Score): void {
  const texture = textureOf(score);
  const heard = balance(score, { texture });
  const size = `${name}, ${score.parts.length} parts, ${score.bars.length} bars`;
  Deno.bench(`texture: ${size}`, () => {
    textureOf(score);
  });
  Deno.bench(`balance: ${size}`, () => {
    balance(score, { texture });
  });
  Deno.bench(`momentum, balance given: ${size}`, () => {
    momentum(score, { texture, balance: heard });
  });
  Deno.bench(`momentum without layers, balance given: ${size}`, () => {
    momentum(score, { texture, balance: heard, layers: false });
  });
  Deno.bench(`attribution by part, balance given: ${size}`, () => {
    attribution(score, { texture, balance: heard, by: "part" });
  });
  Deno.bench(`freshness: ${size}`, () => {
    freshness(score, { texture });
  });
  Deno.bench(`playability: ${size}`, () => {
    playability(score);
  });
  Deno.bench(`study: ${size}`, () => {
    study(score, { texture });
  });
}

benchMeasures("the demo", realise(demoSketch(), demoPlans().moving));

const scores = sharedFolder("openscore-orchestra");
if (scores) {
  const file = "Beethoven_Op.67_1.mxl";
  benchMeasures(file, readMxl(Deno.readFileSync(new URL(file, scores)), { file }));
}

Deno.bench("shares of ten layers, exact", () => {
  shapleyShares(10, (subset) => Math.sqrt(subset));
});
Deno.bench("shares of twenty layers, sampled", () => {
  shapleyShares(20, (subset) => Math.sqrt(subset));
});
