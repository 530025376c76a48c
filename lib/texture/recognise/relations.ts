/** Which parts do the same thing in a bar: the same notes, the same line on other notes, or the same rhythm. */
import { A_RECORD, A_SCORE, checkArgument, checkOptions, listOf, weightsWith } from "../../base/arguments.ts";
import type { Score } from "../../score/model.ts";
import type { Share } from "../../base/units.ts";
import { DOUBLING_WEIGHTS, type DoublingWeights } from "../judge/doubling_weights.ts";
import { type CellFeatures, givenFeatures } from "../features/features.ts";
import { begunTogether, pairOf } from "../clues/pair_clues.ts";
import { overlap } from "../features/overlaps.ts";
import { valuesOf } from "../judge/weights.ts";

/**
 * How two parts relate in a bar: in unison or octaves as one layer; on the same notes in another manner, such as a
 * tremolo on what another part holds; in parallel motion at another interval; in the same rhythm on other notes; or
 * none of these.
 */
export type Relation = "unison" | "same notes" | "parallel" | "rhythm" | "none";

/** Two parts that do the same in a bar. */
export interface PartRelation {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** Part indexes, the one higher in the score first. */
  readonly parts: readonly [number, number];
  /** How they relate. */
  readonly relation: Exclude<Relation, "none">;
  /** How far the second lies above the first where they begin together, as a rule; negative for below. */
  readonly semitones: number;
  /** How likely it is that somebody would call it unison or octaves, 0 to 1. */
  readonly likeness: Share;
}

/** What doublings are told by; model assumptions, but for the weights. */
const RELATED = {
  /** Parts are on the same notes from this share of the time either sounds, in the bar and around it. */
  sameNotesFrom: 0.6,
  /** Parts share a rhythm from this overlap of the onsets. */
  rhythmFrom: 0.8,
  /** Parts move in parallel when they change pitch together at least so often around the bar … */
  parallelMoves: 2,
  /** … this share of the time in the same direction … */
  parallelFrom: 0.8,
  /** … and keep within so many semitones of the interval they keep as a rule, thirds small and great alike. */
  parallelWithin: 1,
} as const;

/** What doublings may be told by instead. */
export interface RelationsOptions {
  /** Features of the same score, where they have been worked out before. */
  readonly features?: readonly CellFeatures[];
  /** Other weights than those of `data/doubling_weights.json`. */
  readonly weights?: DoublingWeights;
}

const onsetsOf = ({ line }: CellFeatures) => line.map((n) => n.onsetTicks);

/** The interval two parts keep as a rule, and whether they move in parallel at it. */
function intervalOf(
  a: CellFeatures,
  b: CellFeatures,
): { readonly semitones: number; readonly parallel: boolean } {
  const pairs = begunTogether(a.nearby, b.nearby).filter(([m]) => !m.unpitched);
  const intervals = pairs.map(([m, n]) => n.soundingPitch - m.soundingPitch);
  const semitones = intervals.toSorted((x, y) => x - y)[Math.floor(intervals.length / 2)] ?? 0;
  let [moves, together] = [0, 0];
  pairs.slice(1).forEach(([m, n], i) => {
    const [before, other] = pairs[i]!;
    const [own, theirs] = [m.soundingPitch - before.soundingPitch, n.soundingPitch - other.soundingPitch];
    if (own === 0 && theirs === 0) return;
    moves++;
    if (own * theirs > 0 && Math.abs(intervals[i + 1]! - semitones) <= RELATED.parallelWithin) together++;
  });
  return {
    semitones,
    parallel: moves >= RELATED.parallelMoves && together >= RELATED.parallelFrom * moves,
  };
}

/**
 * How two parts relate in one bar, read with the bars beside it.
 *
 * @param cells features of the two parts in the same bar
 * @param score their score
 * @param options other weights
 * @returns the relation, how far the second lies above the first (0 where they do not relate), and how likely unison or
 *   octaves are
 */
export function relationOf(
  [a, b]: readonly [CellFeatures, CellFeatures],
  score: Score,
  { weights = DOUBLING_WEIGHTS }: RelationsOptions = {},
): { readonly relation: Relation; readonly semitones: number; readonly likeness: Share } {
  if (a.line.length === 0 || b.line.length === 0) return { relation: "none", semitones: 0, likeness: 0 };
  const { row, agree, meets } = pairOf([a, b], score);
  const likeness = !meets ? 0 : 1 / (1 + Math.exp(-valuesOf(weights.model, row)[0]!));
  const sameNotes = likeness > 0.5 ? "unison" : agree >= RELATED.sameNotesFrom ? "same notes" : undefined;
  if (sameNotes === undefined && overlap(onsetsOf(a), onsetsOf(b)) < RELATED.rhythmFrom) {
    return { relation: "none", semitones: 0, likeness };
  }
  const { semitones, parallel } = intervalOf(a, b);
  const relation = sameNotes ?? (parallel && semitones % 12 !== 0 ? "parallel" : "rhythm");
  return { relation, semitones, likeness };
}

