/** A score as it is read, with what the models say of it. */
import { type Memo, memo } from "../../base/memo.ts";
import type { Score } from "../../score/model.ts";
import { type Evidence, evidenceOf } from "../clues/evidence.ts";
import { inPairs, type PairedBars } from "../features/bar_pairs.ts";
import { type CellFeatures, featuresOf } from "../features/features.ts";
import { pageOf, type ReadingPage } from "../features/page.ts";
import type { ScoreFrame } from "../features/score_frame.ts";
import { byPairs } from "../judge/by_pairs.ts";
import { judge, type Judgement } from "../judge/judge.ts";
import { TEXTURE_WEIGHTS } from "../judge/texture_weights.ts";
import type { TextureWeights } from "../judge/weights.ts";

/** Bars with features of their cells, and what the models say of them. */
export interface JudgedBars {
  readonly score: ScoreFrame;
  readonly features: readonly CellFeatures[];
  readonly judgement: Judgement;
}

/** A page that was judged, its short bars with the help of their pairs. */
export interface JudgedPage extends JudgedBars {
  readonly page: ReadingPage;
  /** The same where short bars are joined, if there are any. */
  readonly pairs: (JudgedBars & Pick<PairedBars, "pairOf">) | undefined;
}

/** What of a score does not depend on weights, and what each set of weights made of it. */
interface KeptPage {
  readonly page: ReadingPage;
  readonly bars: SeenBars;
  /** The same where short bars are joined, if there are any. */
  readonly pairs: (SeenBars & Pick<PairedBars, "pairOf">) | undefined;
  readonly judged: Memo<JudgedPage, TextureWeights>;
}

/** Bars before the weights come in. */
interface SeenBars extends Omit<JudgedBars, "judgement"> {
  readonly evidence: Evidence;
}

/** The scores last read: whoever asks for roles, leads and figures of one score has it read once. */
const kept = memo<KeptPage, Score>(2);

/** The page of a score, judged by weights. */
export function judgedPage(score: Score, weights: TextureWeights = TEXTURE_WEIGHTS): JudgedPage {
  const { page, bars, pairs, judged } = kept(score, () => keptPage(score));
  return judged(weights, () => {
    const own = judgedBars(bars, weights);
    if (pairs === undefined) return { page, ...own, pairs };
    const { pairOf } = pairs;
    const two = { ...judgedBars(pairs, weights), pairOf };
    return { page, ...own, judgement: byPairs(own.judgement, two.judgement, pairOf), pairs: two };
  });
}

function judgedBars({ score, features, evidence }: SeenBars, weights: TextureWeights): JudgedBars {
  return { score, features, judgement: judge(evidence, weights) };
}

function seenBars(score: ScoreFrame, lines: ReadingPage["lines"]): SeenBars {
  const features = featuresOf(score, lines);
  return { score, features, evidence: evidenceOf(score, features) };
}

function keptPage(score: Score): KeptPage {
  const page = pageOf(score);
  const paired = inPairs(page.score);
  return {
    page,
    bars: seenBars(page.score, page.lines),
    pairs: paired && { ...seenBars(paired.score, page.lines), pairOf: paired.pairOf },
    judged: memo(2),
  };
}
