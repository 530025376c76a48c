/** Placing the tones of a chord on several parts: complete, clear in the bass, and led smoothly. */
import { lowIntervalLimit } from "../../../score/low_interval_limit.ts";
import type { ChordTone } from "../../plan/sketch.ts";
import { rootAndFifth } from "./kept_drums.ts";
import { type BassMoves, cheapest, type LayerPart, tonesWithin, type VoiceRange } from "./task.ts";

/** A chord to be placed. */
export interface ChordToVoice {
  /** Its tones, from the root upwards. */
  readonly tones: readonly ChordTone[];
  /** Pitches the voices should stay below, from low to high: the lowest note here of each part that leads. */
  readonly ceilings?: readonly number[];
  /** Whether the voices may cross the lead where it dips, as repeated notes may and held ones should not. */
  readonly mayCross?: boolean;
  /** Pitches other instruments have in the same chord: doubling them is welcome, muddy intervals with them are not. */
  readonly besides?: readonly number[];
  /** Pitches of the bass while the chord lasts. */
  readonly bass?: readonly number[];
  /** Where the parts of the bass come in with the chord and where they leave it, in the same order; by default `bass`. */
  readonly bassMoves?: BassMoves;
}

/** Costs of a voicing, in semitones of movement they are worth. Common practice, no source. */
const COSTS = {
  missingTone: [8, 36, 5, 38, 4, 4, 4],
  doubledColour: 3,
  /** The leading note of a chord of the dominant seventh, or its seventh, twice: both would have to go the same way. */
  doubledLeading: 14,
  doubledSeventh: 9,
  unison: 9,
  /** More than two on one pitch, each; a third or a seventh on one pitch. */
  thirdInUnison: 10,
  colourUnison: 6,
  /** Two groups of one section, which would not be divided. */
  groupUnison: 30,
  crossing: 16,
  /** Of two sections, the upper of which divides, among many voices: they may lie into each other. */
  overlap: 5,
  /** Each semitone above the lead's lowest note where voices may cross it. */
  crossingLead: 0.5,
  /** Where the instrument does not speak so softly, or so loud. */
  mute: 8,
  /** On the bass's own pitch, or below it. */
  onBass: 8,
  /** Each semitone by which neighbours lie further apart than they should. */
  hole: 2,
  /** Each semitone of a hole in a pad, more than a twelfth above the bass or a tenth elsewhere, unless the plan says how it lies. */
  wideHole: 18,
  /** Each tone of the chord too many, or too few, between neighbours, where the plan says how the chord is to lie. */
  spacing: 13,
  /** Of winds whose order the plan gives, out of order: more than anything else. */
  outOfOrder: 200,
  /** Two notes of one player that do not lie well: the lower is left out. */
  awkwardStop: 30,
  lowInterval: 60,
  /** At or above the lead, where there is hardly room below: as much as parallels, more than a hole. Chosen on generated settings (seeds 7000, 31000, 52000 and 80000 on). */
  aboveLead: 60,
  fromHome: 0.2,
  /** The same for what may cross the lead, beyond a fifth from where the part lies best: nobody follows such voices over chords. */
  farFromHome: 2,
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

/** What it costs to double each tone of a chord, from the root. */
const DOUBLED = {
  dominant: [0, COSTS.doubledLeading, 0, COSTS.doubledSeventh],
  other: [0, COSTS.doubledColour, 0, COSTS.doubledColour],
} as const;

/** What is gone over again. */
const FAULTS = {
  move: 0,
  leap: 0,
  parallelFifths: 1,
  parallelOctaves: 1,
  unresolved: 1,
  unresolvedFourth: 1,
} as const;

/** Semitones from where a part lies best within which it is at home. */
const FIFTH = 7;

/** A third: what a voice moves by without a leap. */
const WIDEST_STEP = 4;

/** Widest gap between voices: an octave between upper ones, a tenth above the lowest (published practice of four-part writing). */
const WIDEST = { above: 12, aboveLowest: 16 } as const;
/** Widest gap above the bass, of which handbooks say that it should rarely be more than an octave. */
const WIDEST_OVER_BASS = 19;

/** Voices of a choir that find room one below the other in the register of a chord. Model assumption. */
const MOST_IN_ORDER = 6;

/** Tones of the chord left out between neighbours, the lowest two first, the last for all above. Common practice, no source. */
const LEFT_OUT = { close: [0], open: [1], spread: [2, 1] } as const;

/** How chords are to lie. */
export interface ChordStyle {
  /** Tones left out between neighbours; by default as holes and moves ask. */
  readonly spacing?: keyof typeof LEFT_OUT;
  /** Whether each part stays below the one before it, whatever their registers. */
  readonly ordered?: boolean;
}

/** A part as chords are voiced for it. */
export interface VoicedPart extends Pick<LayerPart, "range" | "speaks" | "stopsWith"> {
  /** The same for all groups of a part that divides. */
  readonly index?: number;
  /** Whether it is one group of several. */
  readonly isDivided?: boolean;
  /** Pitches it keeps to where they have a tone of the chord that is wanted of it, as tuned drums do. */
  readonly kept?: ReadonlySet<number>;
}

/**
 * Chooses one sounding MIDI pitch per part for each of some chords that follow each other, whose parts are given from the
 * highest down; NaN for a part whose range holds no tone. It weighs, in this order of importance: every tone present
 * (the third before the seventh, the fifth last), no parallel fifths and octaves, no muddy low intervals, no crossing, small
 * movement, sevenths and leading notes resolved, no holes, no doubled third or seventh. A part stays under the lead
 * where its range has a choice of tones there, and nearly always where it has one.
 *
 * The search improves one or two voices at a time, first chord by chord from two starting points, then again those
 * between which faults are left, with what comes after in view. It is fully determined by its input.
 */
export function voiceChords(
  chords: readonly ChordToVoice[],
  parts: readonly VoicedPart[],
  style: ChordStyle = {},
): readonly (readonly number[])[] {
  const searches = chords.map((chord) => searchFor(chord, parts, style));
  const voiced: number[][] = [];
  /** What the voicing of a chord costs between the chords around it. */
  const costAt = (k: number) => {
    const { cost, placed } = searches[k]!;
    return (pitches: readonly number[]) =>
      cost(pitches) +
      (k > 0 ? leadingCost([voiced[k - 1]!, pitches], placed, [chords[k - 1]!, chords[k]!]) : 0) +
      (voiced[k + 1] ? leadingCost([pitches, voiced[k + 1]!], placed, [chords[k]!, chords[k + 1]!]) : 0);
  };
  searches.forEach((search, k) => {
    const cost = costAt(k);
    const starts = [search.start(voiced[k - 1]), search.start(undefined), ...search.ladders];
    voiced[k] = cheapest(starts.map((start) => improve(start, search, cost)), cost);
  });
  const isFaulty = (k: number) =>
    k > 0 && k < chords.length &&
    leadingCost([voiced[k - 1]!, voiced[k]!], searches[k]!.placed, [chords[k - 1]!, chords[k]!], FAULTS) > 0;
  for (let round = 0; round < ROUNDS; round++) {
    const faulty = chords.flatMap((_, k) =>
      isFaulty(k) || isFaulty(k + 1) || searches[k]!.isHollow(voiced[k]!) ? [k] : []
    );
    if (faulty.length === 0) break;
    for (const k of faulty) voiced[k] = improve([...voiced[k]!], searches[k]!, costAt(k), true);
  }
  return voiced;
}

/** How often faults are gone over. */
const ROUNDS = 3;

/** What is searched for one chord. */
interface VoicingSearch {
  /** Parts that have a tone. */
  readonly placed: readonly number[];
  /** Pitches of each part. */
  readonly candidates: readonly (readonly number[])[];
  /** What a voicing costs by itself. */
  readonly cost: (pitches: readonly number[]) => number;
  /** Whether a voicing leaves a hole in a pad. */
  readonly isHollow: (pitches: readonly number[]) => boolean;
  /** Further voicings to begin with where the plan says how chords lie: each part on the next tone below the one before it. */
  readonly ladders: readonly number[][];
  /** A voicing to begin with: near the one before, or spread over the ranges. */
  readonly start: (before: readonly number[] | undefined) => number[];
}

function searchFor(
  chord: ChordToVoice,
  parts: readonly VoicedPart[],
  style: ChordStyle,
): VoicingSearch {
  const ranges = parts.map((part) => part.range);
  const { tones, ceilings = [], mayCross = false } = chord;
  const classes = tones.map((t) => t.pitchClass);
  const floor = deepFloor(chord, ranges);
  const isFree = new Set<number>();
  const candidates = ranges.map(({ low, high, rootOrFifth, deep = low }, i) => {
    const wanted = rootOrFifth === true ? rootAndFifth(tones) : tones;
    const every = tonesWithin(wanted, Math.min(low, Math.max(deep, floor)), high);
    const kept = every.filter((p) => parts[i]!.kept?.has(p));
    const all = kept.length > 0 ? kept : every;
    if (mayCross) return all;
    // Between the octaves of a lead there is room where there is none below both.
    const groups = groupsWith(parts, i);
    const below = ceilings.map((ceiling) => all.filter((p) => p < ceiling));
    const room = below.find((some) => some.length >= Math.max(ROOM, groups + 1));
    // A section that has no room for all its groups below the lead lies above it.
    if (room === undefined && groups > 1) isFree.add(i);
    return room ?? all;
  });
  const mute = candidates.map((some, i) => new Set(some.filter((p) => !parts[i]!.speaks(p))));
  const placed = ranges.map((_, i) => i).filter((i) => candidates[i]!.length > 0);
  const tonesBelow = style.spacing === undefined ? [] : countsBelow(classes);
  const span = {
    low: Math.min(...ranges.map((range) => range.low)),
    high: Math.max(...ranges.map((range) => range.high)),
  };
  const nearest = (i: number, target: number) => cheapest(candidates[i]!, (p) => Math.abs(p - target));
  return {
    placed,
    candidates,
    cost: costOf(classes, { parts, placed, chord, mute, isFree, style, tonesBelow }),
    ladders: style.ordered || style.spacing === "close" ? laddersOf(candidates) : [],
    isHollow: (pitches) =>
      !mayCross &&
      holesIn([...placed.map((i) => pitches[i]!), ...chord.besides ?? []].sort((a, b) => a - b), chord) > 0,
    start: (before) =>
      ranges.map((range, i) => {
        if (candidates[i]!.length === 0) return NaN;
        // Winds whose order is given begin in it.
        const { low, high } = style.ordered ? span : range;
        const spread = high - (i + 1) / (ranges.length + 1) * (high - low);
        const near = before?.[i];
        return nearest(i, near === undefined || Number.isNaN(near) ? spread : near);
      }),
  };
}

/** Voicings in which each part has its highest tone below the part before it, from each tone of the first; as far as it goes. */
function laddersOf(candidates: readonly (readonly number[])[]): readonly number[][] {
  const from = (top: number): number[] | undefined => {
    const ladder: number[] = [];
    let below = top + 1;
    for (const tones of candidates) {
      if (tones.length === 0) {
        ladder.push(NaN);
        continue;
      }
      const next = tones.findLast((p) => p < below);
      if (next === undefined) return undefined;
      ladder.push(next);
      below = next;
    }
    return ladder;
  };
  const first = candidates.find((tones) => tones.length > 0) ?? [];
  return first.map(from).filter((ladder) => ladder !== undefined);
}

/** Groups of the part that a voice belongs to; 1 where it is the whole part. */
function groupsWith(parts: readonly VoicedPart[], i: number): number {
  return parts.filter((part, j) => j === i || isOnePart(part, parts[i]!)).length;
}

/** Tones of a chord below each pitch. */
function countsBelow(classes: readonly number[]): readonly number[] {
  const counts = [0];
  for (let p = 0; p < 128; p++) counts.push(counts[p]! + (classes.includes(p % 12) ? 1 : 0));
  return counts;
}

/** Lowest pitch for parts that may go deep: an octave above the bass, where the usual places of all leave a hole over it. */
function deepFloor({ bass = [], besides = [] }: ChordToVoice, ranges: readonly VoiceRange[]): number {
  if (bass.length === 0) return Infinity;
  const lowest = Math.min(...ranges.map((range) => range.low));
  const below = Math.max(...bass, ...besides.filter((p) => p < lowest));
  return lowest + ROOM_OVER_BASS - below > WIDEST_OVER_BASS ? Math.max(...bass) + 12 : Infinity;
}

/** Semitones above the lowest pitch of a range within which there is a tone of any chord. */
const ROOM_OVER_BASS = 4;

/** Tones of the chord that make room enough for a voice. */
const ROOM = 3;

/** Semitones by which two voices are moved at once at most. */
const PAIR_REACH = 9;

/** Moves single voices, then pairs, neighbours or all of them, and changes tones between two, as long as that helps. */
function improve(
  pitches: number[],
  { placed, candidates }: VoicingSearch,
  cost: (pitches: readonly number[]) => number,
  allPairs: boolean = false,
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
      for (let m = k + 1; m < (allPairs ? placed.length : k + 2); m++) {
        const [i, j] = [placed[k]!, placed[m]!];
        for (const p of candidates[i]!) {
          if (Math.abs(p - pitches[i]!) > PAIR_REACH) continue;
          for (const q of candidates[j]!) {
            const old: [number, number] = [pitches[i]!, pitches[j]!];
            if (Math.abs(q - old[1]) > PAIR_REACH) continue;
            pitches[i] = p;
            pitches[j] = q;
            const c = cost(pitches);
            if (c < current) current = c;
            else [pitches[i], pitches[j]] = old;
          }
        }
      }
    }
    for (const i of placed) {
      for (const j of placed) {
        const [p, q] = [pitches[i]!, pitches[j]!];
        if (j <= i || p === q || !candidates[i]!.includes(q) || !candidates[j]!.includes(p)) continue;
        [pitches[i], pitches[j]] = [q, p];
        const c = cost(pitches);
        if (c < current) current = c;
        else [pitches[i], pitches[j]] = [p, q];
      }
    }
    if (current >= before) break;
  }
  return pitches;
}

