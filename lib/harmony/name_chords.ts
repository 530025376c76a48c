/** Which chord each stretch has, in which key: the second pass, with what sounds in each as a whole. */
import { chordFits, toneOdds } from "./chord_fit.ts";
import { CHORDS, inKey, KEYS, modeOf, rootOf } from "./chord_space.ts";
import type { CourseInput } from "./find_changes.ts";
import { keyChanges } from "./key_changes.ts";
import type { Segment } from "./segments.ts";

/** A stretch to be named. */
export interface Unnamed extends Segment {
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
const CANDIDATES = 14;

/** Chords of a stretch and the weight of each in every key: at a key times the number of chords plus its place. */
interface Candidates {
  readonly chords: readonly number[];
  readonly weights: Float64Array;
}

/**
 * Names the chords of stretches that follow one another. All ways through them are weighed, forwards and backwards, so
 * that each stretch gets the root that most of the weight goes through, then the kind, then the key.
 */
export function nameChords(stretches: readonly Unnamed[], input: CourseInput): readonly NamedChord[] {
  const candidates = stretches.map((stretch) => candidatesOf(stretch, input));
  const ways = waysBetween(input);
  const forwards = candidates.map(({ weights }) => weights.slice());
  for (let i = 1; i < candidates.length; i++) {
    pass(forwards[i - 1]!, candidates[i - 1]!, forwards[i]!, candidates[i]!, ways.on);
  }
  const backwards = candidates.map(({ weights }) => weights.slice());
  for (let i = candidates.length - 2; i >= 0; i--) {
    pass(backwards[i + 1]!, candidates[i + 1]!, backwards[i]!, candidates[i]!, ways.back);
  }
  return candidates.map(({ chords, weights }, i) => {
    const whole = weights.map((weight, at) =>
      weight > 0 ? forwards[i]![at]! * backwards[i]![at]! / weight : 0
    );
    return mostWeighty(chords, whole);
  });
}

function candidatesOf(stretch: Unnamed, { settings, use }: CourseInput): Candidates {
  const fits = chordFits(stretch, toneOdds(settings));
  const chords = stretch.given === undefined ? bestOf(fits) : [stretch.given];
  const most = fits[chords[0]!]!;
  const weights = new Float64Array(KEYS * chords.length);
  for (let key = 0; key < KEYS; key++) {
    chords.forEach((chord, c) => {
      const odds = settings.soundWeight * (fits[chord]! - most) +
        settings.useWeight * use.use[modeOf(key)]![inKey(chord, key)]!;
      weights[key * chords.length + c] = Math.exp(odds);
    });
  }
  return { chords, weights };
}

/** The chords that fit best; among equals the lower number, counted from the first pitch heard. */
function bestOf(fits: Float64Array): readonly number[] {
  return Array.from(fits.keys()).sort((a, b) => fits[b]! - fits[a]! || a - b).slice(0, CANDIDATES);
}

/** Weight of a step from one chord in a key to another. */
interface Ways {
  readonly keys: Float64Array;
  /** By mode: a chord before times all chords plus the chord after. */
  readonly follow: readonly Float64Array[];
  readonly isBack: boolean;
}

function waysBetween({ settings, use }: CourseInput): { readonly on: Ways; readonly back: Ways } {
  const keys = keyChanges(settings).map((cost) => Math.exp(cost));
  const follow = use.follow.map((odds) => odds.map((one) => Math.exp(settings.followWeight * one)));
  return { on: { keys, follow, isBack: false }, back: { keys, follow, isBack: true } };
}

/** Carries the weight of all ways from one stretch on to its neighbour, whose own weights stand in `to` already. */
function pass(
  from: Float64Array,
  { chords: before }: Candidates,
  to: Float64Array,
  { chords }: Candidates,
  ways: Ways,
): void {
  const entered = new Float64Array(from.length);
  const size = before.length;
  if (!ways.isBack) spread(from, entered, size, ways.keys);
  let sum = 0;
  const arrived = ways.isBack ? new Float64Array(to.length) : to;
  for (let key = 0; key < KEYS; key++) {
    const follow = ways.follow[modeOf(key)]!;
    const degrees = before.map((chord) => inKey(chord, key));
    chords.forEach((chord, c) => {
      const degree = inKey(chord, key);
      let weight = 0;
      for (let b = 0; b < size; b++) {
        const way = ways.isBack ? degree * CHORDS + degrees[b]! : degrees[b]! * CHORDS + degree;
        weight += (ways.isBack ? from : entered)[key * size + b]! * follow[way]!;
      }
      const at = key * chords.length + c;
      if (ways.isBack) arrived[at] = weight;
      else sum += to[at] = to[at]! * weight;
    });
  }
  if (ways.isBack) {
    const spreadOut = new Float64Array(to.length);
    spread(arrived, spreadOut, chords.length, ways.keys);
    for (let i = 0; i < to.length; i++) sum += to[i] = to[i]! * spreadOut[i]!;
  }
  for (let i = 0; i < to.length; i++) to[i]! /= sum;
}

/** Weight of every chord in every key after the key may have changed. */
function spread(from: Float64Array, to: Float64Array, size: number, keys: Float64Array): void {
  for (let key = 0; key < KEYS; key++) {
    for (let other = 0; other < KEYS; other++) {
      const share = keys[other * KEYS + key]!;
      for (let c = 0; c < size; c++) to[key * size + c]! += from[other * size + c]! * share;
    }
  }
}

function mostWeighty(chords: readonly number[], whole: Float64Array): NamedChord {
  const byRoot = new Float64Array(12);
  const byChord = chords.map((chord, c) => {
    let weight = 0;
    for (let key = 0; key < KEYS; key++) weight += whole[key * chords.length + c]!;
    byRoot[rootOf(chord)]! += weight;
    return weight;
  });
  const all = byRoot.reduce((sum, one) => sum + one, 0);
  let best = 0;
  const better = (c: number) => {
    const [a, b] = [byRoot[rootOf(chords[c]!)]!, byRoot[rootOf(chords[best]!)]!];
    return a > b || rootOf(chords[c]!) === rootOf(chords[best]!) && byChord[c]! > byChord[best]!;
  };
  chords.forEach((_, c) => best = better(c) ? c : best);
  let key = 0;
  for (let k = 1; k < KEYS; k++) {
    if (whole[k * chords.length + best]! > whole[key * chords.length + best]!) key = k;
  }
  return { chord: chords[best]!, key, confidence: byChord[best]! / all };
}
