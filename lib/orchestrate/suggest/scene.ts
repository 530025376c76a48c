/** A passage with the bars around it, measured as often as there are ways to try. */
import { weightedMean } from "../../base/weighted_mean.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import { balance } from "../../measures/balance/balance.ts";
import { contour } from "../../measures/contour/contour.ts";
import type { ContourWish } from "../../measures/contour/contour_shapes.ts";
import { freshnessFigures } from "../../measures/freshness/freshness.ts";
import { momentum } from "../../measures/momentum/momentum.ts";
import { playability } from "../../measures/playability/playability.ts";
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import type { Figure } from "../../texture/figures.ts";
import type { Role } from "../../texture/roles.ts";
import { clockOf } from "../../score/time.ts";
import type { Score } from "../../score/model.ts";
import type { HarmonyReading, HarmonySpan } from "../../harmony/harmony_results.ts";
import { excerpt, type ScoreWithTexture } from "../rewrite/excerpt.ts";
import { barsBetween, type BarsFound } from "../rewrite/bars_asked.ts";
import type { PassageMeasures } from "./suggest_results.ts";

/** Bars before a passage and after it that it is heard with: momentum and hearing look back a bar or two, freshness further. Model assumption. */
const AROUND = { before: 8, after: 2 } as const;

/** Bars before a passage that it is heard with. */
const HEARD_BEFORE = 1;

/** A passage in its surroundings. */
export interface PassageScene extends ScoreWithTexture {
  /** The bars of the passage, as indexes and ticks of the scene. */
  readonly bars: BarsFound;
  /** Chords of the scene. */
  readonly harmony: { readonly spans: readonly HarmonySpan[] };
  /** Figures of one's own that may be tried too. */
  readonly figures?: readonly Figure[];
}

/** The passage with the bars around it, as a score of its own. */
export function sceneOf(
  whole: ScoreWithTexture,
  bars: BarsFound,
  harmony: Pick<HarmonyReading, "spans">,
): PassageScene {
  const { score } = whole;
  const fromBarIndex = Math.max(0, bars.fromBarIndex - AROUND.before);
  const toBarIndex = Math.min(score.bars.length - 1, bars.toBarIndex + AROUND.after);
  const around = barsBetween(score, { fromBarIndex, toBarIndex });
  const { startTicks, endTicks } = around;
  const taken = excerpt(whole, around);
  return {
    ...taken,
    bars: {
      fromBarIndex: bars.fromBarIndex - fromBarIndex,
      toBarIndex: bars.toBarIndex - fromBarIndex,
      startTicks: bars.startTicks - startTicks,
      endTicks: bars.endTicks - startTicks,
    },
    harmony: {
      spans: harmony.spans.filter((s) => s.startTicks < endTicks && s.endTicks > startTicks)
        .map((s) => ({ ...s, startTicks: s.startTicks - startTicks, endTicks: s.endTicks - startTicks })),
    },
  };
}

/** Roles that give the chord. */
const HARMONIC: readonly Role[] = ["pad", "pulse", "figuration", "trill"];

/** Bars of a passage in which some part gives the chord. */
export function barsWithChord(
  { score, texture }: ScoreWithTexture,
  { fromBarIndex, toBarIndex }: Pick<BarsFound, "fromBarIndex" | "toBarIndex">,
): number {
  const parts = score.parts.length;
  const bars = Array.from({ length: toBarIndex - fromBarIndex + 1 }, (_, i) => (fromBarIndex + i) * parts);
  return bars.filter((at) => texture.cells.slice(at, at + parts).some((c) => HARMONIC.includes(c.role)))
    .length;
}

/** A passage measured, with what players would stumble over in it. */
export interface Measured {
  readonly measures: PassageMeasures;
  readonly findings: readonly PlayabilityFinding[];
}

/** Measures the bars of a scene; against a contour, where one is wished for. */
export function measureScene(
  { score, texture }: ScoreWithTexture,
  bars: BarsFound,
  shape?: ContourWish,
): Measured {
  const { fromBarIndex, toBarIndex, startTicks, endTicks } = bars;
  const isInside = ({ barIndex }: { readonly barIndex: number }) =>
    barIndex >= fromBarIndex && barIndex <= toBarIndex;
  // Hearing needs no more than the bar before.
  const offset = Math.max(0, fromBarIndex - HEARD_BEFORE);
  const near = excerpt({ score, texture }, barsBetween(score, { fromBarIndex: offset, toBarIndex }));
  const isNear = ({ barIndex }: { readonly barIndex: number }) => isInside({ barIndex: barIndex + offset });
  const heard = balance(near.score, { texture: near.texture, warnings: false });
  const moving = momentum(near.score, { texture: near.texture, balance: heard }).perBar.filter(isNear);
  const heardBars = heard.perBar.filter(isNear);
  const seconds = secondsOfBars(near.score).filter((_, b) => isNear({ barIndex: b }));
  const findings = playability(score).findings.filter((f) =>
    f.fromBarIndex <= toBarIndex && f.toBarIndex >= fromBarIndex
  );
  const inside = score.notes.filter((n) =>
    n.onsetTicks < endTicks && n.onsetTicks + n.durationTicks > startTicks
  );
  const over = <Row>(rows: readonly Row[], of: (row: Row) => number) =>
    weightedMean(rows.map((row, i) => [of(row), seconds[i]!])) ?? 0;
  const led = heardBars.flatMap((bar) => bar.audibleShare === null ? [] : [bar.audibleShare]);
  return {
    measures: {
      momentum: over(moving, (bar) => bar.momentum),
      audibleShare: weightedMean(led.map((share) => [share, 1])),
      loudnessSones: over(heardBars, (bar) => bar.loudnessSones),
      freshness: over(freshnessFigures(score, { texture }).perBar.filter(isInside), (bar) => bar.freshness),
      contour: shape === undefined ? null : contourOf({ score, texture }, bars, shape),
      parts: new Set(inside.map((n) => n.part)).size,
      brassNotes:
        inside.filter((n) =>
          n.onsetTicks >= startTicks && instrumentById(score.parts[n.part]!.instrument).family === "brass"
        ).length,
      hardPlaces: findings.filter((f) => f.severity === "impossible" || f.severity === "risky").length,
      tiringPlaces: findings.filter((f) => f.severity === "tiring").length,
    },
    findings,
  };
}

/** How far some bars, as a score of their own, go as is wished. */
function contourOf(scene: ScoreWithTexture, bars: BarsFound, wish: ContourWish): number | null {
  const { score, texture } = excerpt(scene, bars);
  return contour(score, { texture, wish }).whole.contour;
}

/** How long each bar of a score lasts. */
export function secondsOfBars(score: Score): readonly number[] {
  const clock = clockOf(score);
  return score.bars.map((bar) => clock(bar.startTicks + bar.durationTicks) - clock(bar.startTicks));
}
