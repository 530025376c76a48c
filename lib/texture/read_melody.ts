/** From signs to probabilities: what kind each part is, who leads along the way, what is melody. */
import type { Score } from "../score/model.ts";
import { type CellFeatures, isPitched } from "./features.ts";
import { plainRole } from "./plain_role.ts";
import type { Role } from "./roles.ts";
import { SIGNS, signsOf } from "./signs.ts";
import {
  amongCompanions,
  bestOfDoublings,
  type Scene,
  SURROUNDINGS,
  surroundingsOf,
} from "./surroundings.ts";
import { logShares, type TextureWeights, valuesOf } from "./weights.ts";

/** What a model is asked with, one row per cell. */
export type Rows = readonly Float64Array[];

/** What is known of a score before the weights come in. */
export interface Evidence {
  /** Who sounds and who goes with whom. */
  readonly scene: Scene;
  /** Signs per cell, in the order of {@linkcode SIGNS}. */
  readonly signs: Rows;
  /** Cells in which notes of definite pitch begin or are held. */
  readonly pitched: readonly boolean[];
  /** Roles of cells so plain that nothing need be weighed. */
  readonly plain: readonly (Role | undefined)[];
}

/**
 * What the notes show.
 *
 * @param score the score
 * @param features features of the same score
 * @returns signs and companions
 */
export function evidenceOf(score: Score, features: readonly CellFeatures[]): Evidence {
  const { rows, companions } = signsOf(score, features);
  const parts = score.parts.length;
  const pitched: boolean[] = [];
  features.forEach((f, i) =>
    pitched.push(f.line.length > 0 ? isPitched(f) : f.sounds && (pitched[i - parts] ?? false))
  );
  return {
    scene: { parts, sounds: features.map((f) => f.sounds), companions },
    signs: rows,
    pitched,
    plain: features.map((f) => plainRole(f, score.ticksPerQuarter)),
  };
}

/** What switching the lead from one part to another costs, in the units of the lead model (natural logarithms). */
export const HAND_OVER_COST = 1.5;

/** What it takes from a part that does nothing but fill in a figure, in the same units. Model assumption. */
export const PLAIN_COST = 2;

/** Least logarithm that is reckoned with. */
const FLOOR = -6;

/** Logarithms of the shares of each kind, per cell; rounded up to a floor. */
export function kindShares(evidence: Evidence, weights: TextureWeights): Rows {
  return evidence.signs.map((row, i) =>
    evidence.scene.sounds[i]
      ? Float64Array.from(logShares(valuesOf(weights.kind, row)), (x) => Math.max(FLOOR, x))
      : new Float64Array(weights.kinds.length)
  );
}

/** How likely a kind is against all others, as a logarithm of the odds, from -5 to 5. */
function oddsOf(logShare: number): number {
  const share = Math.exp(Math.min(-1e-3, logShare));
  return Math.max(-5, Math.min(5, Math.log(share / (1 - share))));
}

/** Names of what the lead model weighs. */
export function leadSigns(kinds: readonly string[]): readonly string[] {
  return [
    ...SIGNS,
    ...kinds.map((kind) => `like ${kind}`),
    ...SURROUNDINGS.map((s) => `melody: ${s}`),
  ];
}

/** Names of what the melody model weighs. */
export const MELODY_SIGNS: readonly string[] = [
  ...SURROUNDINGS.map((s) => `melody: ${s}`),
  ...SURROUNDINGS.map((s) => `lead: ${s}`),
  "leads",
  "doubles the lead",
  "goes with the lead",
];

/** Rows of {@linkcode leadSigns}. */
export function leadRows(
  evidence: Evidence,
  kinds: Rows,
  melodyKind: number,
): { readonly rows: Rows; readonly around: readonly Float64Array[] } {
  const odds = Float64Array.from(kinds, (k, i) => evidence.scene.sounds[i] ? oddsOf(k[melodyKind]!) : -5);
  const around = surroundingsOf(odds, evidence.scene);
  const rows = evidence.signs.map((signs, i) => {
    const row = new Float64Array(signs.length + kinds[i]!.length + around.length);
    row.set(signs);
    row.set(kinds[i]!, signs.length);
    around.forEach((column, c) => row[signs.length + kinds[i]!.length + c] = column[i]!);
    return row;
  });
  return { rows, around };
}

