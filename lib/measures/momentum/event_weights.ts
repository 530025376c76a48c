/** How strongly the events of a bar are felt, for all subsets of those who share it or for one. */
import type { EventKind, MemberStrokes } from "./bar_rhythm.ts";

/** What is weighed: all subsets of some members, or only one, which then stands at 0. */
export type Subsets = { readonly count: number } | { readonly only: number };

/** How many subsets are weighed. */
export function numberOf(subsets: Subsets): number {
  return "only" in subsets ? 1 : 2 ** subsets.count;
}

const known: Uint16Array[] = [];

/** All subsets of a set of up to 12 members. The lists are kept: there are 4096 at most, together 1 MB. */
export function subsetsOf(members: number): Uint16Array {
  let subsets = known[members];
  if (subsets === undefined) {
    const list = [0];
    for (let own = 1; own <= members; own *= 2) {
      if ((members & own) !== 0) list.push(...list.map((subset) => subset + own));
    }
    known[members] = subsets = Uint16Array.from(list);
  }
  return subsets;
}

/** A kind of event that is asked for. */
export interface UsedKind extends EventKind {
  /** Members who strike, as a subset. */
  readonly members: number;
  /** Whether its accent is asked for, as of events of the bar itself. */
  readonly isAccented: boolean;
}

// The innermost loops count: `of` would make an iterator for each, millions of them.

/** Lists to work in, taken again by every bar, since making them would take longer than what is done in them. */
const desk = { weight: new Float64Array(0), accented: new Float64Array(0) };

function widened(list: keyof typeof desk, length: number): Float64Array {
  if (desk[list].length < length) desk[list] = new Float64Array(length);
  return desk[list];
}

/**
 * Weights of the kinds of event. They are written down for the subsets of those who strike: the weight of kind `k` for the
 * subset `s` of all stands at `k * n + (s & members[k])`, `n` being how many subsets there are.
 */
export interface Weights {
  /** Strength times audibility. */
  readonly weight: Float64Array;
  /** The same times the accent. */
  readonly accented: Float64Array;
}

/**
 * Prepares the weighing of a bar's events. Strokes of one layer at once are one stroke, the strongest; the notes that it
 * begins, and the layers, are like independent chances of feeling the event: w = 1 - product((1 - w_layer) ^ notes). The
 * weights it gives hold until the next are asked for, here or elsewhere.
 */
export function weigher(
  kinds: readonly (UsedKind | undefined)[],
  audibilities: Float64Array,
): (subsets: Subsets) => Weights {
  const strikes = strikesOf(kinds, audibilities);
  return (subsets) => {
    const n = numberOf(subsets);
    const weight = widened("weight", kinds.length * n);
    const accented = widened("accented", kinds.length * n);
    for (let i = 0; i < kinds.length; i++) {
      const kind = kinds[i];
      if (kind === undefined) continue;
      if ("only" in subsets) {
        weight[i] = feltBy(subsets.only, kind, strikes.weight);
        if (kind.isAccented) accented[i] = feltBy(subsets.only, kind, strikes.accented);
      } else {
        feel(weight, i * n, kind, strikes.weight);
        if (kind.isAccented) feel(accented, i * n, kind, strikes.accented);
      }
    }
    return { weight, accented };
  };
}

/**
 * What each member gives each event in each layer, by their numbers: the strongest of its strokes, as often as it begins
 * notes where nobody else strikes in the layer, for one note where others do.
 */
function strikesOf(kinds: readonly (UsedKind | undefined)[], audibilities: Float64Array): Weights {
  const count = kinds.reduce((sum, kind) => sum + (kind?.strikers ?? 0), 0);
  const weight = new Float64Array(count), accented = new Float64Array(count);
  const strike = ({ number, strokes }: MemberStrokes): void => {
    for (let i = 0; i < strokes.length; i++) {
      const { strength, accent, cell } = strokes[i]!;
      const own = Math.min(1, strength * audibilities[cell]!);
      if (own > weight[number]!) weight[number] = own;
      if (own * accent > accented[number]!) accented[number] = own * accent;
    }
  };
  for (const kind of kinds) {
    if (kind === undefined) continue;
    kind.single.forEach(strike);
    for (const { number, notes, layerNotes } of kind.single) {
      const times = Math.min(notes, layerNotes);
      weight[number] = chanceOf(weight[number]!, times);
      accented[number] = chanceOf(accented[number]!, times);
    }
    for (const layer of kind.several) layer.forEach(strike);
  }
  return { weight, accented };
}

/** Chance of feeling at least one of several notes. */
function chanceOf(one: number, notes: number): number {
  return notes === 1 ? one : 1 - (1 - one) ** notes;
}

/** Whether a member is in a subset; the one of number 0 is always there. There may be more members than an integer has bits. */
function isIn(member: number, subset: number): boolean {
  return member === 0 || Math.floor(subset / POWERS[member - 1]!) % 2 === 1;
}

/** All powers of 2 from 1: to look one up is quicker than to work it out. */
const POWERS = Float64Array.from({ length: 1024 }, (_, i) => 2 ** i);

/** What those members of a layer give who are in a subset: the strongest of their strokes, for all notes that they begin. */
function felt(layer: readonly MemberStrokes[], subset: number, strikes: Float64Array): number {
  let strongest = 0, begun = 0;
  for (const { member, number, notes } of layer) {
    if (!isIn(member, subset)) continue;
    begun += notes;
    if (strikes[number]! > strongest) strongest = strikes[number]!;
  }
  return chanceOf(strongest, Math.min(begun, layer[0]!.layerNotes));
}

/** How strongly an event is felt where one subset plays. */
function feltBy(subset: number, { single, several }: EventKind, strikes: Float64Array): number {
  // The chance that it is missed.
  let missed = 1;
  for (const { member, number } of single) if (isIn(member, subset)) missed *= 1 - strikes[number]!;
  for (const layer of several) missed *= 1 - felt(layer, subset, strikes);
  return 1 - missed;
}

/** What each of up to 12 members and the one who is always there leaves of the chance that an event is missed. */
const leftBy = new Float64Array(13);

/** Writes how strongly an event is felt, for each subset of the members who strike. */
function feel(
  list: Float64Array,
  at: number,
  { members, single, several }: UsedKind,
  strikes: Float64Array,
): void {
  leftBy.fill(1);
  for (let i = 0; i < single.length; i++) leftBy[single[i]!.member]! *= 1 - strikes[single[i]!.number]!;
  const subsets = subsetsOf(members);
  list[at] = leftBy[0]!;
  // Each further member multiplies what it was without it.
  for (let member = 1, size = 1; size < subsets.length; member++) {
    if ((members >> (member - 1)) % 2 === 0) continue;
    const left = leftBy[member]!;
    for (let s = 0; s < size; s++) list[at + subsets[size + s]!] = list[at + subsets[s]!]! * left;
    size *= 2;
  }
  for (let i = 0; i < several.length; i++) {
    for (let s = 0; s < subsets.length; s++) {
      list[at + subsets[s]!]! *= 1 - felt(several[i]!, subsets[s]!, strikes);
    }
  }
  for (let s = 0; s < subsets.length; s++) list[at + subsets[s]!] = 1 - list[at + subsets[s]!]!;
}
