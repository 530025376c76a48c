/** From clues to probabilities: what kind each part is, who leads along the way, and what each part does broadly. */
import { broadAround, broadRowsOf } from "./broad_clues.ts";
import type { Evidence, EvidenceRows } from "../clues/evidence.ts";
import type { FigureShape } from "../figure_shapes.ts";
import { candidatesOf, FLOOR, type LeadCourse, leadCourse } from "./lead_course.ts";
import { leadRowsOf } from "./lead_clues.ts";
import { phraseRowsOf, sharesOfBars } from "./phrase_clues.ts";
import { readAlike } from "./read_alike.ts";
import { rowsFor, type RowsOf } from "../clues/rows.ts";
import { type LinearModel, logShares, type TextureWeights, valuesOf } from "./weights.ts";

/** Logarithms of the shares of what a model tells apart, per cell. */
function sharesOf(
  rowOf: (cell: number) => Float64Array,
  model: LinearModel,
  { scene: { sounds } }: Evidence,
): EvidenceRows {
  const shares = rowsFor(sounds, model.offsets.length);
  sounds.forEach((isHeard, i) => {
    if (isHeard) shares[i]!.set(logShares(valuesOf(model, rowOf(i))));
  });
  return shares;
}

/** Rows one after the other in one list, each written over the one before. */
function inTurn({ width, write }: RowsOf): (cell: number) => Float64Array {
  const row = new Float64Array(width);
  return (cell) => {
    write(row, cell);
    return row;
  };
}

/** Logarithms of the shares of each kind, per cell; rounded up to a floor. */
export function kindShares(
  evidence: Evidence,
  weights: Pick<TextureWeights, "kinds" | "kind">,
): EvidenceRows {
  const shares = sharesOf((i) => evidence.clues[i]!, weights.kind, evidence);
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
  /** Per cell, logarithms of the shares of the broad kinds, in the order of `BROAD_KINDS`: what the part is for … */
  readonly broad: EvidenceRows;
  /** … and what its notes do in the bar; the same but in short bars. */
  readonly does: EvidenceRows;
  /** What the notes show. */
  readonly evidence: Evidence;
  /** What the lead was judged by, per cell. */
  readonly leadRows: RowsOf;
  /** The models. */
  readonly weights: TextureWeights;
}

/** How much each part that may lead asks to be followed by a model, per cell. */
export function saliences(
  rowOf: (cell: number) => ArrayLike<number>,
  model: LinearModel,
  evidence: Evidence,
): Float64Array {
  const values = new Float64Array(evidence.scene.sounds.length);
  for (const cells of candidatesOf(evidence)) {
    for (const i of cells) values[i] = valuesOf(model, rowOf(i))[0]!;
  }
  return values;
}

/** Who leads: asked of every bar alone, and then of the bars in their phrases. */
export function leadOf(
  rows: RowsOf,
  { lead, phrase }: Pick<TextureWeights, "lead" | "phrase">,
  evidence: Evidence,
): LeadCourse {
  const alone = sharesOfBars(saliences(inTurn(rows), lead, evidence), evidence);
  const phrases = inTurn(phraseRowsOf(alone, evidence));
  return leadCourse(saliences(phrases, phrase, evidence), evidence);
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
  const rows = leadRowsOf(evidence, kinds, around);
  const lead = leadOf(rows, weights, evidence);
  const alone = sharesOf(inTurn(broadRowsOf(evidence, kinds, around, lead)), weights.broad, evidence);
  const broad = readAlike(alone, evidence);
  return {
    names: weights.kinds,
    kinds,
    lead,
    broad,
    does: broad,
    evidence,
    leadRows: rows,
    weights,
  };
}