function homeOf(range: VoiceRange): number {
  return range.home ?? (range.low + range.high) / 2;
}

/** What the cost of one voicing depends on. */
interface CostContext {
  readonly parts: readonly VoicedPart[];
  readonly placed: readonly number[];
  readonly chord: ChordToVoice;
  /** Pitches of each part that do not speak at the layer's loudness. */
  readonly mute: readonly ReadonlySet<number>[];
  /** Parts that need not stay below the lead. */
  readonly isFree: ReadonlySet<number>;
  readonly style: ChordStyle;
  /** Tones of the chord below each pitch, where the plan says how it is to lie. */
  readonly tonesBelow: readonly number[];
}

// The innermost loops count, and work in lists they take again: a chord is tried in thousands of voicings.

/** What any voicing of a chord costs by itself. */
function costOf(classes: readonly number[], context: CostContext): (pitches: readonly number[]) => number {
  const { parts, placed, mute, isFree, chord } = context;
  const { besides = [], ceilings = [], mayCross = false, bass = [] } = chord;
  const lead = ceilings.at(mayCross ? 0 : -1) ?? Infinity;
  const lowest = Math.min(...bass);
  const isOnBass = (p: number) => bass.includes(p) || (bass.length > 0 && p < lowest);
  // Voices too few for a chord of their own complete what the others have.
  const shared = placed.length < classes.length ? besides : [];
  // A third or a seventh that the bass has is there, and would be doubled.
  const sharedCounts = classes.map((c, tone) =>
    Math.max(
      shared.filter((p) => p % 12 === c).length,
      (tone === 1 || tone === 3) && bass.some((p) => p % 12 === c) ? 1 : 0,
    )
  );
  const counts = new Array<number>(classes.length);
  const homes = parts.map((part) => homeOf(part.range));
  const doubled = isDominantSeventh(classes) ? DOUBLED.dominant : DOUBLED.other;
  return (pitches) => {
    let cost = 0;
    for (let tone = 0; tone < counts.length; tone++) counts[tone] = sharedCounts[tone]!;
    for (let k = 0; k < placed.length; k++) {
      const i = placed[k]!;
      const p = pitches[i]!;
      counts[classes.indexOf(p % 12)]!++;
      const away = Math.abs(p - homes[i]!);
      cost += COSTS.fromHome * away;
      if (mayCross && away > FIFTH) cost += COSTS.farFromHome * (away - FIFTH);
      if (p >= lead && !isFree.has(i)) {
        cost += mayCross ? COSTS.crossingLead * (p - lead + 1) : COSTS.aboveLead;
      }
      if (mute[i]!.has(p)) cost += COSTS.mute;
      if (isOnBass(p)) cost += COSTS.onBass;
    }
    for (let tone = 0; tone < counts.length; tone++) {
      const count = counts[tone]!;
      if (count === 0) cost += COSTS.missingTone[tone] ?? 4;
      if (count > 1 && (tone === 1 || tone === 3)) cost += doubled[tone]! * (count - 1);
    }
    return cost + orderCost(pitches, context) + spacingCost(pitches, context);
  };
}

