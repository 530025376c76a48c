/** Plans written into the notes and measured, passage by passage and whole. */
import { InputError } from "../../base/errors.ts";
import type { Share } from "../../base/units.ts";
import type { OrchestraPart } from "../../instruments/orchestra.ts";
import { balance } from "../../measures/balance/balance.ts";
import { freshness } from "../../measures/freshness/freshness.ts";
import { fullness } from "../../measures/fullness/fullness.ts";
import { idiom } from "../../measures/idiom/idiom.ts";
import { momentumMeasurer } from "../../measures/momentum/momentum.ts";
import { gatherFindings } from "../../measures/playability/gather_findings.ts";
import { playability } from "../../measures/playability/playability.ts";
import { textureOf } from "../../texture/recognise/recognise.ts";
import { secondsOfBars } from "../suggest/scene.ts";
import type { BarsFound } from "../rewrite/bars_asked.ts";
import type { Plan } from "../plan/plan.ts";
import type { Sketch } from "../plan/sketch.ts";
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

/** Writes plans over a sketch and measures them; undefined for what cannot be written or played. */
export function planMeasurer(
  sketch: Sketch,
  { orchestra, spans }: {
    readonly orchestra: readonly OrchestraPart[];
    readonly spans: readonly BarsFound[];
  },
): (plan: Plan) => MeasuredPlan | undefined {
  const realiser = realiserOf(sketch, { orchestra, refuseImpossible: false });
  const momentumOf = momentumMeasurer();
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
        mean(rows.flatMap((row) => {
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
    return {
      passages,
      whole: {
        momentum: whole.momentum,
        audibleShare: heard.whole.audibleShare,
        freshness: freshness(score, { texture }).whole.freshness,
        findings: hard.length,
      },
    };
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

/** Mean of values by their weights; null where there are none. */
function mean(weighted: readonly (readonly [value: number, weight: number])[]): number | null {
  const total = weighted.reduce((sum, [, weight]) => sum + weight, 0);
  return total > 0 ? weighted.reduce((sum, [value, weight]) => sum + value * weight, 0) / total : null;
}
