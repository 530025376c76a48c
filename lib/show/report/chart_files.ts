/** The charts of a study as picture files. */
import { compare } from "../../measures/compare/compare.ts";
import { balanceChart } from "../charts/balance.ts";
import { comparisonChart } from "../charts/comparison.ts";
import { freshnessChart } from "../charts/freshness.ts";
import { contourChart } from "../charts/contour.ts";
import { fullnessChart } from "../charts/fullness.ts";
import { idiomChart } from "../charts/idiom.ts";
import { harmonyChart } from "../charts/harmony.ts";
import { loudnessShareChart } from "../charts/loudness_share.ts";
import { momentumChart } from "../charts/momentum.ts";
import { momentumComparisonChart } from "../charts/momentum_comparison.ts";
import { playabilityChart } from "../charts/playability.ts";
import { roleTimelineChart } from "../charts/role_timeline.ts";
import { chordsOf, entryHarmony } from "./entry_harmony.ts";
import type { ReportEntry } from "./report_entry.ts";
import type { Chart } from "../drawing/svg.ts";

/** How a chart is drawn, by the name of its file; nothing where there is nothing to draw. */
type Drawings<T> = Readonly<Record<string, (of: T) => Chart | undefined>>;

/** As wide as the report's. */
const SIZE = { width: 1000 } as const;

export const STUDY_CHARTS: Drawings<ReportEntry> = {
  role_timeline: ({ score, texture }) => roleTimelineChart(score, texture, SIZE),
  harmony: (entry) => {
    const harmony = entryHarmony(entry);
    return chordsOf(harmony).length === 0 ? undefined : harmonyChart(entry.score, harmony, SIZE);
  },
  momentum: ({ study, score, texture }) => momentumChart(study.momentum, score, { ...SIZE, texture }),
  balance: ({ study, score }) => balanceChart(study.balance, score, SIZE),
  loudness_share: ({ study, score, texture }) =>
    loudnessShareChart(study.balance, score, { ...SIZE, texture }),
  freshness: ({ study, score }) => freshnessChart(study.freshness, score, SIZE),
  fullness: ({ study, score }) => fullnessChart(study.fullness, score, SIZE),
  contour: ({ study, score }) => contourChart(study.contour, score, SIZE),
  idiom: ({ study, score }) => study.idiom === null ? undefined : idiomChart(study.idiom, score, SIZE),
  playability: ({ study: { playability }, score }) =>
    playability.findings.length === 0 ? undefined : playabilityChart(playability, score, SIZE),
};

export const COMPARISON_CHARTS: Drawings<readonly ReportEntry[]> = {
  comparison: (entries) => comparisonChart(compare(entries.map((e) => e.study)), SIZE),
  momentum_comparison: (entries) =>
    momentumComparisonChart(entries.map((e) => e.study), entries[0]!.score, SIZE),
};
