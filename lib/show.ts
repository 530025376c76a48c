/**
 * Showing: charts, notebook cells, the report and its files. Loads the chart library; the other entries do not.
 *
 * @module
 */

export { roleTimelineChart } from "./show/charts/role_timeline.ts";
export type { RoleTimelineOptions } from "./show/charts/role_timeline.ts";
export { harmonyChart } from "./show/charts/harmony.ts";
export type { BarRowsOptions } from "./show/panels/bar_rows.ts";
export { momentumChart } from "./show/charts/momentum.ts";
export { balanceChart } from "./show/charts/balance.ts";
export { BALANCE_CAUTION } from "./show/drawing/balance_caution.ts";
export { loudnessShareChart } from "./show/charts/loudness_share.ts";
export { maskingChart } from "./show/charts/masking.ts";
export { momentSoundChart } from "./show/charts/moment_sound.ts";
export { attackRateLadderChart } from "./show/charts/attack_rate_ladder.ts";
export { attributionChart } from "./show/charts/attribution.ts";
export { buildUpChart } from "./show/charts/build_up.ts";
export { foundPlansChart } from "./show/charts/found_plans.ts";
export { freshnessChart } from "./show/charts/freshness.ts";
export { selfSimilarityChart } from "./show/charts/self_similarity.ts";
export { playabilityChart } from "./show/charts/playability.ts";
export { partPlayabilityChart } from "./show/charts/part_playability.ts";
export type { PartPlayabilityChartOptions } from "./show/charts/part_playability.ts";
export { rangeChart } from "./show/charts/range.ts";
export type { RangeChartOptions } from "./show/charts/range.ts";
export { rateChart } from "./show/charts/rate.ts";
export type { RateChartOptions } from "./show/charts/rate.ts";
export { REPEATED_VALUES } from "./show/panels/rate_ways.ts";
export type { RepeatedValue } from "./show/panels/rate_ways.ts";
export type { InstrumentsAsked } from "./show/drawing/asked_instruments.ts";
export { comparisonChart } from "./show/charts/comparison.ts";
export { momentumComparisonChart } from "./show/charts/momentum_comparison.ts";
export { effectsChart } from "./show/charts/effects.ts";
export { sensitivityChart } from "./show/charts/sensitivity.ts";
export type { SensitivityChartOptions } from "./show/charts/sensitivity.ts";
export { sweepChart } from "./show/charts/sweep.ts";
export type { SweepChartOptions } from "./show/charts/sweep.ts";
export { layersChart } from "./show/charts/layers.ts";
export type { LayersChartOptions } from "./show/charts/layers.ts";
export type { ChartOptions } from "./show/drawing/chart_options.ts";
export type { RolesChartOptions } from "./show/panels/role_names.ts";
export type { Chart } from "./show/drawing/svg.ts";
export { ROLE_LOOKS, SEVERITY_LOOKS } from "./show/drawing/theme.ts";
export type { RoleLook, SeverityLook } from "./show/drawing/theme.ts";
export { chartDocument } from "./show/drawing/chart_document.ts";
export { chartSvg, saveChart } from "./show/drawing/save_chart.ts";
export { engrave, engraveSystems } from "./show/engrave/engrave.ts";
export type { EngraveOptions } from "./show/engrave/engrave.ts";
export { report } from "./show/report/report.ts";
export type { ReportOptions } from "./show/report/report.ts";
export type { ReportEntry } from "./show/report/report_entry.ts";
export { studyFiles } from "./show/report/study_files.ts";
export type { StudyFilesOptions } from "./show/report/study_files.ts";
export { writeStudy } from "./show/report/write_study.ts";
export type { HeardFilesOptions } from "./show/report/heard_files.ts";
export type { WriteStudyOptions } from "./show/report/write_study.ts";
export { summarise } from "./show/report/summary.ts";
export type { SummaryRow } from "./show/report/summary.ts";
export { audition } from "./show/audition/audition.ts";
export { AUDITION_CONSTANTS } from "./show/audition/audition_options.ts";
export type { AuditionOptions, AuditionSettings } from "./show/audition/audition_options.ts";
export type { Audition, SoundBar, SoundStem } from "./show/audition/audition_results.ts";
export { soundFile } from "./show/audition/sound_file.ts";
export type { SoundFileOptions } from "./show/audition/sound_file.ts";
export { show } from "./show/show.ts";
export type { ShowOptions } from "./show/show.ts";
export type { TableOptions } from "./show/drawing/table_html.ts";
