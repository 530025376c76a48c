/** The words and the three labels that annotators of texture give, and how far what was read agrees with them. */
import type { FigureShape } from "../../lib/texture/figure_shapes.ts";
import type { RoleCell } from "../../lib/texture/model.ts";

/** The annotators' words for what a layer plays, and ours; the rows of the models of texture follow this order. */
export const ANNOTATED_SHAPES: Readonly<Record<string, FigureShape>> = {
  mel: "tune",
  decmel: "second line",
  rhythm: "rhythmic pattern",
  repeat_note: "repeated notes",
  osc: "alternation",
  batt: "alternation",
  arp: "broken chord",
  scale: "scale",
  harm: "held notes",
  sparse: "isolated notes",
};

/** Melody, rhythm, harmony: 1 where it holds. */
export type Labels = readonly number[];

/** What each broad kind counts as. */
export const LABELS: Readonly<Record<RoleCell["does"], Labels>> = {
  melody: [1, 0, 0],
  line: [1, 1, 0],
  moving: [0, 1, 0],
  held: [0, 0, 1],
  isolated: [0, 1, 1],
  silent: [0, 0, 0],
};

/** A cell as it was read, and as people hear it. */
export interface LabelPair {
  readonly own: Labels;
  readonly truth: Labels;
}

/** Share of the cells in which all three labels agree. */
export function exactShare(pairs: readonly LabelPair[]): number {
  return pairs.filter(({ own, truth }) => own.every((x, l) => x === truth[l])).length / pairs.length;
}

/** Harmonic mean of precision and recall of one label; 0 where nobody gives it. */
export function labelF1(pairs: readonly LabelPair[], label: number): number {
  const both = pairs.filter(({ own, truth }) => own[label] === 1 && truth[label] === 1).length;
  const either = pairs.reduce((sum, { own, truth }) => sum + own[label]! + truth[label]!, 0);
  return either === 0 ? 0 : 2 * both / either;
}
