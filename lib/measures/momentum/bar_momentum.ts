/** Momentum of one bar for any choice of its members, prepared once so that thousands of choices are quick. */
import {
  attackChains,
  type BarConstants,
  type BarWindow,
  type Chain,
  eventKind,
  kindsOf,
  rowsOf,
  syncopationChains,
  type Triple,
} from "./bar_rhythm.ts";
import type { DrivingAttack } from "./driving_events.ts";
import { numberOf, type Subsets, subsetsOf, type UsedKind, weigher, type Weights } from "./event_weights.ts";
import type { MomentumBar } from "./momentum_results.ts";
import { EXACT_UP_TO } from "./shapley.ts";

/** What the index is made of, and the index. */
export type BarComponents = Pick<
  MomentumBar,
  "momentum" | "attackRate" | "pulseSalience" | "regularity" | "syncopatedShare"
>;

const SILENT: BarComponents = {
  momentum: 0,
  attackRate: 0,
  pulseSalience: 0,
  regularity: 0,
  syncopatedShare: 0,
};

/** Momentum of a bar for subsets of its members, given as the sum of 2 ** i over the members i in them. */
export interface BarMomentum {
  /** The index of one subset. */
  readonly valueOf: (subset: number) => number;
  /** The index of one subset and what it is made of. */
  readonly componentsOf: (subset: number) => BarComponents;
  /** The index of all subsets, in order, and what that of all members is made of. */
  readonly all: () => { readonly values: Float64Array; readonly whole: BarComponents };
}

/** Who shares a bar. */
interface BarMembers {
  readonly count: number;
  /** Which member a stroke belongs to, from 0; -1 for one that is always there. */
  readonly of: (stroke: DrivingAttack) => number;
}

/**
 * Prepares a bar: whatever does not depend on who plays and how loud is worked out once. For a loudness, subsets are
 * then weighed many abreast.
 *
 * A listener may attend to the strongest events only, or to all: at every level of attention from 0 to 1 the events of
 * that weight and more are felt, and every rate is the mean over the levels. Since more attacks never make fewer
 * pulses, fewer steady ones, or fewer driving ones on the whole, nothing falls when a stroke grows stronger; and since
 * halved weights are felt at half the levels, all rates go by the weights.
 */
export function barMomentum(
  window: BarWindow,
  c: BarConstants,
  members: BarMembers,
): (audibilities: Float64Array) => BarMomentum {
  const { from, to, seconds } = window;
  if (seconds <= 0 || from === to) {
    const nothing: BarMomentum = {
      valueOf: () => 0,
      componentsOf: () => SILENT,
      all: () => ({ values: new Float64Array(2 ** members.count), whole: SILENT }),
    };
    return () => nothing;
  }
  const rhythm = rhythmOf(window, c, members);
  return (audibilities) => {
    const weightsOf = weigher(rhythm.kinds, audibilities);
    const weigh = (subsets: Subsets): Felt => feltOf(rhythm, weightsOf(subsets), numberOf(subsets));
    const driving = ({ attacks, steady, pulse, syncopated }: Felt, s: number) =>
      (c.rateWeight * attacks[s]! + c.regularityWeight * steady[s]! + c.pulseWeight * pulse[s]! +
        c.syncopationWeight * syncopated[s]!) / seconds;
    const componentsOf = (felt: Felt, s: number): BarComponents => {
      const attacks = felt.attacks[s]!;
      if (attacks <= 0) return SILENT;
      return {
        momentum: driving(felt, s),
        attackRate: attacks / seconds,
        pulseSalience: felt.pulse[s]! / attacks,
        regularity: felt.steady[s]! / attacks,
        syncopatedShare: felt.syncopated[s]! / attacks,
      };
    };
    return {
      valueOf: (only) => driving(weigh({ only }), 0),
      componentsOf: (only) => componentsOf(weigh({ only }), 0),
      all: () => {
        const felt = weigh({ count: members.count });
        const values = new Float64Array(2 ** members.count);
        for (let s = 0; s < values.length; s++) values[s] = driving(felt, s);
        // Summed as it is without shares, so that it is the same to the last digit.
        return { values, whole: componentsOf(weigh({ only: values.length - 1 }), 0) };
      },
    };
  };
}

