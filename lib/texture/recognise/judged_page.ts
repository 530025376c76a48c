/** A score as it is read, with what the models say of it. */
import { type Memo, memo } from "../../base/memo.ts";
import type { Score } from "../../score/model.ts";
import { type Evidence, evidenceOf } from "../clues/evidence.ts";
import { type CellFeatures, cellFeatures } from "../features/features.ts";
import { pageOf, type ReadingPage } from "../features/page.ts";
import { judge, type Judgement } from "../judge/judge.ts";
import { TEXTURE_WEIGHTS } from "../judge/texture_weights.ts";
import type { TextureWeights } from "../judge/weights.ts";

/** A page, features of its cells, and what the models say of them. */
interface JudgedPage {
  readonly page: ReadingPage;
  readonly features: readonly CellFeatures[];
  readonly judgement: Judgement;
}

/** What of a score does not depend on weights, and what each set of weights made of it. */
interface KeptPage extends Omit<JudgedPage, "judgement"> {
  readonly evidence: Evidence;
  readonly judgements: Memo<Judgement, TextureWeights>;
}

/** The scores last read: whoever asks for roles, leads and figures of one score has it read once. */
const kept = memo<KeptPage, Score>(2);

/** The page of a score, judged by weights. */
export function judgedPage(score: Score, weights: TextureWeights = TEXTURE_WEIGHTS): JudgedPage {
  const { page, features, evidence, judgements } = kept(score, () => keptPage(score));
  return { page, features, judgement: judgements(weights, () => judge(evidence, weights)) };
}

function keptPage(score: Score): KeptPage {
  const page = pageOf(score);
  const features = cellFeatures(page.score);
  return { page, features, evidence: evidenceOf(page.score, features), judgements: memo(2) };
}
