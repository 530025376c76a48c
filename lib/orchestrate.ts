/**
 * Orchestrating: from a sketch and a plan to a score; ways out, variations, sweeps.
 *
 * @module
 */

export { soundWarnings } from "./orchestrate/remedies/sound_warnings.ts";
export type { SoundWarningsOptions } from "./orchestrate/remedies/sound_warnings.ts";
export { remedies } from "./orchestrate/remedies/remedies.ts";
export type { RemediesOptions, SunkPassage } from "./orchestrate/remedies/remedies.ts";
export { applyRemedy } from "./orchestrate/remedies/apply_remedy.ts";
export type { AppliedRemedy, ApplyRemedyOptions } from "./orchestrate/remedies/apply_remedy.ts";
export { sketchOf } from "./orchestrate/plan/sketch.ts";
export type { ChordTone, Harmony, Sketch } from "./orchestrate/plan/sketch.ts";
export type { SketchLines } from "./orchestrate/plan/sketch_lines.ts";
export { readSketchLines, writeSketchLines } from "./orchestrate/plan/sketch_table.ts";
export type { ReadSketchLinesOptions } from "./orchestrate/plan/sketch_table.ts";
export { reharmonise } from "./orchestrate/plan/reharmonise.ts";
export { assign } from "./orchestrate/plan/plan.ts";
export { readPlan, writePlan } from "./orchestrate/plan/plan_table.ts";
export type { ReadPlanOptions, WritePlanOptions } from "./orchestrate/plan/plan_table.ts";
export type {
  BalanceWish,
  Divisi,
  LayerEntries,
  LayerExtras,
  LayerHandOver,
  LayerUpbeat,
  Voicing,
} from "./orchestrate/plan/extra_columns.ts";
export type { LayerDynamics } from "./orchestrate/plan/layer_dynamics.ts";
export type {
  Assignment,
  AssignmentInput,
  LayerArticulation,
  Passage,
  Plan,
} from "./orchestrate/plan/plan.ts";
export { realise } from "./orchestrate/realise/realise.ts";
export type { RealiseOptions } from "./orchestrate/realise/realise.ts";
export { vary } from "./orchestrate/plan/vary.ts";
export type { Change, LayersOf } from "./orchestrate/plan/vary.ts";
export { varyForRemedy } from "./orchestrate/remedies/vary_for_remedy.ts";
export type { VaryForRemedyOptions } from "./orchestrate/remedies/vary_for_remedy.ts";
export { sweep } from "./orchestrate/sweep/sweep.ts";
export type { SweepOptions, SweepProgress } from "./orchestrate/sweep/sweep_options.ts";
export type { SweepChoice, SweepChoices, SweepGrid } from "./orchestrate/sweep/sweep_grid.ts";
export type { SweepMeasure, SweepRow } from "./orchestrate/sweep/sweep_rows.ts";
export { rewrite } from "./orchestrate/rewrite/rewrite.ts";
export type { RewriteOptions } from "./orchestrate/rewrite/rewrite.ts";
export type { PartChange, Rewritten } from "./orchestrate/rewrite/rewrite_results.ts";
export type { Wish } from "./orchestrate/rewrite/wish.ts";
export { sketchFrom } from "./orchestrate/rewrite/sketch_from.ts";
export type { SketchFromOptions } from "./orchestrate/rewrite/sketch_from.ts";
export type { BarsAsked } from "./orchestrate/rewrite/bars_asked.ts";
export { take } from "./orchestrate/rewrite/take.ts";
export type { TakeOptions } from "./orchestrate/rewrite/take.ts";
export { buildUp } from "./orchestrate/rewrite/build_up.ts";
export type { BuildUpOptions, BuildUpStep } from "./orchestrate/rewrite/build_up.ts";
export type { ScoreWithTexture } from "./orchestrate/rewrite/excerpt.ts";
export { suggest } from "./orchestrate/suggest/suggest.ts";
export type { SuggestOptions } from "./orchestrate/suggest/suggest.ts";
export type { SuggestProgress } from "./orchestrate/suggest/suggest_bounds.ts";
export type {
  PassageMeasures,
  PassageWish,
  RefusedWay,
  Suggestion,
  Suggestions,
} from "./orchestrate/suggest/suggest_results.ts";
export { readWishes, writeWishes } from "./orchestrate/rewrite/wish_table.ts";
export type { ReadWishesOptions } from "./orchestrate/rewrite/wish_table.ts";
export { readChords, readRoles } from "./orchestrate/rewrite/corrections.ts";
export type { ReadChordsOptions, ReadRolesOptions } from "./orchestrate/rewrite/corrections.ts";
export { search } from "./orchestrate/search/search.ts";
export { readPlanWishes, writePlanWishes } from "./orchestrate/search/plan_wish_table.ts";
export type { ReadPlanWishesOptions } from "./orchestrate/search/plan_wish_table.ts";
export { judgePlan } from "./orchestrate/search/judge_plan.ts";
export type { JudgePlanOptions } from "./orchestrate/search/judge_plan.ts";
export type { SearchOptions } from "./orchestrate/search/search.ts";
export type { PassageAsked, PlanWishes } from "./orchestrate/search/plan_wishes.ts";
export type {
  FoundPlan,
  PlanMeasures,
  PlansFound,
  ReachedWish,
  SearchProgress,
} from "./orchestrate/search/search_results.ts";
