/** How loud what sounds together is, by what it is made of; what was worked out once is kept. */
import { loudnessWhileSounding } from "../hearing/layer_loudness.ts";
import { loudnessSones } from "../hearing/loudness.ts";
import { partialLoudnessSones } from "../hearing/partial_loudness.ts";
import { BIN_COUNT, excitationsTogether } from "../hearing/shared_filters.ts";
import type { EarGrid } from "./ear_grid.ts";
import type { NoteSound } from "./note_sound.ts";

/** A sound and its mean power over a stretch of time, as a share of its full power. */
export interface Ingredient {
  /** The sound. */
  readonly sound: NoteSound;
  /** Mean power, 0 to 1. */
  readonly share: number;
}

/** What something is made of, one entry per sound, by the sounds' numbers. */
export type Content = readonly Ingredient[];

/** Results kept per grid; they depend on nothing but what is in their key. */
const kept = new WeakMap<EarGrid, Map<number, Kept>>();
const RESULTS_KEPT = 50_000;

/** A result, and a sum over its content by which it is known again. */
interface Kept {
  readonly mass: number;
  readonly made: unknown;
}

/** Kinds of results, for their keys. */
const KINDS = { alone: 1, beside: 2, layers: 3 } as const;

const oneFloat = new Float64Array(1);
const itsHalves = new Uint32Array(oneFloat.buffer);

/** The hash that is being worked out, in two halves. */
let high = 0, low = 0;

function mix(value: number): void {
  oneFloat[0] = value;
  const first = itsHalves[0]!, second = itsHalves[1]!;
  high = Math.imul(high ^ first, 0x9e3779b1);
  high = Math.imul(high ^ (high >>> 15) ^ second, 0x85ebca77);
  low = Math.imul(low ^ second, 0xc2b2ae3d);
  low = Math.imul(low ^ (low >>> 13) ^ first, 0x27d4eb2f);
  high ^= high >>> 16;
  low ^= low >>> 16;
}

/**
 * Finds what was made of the same contents before, or makes it. Contents are known by a hash of 53 bits and a sum of 64,
 * since text for each of ten thousand moments would cost more than what is in them.
 */
function keep<T>(
  grid: EarGrid,
  kind: keyof typeof KINDS,
  contents: readonly Content[],
  shares: readonly number[],
  make: () => T,
): T {
  let own = kept.get(grid);
  if (!own) kept.set(grid, own = new Map());
  let mass = 0;
  high = KINDS[kind];
  low = contents.length;
  for (let c = 0; c < contents.length; c++) {
    const content = contents[c]!;
    mix(content.length);
    for (let i = 0; i < content.length; i++) {
      const { sound, share } = content[i]!;
      mix(sound.id);
      mix(share);
      mass += share * (sound.id + c / 7);
    }
  }
  for (let i = 0; i < shares.length; i++) mix(shares[i]!);
  const key = (high >>> 0) * 2 ** 21 + (low >>> 11);
  const known = own.get(key);
  if (known !== undefined && known.mass === mass) return known.made as T;
  const made = make();
  if (own.size >= RESULTS_KEPT) own.clear();
  own.set(key, { mass, made });
  return made;
}

/**
 * Adds contents.
 *
 * @param contents contents in any order
 * @returns one entry per sound
 */
export function together(contents: readonly Content[]): Content {
  let only: Content | undefined;
  let all: Ingredient[] | undefined;
  for (const content of contents) {
    if (content.length === 0) continue;
    if (only === undefined) {
      only = content;
      continue;
    }
    if (all === undefined) {
      all = [];
      for (const one of only) all.push(one);
    }
    for (const one of content) all.push(one);
  }
  return all === undefined ? only ?? [] : contentOf(all);
}

/**
 * Puts sounds in the order in which contents are compared, each once.
 *
 * @param ingredients sounds and their mean power, in any order; the list may be put in order, its entries stay
 * @returns the content
 */