/** Who leads: in each bar the logarithm of every part's share, and the part of the likeliest course of the lead. */
export interface LeadCourse {
  /** Per cell, logarithm of the part's share in its bar. */
  readonly shares: Float64Array;
  /** Per bar, the part, or -1 where none of definite pitch sounds. */
  readonly course: readonly number[];
}

/** The likeliest course of the lead through the bars, where every hand-over costs (Viterbi 1967). */
export function leadCourse(saliences: Float64Array, { scene, pitched, plain }: Evidence): LeadCourse {
  const { parts, sounds } = scene;
  const values = saliences.map((x, i) => plain[i] ? x - PLAIN_COST : x);
  const bars = parts === 0 ? 0 : values.length / parts;
  const shares = new Float64Array(values.length).fill(FLOOR);
  const from: Int32Array[] = [];
  let reached = new Float64Array(parts);
  const silent: boolean[] = [];
  for (let b = 0; b < bars; b++) {
    const here = Array.from({ length: parts }, (_, p) => b * parts + p).filter((i) =>
      sounds[i] && pitched[i]
    );
    silent.push(here.length === 0);
    logShares(here.map((i) => values[i]!)).forEach((x, k) => shares[here[k]!] = x);
    let best = 0;
    for (let p = 1; p < parts; p++) if (reached[p]! > reached[best]!) best = p;
    const next = new Float64Array(parts);
    const origin = new Int32Array(parts);
    for (let p = 0; p < parts; p++) {
      const i = b * parts + p;
      const change = b > 0 && reached[best]! - HAND_OVER_COST > reached[p]!;
      origin[p] = change ? best : p;
      next[p] = (change ? reached[best]! - HAND_OVER_COST : reached[p]!) +
        (here.length === 0 ? 0 : sounds[i] && pitched[i] ? shares[i]! : -30);
    }
    from.push(origin);
    reached = next;
  }
  const course = new Array<number>(bars);
  let at = reached.reduce((best, x, p) => x > reached[best]! ? p : best, 0);
  for (let b = bars - 1; b >= 0; b--) {
    course[b] = silent[b] ? -1 : at;
    at = from[b]![at]!;
  }
  return { shares: shares.map((x) => Math.max(FLOOR, x)), course };
}

/** Rows of {@linkcode MELODY_SIGNS}. */
export function melodyRows(
  evidence: Evidence,
  melodyAround: readonly Float64Array[],
  lead: LeadCourse,
): Rows {
  const { scene } = evidence;
  const leads = new Float64Array(lead.shares.length);
  lead.course.forEach((p, b) => {
    if (p >= 0) leads[b * scene.parts + p] = 1;
  });
  const columns = [
    ...melodyAround,
    ...surroundingsOf(lead.shares, scene),
    leads,
    bestOfDoublings(leads, scene),
    amongCompanions(leads, scene, 0.5),
  ];
  return evidence.signs.map((_, i) => Float64Array.from(columns, (c) => c[i]!));
}

/** What the models say of a score. */
export interface Judgement {
  /** Names of the kinds. */
  readonly names: readonly string[];
  /** Per cell, logarithms of the shares of the kinds. */
  readonly kinds: Rows;
  /** Who leads. */
  readonly lead: LeadCourse;
  /** Per cell, logarithm of the odds that it is melody. */
  readonly melody: Float64Array;
  /** What the notes show. */
  readonly evidence: Evidence;
  /** What the lead was judged by, per cell. */
  readonly leadRows: Rows;
  /** The models. */
  readonly weights: TextureWeights;
}

/**
 * Kinds, lead and melody of every part in every bar.
 *
 * @param evidence what the notes show
 * @param weights the models
 * @returns what the models say
 */
export function judge(evidence: Evidence, weights: TextureWeights): Judgement {
  const kinds = kindShares(evidence, weights);
  const { rows, around } = leadRows(evidence, kinds, weights.kinds.indexOf("melody"));
  const lead = leadCourse(
    Float64Array.from(rows, (row, i) => evidence.scene.sounds[i] ? valuesOf(weights.lead, row)[0]! : 0),
    evidence,
  );
  const melody = Float64Array.from(
    melodyRows(evidence, around, lead),
    (row, i) => evidence.scene.sounds[i] ? valuesOf(weights.melody, row)[0]! : -9,
  );
  return { names: weights.kinds, kinds, lead, melody, evidence, leadRows: rows, weights };
}
