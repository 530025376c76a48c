/** A score as it is read, with what the models say of it. */
import type { Score } from "../../score/model.ts";
import { evidenceOf } from "../clues/evidence.ts";
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

/** The page of a score, judged by weights. */
export function judgedPage(score: Score, weights: TextureWeights = TEXTURE_WEIGHTS): JudgedPage {
  const page = pageOf(score);
  const features = cellFeatures(page.score);
  return { page, features, judgement: judge(evidenceOf(page.score, features), weights) };
}
