/** Whether notes that leap through a chord are a broken chord or a tune: by the bars beside, and by who is followed. */
import type { FigureShape } from "../figure_shapes.ts";
import type { Share } from "../../base/units.ts";

/** What each bar beside counts: a broken chord goes on, a tune passes through it. Model assumption. */
const BESIDE = 0.2;
/** How far what leads is a tune rather than a broken chord, in logarithms of odds; nothing where all shapes count alike. */
const LEADING = 9;

/** What is known of the cells beside their values. */
interface BrokenOrTune {
  /** The shapes, in the order of the values. */
  readonly shapes: readonly FigureShape[];
  readonly parts: number;
  /** Whether a cell was weighed: not silent, nor plain. */
  readonly isWeighed: (cell: number) => boolean;
  /** Whether a cell leads beside others, in what may be a tune. */
  readonly leads: (cell: number) => boolean;
  /** How far rare shapes count for more, 0 to 1. */
  readonly evenness: Share;
}

/**
 * The values of a cell's shapes with those of tune and broken chord settled: how far the one outweighs the other is the
 * mean over the bar and those beside it, and what leads is a tune.
 *
 * @param values one value per shape, cell by cell
 * @param cell index of the cell
 * @param known shapes and surroundings
 * @returns the cell's values; what tune and broken chord weigh together stays as it was
 */
export function brokenOrTune(
  values: readonly (readonly number[])[],
  cell: number,
  { shapes, parts, isWeighed, leads, evenness }: BrokenOrTune,
): readonly number[] {
  const own = values[cell]!;
  const [tune, broken] = [shapes.indexOf("tune"), shapes.indexOf("broken chord")];
  if (tune < 0 || broken < 0) return own;
  const lean = (i: number) => values[i]![broken]! - values[i]![tune]!;
  const beside = [cell - parts, cell + parts].filter((i) => i >= 0 && i < values.length && isWeighed(i));
  const sum = beside.reduce((all, i) => all + BESIDE * lean(i), lean(cell));
  const leaning = sum / (1 + BESIDE * beside.length);
  const together = Math.log(Math.exp(own[tune]!) + Math.exp(own[broken]!));
  const settled = own.slice();
  settled[tune] = together - Math.log1p(Math.exp(leaning));
  settled[broken] = together - Math.log1p(Math.exp(-leaning));
  const isLikeliest = settled.every((value) => value <= settled[broken]!);
  if (isLikeliest && leads(cell)) settled[broken] -= LEADING * (1 - evenness);
  return settled;
}
