/** How loud what sounds together is, by what it is made of; what was worked out once is kept. */
import { memo, memoOf, memoOfFigures } from "../../base/memo.ts";
import { loudnessWhileSounding } from "../../hearing/model/layer_loudness.ts";
import { loudnessSones } from "../../hearing/model/loudness.ts";
import { partialLoudnessSones } from "../../hearing/model/partial_loudness.ts";
import { BIN_COUNT, excitationsTogether } from "../../hearing/model/shared_filters.ts";
import type { EarGrid } from "./ear_grid.ts";
import type { NoteSound } from "./note_sound.ts";

/** A sound and its mean power over a stretch of time, as a share of its full power. */
interface Ingredient {
  readonly sound: NoteSound;
  /** Mean power, 0 to 1. */
  readonly share: number;
}

/**
 * What something is made of, in the order in which the score has it: sums then come out the same to the last digit,
 * whatever was listened to before.
 */
export interface Content {
  /** Equal contents have one number, as long as they are kept; different ones never share one. */
  readonly id: number;
  readonly ingredients: readonly Ingredient[];
}

/** Results of a kind that are kept per grid; most of them are a number or an excitation of 0.6 kB. */
const RESULTS_KEPT = 30_000;

/** Contents are few: a chord that goes on is the same content again in every moment. */
const contents = memoOfFigures<Content>(RESULTS_KEPT);
let contentsMet = 0;

/** The list that asks for contents; made anew ten thousand times, it would have to be cleared away as often. */
const figures: number[] = [];

/** What sounds, each with its share: the first of two lists side by side, as many as are counted. */
export function contentOf(
  sounds: readonly NoteSound[],
  shares: readonly number[],
  count: number = sounds.length,
): Content {
  figures.length = 2 * count;
  for (let i = 0; i < count; i++) {
    figures[2 * i] = sounds[i]!.id;
    figures[2 * i + 1] = shares[i]!;
  }
  return contents(figures, () => ({
    id: contentsMet++,
    ingredients: Array.from({ length: count }, (_, i) => ({ sound: sounds[i]!, share: shares[i]! })),
  }));
}

/** The content of some ingredients. */
function contentFrom(ingredients: readonly Ingredient[]): Content {
  return contentOf(ingredients.map((one) => one.sound), ingredients.map((one) => one.share));
}

/** Adds contents. */
export function together(contents: readonly Content[]): Content {
  return contents.length === 1 ? contents[0]! : contentFrom(contents.flatMap((one) => one.ingredients));
}

/** The same at another strength. */
export function scaled(content: Content, power: number): Content {
  return power === 1 ? content : contentFrom(stronger(content.ingredients, power));
}

function stronger(ingredients: readonly Ingredient[], power: number): readonly Ingredient[] {
  return power === 1 ? ingredients : ingredients.map(({ sound, share }) => ({ sound, share: share * power }));
}

/** What is kept per grid. It depends on nothing but the contents, which have numbers, and on factors. */
const keptOf = memoOf((grid: EarGrid) => ({
  excitations: memo<Float64Array, number>(RESULTS_KEPT),
  alone: memoOfFigures<number>(RESULTS_KEPT),
  beside: memoOfFigures<number>(RESULTS_KEPT),
  layers: memoOfFigures<LayersHeard>(RESULTS_KEPT),
  ofSounds: memoOf((sound: NoteSound) => excitationsTogether(grid, [binsOf([{ sound, share: 1 }])])[0]!),
  /** Lists to work in, for each group that is heard together with others. */
  desk: [] as { readonly bins: Float64Array; readonly excitation: Float64Array }[],
}));

/** Excitation of groups of sounds that are heard together. */
export function excitationsOf(grid: EarGrid, groups: readonly Content[]): readonly Float64Array[] {
  if (grid.detail === "full") {
    return excitationsTogether(grid, groups.map(({ ingredients }) => binsOf(ingredients)));
  }
  return groups.map((content) => ownExcitation(grid, content));
}

/** Excitation of a content where every note has its own filters, and excitations just add up. */
function ownExcitation(grid: EarGrid, { id, ingredients }: Content): Float64Array {
  const { excitations, ofSounds } = keptOf(grid);
  return excitations(id, () => {
    const sum = new Float64Array(grid.centresHz.length);
    for (const { sound, share } of ingredients) {
      const own = ofSounds(sound);
      for (let c = 0; c < sum.length; c++) sum[c]! += own[c]! * share;
    }
    return sum;
  });
}

