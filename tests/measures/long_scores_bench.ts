/** What empty bars and long bars cost: each line should take twice the time of the one before it, or the same. */
import { balance, freshness, momentum, playability, recognise, writeMusicXml } from "ripieno";
import { longBars, nearlyEmpty } from "./long_scores.ts";

for (const bars of [2209, 4419, 8838, 17675]) {
  const score = nearlyEmpty(bars);
  const texture = recognise(score);
  const heard = balance(score, { texture });
  const measures: Readonly<Record<string, () => unknown>> = {
    texture: () => recognise(score),
    balance: () => balance(score, { texture }),
    momentum: () => momentum(score, { texture, balance: heard }),
    freshness: () => freshness(score, { texture }),
    playability: () => playability(score),
    MusicXML: () => writeMusicXml(score),
  };
  for (const [group, fn] of Object.entries(measures)) {
    Deno.bench({ name: `${group}, ${bars} nearly empty bars`, group, n: 3, warmup: 1, fn: () => void fn() });
  }
}

for (const [beats, beatUnit] of [[4, 4], [64, 4], [255, 4], [255, 1]] as const) {
  const score = longBars(312, { beats, beatUnit });
  const name = `MusicXML, 312 bars of ${beats}/${beatUnit} with a note each`;
  Deno.bench({ name, group: "long bars", n: 3, warmup: 1, fn: () => void writeMusicXml(score) });
}

for (const bars of [39, 78, 156, 312]) {
  const score = longBars(bars, { beats: 255, beatUnit: 1 });
  const name = `MusicXML, ${bars} bars of 255/1 with a note each`;
  Deno.bench({ name, group: "more long bars", n: 3, warmup: 1, fn: () => void writeMusicXml(score) });
}