/** What it costs that parts cross, or that one player has two notes that do not lie well. */
function orderCost(pitches: readonly number[], { parts, placed, style }: CostContext): number {
  const isCrowded = placed.length > MOST_IN_ORDER;
  let cost = 0;
  for (let k = 0; k + 1 < placed.length; k++) {
    const [i, j] = [placed[k]!, placed[k + 1]!];
    const higher = style.ordered ? 0 : homeOf(parts[i]!.range) - homeOf(parts[j]!.range);
    const crossed = higher >= 0 ? pitches[i]! < pitches[j]! : pitches[i]! > pitches[j]!;
    const areSections = isCrowded && parts[i]!.isDivided === true && !isOnePart(parts[i]!, parts[j]!);
    if (crossed) cost += style.ordered ? COSTS.outOfOrder : areSections ? COSTS.overlap : COSTS.crossing;
    if (pitches[i] === pitches[j] && isOnePart(parts[i]!, parts[j]!)) cost += COSTS.groupUnison;
    if (parts[j]!.stopsWith?.(pitches[i]!, pitches[j]!) === false) cost += COSTS.awkwardStop;
  }
  return cost;
}

function isOnePart(a: VoicedPart, b: VoicedPart): boolean {
  return a.index !== undefined && a.index === b.index;
}

