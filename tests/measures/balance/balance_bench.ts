/**
 * Balance of 30 parts over 500 bars, every bar other notes and dynamics, so that little of it can be known from
 * before. The aim is under 5 s on two cores.
 */
import { balance, textureOf } from "ripieno";
import { BARS, variedScore } from "../varied_score.ts";

// A new score each time, since what was once heard is kept.
let seed = 1;
for (const detail of ["full", "quick"] as const) {
  Deno.bench(`balance, ${detail}: 30 parts, ${BARS} bars, no two alike`, { n: 3, warmup: 0 }, (b) => {
    const score = variedScore(seed++);
    const texture = textureOf(score);
    b.start();
    balance(score, { texture, detail });
    b.end();
  });
}
