/** How loud what sounds together is, by what it is made of; what was worked out once is kept. */
import { memo, memoOf, memoOfFigures } from "../../base/memo.ts";
import { loudnessWhileSounding } from "../../hearing/model/layer_loudness.ts";
import { loudnessSones } from "../../hearing/model/loudness.ts";
import { partialLoudnessSones } from "../../hearing/model/partial_loudness.ts";
import { BIN_COUNT, excitationsTogether } from "../../hearing/model/shared_filters.ts";
import type { EarGrid } from "./ear_grid.ts";
import type { NoteSound } from "./note_sound.ts";

/**
 * What something is made of, in the order in which the score has it: sums then come out the same to the last digit,
 * whatever was listened to before.
 */
export interface Content {
  /** Equal contents have one number, as long as they are kept; different ones never share one. */
  readonly id: number;
  readonly sounds: readonly NoteSound[];
  /** Mean power of each over a stretch of time, as a share of its full power. */
  readonly shares: readonly number[];
}

/** Results of a kind that are kept per grid; most of them are a number or an excitation of 0.6 kB. */
const RESULTS_KEPT = 30_000;

/** Contents are few: a chord that goes on is the same content again in every moment. Those of one hash stand together. */
const contents = memo<Content[], number>(RESULTS_KEPT);
let contentsMet = 0;

/** What sounds, each with its share: the first of two lists side by side, as many as are counted. */
export function contentOf(
  sounds: readonly NoteSound[],
  shares: readonly number[],
  count: number = sounds.length,
): Content {
  let hash = count;
  for (let i = 0; i < count; i++) {
    hash = Math.imul(hash ^ (hash >>> 15) ^ sounds[i]!.id, 0x9e3779b1);
    hash = Math.imul(hash ^ (hash >>> 15) ^ (shares[i]! * 0x100000), 0x85ebca77);
  }
  const met = contents((hash ^ (hash >>> 13)) & 0x3fffffff, () => []);
  for (let i = 0; i < met.length; i++) if (isMadeOf(met[i]!, sounds, shares, count)) return met[i]!;
  const content = { id: contentsMet++, sounds: sounds.slice(0, count), shares: shares.slice(0, count) };
  met.push(content);
  return content;
}

/** Whether a content is made of these sounds with these shares, as many as are counted. */
export function isMadeOf(
  content: Content,
  sounds: readonly NoteSound[],
  shares: readonly number[],
  count: number,
): boolean {
  if (content.sounds.length !== count) return false;
  for (let i = 0; i < count; i++) {
    if (content.sounds[i] !== sounds[i] || content.shares[i] !== shares[i]) return false;
  }
  return true;
}

/** Adds contents. */
export function together(contents: readonly Content[]): Content {
  if (contents.length === 1) return contents[0]!;
  const sounds = contents.map((one) => one.sounds), shares = contents.map((one) => one.shares);
  return contentOf(([] as NoteSound[]).concat(...sounds), ([] as number[]).concat(...shares));
}

/** The same at another strength. */
export function scaled(content: Content, power: number): Content {
  return power === 1 ? content : contentOf(content.sounds, content.shares.map((share) => share * power));
}

/** What is kept per grid. It depends on nothing but the contents, which have numbers, and on factors. */
const keptOf = memoOf((grid: EarGrid) => ({
  excitations: memo<Float64Array, number>(RESULTS_KEPT),
  alone: memoOfFigures<number>(RESULTS_KEPT),
  beside: memoOfFigures<SonesBeside>(RESULTS_KEPT),
  layers: memoOfFigures<LayersHeard>(RESULTS_KEPT),
  ofSounds: memoOf((sound: NoteSound) =>
    excitationsTogether(grid, [binsOf({ sounds: [sound], shares: [1] })])[0]!
  ),
  /** Lists to work in, for each group that is heard together with others. */
  desk: [] as { readonly bins: Float64Array; readonly excitation: Float64Array }[],
}));

/** Excitation of groups of sounds that are heard together. */
export function excitationsOf(grid: EarGrid, groups: readonly Content[]): readonly Float64Array[] {
  if (grid.detail === "full") {
    return excitationsTogether(grid, groups.map(binsOf));
  }
  return groups.map((content) => ownExcitation(grid, content));
}

/** Excitation of a content where every note has its own filters, and excitations just add up. */
function ownExcitation(grid: EarGrid, { id, sounds, shares }: Content): Float64Array {
  const { excitations, ofSounds } = keptOf(grid);
  return excitations(id, () => {
    const sum = new Float64Array(grid.centresHz.length);
    for (let i = 0; i < sounds.length; i++) {
      const own = ofSounds(sounds[i]!), share = shares[i]!;
      for (let c = 0; c < sum.length; c++) sum[c]! += own[c]! * share;
    }
    return sum;
  });
}

function binsOf(content: Pick<Content, "sounds" | "shares">): Float64Array {
  const sum = new Float64Array(BIN_COUNT);
  addBins(sum, content, 1);
  return sum;
}

/** Adds what a content holds in each bin, stronger or weaker by a factor. */
function addBins(
  sum: Float64Array,
  { sounds, shares }: Pick<Content, "sounds" | "shares">,
  factor: number,
): void {
  for (let s = 0; s < sounds.length; s++) {
    const { bins, power } = sounds[s]!.binned;
    const share = shares[s]! * factor;
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
      for (const one of of) addBins(bins, one, factor);
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

/** What is asked for, filled anew each time: what is kept is a copy. */
const askedFor: number[] = [];

/** Loudness of some sounds in quiet, stronger or weaker by a factor. */
export function sonesAlone(grid: EarGrid, content: Content, factor: number = 1): number {
  askedFor.length = 0;
  askedFor.push(content.id, factor);
  return keptOf(grid).alone(
    askedFor,
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
  askedFor.length = 0;
  askedFor.push(signal.id, factor);
  for (const { id, sounds } of rest) if (sounds.length > 0) askedFor.push(id);
  return keptOf(grid).beside(askedFor, () => {
    const others = rest.filter((content) => content.sounds.length > 0);
    const alone = sonesAlone(grid, signal);
    if (others.length === 0) return { alone, left: alone };
    const groups = [{ of: [signal], factor: 1 }, { of: others, factor }];
    const [excitation, noise] = excitationsTogetherOf(grid, groups);
    return { alone, left: partialLoudnessSones(grid, excitation!, noise!) };
  });
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
  askedFor.length = 0;
  for (const { content, soundingShare } of layers) askedFor.push(content.id, soundingShare);
  return keptOf(grid).layers(askedFor, () => {
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
