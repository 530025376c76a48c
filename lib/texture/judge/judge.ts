/** From clues to probabilities: what kind each part is, who leads along the way, and what each part does broadly. */
import { broadAround, broadRows } from "./broad_clues.ts";
import type { Evidence, EvidenceRows } from "../clues/evidence.ts";
import type { FigureShape } from "../figure_shapes.ts";
import { FLOOR, type LeadCourse, leadCourse } from "./lead_course.ts";
import { leadRows } from "./lead_clues.ts";
import { phraseRows, sharesOfBars } from "./phrase_clues.ts";
import { readAlike } from "./read_alike.ts";
import { rowsFor } from "../clues/rows.ts";
import { type LinearModel, logShares, type TextureWeights, valuesOf } from "./weights.ts";

/** Logarithms of the shares of what a model tells apart, per cell. */
function sharesOf(rows: EvidenceRows, model: LinearModel, { scene: { sounds } }: Evidence): EvidenceRows {
  const shares = rowsFor(sounds, model.offsets.length);
  rows.forEach((row, i) => {
    if (sounds[i]) shares[i]!.set(logShares(valuesOf(model, row)));
  });
  return shares;
}

/** Logarithms of the shares of each kind, per cell; rounded up to a floor. */
export function kindShares(
  evidence: Evidence,
  weights: Pick<TextureWeights, "kinds" | "kind">,
): EvidenceRows {
  const shares = sharesOf(evidence.clues, weights.kind, evidence);
  for (const row of shares) for (let k = 0; k < row.length; k++) row[k] = Math.max(FLOOR, row[k]!);
  return shares;
}

/** What the models say of a score. */
export interface Judgement {
  /** Names of the kinds: the shape each is of. */
  readonly names: readonly FigureShape[];
  /** Per cell, logarithms of the shares of the kinds. */
  readonly kinds: EvidenceRows;
  /** Who leads. */
  readonly lead: LeadCourse;
  /** Per cell, logarithms of the shares of the broad kinds, in the order of `BROAD_KINDS`. */
  readonly broad: EvidenceRows;
  /** What the notes show. */
  readonly evidence: Evidence;
  /** What the lead was judged by, per cell. */
  readonly leadRows: EvidenceRows;
  /** The models. */
  readonly weights: TextureWeights;
}

/** How much each part asks to be followed by a model, per cell. */
export function saliences(rows: EvidenceRows, model: LinearModel, { scene }: Evidence): Float64Array {
  const values = new Float64Array(rows.length);
  rows.forEach((row, i) => {
    if (scene.sounds[i]) values[i] = valuesOf(model, row)[0]!;
  });
  return values;
}

/** Who leads: asked of every bar alone, and then of the bars in their phrases. */
export function leadOf(
  rows: EvidenceRows,
  { lead, phrase }: Pick<TextureWeights, "lead" | "phrase">,
  evidence: Evidence,
): LeadCourse {
  const alone = sharesOfBars(saliences(rows, lead, evidence), evidence);
  return leadCourse(saliences(phraseRows(alone, evidence), phrase, evidence), evidence);
}

/**
 * Kinds, lead and broad kind of every part in every bar.
 *
 * @param evidence what the notes show
 * @param weights the models
 * @returns what the models say
 */
export function judge(evidence: Evidence, weights: TextureWeights): Judgement {
  const kinds = kindShares(evidence, weights);
  const around = broadAround(kinds, weights.kinds, evidence);
  const rows = leadRows(evidence, kinds, around);
  const lead = leadOf(rows, weights, evidence);
  const alone = sharesOf(broadRows(evidence, kinds, around, lead), weights.broad, evidence);
  const broad = readAlike(alone, evidence);
  return { names: weights.kinds, kinds, lead, broad, evidence, leadRows: rows, weights };
}
