/** Settings side by side. */
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import {
  A_FUNCTION,
  A_SCORE,
  A_STUDY,
  A_SWITCH,
  A_TEXT,
  A_TEXTURE,
  checkArgument,
  checkOptions,
  listOf,
} from "../../base/arguments.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { balance } from "../balance/balance.ts";
import { contour } from "../contour/contour.ts";
import { freshness } from "../freshness/freshness.ts";
import { fullness } from "../fullness/fullness.ts";
import { idiom } from "../idiom/idiom.ts";
import { gatherFindings } from "../playability/gather_findings.ts";
import { momentum } from "../momentum/momentum.ts";
import { playability } from "../playability/playability.ts";
import type { ComparisonRow, Study } from "./study_results.ts";
import type { Severity } from "../playability/playability_results.ts";

/** Options of {@linkcode study}. */
export interface StudyOptions {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Name; by default the score's source. */
  readonly name?: string;
  /** False leaves out idiom, which holds what instruments do against scores of 1720 to 1900. @default {true} */
  readonly idiom?: boolean;
  /** Called before each step with what is being done, for progress. */
  readonly onStep?: (step: string) => void;
}

const OPTIONS = { texture: A_TEXTURE, name: A_TEXT, idiom: A_SWITCH, onStep: A_FUNCTION };

/**
 * The measures of a score, each worked out once.
 *
 * @param score the score or setting
 * @param options texture, name, progress
 * @returns momentum, balance, freshness, fullness, contour, idiom, playability
 *
 * @example
 * ```ts
 * import { demoScore, study } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(study(demoScore()).momentum.perBar.length, demoScore().bars.length);
 * ```
 */
export function study(score: Score, options: StudyOptions = {}): Study {
  checkOptions("study the score", options, OPTIONS);
  checkArgument("study the score", score, A_SCORE);
  const step = options.onStep ?? (() => {});
  const name = options.name ?? score.source;
  if (!options.texture && !score.layers) step("reading the texture");
  const texture = givenTexture("study the score", score, options.texture);
  step("weighing the balance");
  const heard = balance(score, { texture });
  step("measuring momentum");
  const driven = momentum(score, { texture, balance: heard });
  step("measuring freshness");
  const fresh = freshness(score, { texture });
  step("weighing the chords");
  const full = fullness(score, { texture });
  step("following the contour");
  const shape = contour(score, { texture, balance: heard });
  const usual = options.idiom === false ? null : idiom(score, { texture });
  step("checking playability");
  return {
    name,
    balance: heard,
    momentum: driven,
    freshness: fresh,
    fullness: full,
    contour: shape,
    idiom: usual,
    playability: playability(score),
  };
}

const STUDIES = listOf(A_STUDY, "a list of studies");

/**
 * One row per study: what a composer compares before choosing. What several parts stumble over in the same bars
 * counts once.
 *
 * @param studies studies, as from {@linkcode study}
 * @returns flat rows for a table, a chart or a CSV
 *
 * @example
 * ```ts
 * import { compare, demoScore, study } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(compare([study(demoScore(), { name: "mine" })])[0]?.name, "mine");
 * ```
 */
export function compare(studies: readonly Study[]): readonly ComparisonRow[] {
  checkArgument("compare the studies", studies, STUDIES);
  return studies.map((s): ComparisonRow => {
    const lead = s.momentum.perRole.find((r) => r.role === "lead")?.contribution ?? 0;
    const whole = s.momentum.whole.momentum;
    const gathered = gatherFindings(s.playability.findings);
    const found = (severity: Severity) => gathered.filter((f) => f.severity === severity).length;
    return {
      name: s.name,
      momentum: whole,
      secondaryShare: whole > 0 ? Math.max(0, 1 - lead / whole) : 0,
      audibleShare: s.balance.whole.audibleShare,
      powerDb: s.balance.whole.powerDb,
      handbookDb: s.balance.whole.handbookDb,
      freshness: s.freshness.whole.freshness,
      barsBetweenChanges: s.freshness.whole.barsBetweenChanges,
      fullness: s.fullness.whole.fullness,
      contour: s.contour.whole.contour,
      loudnessRange: s.contour.whole.loudnessRange,
      idiom: s.idiom?.whole.idiom ?? null,
      impossible: found("impossible"),
      risky: found("risky"),
      tiring: found("tiring"),
    };
  });
}