/** What it costs how far the voices lie from each other, from the bass and from what else sounds. */
function spacingCost(pitches: readonly number[], { placed, chord, style, tonesBelow }: CostContext): number {
  const { besides = [], mayCross = false } = chord;
  const leftOut = style.spacing && LEFT_OUT[style.spacing];
  const [third, seventh] = [chord.tones[1]?.pitchClass, chord.tones[3]?.pitchClass];
  let cost = 0;
  sorted.length = everybody.length = 0;
  for (let k = 0; k < placed.length; k++) putInOrder(sorted, pitches[placed[k]!]!);
  for (let k = 0; k + 1 < sorted.length; k++) {
    const gap = sorted[k + 1]! - sorted[k]!;
    if (gap === 0) {
      cost += COSTS.unison;
      if (sorted[k + 2] === sorted[k]) cost += COSTS.thirdInUnison;
      const pitchClass = sorted[k]! % 12;
      if (pitchClass === third || pitchClass === seventh) cost += COSTS.colourUnison;
    }
    const widest = k > 0 ? WIDEST.above : WIDEST.aboveLowest;
    if (gap > widest) cost += COSTS.hole * (gap - widest);
    if (leftOut) {
      const between = gap === 0 ? -1 : tonesBelow[sorted[k + 1]!]! - tonesBelow[sorted[k]! + 1]!;
      cost += COSTS.spacing * Math.abs(between - (leftOut[k] ?? leftOut.at(-1)!));
    }
  }
  for (let k = 0; k < sorted.length; k++) everybody.push(sorted[k]!);
  for (let k = 0; k < besides.length; k++) putInOrder(everybody, besides[k]!);
  for (let k = 0; k + 1 < everybody.length; k++) {
    const gap = everybody[k + 1]! - everybody[k]!;
    if (gap > 0 && everybody[k]! < lowIntervalLimit(gap)) cost += COSTS.lowInterval;
    // Repeated notes and ornaments may lie far above the bass.
    if (mayCross && k === 0) cost += COSTS.hole * Math.max(0, gap - WIDEST_OVER_BASS);
  }
  if (mayCross) return cost;
  const isFree = placed.length >= FULL_CHORD && leftOut === undefined && style.ordered !== true;
  return cost + (isFree ? COSTS.wideHole : COSTS.hole) * holesIn(everybody, chord);
}

