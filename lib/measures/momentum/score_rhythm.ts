/** What momentum makes of a score before it asks how loud anything is, and a memory for scores that agree in it. */
import { soundingNotes } from "../../score/build.ts";
import type { Note, Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { areSameAttacks } from "./attacks.ts";
import { type BarMomentum, barMomentum } from "./bar_momentum.ts";
import { type BarConstants, type BarWindow, writtenSyncopation } from "./bar_rhythm.ts";
import { barWindows } from "./bar_windows.ts";
import { type DrivingBar, drivingBars, type EventConstants } from "./driving_events.ts";
import { pitchTravel } from "./pitch_travel.ts";

/** A bar of a score's rhythm. */
interface RhythmBar extends Omit<DrivingBar, "events"> {
  readonly window: BarWindow;
  /** Momentum of any layers of the bar, in the order of `layers`, for audibilities of the texture's cells. */
  readonly momentumOf: (audibilities: Float64Array) => BarMomentum;
  /** Semitones travelled. */
  readonly pitchTravel: number;
  /** Sum of strengths of its syncopations as written. */
  readonly syncopation: number;
}

/** What a score's rhythm depends on. */
interface RhythmInput {
  readonly texture: Texture;
  /** How clearly the layer of each cell is heard. Only who is heard at all bears on the rhythm. */
  readonly audibilities: Float64Array;
  readonly constants: EventConstants & BarConstants;
}

/** Everything about a score's momentum that does not depend on how well anybody is heard. */
export function rhythmOf(score: Score, input: RhythmInput): readonly RhythmBar[] {
  const { constants } = input;
  const bars = drivingBars(score, input);
  const windows = barWindows(score, bars, constants);
  const travel = pitchTravel(score);
  return bars.map(({ layers, onsets }, b) => {
    const window = windows[b]!;
    const member = new Map(layers.map((l, i) => [l.id, i]));
    const of = (stroke: { readonly layer: string }) => member.get(stroke.layer) ?? -1;
    return {
      layers,
      onsets,
      window,
      momentumOf: barMomentum(window, constants, { count: layers.length, of }),
      pitchTravel: travel[b]!,
      syncopation: writtenSyncopation(window),
    };
  });
}

/** Bars of rhythms kept, so that a grid meets its tempi again at the next dynamic; fifty take about half a megabyte. */
const BARS_KEPT = 2000;

/** A rhythm and what it was made of. */
interface KnownRhythm extends RhythmInput {
  readonly score: Score;
  readonly rhythm: readonly RhythmBar[];
}

/**
 * As {@linkcode rhythmOf}, for callers with many scores: scores that differ in nothing but how loud they are share their
 * rhythm. It is looked for by comparing all that it depends on, which takes a hundredth of the time of making it.
 */
export function rhythmMemory(): (score: Score, input: RhythmInput) => readonly RhythmBar[] {
  const known: KnownRhythm[] = [];
  return (score, input) => {
    const at = known.findIndex((one) => isSameRhythm(one, score, input));
    const [found] = at < 0 ? [] : known.splice(at, 1);
    const one = found ?? { ...input, score, rhythm: rhythmOf(score, input) };
    // What was asked for last stands first.
    known.unshift(one);
    if (known.length > 2 && known.length * score.bars.length > BARS_KEPT) known.pop();
    return one.rhythm;
  };
}

function isSameRhythm(
  known: KnownRhythm,
  score: Score,
  { texture, audibilities, constants }: RhythmInput,
): boolean {
  const { score: other } = known;
  return known.constants === constants && other.ticksPerQuarter === score.ticksPerQuarter &&
    other.parts.length === score.parts.length &&
    areAlike(
      other.tempos,
      score.tempos,
      (a, b) => a.onsetTicks === b.onsetTicks && a.quartersPerMinute === b.quartersPerMinute,
    ) &&
    areAlike(
      other.bars,
      score.bars,
      (a, b) =>
        a.startTicks === b.startTicks && a.durationTicks === b.durationTicks && a.beats === b.beats &&
        a.beatUnit === b.beatUnit,
    ) &&
    areSameAttacks(soundingNotes(other), soundingNotes(score), constants) &&
    areAlike(soundingNotes(other), soundingNotes(score), isSamePitch) &&
    areAlike(known.texture.cells, texture.cells, (a, b) => a.layer === b.layer && a.role === b.role) &&
    areAlike(known.audibilities, audibilities, (a, b) => a > 0 === b > 0);
}

function isSamePitch(a: Note, b: Note): boolean {
  return a === b || a.soundingPitch === b.soundingPitch && a.unpitched === b.unpitched;
}

function areAlike<T>(a: ArrayLike<T>, b: ArrayLike<T>, isAlike: (a: T, b: T) => boolean): boolean {
  if (a === b) return true;
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (!isAlike(a[i]!, b[i]!)) return false;
  return true;
}
