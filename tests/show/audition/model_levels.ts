/** What the balance model gives each layer of a passage: energy at the listener, 0 dB SPL for a second being 1. */
import type { Score, Texture } from "ripieno";
import { beatsOfBar, listeningTo } from "../../../lib/measures/balance/listening.ts";
import type { BalanceOptions } from "../../../lib/measures/balance/balance_options.ts";
import { inAnyHallDb } from "../../../lib/measures/balance/listening_place.ts";

/** A layer in a passage. */
export interface LayerEnergy {
  readonly energy: number;
  /** Seconds in which it sounds. */
  readonly seconds: number;
}

/** Powers of the layers, read as `balance` reads them, beat by beat, summed over a passage (bar indexes, inclusive). */
export function modelEnergies(
  score: Score,
  { texture, fromBarIndex, toBarIndex }: {
    readonly texture: Texture;
    readonly fromBarIndex: number;
    readonly toBarIndex: number;
  },
): ReadonlyMap<string, LayerEnergy> {
  const options: BalanceOptions = { texture };
  const { clock, moments } = listeningTo(score, options);
  const layers = new Map<string, LayerEnergy>();
  const toListener = 10 ** (inAnyHallDb(3) / 10) / 1e-12;
  for (let b = fromBarIndex; b <= toBarIndex; b++) {
    for (const span of beatsOfBar(score, b)) {
      const seconds = clock(span.to) - clock(span.from);
      for (const { id, watts, soundingShare } of moments.playedIn(b, span)) {
        const so = layers.get(id) ?? { energy: 0, seconds: 0 };
        layers.set(id, {
          energy: so.energy + watts * toListener * seconds,
          seconds: so.seconds + soundingShare * seconds,
        });
      }
    }
  }
  return layers;
}