/** The pitches of the voicing that is being weighed, from low to high, and all that sound with them. */
const sorted: number[] = [];
const everybody: number[] = [];

/** Puts a pitch among others from low to high. */
function putInOrder(pitches: number[], pitch: number): void {
  let at = pitches.push(pitch) - 1;
  for (; at > 0 && pitches[at - 1]! > pitch; at--) pitches[at] = pitches[at - 1]!;
  pitches[at] = pitch;
}

/** Voices from which a pad is expected to fill the space above the bass. Model assumption. */
const FULL_CHORD = 3;

/** Semitones by which what sounds with a pad, from low to high, lies too far apart; what leads fills the space as well. */
function holesIn(everybody: readonly number[], { bass = [], ceilings = [] }: ChordToVoice): number {
  let holes = 0;
  for (let k = 0; k + 1 < everybody.length; k++) {
    const [below, above] = [everybody[k]!, everybody[k + 1]!];
    if (above - below <= WIDEST.aboveLowest) continue;
    const widest = bass.includes(below) ? WIDEST_OVER_BASS : WIDEST.aboveLowest;
    if (ceilings.some((p) => p > below && p < above)) continue;
    holes += Math.max(0, above - below - widest);
  }
  return holes;
}

/** What it costs how the voices go from one chord to the next: moves, parallels among them and with the bass, notes left hanging. */
function leadingCost(
  [before, after]: readonly [readonly number[], readonly number[]],
  placed: readonly number[],
  [from, to]: readonly [ChordToVoice, ChordToVoice],
  costs: typeof FAULTS | typeof COSTS = COSTS,
): number {
  const bassFrom = from.bassMoves?.last ?? from.bass ?? [];
  const bassTo = to.bassMoves?.first ?? to.bass ?? [];
  let cost = 0;
  for (let k = 0; k < placed.length; k++) {
    const i = placed[k]!;
    const [a, b] = [before[i]!, after[i]!];
    if (Number.isNaN(a) || a === b) continue;
    cost += costs.move * Math.abs(b - a) + costs.leap * Math.max(0, Math.abs(b - a) - WIDEST_STEP);
    for (let m = k + 1; m < placed.length; m++) {
      const j = placed[m]!;
      cost += parallelCost([a, b], [before[j]!, after[j]!], costs);
    }
    if (bassFrom.length === bassTo.length) {
      for (let m = 0; m < bassTo.length; m++) cost += parallelCost([a, b], [bassFrom[m]!, bassTo[m]!], costs);
    }
    if (isLeftHanging(b - a, a % 12, from.tones)) cost += costs.unresolved;
    if (isLeftSuspended(b - a, a % 12, from.tones)) cost += costs.unresolvedFourth;
  }
  return cost;
}

