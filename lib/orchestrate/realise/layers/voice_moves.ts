/** What it costs how the voices of a chord go on: moves, parallels among them and with the bass, notes left hanging. */
import type { ChordTone } from "../../plan/sketch.ts";
import type { BassMoves } from "./task.ts";

/** Costs of going from one chord to the next, in semitones of movement they are worth. Common practice, no source. */
const COSTS = {
  /** Each semitone of a voice's movement, and each beyond a third besides. */
  move: 1,
  leap: 2,
  /** Fifths or octaves in parallel: octaves fuse more (Huron 2001, rule D9). */
  parallelFifths: 60,
  parallelOctaves: 66,
  /** A seventh that does not fall by step or stay, a leading note that does not rise or stay. */
  unresolved: 44,
  /** A suspended fourth that does not fall by step or stay. */
  unresolvedFourth: 8,
} as const;

/** What is gone over again. */
export const FAULTS: typeof COSTS | Readonly<Record<keyof typeof COSTS, 0 | 1>> = {
  move: 0,
  leap: 0,
  parallelFifths: 1,
  parallelOctaves: 1,
  unresolved: 1,
  unresolvedFourth: 1,
};

/** A third: what a voice moves by without a leap. */
const WIDEST_STEP = 4;

/** A chord that others come from or go to. */
export interface ChordOnItsWay {
  /** Its tones, from the root upwards. */
  readonly tones: readonly ChordTone[];
  /** Pitches of the bass while it lasts. */
  readonly bass?: readonly number[];
  /** Where the parts of the bass come in with it and where they leave it, in the same order; by default `bass`. */
  readonly bassMoves?: BassMoves;
}

/** A voicing that stands, before or after the chord that is voiced, and the two chords in their order. */
export interface Neighbour {
  readonly standing: readonly number[];
  readonly isBefore: boolean;
  readonly from: ChordOnItsWay;
  readonly to: ChordOnItsWay;
}

/** How the voices of a chord go from a voicing that stands, or to it. All costs are whole numbers, so that they add up in any order. */
export interface VoiceMoves {
  /** What it costs that a voice has a pitch: its own move, and parallels with the other voices except one. */
  readonly ofOne: (voice: number, pitches: readonly number[], except?: number) => number;
  /** What it costs that two voices have theirs, for the two alone. */
  readonly ofTwo: (voice: number, other: number, pitches: readonly number[]) => number;
  /** What all the voices cost. */
  readonly ofAll: (pitches: readonly number[]) => number;
}

/**
 * Prepares what the moves of the voices that are placed cost. Only voices that lie a fifth, an octave or a unison apart in the
 * voicing that stands can go in parallel.
 */
export function voiceMoves(
  { standing, isBefore, from, to }: Neighbour,
  placed: readonly number[],
  costs: typeof FAULTS = COSTS,
): VoiceMoves {
  const [last, first] = [from.bassMoves?.last ?? from.bass ?? [], to.bassMoves?.first ?? to.bass ?? []];
  const [bassThere, bassHere] = isBefore ? [last, first] : [first, last];
  const hangs = hangingIn(from.tones, costs);
  const partners: number[][] = [];
  const basses: number[][] = [];
  for (const i of placed) {
    partners[i] = placed.filter((j) => j !== i && isParallelInterval(standing[i]! - standing[j]!));
    basses[i] = bassThere.length === bassHere.length
      ? [...bassThere.keys()].filter((m) => isParallelInterval(standing[i]! - bassThere[m]!))
      : [];
  }
  const ofTwo = (i: number, j: number, pitches: readonly number[]) =>
    parallelCost([pitches[i]!, standing[i]!], [pitches[j]!, standing[j]!], costs);
  const alone = (i: number, pitch: number): number => {
    const there = standing[i]!;
    const move = isBefore ? pitch - there : there - pitch;
    // A voice that was silent has nowhere to come from.
    if (move === 0 || (isBefore && Number.isNaN(there))) return 0;
    let cost = costs.move * Math.abs(move) + costs.leap * Math.max(0, Math.abs(move) - WIDEST_STEP);
    for (const m of basses[i]!) cost += parallelCost([pitch, there], [bassHere[m]!, bassThere[m]!], costs);
    return cost + hangs(isBefore ? there : pitch, move);
  };
  return {
    ofTwo,
    ofOne: (i, pitches, except = -1) => {
      let cost = alone(i, pitches[i]!);
      for (const j of partners[i]!) if (j !== except) cost += ofTwo(i, j, pitches);
      return cost;
    },
    ofAll: (pitches) => {
      let cost = 0;
      for (const i of placed) {
        cost += alone(i, pitches[i]!);
        for (const j of partners[i]!) if (j > i) cost += ofTwo(i, j, pitches);
      }
      return cost;
    },
  };
}

/** A fifth, an octave or a unison, or one of these and octaves. */
function isParallelInterval(semitones: number): boolean {
  const interval = Math.abs(semitones) % 12;
  return interval === 7 || interval === 0;
}

/** The pitches of a voice in two chords that follow each other, in either order. */
type Move = readonly [here: number, there: number];

function parallelCost([a, b]: Move, [c, d]: Move, costs: typeof FAULTS): number {
  const interval = Math.abs(b - d) % 12;
  // A voice that is silent has no interval.
  if ((interval !== 7 && interval !== 0) || Math.abs(a - c) % 12 !== interval) return 0;
  // Parts in unison are one voice.
  if (a === c && b === d) return 0;
  if (a === b || c === d || (b > a) !== (d > c)) return 0;
  return interval === 7 ? costs.parallelFifths : costs.parallelOctaves;
}

/** Semitones of the tone of a suspended chord that stands for its third. */
const FOURTH = 5;

/**
 * What it costs that a voice leaves a pitch of a chord by a move: a fourth that stands for the third otherwise than by step
 * to it, a seventh, or the third of a chord of the dominant seventh, otherwise than by step to where it leads.
 */
function hangingIn(
  tones: readonly ChordTone[],
  costs: typeof FAULTS,
): (pitch: number, move: number) => number {
  const [root, second, , seventh] = tones.map((t) => t.pitchClass);
  const isSuspended = second !== undefined && (second - root! + 12) % 12 === FOURTH;
  const leads = isDominantSeventh(tones.map((t) => t.pitchClass));
  return (pitch, move) => {
    const pitchClass = pitch % 12;
    const falls = !(move > 0 || move < -2);
    const isSeventh = seventh !== undefined && pitchClass === seventh && !falls;
    const isLeading = leads && pitchClass === second && move !== 1;
    const isFourth = isSuspended && pitchClass === second && !falls;
    return (isSeventh || isLeading ? costs.unresolved : 0) + (isFourth ? costs.unresolvedFourth : 0);
  };
}

/** Whether a chord, by its pitch classes from the root upwards, has a major third and a minor seventh. */
export function isDominantSeventh([root, third, , seventh]: readonly number[]): boolean {
  return seventh !== undefined && (third! - root! + 12) % 12 === 4 && (seventh - root! + 12) % 12 === 10;
}
