/** What the notes of every part do in every bar: the shapes of their figures. */
import type { Share } from "../../base/units.ts";
import { rollsOn } from "../clues/rolls_on.ts";
import { isTrilled, plainRole, staysUnderSlashes } from "../clues/plain_role.ts";
import { shapeCluesOf } from "../clues/shape_clues.ts";
import type { CellFeatures } from "../features/features.ts";
import type { FigureShape } from "../figure_shapes.ts";
import { brokenOrTune } from "../judge/broken_or_tune.ts";
import { FIGURE_WEIGHTS, type FigureWeights, shapeValues } from "../judge/figure_weights.ts";
import { likeliest, logShares } from "../judge/weights.ts";
import { RULES } from "../rules.ts";
import { beatFigure, isPulseInThrees } from "./name_figure.ts";
import type { ScoreFrame } from "../features/score_frame.ts";

/** The shape of one part's notes in one bar. */
export interface ShapeReading {
  /** The shape; `none` in silence, and where no shape is likely enough to be worth a name. */
  readonly shape: FigureShape | "none";
  /** How sure the likeliest shape is, 0 to 1. */
  readonly confidence: Share;
}

/** What shapes may be read by instead. */
export interface ShapeOptions {
  /** Other weights than those of `data/figure_weights.json`. */
  readonly weights?: FigureWeights;
  /**
   * How far rare shapes count for more, from 0, as often as they come, to 1, all shapes alike: the more, the fewer are
   * missed, and the more are called so that are not. By default that of the weights, 0.25.
   */
  readonly evenness?: Share;
  /** Confidence below which a shape is not worth a name, 0 to 1. Default 0.35. */
  readonly leastConfidence?: Share;
}

/** Whether notes that last are under slashes too quick to count. */
function isUnmeasured(f: CellFeatures): boolean {
  return f.unmeasured >= RULES.ornamentedFrom && staysUnderSlashes(f);
}

/** Shape that leaves no doubt: a trill, slashes too quick to count, one rhythm on one pitch. */
function signedShape(f: CellFeatures, ticksPerQuarter: number): ShapeReading["shape"] | undefined {
  if (!f.sounds) return "none";
  if (f.line.length === 0) return "held notes";
  if (isTrilled(f)) return "trill";
  if (isUnmeasured(f) || rollsOn(f)) return "tremolo";
  if (f.swelling) return "held notes";
  const isSlashed = f.tremolo >= RULES.ornamentedFrom; // then the model weighs what the notes do between the strokes
  const isPulse = plainRole(f) === "pulse" || isPulseInThrees(f, ticksPerQuarter);
  return !isSlashed && isPulse ? "repeated notes" : undefined;
}

/** Whether strokes stand on every beat but the first, at least two: a figure of the table, whatever the model makes of it. */
function isAfterBeats(f: CellFeatures, ticksPerQuarter: number): boolean {
  return f.line.length >= 2 && beatFigure(f, ticksPerQuarter) === "after-beats";
}

/**
 * The shape of every part's notes in every bar.
 *
 * @param score the score
 * @param features features of the same score
 * @param options who leads, weights, and how readily shapes are named
 * @returns one reading per bar and part, by bar, then part
 */
export function readShapes(
  score: ScoreFrame,
  features: readonly CellFeatures[],
  { leads, weights = FIGURE_WEIGHTS, evenness = weights.evenness, leastConfidence = RULES.shapeFrom }:
    & ShapeOptions
    & {
      /** Whether a cell leads beside others, in what may be a tune. */
      readonly leads: (cell: number) => boolean;
    },
): readonly ShapeReading[] {
  const signs = features.map((f) => signedShape(f, score.ticksPerQuarter));
  const isWeighed = (cell: number) => signs[cell] === undefined;
  const values = shapeCluesOf(score, features, isWeighed).map((row) =>
    row.length > 0 ? shapeValues(weights, row, evenness) : row
  );
  const known = { shapes: weights.shapes, parts: score.parts.length, isWeighed, leads, evenness };
  return features.map((f, cell): ShapeReading => {
    const signed = signs[cell];
    if (signed) return { shape: signed, confidence: 1 };
    const shares = logShares(brokenOrTune(values, cell, known));
    const most = likeliest(shares);
    const share = Math.exp(shares[most]!);
    const unsure = isAfterBeats(f, score.ticksPerQuarter) ? "repeated notes" : "none";
    return {
      shape: share < leastConfidence ? unsure : weights.shapes[most]!,
      confidence: Math.round(share * 100) / 100,
    };
  });
}
