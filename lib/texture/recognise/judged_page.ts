/** A score as it is read, with what the models say of it. */
import { type Memo, memo } from "../../base/memo.ts";
import type { Score } from "../../score/model.ts";
import { type Evidence, evidenceOf } from "../clues/evidence.ts";
import { inPairs, type PairedBars } from "../features/bar_pairs.ts";
import { type CellFeatures, featuresOf } from "../features/features.ts";
import { pageOf, type ReadingPage } from "../features/page.ts";
import { byPairs } from "../judge/by_pairs.ts";
import { judge, type Judgement } from "../judge/judge.ts";
import { TEXTURE_WEIGHTS } from "../judge/texture_weights.ts";
import type { TextureWeights } from "../judge/weights.ts";

/** A page, features of its cells, and what the models say of them, of short bars with the help of their pairs. */
interface JudgedPage {
  readonly page: ReadingPage;
  readonly features: readonly CellFeatures[];
  readonly judgement: Judgement;
}

/** What of a score does not depend on weights, and what each set of weights made of it. */
interface KeptPage extends Omit<JudgedPage, "judgement"> {
  readonly evidence: Evidence;
  /** The same where short bars are joined, if there are any. */
  readonly pairs: Pick<PairedBars, "pairOf"> & { readonly evidence: Evidence } | undefined;
  readonly judgements: Memo<Judgement, TextureWeights>;
}

/** The scores last read: whoever asks for roles, leads and figures of one score has it read once. */
const kept = memo<KeptPage, Score>(2);

/** The page of a score, judged by weights. */
export function judgedPage(score: Score, weights: TextureWeights = TEXTURE_WEIGHTS): JudgedPage {
  const { page, features, evidence, pairs, judgements } = kept(score, () => keptPage(score));
  const judgement = judgements(weights, () => {
    const bars = judge(evidence, weights);
    return pairs ? byPairs(bars, judge(pairs.evidence, weights), pairs.pairOf) : bars;
  });
  return { page, features, judgement };
}

function keptPage(score: Score): KeptPage {
  const page = pageOf(score);
  const features = featuresOf(page.score, page.lines);
  const paired = inPairs(page.score);
  return {
    page,
    features,
    evidence: evidenceOf(page.score, features),
    pairs: paired && {
      pairOf: paired.pairOf,
      evidence: evidenceOf(paired.score, featuresOf(paired.score, page.lines)),
    },
    judgements: memo(2),
  };
}
