/** How loud what sounds together is, by what it is made of; what was worked out once is kept. */
import { memoOf, memoOfFigures } from "../../base/memo.ts";
import { loudnessWhileSounding } from "../../hearing/model/layer_loudness.ts";
import { loudnessSones } from "../../hearing/model/loudness.ts";
import { partialLoudnessSones } from "../../hearing/model/partial_loudness.ts";
import { BIN_COUNT, excitationsTogether } from "../../hearing/model/shared_filters.ts";
import type { EarGrid } from "./ear_grid.ts";
import type { NoteSound } from "./note_sound.ts";

/** A sound and its mean power over a stretch of time, as a share of its full power. */
export interface Ingredient {
  readonly sound: NoteSound;
  /** Mean power, 0 to 1. */
  readonly share: number;
}

/**
 * What something is made of, in the order in which the score has it: sums then come out the same to the last digit,
 * whatever was listened to before.
 */
export type Content = readonly Ingredient[];

/** Results of a kind that are kept per grid; most of them are a number or an excitation of 0.6 kB. */
const RESULTS_KEPT = 30_000;

/** What is kept per grid. It depends on nothing but the sounds, which have numbers, and their shares. */
const keptOf = memoOf((grid: EarGrid) => ({
  contents: memoOfFigures<KnownContent>(RESULTS_KEPT),
  alone: memoOfFigures<number>(RESULTS_KEPT),
  beside: memoOfFigures<number>(RESULTS_KEPT),
  layers: memoOfFigures<LayersHeard>(RESULTS_KEPT),
  excitations: memoOf((sound: NoteSound) => excitationsTogether(grid, [binsOf([{ sound, share: 1 }])])[0]!),
}));

/** A content under a number of its own, and what is worked out of it by itself. */
interface KnownContent {
  readonly id: number;
  /** What it is made of, where all that sounds together sets the slopes of the filters. */
  readonly content: Content | undefined;
  /** Excitation, where every note has its own filters and excitations just add up. */
  readonly excitation: Float64Array | undefined;
}

let contentsMet = 0;

/** The list that asks for contents; made anew ten thousand times, it would have to be cleared away as often. */
const figures: number[] = [];

function known(grid: EarGrid, content: Content): KnownContent {
  figures.length = 2 * content.length;
  for (let i = 0; i < content.length; i++) {
    figures[2 * i] = content[i]!.sound.id;
    figures[2 * i + 1] = content[i]!.share;
  }
  return keptOf(grid).contents(figures, () => ({
    id: contentsMet++,
    content: grid.detail === "full" ? content : undefined,
    excitation: grid.detail === "quick" ? excitationsOf(grid, [content])[0]! : undefined,
  }));
}

/** Adds contents. */
export function together(contents: readonly Content[]): Content {
  return contents.length === 1 ? contents[0]! : contents.flat();
}

/** The same at another strength. */
export function scaled(content: Content, power: number): Content {
  return power === 1 ? content : content.map(({ sound, share }) => ({ sound, share: share * power }));
}

/** Excitation of groups of sounds that are heard together. */
export function excitationsOf(grid: EarGrid, groups: readonly Content[]): readonly Float64Array[] {
  if (grid.detail === "full") return excitationsTogether(grid, groups.map(binsOf));
  const { excitations } = keptOf(grid);
  return groups.map((content) => {
    const sum = new Float64Array(grid.centresHz.length);
    for (const { sound, share } of content) {
      const own = excitations(sound);
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

/** Excitation of known contents that are heard together, each stronger or weaker by a factor. */
function excitationsTogetherOf(
  grid: EarGrid,
  groups: readonly { readonly of: readonly KnownContent[]; readonly factor: number }[],
): readonly Float64Array[] {
  if (grid.detail === "full") {
    return excitationsOf(
      grid,
      groups.map(({ of, factor }) => scaled(together(of.map((k) => k.content!)), factor)),
    );
  }
  return groups.map(({ of, factor }) => {
    const [only] = of;
    if (of.length === 1 && factor === 1) return only!.excitation!;
    const sum = new Float64Array(grid.centresHz.length);
    for (const { excitation } of of) for (let c = 0; c < sum.length; c++) sum[c]! += excitation![c]!;
    for (let c = 0; c < sum.length; c++) sum[c]! *= factor;
    return sum;
  });
}

/** Loudness of some sounds in quiet. */
export function sonesAlone(grid: EarGrid, content: Content): number {
  return knownAlone(grid, known(grid, content), 1);
}

function knownAlone(grid: EarGrid, signal: KnownContent, factor: number): number {
  return keptOf(grid).alone(
    [signal.id, factor],
    () => loudnessSones(grid, excitationsTogetherOf(grid, [{ of: [signal], factor }])[0]!),
  );
}

/** Loudness of some sounds in quiet, and what is left of it beside others. */
interface SonesBeside {
  readonly alone: number;
  readonly left: number;
}

/** Loudness of some sounds in quiet, and what is left of it beside others. */
export function sonesBeside(
  grid: EarGrid,
  signal: Content,
  rest: readonly Content[],
  factor: number = 1,
): SonesBeside {
  const own = known(grid, signal);
  const alone = knownAlone(grid, own, 1);
  const others = rest.filter((content) => content.length > 0).map((content) => known(grid, content));
  if (others.length === 0) return { alone, left: alone };
  const key = [own.id, factor, ...others.map((one) => one.id)];
  const left = keptOf(grid).beside(key, () => {
    const groups = [{ of: [own], factor: 1 }, { of: others, factor }];
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
  const contents = layers.map((l) => known(grid, l.content));
  const key = layers.flatMap((l, i) => [contents[i]!.id, l.soundingShare]);
  return keptOf(grid).layers(key, () => {
    const excitations = excitationsTogetherOf(grid, contents.map((one) => ({ of: [one], factor: 1 })));
    const heard = loudnessWhileSounding(grid, excitations, {
      soundingShares: layers.map((l) => l.soundingShare),
    });
    const alone = contents.map((one, i) => knownAlone(grid, one, 1 / layers[i]!.soundingShare));
    return { ...heard, alone: Float64Array.from(alone) };
  });
}
