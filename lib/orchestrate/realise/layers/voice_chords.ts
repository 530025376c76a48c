/** Placing the tones of a chord on several parts: complete, clear in the bass, and led smoothly. */
import { once } from "../../../base/memo.ts";
import { lowIntervalLimit } from "../../../score/low_interval_limit.ts";
import { rootAndFifth } from "./kept_drums.ts";
import { cheapest, type LayerPart, tonesWithin, type VoiceRange } from "./task.ts";
import {
  type ChordOnItsWay,
  FAULTS,
  isDominantSeventh,
  type Neighbour,
  type VoiceMoves,
  voiceMoves,
} from "./voice_moves.ts";

/** A chord to be placed. */
export interface ChordToVoice extends ChordOnItsWay {
  /** Pitches the voices should stay below, from low to high: the lowest note here of each part that leads. */
  readonly ceilings?: readonly number[];
  /** Whether the voices may cross the lead where it dips, as repeated notes may and held ones should not. */
  readonly mayCross?: boolean;
  /** Pitches other instruments have in the same chord: doubling them is welcome, muddy intervals with them are not. */
  readonly besides?: readonly number[];
  /** Pitches a lead holds in it to its end: what leads on from there is the lead's. */
  readonly led?: readonly number[];
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
  /** The same for what may cross the lead, and for a part alone, beyond a fifth from where it lies best: nobody follows such voices over chords. */
  farFromHome: 2,
} as const;

/** What it costs to double each tone of a chord, from the root. */
const DOUBLED = {
  dominant: [0, COSTS.doubledLeading, 0, COSTS.doubledSeventh],
  other: [0, COSTS.doubledColour, 0, COSTS.doubledColour],
} as const;

/** Semitones from where a part lies best within which it is at home. */
const FIFTH = 7;

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
  const before = (k: number): Neighbour => (
    { standing: voiced[k - 1]!, isBefore: true, from: chords[k - 1]!, to: chords[k]! }
  );
  const after = (k: number): Neighbour => (
    { standing: voiced[k + 1]!, isBefore: false, from: chords[k]!, to: chords[k + 1]! }
  );
  /** How the voices of a chord go between the chords around it. */
  const movesAt = (k: number) =>
    [...k > 0 ? [before(k)] : [], ...voiced[k + 1] ? [after(k)] : []]
      .map((neighbour) => voiceMoves(neighbour, searches[k]!.placed));
  searches.forEach((search, k) => {
    const moves = movesAt(k);
    const starts = [search.start(voiced[k - 1]), search.start(undefined), ...search.ladders];
    const improved = starts.filter((start, i) => starts.findIndex((other) => areSame(start, other)) === i)
      .map((start) => improve(start, search, moves));
    voiced[k] = cheapest(improved, ({ current }) => current).pitches;
  });
  const isFaulty = (k: number) =>
    k > 0 && k < chords.length && voiceMoves(before(k), searches[k]!.placed, FAULTS).ofAll(voiced[k]!) > 0;
  for (let round = 0; round < ROUNDS; round++) {
    const faulty = chords.flatMap((_, k) =>
      isFaulty(k) || isFaulty(k + 1) || searches[k]!.isHollow(voiced[k]!) ? [k] : []
    );
    if (faulty.length === 0) break;
    for (const k of faulty) voiced[k] = improve(voiced[k]!, searches[k]!, movesAt(k), true).pitches;
  }
  return voiced;
}

/** Whether two voicings have the same pitches, and the same voices silent. */
function areSame(a: readonly number[], b: readonly number[]): boolean {
  return a.every((pitch, i) => Object.is(pitch, b[i]));
}

/** How often faults are gone over. */
const ROUNDS = 3;