function binsOf(ingredients: readonly Ingredient[]): Float64Array {
  const sum = new Float64Array(BIN_COUNT);
  addBins(sum, ingredients, 1);
  return sum;
}

/** Adds what some ingredients hold in each bin, stronger or weaker by a factor. */
function addBins(sum: Float64Array, ingredients: readonly Ingredient[], factor: number): void {
  for (const ingredient of ingredients) {
    const { bins, power } = ingredient.sound.binned;
    const share = ingredient.share * factor;
    for (let i = 0; i < bins.length; i++) sum[bins[i]!]! += power[i]! * share;
  }
}

/** Excitation of contents that are heard together, each stronger or weaker by a factor; it holds until the next is asked for. */
function excitationsTogetherOf(
  grid: EarGrid,
  groups: readonly { readonly of: readonly Content[]; readonly factor: number }[],
): readonly Float64Array[] {
  if (grid.detail === "full") {
    const { desk } = keptOf(grid);
    while (desk.length < groups.length) {
      desk.push({
        bins: new Float64Array(BIN_COUNT),
        excitation: new Float64Array(grid.centresHz.length),
      });
    }
    const own = desk.slice(0, groups.length);
    groups.forEach(({ of, factor }, g) => {
      const bins = own[g]!.bins.fill(0);
      for (const one of of) addBins(bins, one.ingredients, factor);
    });
    return excitationsTogether(grid, own.map((o) => o.bins), own.map((o) => o.excitation));
  }
  return groups.map(({ of, factor }) => {
    const [only] = of;
    if (of.length === 1 && factor === 1) return ownExcitation(grid, only!);
    const sum = new Float64Array(grid.centresHz.length);
    for (const content of of) {
      const excitation = ownExcitation(grid, content);
      for (let c = 0; c < sum.length; c++) sum[c]! += excitation[c]!;
    }
    for (let c = 0; c < sum.length; c++) sum[c]! *= factor;
    return sum;
  });
}

/** Loudness of some sounds in quiet, stronger or weaker by a factor. */
export function sonesAlone(grid: EarGrid, content: Content, factor: number = 1): number {
  return keptOf(grid).alone(
    [content.id, factor],
    () => loudnessSones(grid, excitationsTogetherOf(grid, [{ of: [content], factor }])[0]!),
  );
}

/** Loudness of some sounds in quiet, and what is left of it beside others. */
interface SonesBeside {
  readonly alone: number;
  readonly left: number;
}

/** Loudness of some sounds in quiet, and what is left of it beside others, these stronger or weaker by a factor. */
export function sonesBeside(
  grid: EarGrid,
  signal: Content,
  rest: readonly Content[],
  factor: number = 1,
): SonesBeside {
  const alone = sonesAlone(grid, signal);
  const others = rest.filter((content) => content.ingredients.length > 0);
  if (others.length === 0) return { alone, left: alone };
  const key = [signal.id, factor];
  for (const { id } of others) key.push(id);
  const left = keptOf(grid).beside(key, () => {
    const groups = [{ of: [signal], factor: 1 }, { of: others, factor }];
    const [excitation, noise] = excitationsTogetherOf(grid, groups);
    return partialLoudnessSones(grid, excitation!, noise!);
  });
  return { alone, left };
}

/** One layer of a stretch. */
interface LayerContent {
  readonly content: Content;
  /** Share of the stretch in which it sounds. */
  readonly soundingShare: number;
}

/** Loudness of all together and of each layer among the others, while it sounds. */
interface LayersHeard {
  readonly whole: number;
  readonly partial: Float64Array;
  /** Sones of each layer in quiet. */
  readonly alone: Float64Array;
}

/** Loudness of what sounds together and of each layer in it. */
export function layersHeard(grid: EarGrid, layers: readonly LayerContent[]): LayersHeard {
  const key: number[] = [];
  for (const { content, soundingShare } of layers) key.push(content.id, soundingShare);
  return keptOf(grid).layers(key, () => {
    const excitations = excitationsTogetherOf(
      grid,
      layers.map(({ content }) => ({ of: [content], factor: 1 })),
    );
    const heard = loudnessWhileSounding(grid, excitations, {
      soundingShares: layers.map((l) => l.soundingShare),
    });
    const alone = layers.map(({ content, soundingShare }) => sonesAlone(grid, content, 1 / soundingShare));
    return { ...heard, alone: new Float64Array(alone) };
  });
}
