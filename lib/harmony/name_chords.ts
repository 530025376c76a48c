/** Which chord each stretch has, in which key: the second pass, with what sounds in each as a whole. */
import { greatestOf } from "../base/extremes.ts";
import { chordFits, toneOdds } from "./chord_fit.ts";
import { CHORDS, inKey, KEYS, modeOf } from "./chord_space.ts";
import type { CourseInput } from "./find_changes.ts";
import { keyChanges } from "./key_changes.ts";
import { type Segment, toShares } from "./segments.ts";

/** A stretch to be named. */
interface Unnamed extends Segment {
  /** The chord, where a printed symbol says it. */
  readonly given?: number;
}

/** A chord in its key. */
export interface NamedChord {
  readonly chord: number;
  readonly key: number;
  /** Its odds against all others there, by all that comes before and after, as a share. */
  readonly confidence: number;
}

/** Chords that are looked at for each stretch: those that fit best; model assumption. */
const CANDIDATES = 9;

/** Chords of a stretch and the weight of each in every key: at a key times the number of chords plus its place. */
interface Candidates {
  readonly chords: readonly number[];
  readonly weights: Float64Array;
}

/**
 * Names the chords of stretches that follow one another. All ways through them are weighed, forwards and backwards, so
 * that each stretch gets the chord that most of the weight goes through, then the key.
 */
export function nameChords(stretches: readonly Unnamed[], input: CourseInput): readonly NamedChord[] {
  const odds = toneOdds(input.settings);
  const all = stretches.map((stretch) => candidatesOf(stretch, chordFits(stretch, odds), input));
  const { keys, follow, lead } = waysBetween(input);
  const forwards = all.map(({ weights }) => weights);
  for (let i = 1; i < all.length; i++) {
    const left = { chords: all[i - 1]!.chords, weights: spread(forwards[i - 1]!, keys) };
    forwards[i] = weighed(all[i]!.weights, carried(left, all[i]!.chords, follow));
  }
  const backwards = all.map(({ weights }) => weights);
  for (let i = all.length - 2; i >= 0; i--) {
    const right = { chords: all[i + 1]!.chords, weights: backwards[i + 1]! };
    backwards[i] = weighed(all[i]!.weights, spread(carried(right, all[i]!.chords, lead), keys));
  }
  return all.map(({ chords, weights }, i) => {
    const whole = weights.map((weight, at) =>
      weight > 0 ? forwards[i]![at]! * backwards[i]![at]! / weight : 0
    );
    return mostWeighty(chords, whole);
  });
}

function candidatesOf({ given }: Unnamed, fits: Float64Array, { settings, use }: CourseInput): Candidates {
  const chords = given === undefined ? bestOf(fits) : [given];
  const odds = new Float64Array(KEYS * chords.length);
  for (let key = 0; key < KEYS; key++) {
    chords.forEach((chord, c) => {
      odds[key * chords.length + c] = settings.soundWeight * fits[chord]! +
        settings.useWeight * use.use[modeOf(key)]![inKey(chord, key)]!;
    });
  }
  const weights = fromOdds(odds);
  return { chords, weights };
}

/** Weights of logarithms, the greatest 1. */
function fromOdds(odds: Float64Array): Float64Array {
  const most = greatestOf(odds);
  return odds.map((one) => Math.exp(one - most));
}

/** The chords that fit best; among equals the lower number, counted from the first pitch heard. */
function bestOf(fits: Float64Array): readonly number[] {
  const best: number[] = [];
  for (let chord = 0; chord < fits.length; chord++) {
    if (best.length === CANDIDATES && fits[chord]! <= fits[best.at(-1)!]!) continue;
    let place = best.length;
    while (place > 0 && fits[best[place - 1]!]! < fits[chord]!) place--;
    best.splice(place, 0, chord);
    if (best.length > CANDIDATES) best.pop();
  }
  return best;
}

/** Weights of steps: between keys, and by mode from a chord to what follows it and to what leads to it. */
interface Ways {
  readonly keys: Float64Array;
  readonly follow: readonly Float64Array[];
  readonly lead: readonly Float64Array[];
}

function waysBetween({ settings, use }: CourseInput): Ways {
  const most = settings.followWeight * Math.max(...use.follow.map((odds) => greatestOf(odds)));
  const follow = use.follow.map((odds) => odds.map((one) => Math.exp(settings.followWeight * one - most)));
  return {
    keys: keyChanges(settings).map((cost) => Math.exp(cost)),
    follow,
    lead: follow.map((table) => table.map((_, i) => table[i % CHORDS * CHORDS + Math.floor(i / CHORDS)]!)),
  };
}

/** Weight that arrives at chords in each key from those of a neighbour. */
function carried(
  { chords: from, weights }: Candidates,
  chords: readonly number[],
  tables: readonly Float64Array[],
): Float64Array {
  const arrived = new Float64Array(KEYS * chords.length);
  for (let key = 0; key < KEYS; key++) {
    const table = tables[modeOf(key)]!;
    const degrees = from.map((chord) => inKey(chord, key) * CHORDS);
    for (let c = 0; c < chords.length; c++) {
      const degree = inKey(chords[c]!, key);
      let weight = 0;
      for (let f = 0; f < degrees.length; f++) {
        weight += weights[key * degrees.length + f]! * table[degrees[f]! + degree]!;
      }
      arrived[key * chords.length + c] = weight;
    }
  }
  return arrived;
}

/** Weight of every chord in every key when the key may have changed. Keys change as easily to and fro. */
function spread(weights: Float64Array, keys: Float64Array): Float64Array {
  const size = weights.length / KEYS;
  const spreadOut = new Float64Array(weights.length);
  for (let key = 0; key < KEYS; key++) {
    for (let other = 0; other < KEYS; other++) {
      const share = keys[other * KEYS + key]!;
      for (let c = 0; c < size; c++) spreadOut[key * size + c]! += weights[other * size + c]! * share;
    }
  }
  return spreadOut;
}

/** Both together, summing to 1; the own weights alone where nothing is left of them. */
function weighed(own: Float64Array, arrived: Float64Array): Float64Array {
  const weights = own.map((weight, at) => weight * arrived[at]!);
  return toShares(weights) ? weights : own;
}

function mostWeighty(chords: readonly number[], whole: Float64Array): NamedChord {
  const weights = new Float64Array(chords.length);
  for (let at = 0; at < whole.length; at++) weights[at % chords.length]! += whole[at]!;
  let [all, best] = [0, 0];
  weights.forEach((weight, c) => {
    all += weight;
    if (weight > weights[best]!) best = c;
  });
  let key = 0;
  for (let k = 1; k < KEYS; k++) {
    if (whole[k * chords.length + best]! > whole[key * chords.length + best]!) key = k;
  }
  return { chord: chords[best]!, key, confidence: all > 0 ? weights[best]! / all : 0 };
}