/** From one pitch to another. */
type Move = readonly [from: number, to: number];

function parallelCost([a, b]: Move, [c, d]: Move, costs: typeof FAULTS | typeof COSTS): number {
  const interval = Math.abs(a - c) % 12;
  // A voice that was silent has no interval.
  if ((interval !== 7 && interval !== 0) || Math.abs(b - d) % 12 !== interval) return 0;
  // Parts in unison are one voice.
  if (a === c && b === d) return 0;
  if (c === d || (b > a) !== (d > c)) return 0;
  return interval === 7 ? costs.parallelFifths : costs.parallelOctaves;
}

/** Semitones of the tone of a suspended chord that stands for its third. */
const FOURTH = 5;

/** Whether a voice that moves leaves a fourth that stands for the third otherwise than by step to it. */
function isLeftSuspended(move: number, pitchClass: number, [root, second]: readonly ChordTone[]): boolean {
  return second !== undefined && pitchClass === second.pitchClass &&
    (pitchClass - root!.pitchClass + 12) % 12 === FOURTH && (move > 0 || move < -2);
}

/** Whether a voice that moves leaves a seventh, or the third of a chord of the seventh otherwise than by step to where it leads. */
function isLeftHanging(move: number, pitchClass: number, tones: readonly ChordTone[]): boolean {
  const seventh = tones[3]?.pitchClass;
  if (seventh === undefined) return false;
  if (pitchClass === seventh && (move > 0 || move < -2)) return true;
  return pitchClass === tones[1]!.pitchClass && move !== 1 &&
    isDominantSeventh(tones.map((t) => t.pitchClass));
}

/** Whether a chord, by its pitch classes from the root upwards, has a major third and a minor seventh. */
function isDominantSeventh([root, third, , seventh]: readonly number[]): boolean {
  return seventh !== undefined && (third! - root! + 12) % 12 === 4 && (seventh - root! + 12) % 12 === 10;
}
