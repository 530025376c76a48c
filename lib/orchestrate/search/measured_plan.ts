/** Plans written into the notes and measured, passage by passage and whole. */
import { InputError } from "../../base/errors.ts";
import { once } from "../../base/memo.ts";
import { weightedMean } from "../../base/weighted_mean.ts";
import type { Share } from "../../base/units.ts";
import type { OrchestraPart } from "../../instruments/orchestra.ts";
import { balance } from "../../measures/balance/balance.ts";
import type { Balance } from "../../measures/balance/balance_results.ts";
import { contour } from "../../measures/contour/contour.ts";
import { freshnessFigures } from "../../measures/freshness/freshness.ts";
import { fullness } from "../../measures/fullness/fullness.ts";
import { idiom } from "../../measures/idiom/idiom.ts";
import { momentumMeasurer } from "../../measures/momentum/momentum.ts";
import { gatherFindings } from "../../measures/playability/gather_findings.ts";
import { playability } from "../../measures/playability/playability.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { textureOf } from "../../texture/recognise/recognise.ts";
import { secondsOfBars } from "../suggest/scene.ts";
import { barsBetween, type BarsFound } from "../rewrite/bars_asked.ts";
import { excerpt } from "../rewrite/excerpt.ts";
import type { Plan } from "../plan/plan.ts";
import { type Sketch, sketchOver } from "../plan/sketch.ts";
import { realiserOf } from "../realise/realiser.ts";
import type { PlanMeasures } from "./search_results.ts";

/** What is measured of a passage. */
export interface MeasuredPassage {
  readonly momentum: number;
  readonly audibleShare: Share | null;
  /** How full the chord beside the lead is, mean over the bars. */
  readonly fullness: Share;
  /** How usual it is that its instruments are used so, mean over the bars; 1 where nothing is known. */
  readonly idiom: Share;
  /** Findings called tiring or risky that begin in it. */
  readonly findings: number;
}

/** A plan as it does in the notes. */
export interface MeasuredPlan {
  readonly whole: PlanMeasures;
  readonly passages: readonly MeasuredPassage[];
}

/** What plans are written over, and where they are measured. */
interface MeasuringTask {
  readonly orchestra: readonly OrchestraPart[];
  readonly spans: readonly BarsFound[];
}

/** Writes plans over a sketch and measures them; undefined for what cannot be written or played. */
export function planMeasurer(
  sketch: Sketch,
  { orchestra, spans, shape }: MeasuringTask & {
    /** Height wished for in each bar of the sketch, where a contour is wished for. */
    readonly shape?: readonly number[] | undefined;
  },
): (plan: Plan) => MeasuredPlan | undefined {
  const measure = settingMeasures(sketch, { orchestra, spans });
  return (plan) => {
    const setting = measure(plan);
    if (!setting) return undefined;
    const { score, texture, heard, momentum, hard, passages } = setting;
    return {
      passages,
      whole: {
        momentum,
        audibleShare: heard.whole.audibleShare,
        freshness: freshnessFigures(score, { texture }).whole.freshness,
        contour: shape === undefined
          ? null
          : contour(score, { texture, balance: heard, wish: shape }).whole.contour,
        findings: hard,
      },
    };
  };
}

/**
 * Writes the scoring of one passage over its own bars alone, with the bar after it, and measures it there: that takes a third
 * of the time that an empty score around it takes. Undefined for what cannot be written or played.
 */
export function passageMeasurer(
  sketch: Sketch,
  { orchestra, spans }: MeasuringTask,
): (passage: number, plan: Plan) => MeasuredPassage | undefined {
  const measures = spans.map(({ fromBarIndex, toBarIndex }) => {
    const last = Math.min(sketch.score.bars.length - 1, toBarIndex + 1);
    const bars = barsBetween(sketch.score, { fromBarIndex, toBarIndex: last });
    const { score } = excerpt({ score: sketch.score, texture: NOT_READ }, bars);
    const own = barsBetween(score, { fromBarIndex: 0, toBarIndex: toBarIndex - fromBarIndex });
    return once(() =>
      settingMeasures({ ...sketchOver(score), title: sketch.title }, { orchestra, spans: [own] })
    );
  });
  return (passage, plan) => measures[passage]!()(plan)?.passages[0];
}

/** Who does what in a sketch is not asked. */
const NOT_READ: Texture = { origin: "written", cells: [], layers: [] };

/** What is measured of every plan. */
interface MeasuredSetting {
  readonly score: Score;
  readonly texture: Texture;
  readonly heard: Balance;
  readonly momentum: number;
  /** Findings called tiring or risky. */
  readonly hard: number;
  readonly passages: readonly MeasuredPassage[];
}

function settingMeasures(
  sketch: Sketch,
  { orchestra, spans }: MeasuringTask,
): (plan: Plan) => MeasuredSetting | undefined {
  const realiser = realiserOf(sketch, { orchestra, refuseImpossible: false });
  const momentumOf = momentumMeasurer({ layers: false });
  return (plan) => {
    const realised = writtenBy(realiser, plan);
    if (!realised) return undefined;
    const { score, refusalFor } = realised;
    const { findings } = playability(score);
    if (refusalFor(findings)) return undefined;
    const hard = gatherFindings(findings).filter((f) => f.severity === "tiring" || f.severity === "risky");
    const texture = textureOf(score);
    const heard = balance(score, { texture, detail: "quick", warnings: false });
    const { perBar, whole } = momentumOf(score, texture, heard);
    const uses = idiom(score, { texture }).perBar;
    const chords = fullness(score, { texture }).perBar;
    const seconds = secondsOfBars(score);
    const passages = spans.map(({ fromBarIndex, toBarIndex }): MeasuredPassage => {
      const inside = (barIndex: number) => barIndex >= fromBarIndex && barIndex <= toBarIndex;
      const over = <Row extends BarValue>(rows: readonly Row[], of: (row: Row) => number | null) =>
        weightedMean(rows.flatMap((row) => {
          const value = inside(row.barIndex) ? of(row) : null;
          return value === null ? [] : [[value, seconds[row.barIndex]!] as const];
        }));
      return {
        momentum: over(perBar, (b) => b.momentum) ?? 0,
        audibleShare: over(heard.perBar, (b) => b.audibleShare),
        fullness: over(chords, (b) => b.fullness) ?? 0,
        idiom: over(uses, (b) => b.idiom) ?? 1,
        findings: hard.filter((f) => inside(f.fromBarIndex)).length,
      };
    });
    return { score, texture, heard, momentum: whole.momentum, hard: hard.length, passages };
  };
}

/** The plan written; nothing where a rule of writing refuses it. */
function writtenBy(realiser: ReturnType<typeof realiserOf>, plan: Plan) {
  try {
    return realiser(plan);
  } catch (error) {
    if (error instanceof InputError) return undefined;
    throw error;
  }
}

/** A row of a bar. */
interface BarValue {
  readonly barIndex: number;
}