/** A bar's rhythm: everything about it that does not depend on who plays and how loud. */
interface Rhythm {
  /** Kinds of event; undefined for those of the bars around that are not looked at. */
  readonly kinds: readonly (UsedKind | undefined)[];
  readonly triples: readonly Triple[];
  /** Members that each kind and each triple hangs on, as subsets. */
  readonly membersOf: { readonly kinds: readonly number[]; readonly triples: readonly number[] };
  readonly attacks: readonly ChainGroup[];
  readonly syncopations: readonly ChainGroup[];
  readonly rows: readonly { readonly comfort: number; readonly groups: readonly ChainGroup[] }[];
}

/** Chains that hang on the same members. */
interface ChainGroup {
  /** The members, as a subset. */
  readonly members: number;
  readonly chains: readonly Chain[];
}

function rhythmOf(window: BarWindow, c: BarConstants, members: BarMembers): Rhythm {
  const { of, strokes, next } = kindsOf(window);
  const attacks = attackChains(window, of.subarray(window.from, window.to), c);
  const { rows, triples } = rowsOf(window, of, c);
  const syncopations = syncopationChains(window, of, c);
  // Of the bars around only a few events are looked at.
  const isUsed = new Uint8Array(strokes.length), isAccented = new Uint8Array(strokes.length);
  for (const chains of [attacks, syncopations]) {
    for (const { kind, neighbours } of chains) {
      isUsed[kind] = 1;
      for (const neighbour of neighbours) isUsed[neighbour] = 1;
    }
  }
  for (const triple of triples) {
    for (const kind of triple) isUsed[kind] = 1;
    isAccented[triple[0]] = 1;
  }
  const ofMember = (stroke: DrivingAttack) => members.of(stroke) + 1;
  // Events of the next bar are there for everybody: they only end what is held into it.
  const ofNobody = () => 0;
  // More members than can be shared out between exactly are weighed for one subset at a time, which needs no sets.
  const isExact = members.count <= EXACT_UP_TO;
  let strikers = 0;
  const kinds = strokes.map((list, kind): UsedKind | undefined => {
    if (isUsed[kind] === 0) return undefined;
    const own = eventKind(list, kind < next ? ofMember : ofNobody, strikers);
    strikers += own.strikers;
    let set = 0;
    if (isExact) {
      for (const { member } of own.single) set |= 2 ** member >> 1;
      for (const layer of own.several) for (const { member } of layer) set |= 2 ** member >> 1;
    }
    return { ...own, members: set, isAccented: isAccented[kind] === 1 };
  });
  const ofKinds = kinds.map((kind) => kind?.members ?? 0);
  const ofTriples = triples.map(([a, b, c]) => ofKinds[a]! | ofKinds[b]! | ofKinds[c]!);
  return {
    kinds,
    triples,
    membersOf: { kinds: ofKinds, triples: ofTriples },
    attacks: grouped(attacks, ofKinds),
    syncopations: grouped(syncopations, ofKinds),
    rows: rows.map(({ comfort, chains }) => ({ comfort, groups: grouped(chains, ofTriples) })),
  };
}

/** Puts chains together that hang on the same members. */
function grouped(chains: readonly Chain[], membersOf: readonly number[]): readonly ChainGroup[] {
  const groups: { readonly members: number; readonly chains: Chain[] }[] = [];
  for (const chain of chains) {
    let members = membersOf[chain.kind]!;
    for (const neighbour of chain.neighbours) members |= membersOf[neighbour]!;
    const group = groups.find((one) => one.members === members);
    if (group) group.chains.push(chain);
    else groups.push({ members, chains: [chain] });
  }
  return groups;
}

/** Attacks, steady ones, pulses and syncopated ones that are felt, one figure per subset. */
interface Felt {
  readonly attacks: Float64Array;
  readonly steady: Float64Array;
  readonly pulse: Float64Array;
  readonly syncopated: Float64Array;
}

/** Lists to work in, taken again by every bar, since making them would take longer than what is done in them. */
const desk = {
  attacks: new Float64Array(0),
  steady: new Float64Array(0),
  pulse: new Float64Array(0),
  syncopated: new Float64Array(0),
  steadyHere: new Float64Array(0),
  pulseHere: new Float64Array(0),
  ofGroup: new Float64Array(0),
  steadyTriples: new Float64Array(0),
  pulseTriples: new Float64Array(0),
};

function deskList(list: keyof typeof desk, length: number): Float64Array {
  if (desk[list].length < length) desk[list] = new Float64Array(length);
  return desk[list];
}

function zeros(list: keyof typeof desk, length: number): Float64Array {
  return deskList(list, length).fill(0, 0, length);
}