const OPTIONS = { features: listOf(A_RECORD, "a list of features"), weights: weightsWith("model") };

/**
 * Which parts do the same thing, bar by bar: in unison or octaves (the same pitch classes at the same times in the same
 * manner), on the same notes in another manner, in parallel at another interval, or in the same rhythm on other notes. Unison and octaves are told by a small linear model of twelve named clues
 * ({@linkcode PAIR_CLUES}) whose weights are data, fitted to human annotations of layers.
 *
 * @param score the score
 * @param options features worked out before, other weights
 * @returns the pairs that do the same, by bar; parts that begin nothing in a bar are in none of its pairs
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { relationsOf } from "ripieno/texture";
 * import { assert } from "@std/assert";
 * const score = demoScore();
 * const name = (part: number) => score.parts[part]!.name;
 * const found = relationsOf(score).filter((d) => d.relation === "unison");
 * assert(found.some((d) => name(d.parts[0]) === "Cellos" && name(d.parts[1]) === "Double basses"));
 * ```
 */
export function relationsOf(score: Score, options: RelationsOptions = {}): readonly PartRelation[] {
  checkArgument("read the relations", score, A_SCORE);
  checkOptions("read the relations", options, OPTIONS);
  const features = givenFeatures("read the relations", score, options.features);
  const parts = score.parts.length;
  return score.bars.flatMap((_, barIndex) => {
    const playing = features.slice(barIndex * parts, (barIndex + 1) * parts).filter((f) => f.line.length > 0);
    return playing.flatMap((a, i) =>
      playing.slice(i + 1).flatMap((b): PartRelation[] => {
        const { relation, semitones, likeness } = relationOf([a, b], score, options);
        return relation === "none"
          ? []
          : [{ barIndex, parts: [a.part, b.part], relation, semitones, likeness }];
      })
    );
  });
}

/** Two parts that do the same over some bars. */
export interface RelationSpan {
  /** Part indexes, the one higher in the score first. */
  readonly parts: readonly [number, number];
  /** How they relate. */
  readonly relation: Exclude<Relation, "none">;
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
  /** The same in words, such as `in octaves` or `in thirds`. */
  readonly words: string;
}

/** Intervals in words, by semitones within an octave. */
const INTERVAL_WORDS: Readonly<Record<number, string>> = {
  1: "seconds",
  2: "seconds",
  3: "thirds",
  4: "thirds",
  5: "fourths",
  6: "tritones",
  7: "fifths",
  8: "sixths",
  9: "sixths",
  10: "sevenths",
  11: "sevenths",
};

function relationInWords(relation: PartRelation["relation"], semitones: number): string {
  const size = Math.abs(semitones);
  switch (relation) {
    case "unison":
      if (Math.abs(size - 12 * Math.round(size / 12)) > 1) return "as one line, not always on one note";
      return size < 6 ? "in unison" : size < 18 ? "in octaves" : `${Math.round(size / 12)} octaves apart`;
    case "same notes":
      return "on the same notes in another manner";
    case "parallel": {
      const compound = size > 16
        ? ` ${Math.floor(size / 12) > 1 ? `${Math.floor(size / 12)} octaves` : "an octave"} wider`
        : "";
      const tenths = size === 15 || size === 16;
      return `in ${tenths ? "tenths" : INTERVAL_WORDS[size % 12]}${compound}`;
    }
    case "rhythm":
      return "in one rhythm";
  }
}

/**
 * Who goes with whom from where to where: {@linkcode relationsOf} with neighbouring bars joined.
 *
 * @param score the score
 * @param options features worked out before, other weights
 * @returns spans by first bar, then parts
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { relationSpans } from "ripieno/texture";
 * import { assert } from "@std/assert";
 * const score = demoScore();
 * const basses = relationSpans(score).filter(({ parts }) => score.parts[parts[1]]!.name === "Double basses");
 * assert(basses.some(({ words }) => words === "in octaves"));
 * ```
 */
export function relationSpans(score: Score, options: RelationsOptions = {}): readonly RelationSpan[] {
  const open = new Map<string, RelationSpan>();
  const spans: RelationSpan[] = [];
  for (const { barIndex, parts, relation, semitones } of relationsOf(score, options)) {
    const words = relationInWords(relation, semitones);
    const key = `${parts.join(" ")} ${words}`;
    const before = open.get(key);
    if (before?.toBarIndex === barIndex - 1) open.set(key, { ...before, toBarIndex: barIndex });
    else {
      if (before) spans.push(before);
      open.set(key, { parts, relation, fromBarIndex: barIndex, toBarIndex: barIndex, words });
    }
  }
  return [...spans, ...open.values()].sort((a, b) =>
    a.fromBarIndex - b.fromBarIndex || a.parts[0] - b.parts[0] || a.parts[1] - b.parts[1]
  );
}