export function contentOf(ingredients: Ingredient[]): Content {
  let isTwice = false;
  // A moment has few sounds, most of them in order already: putting each in its place is quickest.
  for (let i = 1; i < ingredients.length; i++) {
    const one = ingredients[i]!;
    let at = i;
    for (; at > 0 && ingredients[at - 1]!.sound.id > one.sound.id; at--) {
      ingredients[at] = ingredients[at - 1]!;
    }
    ingredients[at] = one;
    isTwice ||= at > 0 && ingredients[at - 1]!.sound === one.sound;
  }
  if (!isTwice) return ingredients;
  const content: Ingredient[] = [];
  for (const each of ingredients) {
    const last = content.at(-1);
    if (last?.sound !== each.sound) content.push(each);
    else content[content.length - 1] = { sound: each.sound, share: last.share + each.share };
  }
  return content;
}

/**
 * The same at another strength.
 *
 * @param content the sounds
 * @param power factor on their power
 * @returns a copy
 */
export function scaled(content: Content, power: number): Content {
  return power === 1 ? content : content.map(({ sound, share }) => ({ sound, share: share * power }));
}

/**
 * Excitation of groups of sounds that are heard together.
 *
 * @param grid the ear's filters
 * @param groups what each is made of
 * @returns one power per filter for each group
 */
export function excitationsOf(grid: EarGrid, groups: readonly Content[]): readonly Float64Array[] {
  if (grid.detail === "full") return excitationsTogether(grid, groups.map(binsOf));
  return groups.map((content) => {
    const sum = new Float64Array(grid.centresHz.length);
    for (const { sound, share } of content) {
      const own = ownExcitation(grid, sound);
      for (let c = 0; c < sum.length; c++) sum[c]! += own[c]! * share;
    }
    return sum;
  });
}

function binsOf(content: Content): Float64Array {
  const sum = new Float64Array(BIN_COUNT);
  for (const { sound: { binned: { bins, power } }, share } of content) {
    for (let i = 0; i < bins.length; i++) sum[bins[i]!]! += power[i]! * share;
  }
  return sum;
}

const excitations = new WeakMap<EarGrid, WeakMap<NoteSound, Float64Array>>();

/** Excitation of a note by itself. */
function ownExcitation(grid: EarGrid, sound: NoteSound): Float64Array {
  let own = excitations.get(grid);
  if (!own) excitations.set(grid, own = new WeakMap());
  let excitation = own.get(sound);
  if (!excitation) {
    [excitation] = excitationsTogether(grid, [binsOf([{ sound, share: 1 }])]) as [Float64Array];
    own.set(sound, excitation);
  }
  return excitation;
}

/**
 * Loudness of some sounds in quiet.
 *
 * @param grid the ear's filters
 * @param content the sounds
 * @returns sones
 */
export function sonesAlone(grid: EarGrid, content: Content): number {
  return keep(grid, "alone", [content], [], () => loudnessSones(grid, excitationsOf(grid, [content])[0]!));
}

/**
 * Loudness left of some sounds beside others.
 *
 * @param grid the ear's filters
 * @param signal what is listened for
 * @param rest everything else that counts against it
 * @returns sones
 */
export function sonesBeside(grid: EarGrid, signal: Content, rest: Content): number {
  if (rest.length === 0) return sonesAlone(grid, signal);
  return keep(grid, "beside", [signal, rest], [], () => {
    const [own, others] = excitationsOf(grid, [signal, rest]);
    return partialLoudnessSones(grid, own!, others!);
  });
}

/** One layer of a stretch. */
export interface LayerContent {
  /** What it is made of. */
  readonly content: Content;
  /** Share of the stretch in which it sounds. */
  readonly soundingShare: number;
}

/** Loudness of all together and of each layer among the others, while it sounds. */
export interface LayersHeard {
  /** Sones of everything together. */
  readonly whole: number;
  /** Sones left of each layer. */
  readonly partial: Float64Array;
  /** Sones of each layer in quiet. */
  readonly alone: Float64Array;
}

/**
 * Loudness of what sounds together and of each layer in it.
 *
 * @param grid the ear's filters
 * @param layers the layers
 * @returns sones of the whole and of each layer, in the order given
 */
export function layersHeard(grid: EarGrid, layers: readonly LayerContent[]): LayersHeard {
  const contents = layers.map((l) => l.content);
  const shares = layers.map((l) => l.soundingShare);
  return keep(grid, "layers", contents, shares, () => {
    const heard = loudnessWhileSounding(grid, excitationsOf(grid, contents), shares);
    const alone = layers.map((l) => sonesAlone(grid, scaled(l.content, 1 / l.soundingShare)));
    return { ...heard, alone: Float64Array.from(alone) };
  });
}
