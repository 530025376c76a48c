/** Figures of somebody's own, found in the notes. */
import type { CellFeatures } from "../features/features.ts";
import { hasPattern } from "../clues/pattern_of.ts";
import type { DefinedFigure } from "../define_figure.ts";

/** The first of some figures whose strokes and tones fill a bar. */
export function ownFigureIn(
  features: CellFeatures,
  figures: readonly DefinedFigure[],
  ticksPerQuarter: number,
): DefinedFigure | undefined {
  return figures.find(({ id, strokes, cellQuarters, tones }) =>
    hasPattern(features, { id, strokes, cellQuarters, tones: steps(tones, strokes.length) }, ticksPerQuarter)
  );
}

/** Tones in words as steps, one for each stroke. */
function steps(tones: DefinedFigure["tones"], strokes: number): readonly number[] {
  if (typeof tones === "object") return tones;
  return Array.from({ length: strokes }, (_, i) => tones === "alternating" ? i % 2 : 0);
}
