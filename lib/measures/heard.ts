/** How loud what sounds together is, by what it is made of; what was worked out once is kept. */
import { layerLoudness, loudnessWhileSounding } from "../hearing/layer_loudness.ts";
import { loudnessSones } from "../hearing/loudness.ts";
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
const kept = new WeakMap<EarGrid, Map<string, unknown>>();
const RESULTS_KEPT = 50_000;

function keep<T>(grid: EarGrid, key: string, make: () => T): T {
  let own = kept.get(grid);
  if (!own) kept.set(grid, own = new Map());
  const known = own.get(key);
  if (known !== undefined) return known as T;
  const made = make();
  if (own.size >= RESULTS_KEPT) own.clear();
  own.set(key, made);
  return made;
}

/**
 * Names what something is made of.
 *
 * @param content the sounds
 * @returns the same text for the same content
 */
export function contentKey(content: Content): string {
  let key = "";
  for (const { sound, share } of content) key += `${sound.id}*${share},`;
  return key;
}

/**
 * Adds contents.
 *
 * @param contents contents in any order
 * @returns one entry per sound
 */
export function together(contents: readonly Content[]): Content {
  if (contents.length === 1) return contents[0]!;
  const shares = new Map<NoteSound, number>();
  for (const content of contents) {
    for (const { sound, share } of content) shares.set(sound, (shares.get(sound) ?? 0) + share);
  }
  return contentOf(shares);
}

/**
 * Puts sounds in the order in which contents are compared.
 *
 * @param shares mean power per sound
 * @returns the content
 */
export function contentOf(shares: ReadonlyMap<NoteSound, number>): Content {
  return [...shares].map(([sound, share]) => ({ sound, share })).sort((a, b) => a.sound.id - b.sound.id);
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
  return keep(grid, contentKey(content), () => loudnessSones(grid, excitationsOf(grid, [content])[0]!));
}

/**
 * Loudness left of some sounds beside others.
 *
 * @param grid the ear's filters
 * @param signal what is listened for
 * @param rest everything else that counts against it
 * @param fused what sounds too but merges with the signal: it takes part in setting the ear's filters, no more
 * @returns sones
 */
export function sonesBeside(grid: EarGrid, signal: Content, rest: Content, fused: Content = []): number {
  if (rest.length === 0 && fused.length === 0) return sonesAlone(grid, signal);
  const key = `${contentKey(signal)}|${contentKey(rest)}|${contentKey(fused)}`;
  return keep(grid, key, () => {
    const [own, others] = excitationsOf(grid, [signal, rest, fused]);
    return layerLoudness(grid, [own!, others!]).partial[0]!;
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
  const key = layers.map((l) => `${contentKey(l.content)}@${l.soundingShare}`).join("|");
  return keep(grid, key, () => {
    const heard = loudnessWhileSounding(
      grid,
      excitationsOf(grid, layers.map((l) => l.content)),
      layers.map((l) => l.soundingShare),
    );
    const alone = layers.map((l) => sonesAlone(grid, scaled(l.content, 1 / l.soundingShare)));
    return { ...heard, alone: Float64Array.from(alone) };
  });
}
