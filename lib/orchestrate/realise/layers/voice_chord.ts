/** Placing the tones of a chord on several parts: complete, clear in the bass, and led smoothly. */
import { lowIntervalLimit } from "../../../score/low_interval_limit.ts";
import type { ChordTone } from "../../plan/sketch.ts";
import { cheapest, tonesWithin, type VoiceRange } from "./task.ts";

interface VoicingOptions {
  /** Pitches the same parts had in the chord before; the voices then move as little as they can. */
  readonly previous?: readonly number[];
  /** Pitch the voices should stay below, usually the lead's lowest note here. */
  readonly ceiling?: number;
  /** Pitches other instruments have in the same chord: doubling them is welcome, muddy intervals with them are not. */
  readonly besides?: readonly number[];
}

/** Costs of a voicing, in semitones of movement they are worth. Common practice, no source. */
const COSTS = {
  missingTone: [6, 16, 5, 12, 4, 4, 4],
  doubledColour: 3,
  unison: 4,
  crossing: 5,
  gapOverOctave: 1,
  lowInterval: 14,
  aboveCeiling: 0.5,
  fromHome: 0.2,
} as const;

/**
 * Chooses one sounding MIDI pitch per part for a chord, whose tones come from the root upwards and whose parts from the
 * highest down; NaN for a part whose range holds no tone. It weighs, in this order of importance: every tone present
 * (the third before the seventh, the fifth last), no muddy low intervals, no crossing, small movement from the
 * chord before, no doubled third or seventh, staying under the lead.
 *
 * The search improves one or two voices at a time from two starting points and is fully determined by its
 * input.
 */
export function voiceChord(
  tones: readonly ChordTone[],
  ranges: readonly VoiceRange[],
  options: VoicingOptions = {},
): number[] {
  const classes = tones.map((t) => t.pitchClass);
  const candidates = ranges.map(({ low, high, rootOrFifth }) => {
    const wanted = rootOrFifth === true ? tones.filter((_, tone) => tone === 0 || tone === 2) : tones;
    return tonesWithin(wanted, low, high);
  });
  const placed = ranges.map((_, i) => i).filter((i) => candidates[i]!.length > 0);
  const cost = (pitches: readonly number[]) => voicingCost(pitches, classes, ranges, placed, options);
  const nearest = (i: number, target: number) => cheapest(candidates[i]!, (p) => Math.abs(p - target));
  const starts = [0, 1].map((kind) =>
    ranges.map((range, i) => {
      if (candidates[i]!.length === 0) return NaN;
      const spread = range.high - (i + 1) / (ranges.length + 1) * (range.high - range.low);
      return nearest(i, kind === 0 ? options.previous?.[i] ?? homeOf(range) : spread);
    })
  );
  return cheapest(starts.map((start) => improve(start, placed, candidates, cost)), cost);
}

/** Moves single voices, then neighbouring pairs, as long as that helps. */
function improve(
  pitches: number[],
  placed: readonly number[],
  candidates: readonly (readonly number[])[],
  cost: (pitches: readonly number[]) => number,
): number[] {
  let current = cost(pitches);
  for (let round = 0; round < 8; round++) {
    const before = current;
    for (const i of placed) {
      for (const p of candidates[i]!) {
        const old = pitches[i]!;
        pitches[i] = p;
        const c = cost(pitches);
        if (c < current) current = c;
        else pitches[i] = old;
      }
    }
    for (let k = 0; k + 1 < placed.length; k++) {
      const [i, j] = [placed[k]!, placed[k + 1]!];
      for (const p of candidates[i]!) {
        for (const q of candidates[j]!) {
          const old: [number, number] = [pitches[i]!, pitches[j]!];
          if (Math.abs(p - old[0]) > 9 || Math.abs(q - old[1]) > 9) continue;
          pitches[i] = p;
          pitches[j] = q;
          const c = cost(pitches);
          if (c < current) current = c;
          else [pitches[i], pitches[j]] = old;
        }
      }
    }
    if (current >= before) break;
  }
  return pitches;
}

function homeOf(range: VoiceRange): number {
  return range.home ?? (range.low + range.high) / 2;
}

function voicingCost(
  pitches: readonly number[],
  classes: readonly number[],
  ranges: readonly VoiceRange[],
  placed: readonly number[],
  options: VoicingOptions,
): number {
  let cost = 0;
  const besides = options.besides ?? [];
  // Voices too few for a chord of their own complete what the others have.
  const shared = placed.length < classes.length ? besides : [];
  const counts = classes.map((c) => shared.filter((p) => p % 12 === c).length);
  for (const i of placed) {
    const p = pitches[i]!;
    const tone = classes.indexOf(p % 12);
    counts[tone] = counts[tone]! + 1;
    const previous = options.previous?.[i];
    cost += COSTS.fromHome * Math.abs(p - homeOf(ranges[i]!));
    if (previous !== undefined && !Number.isNaN(previous)) cost += Math.abs(p - previous);
    if (options.ceiling !== undefined && p >= options.ceiling) {
      cost += COSTS.aboveCeiling * (p - options.ceiling + 1);
    }
  }
  counts.forEach((count, tone) => {
    if (count === 0) cost += COSTS.missingTone[tone] ?? 4;
    if (count > 1 && (tone === 1 || tone === 3)) cost += COSTS.doubledColour * (count - 1);
  });
  for (let k = 0; k + 1 < placed.length; k++) {
    const [i, j] = [placed[k]!, placed[k + 1]!];
    const higher = homeOf(ranges[i]!) - homeOf(ranges[j]!);
    if (higher >= 0 && pitches[i]! < pitches[j]!) cost += COSTS.crossing;
    if (higher < 0 && pitches[i]! > pitches[j]!) cost += COSTS.crossing;
  }
  const sorted = placed.map((i) => pitches[i]!).sort((a, b) => a - b);
  for (let k = 0; k + 1 < sorted.length; k++) {
    const gap = sorted[k + 1]! - sorted[k]!;
    if (gap === 0) cost += COSTS.unison;
    if (gap > 12 && k > 0) cost += COSTS.gapOverOctave * (gap - 12);
  }
  const everybody = [...sorted, ...besides].sort((a, b) => a - b);
  for (let k = 0; k + 1 < everybody.length; k++) {
    const gap = everybody[k + 1]! - everybody[k]!;
    if (gap > 0 && everybody[k]! < lowIntervalLimit(gap)) cost += COSTS.lowInterval;
  }
  return cost;
}
