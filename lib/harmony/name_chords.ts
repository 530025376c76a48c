/** Which chord each stretch has, in which key: the second pass, with what sounds in each as a whole. */
import { chordFits, toneOdds } from "./chord_fit.ts";
import { chordAt, CHORDS, inKey, KEYS, kindOf, modeOf } from "./chord_space.ts";
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
  /** Its odds against all others there, as a share. */
  readonly confidence: number;
}

/** Chords that are looked at for each stretch: those that fit best; model assumption. */
const CANDIDATES = 14;

/** One step of the way: candidates of a stretch, and the value of each in every key. */
interface Step {
  readonly fits: Float64Array;
  readonly chords: readonly number[];
  readonly value: Float64Array;
  readonly cameFrom: Int32Array;
}

/** Names the chords of stretches that follow one another. */
export function nameChords(stretches: readonly Unnamed[], input: CourseInput): readonly NamedChord[] {
  const odds = toneOdds(input.settings);
  const costs = keyChanges(input.settings);
  const steps: Step[] = [];
  for (const stretch of stretches) {
    const fits = chordFits(stretch, odds).map((fit) => fit * input.settings.soundWeight);
    const chords = stretch.given === undefined ? bestOf(fits) : [stretch.given];
    steps.push(nextStep(steps.at(-1), { fits, chords }, { ...input, costs }));
  }
  return tracedBack(steps).map(({ chord, key }, i) => ({
    chord,
    key,
    confidence: stretches[i]!.given === undefined ? oddsOf(chord, key, steps[i]!.fits, input) : 1,
  }));
}

/** The chords that fit best; among equals the lower number, counted from the first pitch heard. */
function bestOf(fits: Float64Array): readonly number[] {
  return Array.from(fits.keys()).sort((a, b) => fits[b]! - fits[a]! || a - b).slice(0, CANDIDATES);
}

function nextStep(
  before: Step | undefined,
  { fits, chords }: Pick<Step, "fits" | "chords">,
  input: CourseInput & { readonly costs: Float64Array },
): Step {
  const { settings, use } = input;
  const value = new Float64Array(KEYS * chords.length);
  const cameFrom = new Int32Array(KEYS * chords.length);
  const entered = before && enteredKeys(before, input.costs);
  for (let key = 0; key < KEYS; key++) {
    const follow = use.follow[modeOf(key)]!;
    chords.forEach((chord, c) => {
      const degree = inKey(chord, key);
      let [best, from] = [0, 0];
      if (before && entered) {
        best = -Infinity;
        before.chords.forEach((last, l) => {
          const at = key * before.chords.length + l;
          const way = entered.value[at]! +
            settings.followWeight * follow[inKey(last, key) * CHORDS + degree]!;
          if (way > best) [best, from] = [way, entered.state[at]!];
        });
      }
      value[key * chords.length + c] = best + fits[chord]! +
        settings.useWeight * use.use[modeOf(key)]![degree]!;
      cameFrom[key * chords.length + c] = from;
    });
  }
  return { fits, chords, value, cameFrom };
}

/** For each key and each chord before: the best value with which it is left into that key, and from which state. */
function enteredKeys({ chords, value }: Step, costs: Float64Array) {
  const best = new Float64Array(value.length).fill(-Infinity);
  const state = new Int32Array(value.length);
  for (let key = 0; key < KEYS; key++) {
    for (let other = 0; other < KEYS; other++) {
      const cost = costs[other * KEYS + key]!;
      for (let c = 0; c < chords.length; c++) {
        const way = value[other * chords.length + c]! + cost;
        if (way <= best[key * chords.length + c]!) continue;
        best[key * chords.length + c] = way;
        state[key * chords.length + c] = other * chords.length + c;
      }
    }
  }
  return { value: best, state };
}

function tracedBack(steps: readonly Step[]): readonly { readonly chord: number; readonly key: number }[] {
  const last = steps.at(-1);
  if (last === undefined) return [];
  let state = 0;
  last.value.forEach((value, i) => state = value > last.value[state]! ? i : state);
  const way: { readonly chord: number; readonly key: number }[] = [];
  for (const { chords, cameFrom } of [...steps].reverse()) {
    way.push({ chord: chords[state % chords.length]!, key: Math.floor(state / chords.length) });
    state = cameFrom[state]!;
  }
  return way.reverse();
}

/** Odds of a chord against all others by sound and use in its key, as a share. */
function oddsOf(chord: number, key: number, fits: Float64Array, { settings, use }: CourseInput): number {
  const own = (c: number): number => fits[c]! + settings.useWeight * use.use[modeOf(key)]![inKey(c, key)]!;
  let sum = 0;
  for (let c = 0; c < CHORDS; c++) sum += Math.exp(own(c) - own(chord));
  return 1 / sum;
}

/** A chord moved up by semitones. */
export function movedUp(chord: number, semitones: number): number {
  return chordAt(Math.floor(chord / (CHORDS / 12)) + semitones, kindOf(chord));
}