/** Weighs a bar for `n` subsets, given the weights of its kinds of event. */
function feltOf(rhythm: Rhythm, weights: Weights, n: number): Felt {
  const { kinds, triples } = rhythm.membersOf;
  const ofKinds: Figures = { list: weights.weight, members: kinds, n };
  const attacks = zeros("attacks", n), syncopated = zeros("syncopated", n);
  addChains(attacks, rhythm.attacks, ofKinds);
  addChains(syncopated, rhythm.syncopations, ofKinds);
  weighTriples(rhythm, weights, n);
  const steadily: Figures = { list: desk.steadyTriples, members: triples, n };
  const pulsing: Figures = { list: desk.pulseTriples, members: triples, n };
  const steady = zeros("steady", n), pulse = zeros("pulse", n);
  for (const { comfort, groups } of rhythm.rows) {
    const steadyHere = zeros("steadyHere", n), pulseHere = zeros("pulseHere", n);
    addChains(steadyHere, groups, steadily);
    addChains(pulseHere, groups, pulsing);
    for (let s = 0; s < n; s++) {
      if (steadyHere[s]! > steady[s]!) steady[s] = steadyHere[s]!;
      if (comfort * pulseHere[s]! > pulse[s]!) pulse[s] = comfort * pulseHere[s]!;
    }
  }
  return { attacks, steady, pulse, syncopated };
}

/** An event continues a row as far as all three of its events are felt, and carries a pulse as far as its accent goes. */
function weighTriples({ triples, membersOf }: Rhythm, { weight, accented }: Weights, n: number): void {
  const steady = deskList("steadyTriples", triples.length * n);
  const pulse = deskList("pulseTriples", triples.length * n);
  for (let t = 0; t < triples.length; t++) {
    const [own, before, beforeThat] = triples[t]!;
    const here = own * n, back = before * n, further = beforeThat * n, at = t * n;
    const ofHere = membersOf.kinds[own]!, ofBack = membersOf.kinds[before]!;
    const ofFurther = membersOf.kinds[beforeThat]!;
    const subsets = subsetsOf(n === 1 ? 0 : membersOf.triples[t]!);
    for (let i = 0; i < subsets.length; i++) {
      const s = subsets[i]!;
      let least = weight[here + (s & ofHere)]!;
      const wBack = weight[back + (s & ofBack)]!, wFurther = weight[further + (s & ofFurther)]!;
      if (wBack < least) least = wBack;
      if (wFurther < least) least = wFurther;
      const accent = accented[here + (s & ofHere)]!;
      steady[at + s] = least;
      pulse[at + s] = accent < least ? accent : least;
    }
  }
}

/** Figures of kinds or triples of events, written down as {@linkcode Weights} are. */
interface Figures {
  readonly list: Float64Array;
  readonly members: readonly number[];
  readonly n: number;
}

/** Adds what chains count, mean over the levels of attention, for each subset. */
function addChains(sums: Float64Array, groups: readonly ChainGroup[], figures: Figures): void {
  const { n } = figures;
  for (let g = 0; g < groups.length; g++) {
    const { members, chains } = groups[g]!;
    // What hangs on a few members only is added up for their subsets first.
    const subsets = subsetsOf(n === 1 ? 0 : members);
    const ofGroup = deskList("ofGroup", n);
    for (let i = 0; i < subsets.length; i++) ofGroup[subsets[i]!] = 0;
    for (let i = 0; i < chains.length; i++) addChain(ofGroup, chains[i]!, subsets, figures);
    for (let s = 0; s < n; s++) sums[s]! += ofGroup[s & members]!;
  }
}

function addChain(
  sums: Float64Array,
  { kind, neighbours, counts, beyond }: Chain,
  subsets: Uint16Array,
  { list, members, n }: Figures,
): void {
  const at = kind * n, own = members[kind]!;
  if (neighbours.length === 0) {
    for (let i = 0; i < subsets.length; i++) {
      const s = subsets[i]!;
      sums[s]! += list[at + (s & own)]! * beyond;
    }
    return;
  }
  for (let i = 0; i < subsets.length; i++) {
    const s = subsets[i]!;
    const w = list[at + (s & own)]!;
    // How far up the levels are taken by neighbours nearer than this one; where all are, the others change nothing.
    let taken = 0;
    for (let k = 0; k < neighbours.length && taken < w; k++) {
      const neighbour = neighbours[k]!;
      const other = list[neighbour * n + (s & members[neighbour]!)]!;
      const upTo = other < w ? other : w;
      if (upTo <= taken) continue;
      sums[s]! += (upTo - taken) * counts[k]!;
      taken = upTo;
    }
    sums[s]! += (w - taken) * beyond;
  }
}