/** What is searched for one chord. */
interface VoicingSearch {
  /** Parts that have a tone. */
  readonly placed: readonly number[];
  /** Pitches of each part. */
  readonly candidates: readonly (readonly number[])[];
  /** What a voicing costs, in the order in which it is added up, given what its moves cost; no less than the limit where it costs that at least. */
  readonly cost: (pitches: readonly number[], moves: readonly number[], limit: number) => number;
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
    cost: costOf(classes, { parts, placed, candidates, chord, mute, isFree, style, tonesBelow }),
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

/** A voicing that is being improved. */
interface VoicingAtWork extends VoicingSearch {
  readonly moves: readonly VoiceMoves[];
  readonly pitches: number[];
  /** What it costs. */
  current: number;
  /** How often it was changed. */
  changes: number;
  /** What its moves cost, from the chord before and to the one after. */
  readonly now: number[];
  /** The same without one or two of the voices, with another pitch of the first, and with those that are tried. */
  readonly without: number[];
  readonly withFirst: number[];
  readonly tried: number[];
}

/** Moves single voices, then pairs, neighbours or all of them, and changes tones between two, as long as that helps. */
function improve(
  start: readonly number[],
  search: VoicingSearch,
  moves: readonly VoiceMoves[],
  allPairs: boolean = false,
): VoicingAtWork {
  const pitches = [...start];
  const now = moves.map((m) => m.ofAll(pitches));
  const work: VoicingAtWork = {
    ...search,
    moves,
    pitches,
    current: search.cost(pitches, now, Infinity),
    changes: 0,
    now,
    without: [...now],
    withFirst: [...now],
    tried: [...now],
  };
  const { placed } = search;
  // What found nothing in the voicing as it still is would find nothing again.
  const settled: number[] = [];
  let step = 0;
  const unlessSettled = (
    change: (work: VoicingAtWork, i: number, j: number) => void,
    i: number,
    j: number,
  ) => {
    const before = work.changes;
    if (settled[step] !== before) {
      change(work, i, j);
      settled[step] = work.changes === before ? before : -1;
    }
    step++;
  };
  for (let round = 0; round < 8; round++) {
    const before = work.current;
    step = 0;
    for (const i of placed) unlessSettled(moveOne, i, i);
    for (let k = 0; k + 1 < placed.length; k++) {
      for (let m = k + 1; m < (allPairs ? placed.length : k + 2); m++) {
        unlessSettled(moveTwo, placed[k]!, placed[m]!);
      }
    }
    for (const i of placed) {
      for (const j of placed) if (j > i) unlessSettled(exchange, i, j);
    }
    if (work.current >= before) break;
  }
  return work;
}

/** Whether the pitches that are tried cost less than what stood; they stand then. */
function isBetter(work: VoicingAtWork): boolean {
  const { cost, pitches, tried, now } = work;
  const c = cost(pitches, tried, work.current);
  if (!(c < work.current)) return false;
  work.current = c;
  work.changes++;
  for (let s = 0; s < now.length; s++) now[s] = tried[s]!;
  return true;
}

/** Puts a voice where it costs least. */
function moveOne(work: VoicingAtWork, i: number): void {
  const { moves, pitches, now, without, tried } = work;
  let own = pitches[i]!;
  for (let s = 0; s < moves.length; s++) without[s] = now[s]! - moves[s]!.ofOne(i, pitches);
  for (const p of work.candidates[i]!) {
    if (p === own) continue;
    pitches[i] = p;
    for (let s = 0; s < moves.length; s++) tried[s] = without[s]! + moves[s]!.ofOne(i, pitches);
    if (isBetter(work)) own = p;
  }
  pitches[i] = own;
}

/** Counts the moves without two of the voices. */
function takeOut({ moves, pitches, now, without }: VoicingAtWork, i: number, j: number): void {
  for (let s = 0; s < moves.length; s++) {
    const { ofOne, ofTwo } = moves[s]!;
    without[s] = now[s]! - ofOne(i, pitches) - ofOne(j, pitches) + ofTwo(i, j, pitches);
  }
}

/** Puts two voices where they cost least together. */
function moveTwo(work: VoicingAtWork, i: number, j: number): void {
  const { moves, pitches, candidates, without, withFirst, tried } = work;
  let [first, second] = [pitches[i]!, pitches[j]!];
  takeOut(work, i, j);
  for (const p of candidates[i]!) {
    if (Math.abs(p - first) > PAIR_REACH) continue;
    pitches[i] = p;
    for (let s = 0; s < moves.length; s++) withFirst[s] = without[s]! + moves[s]!.ofOne(i, pitches, j);
    if (sumOf(withFirst) >= work.current) continue;
    for (const q of candidates[j]!) {
      if (Math.abs(q - second) > PAIR_REACH || (p === first && q === second)) continue;
      pitches[j] = q;
      for (let s = 0; s < moves.length; s++) tried[s] = withFirst[s]! + moves[s]!.ofOne(j, pitches);
      if (isBetter(work)) [first, second] = [p, q];
    }
  }
  [pitches[i], pitches[j]] = [first, second];
}

/** Exchanges the pitches of two voices where that costs less. */
function exchange(work: VoicingAtWork, i: number, j: number): void {
  const { moves, pitches, candidates, without, tried } = work;
  const [p, q] = [pitches[i]!, pitches[j]!];
  if (p === q || !candidates[i]!.includes(q) || !candidates[j]!.includes(p)) return;
  takeOut(work, i, j);
  [pitches[i], pitches[j]] = [q, p];
  for (let s = 0; s < moves.length; s++) {
    tried[s] = without[s]! + moves[s]!.ofOne(i, pitches, j) + moves[s]!.ofOne(j, pitches);
  }
  if (!isBetter(work)) [pitches[i], pitches[j]] = [p, q];
}

function sumOf(numbers: readonly number[]): number {
  let sum = 0;
  for (const number of numbers) sum += number;
  return sum;
}

function homeOf(range: VoiceRange): number {
  return range.home ?? (range.low + range.high) / 2;
}

/** What the cost of one voicing depends on. */
interface CostContext {
  readonly parts: readonly VoicedPart[];
  readonly placed: readonly number[];
  readonly candidates: readonly (readonly number[])[];
  readonly chord: ChordToVoice;
  /** Pitches of each part that do not speak at the layer's loudness. */
  readonly mute: readonly ReadonlySet<number>[];
  /** Parts that need not stay below the lead. */
  readonly isFree: ReadonlySet<number>;
  readonly style: ChordStyle;
  /** Tones of the chord below each pitch, where the plan says how it is to lie. */
  readonly tonesBelow: readonly number[];
}

// The innermost loops count, and work in lists they take again: a chord is tried in thousands of voicings. What the moves of the
// other voices cost is counted once for all pitches of one, and what costs too much by its moves is not weighed further.

/**
 * What any voicing of a chord costs, its moves given. No cost is less than nothing, so that what is added up so far tells when a
 * voicing costs too much.
 */
function costOf(classes: readonly number[], context: CostContext): VoicingSearch["cost"] {
  const { placed, chord } = context;
  const { besides = [], bass = [], led = [] } = chord;
  // Voices too few for a chord of their own complete what the others have.
  const shared = placed.length < classes.length ? besides : [];
  const isDominant = isDominantSeventh(classes);
  // A third or a seventh that the bass has is there, and would be doubled; so would those of a dominant that a lead goes on from.
  const leading = [...bass, ...isDominant ? led : []];
  const sharedCounts = classes.map((c, tone) =>
    Math.max(
      shared.filter((p) => p % 12 === c).length,
      (tone === 1 || tone === 3) && leading.some((p) => p % 12 === c) ? 1 : 0,
    )
  );
  const counts = new Array<number>(classes.length);
  const doubled = isDominant ? DOUBLED.dominant : DOUBLED.other;
  const places = placeCosts(context);
  const orderCost = orderCostOf(context);
  const spacingCost = spacingCostOf(context);
  const toneOf = Array.from({ length: 12 }, (_, c) => classes.indexOf(c));
  return (pitches, moves, limit) => {
    if (sumOf(moves) >= limit) return limit;
    let cost = 0;
    for (let tone = 0; tone < counts.length; tone++) counts[tone] = sharedCounts[tone]!;
    for (let k = 0; k < placed.length; k++) {
      const i = placed[k]!;
      const p = pitches[i]!;
      counts[toneOf[p % 12]!]!++;
      for (const place of places[i]![p]!) cost += place;
    }
    for (let tone = 0; tone < counts.length; tone++) {
      const count = counts[tone]!;
      if (count === 0) cost += COSTS.missingTone[tone] ?? 4;
      if (count > 1 && (tone === 1 || tone === 3)) cost += doubled[tone]! * (count - 1);
    }
    if (withMoves(cost, moves) >= limit) return limit;
    cost += orderCost(pitches);
    if (withMoves(cost, moves) >= limit) return limit;
    return withMoves(cost + spacingCost(pitches), moves);
  };
}

/** A cost and those of moves, added up one after the other. */
function withMoves(cost: number, moves: readonly number[]): number {
  for (const move of moves) cost += move;
  return cost;
}

/** What it costs that a part has a pitch, by part and pitch: far from home, above the lead, mute, on the bass. */
function placeCosts(
  { parts, placed, candidates, chord, mute, isFree }: CostContext,
): readonly (readonly (readonly number[])[])[] {
  const { ceilings = [], mayCross = false, bass = [] } = chord;
  const lead = ceilings.at(mayCross ? 0 : -1) ?? Infinity;
  const lowest = Math.min(...bass);
  const staysHome = mayCross || placed.length === 1;
  const isOnBass = (p: number) => bass.includes(p) || (bass.length > 0 && p < lowest);
  const costs: number[][][] = [];
  for (const i of placed) {
    const home = homeOf(parts[i]!.range);
    costs[i] = [];
    for (const p of candidates[i]!) {
      const away = Math.abs(p - home);
      const isAbove = p >= lead && !isFree.has(i);
      const above = mayCross ? COSTS.crossingLead * (p - lead + 1) : COSTS.aboveLead;
      costs[i]![p] = [
        COSTS.fromHome * away,
        staysHome && away > FIFTH ? COSTS.farFromHome * (away - FIFTH) : 0,
        isAbove ? above : 0,
        mute[i]!.has(p) ? COSTS.mute : 0,
        isOnBass(p) ? COSTS.onBass : 0,
      ].filter((cost) => cost > 0);
    }
  }
  return costs;
}

/** What it costs that parts cross, or that one player has two notes that do not lie well. */
function orderCostOf({ parts, placed, style }: CostContext): (pitches: readonly number[]) => number {
  const isCrowded = placed.length > MOST_IN_ORDER;
  const pairs = placed.slice(1).map((j, k) => {
    const i = placed[k]!;
    const areSections = isCrowded && parts[i]!.isDivided === true && !isOnePart(parts[i]!, parts[j]!);
    return {
      i,
      j,
      isAbove: style.ordered || homeOf(parts[i]!.range) >= homeOf(parts[j]!.range),
      crossing: style.ordered ? COSTS.outOfOrder : areSections ? COSTS.overlap : COSTS.crossing,
      unison: isOnePart(parts[i]!, parts[j]!) ? COSTS.groupUnison : 0,
      stopsWith: parts[j]!.stopsWith,
    };
  });
  return (pitches) => {
    let cost = 0;
    for (const { i, j, isAbove, crossing, unison, stopsWith } of pairs) {
      const [p, q] = [pitches[i]!, pitches[j]!];
      if (isAbove ? p < q : p > q) cost += crossing;
      if (p === q) cost += unison;
      if (stopsWith?.(p, q) === false) cost += COSTS.awkwardStop;
    }
    return cost;
  };
}

function isOnePart(a: VoicedPart, b: VoicedPart): boolean {
  return a.index !== undefined && a.index === b.index;
}

/** Pitches from which intervals smaller than an octave sound clear, by semitones; wider ones do anywhere. */
const clearFrom = once(() => Array.from({ length: 12 }, (_, semitones) => lowIntervalLimit(semitones)));

/** What it costs how far the voices lie from each other, from the bass and from what else sounds. */
function spacingCostOf(
  { placed, chord, style, tonesBelow }: CostContext,
): (pitches: readonly number[]) => number {
  const { besides = [], mayCross = false } = chord;
  const others = besides.toSorted((a, b) => a - b);
  const leftOut = style.spacing && LEFT_OUT[style.spacing];
  const [third, seventh] = [chord.tones[1]?.pitchClass, chord.tones[3]?.pitchClass];
  const isFree = placed.length >= FULL_CHORD && leftOut === undefined && style.ordered !== true;
  const limits = clearFrom();
  return (pitches) => {
    let cost = 0;
    sorted.length = 0;
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
    merge(sorted, others);
    for (let k = 0; k + 1 < everybody.length; k++) {
      const gap = everybody[k + 1]! - everybody[k]!;
      if (gap > 0 && gap < 12 && everybody[k]! < limits[gap]!) cost += COSTS.lowInterval;
      // Repeated notes and ornaments may lie far above the bass.
      if (mayCross && k === 0) cost += COSTS.hole * Math.max(0, gap - WIDEST_OVER_BASS);
    }
    if (mayCross) return cost;
    return cost + (isFree ? COSTS.wideHole : COSTS.hole) * holesIn(everybody, chord);
  };
}

/** Puts two lists that go from low to high together to `everybody`. */
function merge(a: readonly number[], b: readonly number[]): void {
  everybody.length = 0;
  let [i, j] = [0, 0];
  while (i < a.length || j < b.length) everybody.push(j >= b.length || a[i]! <= b[j]! ? a[i++]! : b[j++]!);
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
function holesIn(
  everybody: readonly number[],
  { bass = [], bassMoves, ceilings = [] }: ChordToVoice,
): number {
  let holes = 0;
  const deepest = bassMoves === undefined ? Infinity : Math.max(...bassMoves.lowest);
  for (let k = 0; k + 1 < everybody.length; k++) {
    const above = everybody[k + 1]!;
    const isBass = bass.includes(everybody[k]!);
    // A bass that walks goes deeper than it begins.
    const below = isBass && !bass.includes(above) ? Math.min(everybody[k]!, deepest) : everybody[k]!;
    if (above - below <= WIDEST.aboveLowest) continue;
    const widest = isBass ? WIDEST_OVER_BASS : WIDEST.aboveLowest;
    if (ceilings.some((p) => p > below && p < above)) continue;
    holes += Math.max(0, above - below - widest);
  }
  return holes;
}
