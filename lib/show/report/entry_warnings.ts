/** Warnings about the sound of a study, worked out once and shared by the report and the tables. */
import { memoOf } from "../../base/memo.ts";
import type { BalanceWarning } from "../../measures/balance/balance_results.ts";
import { soundWarnings } from "../../orchestrate/remedies/sound_warnings.ts";
import type { ReportEntry } from "./report_entry.ts";

const described = memoOf(({ study, score, texture }: ReportEntry) =>
  soundWarnings(score, study.balance, { texture, remediesFor: 0 })
);
const advised = memoOf(({ study, score, texture }: ReportEntry) =>
  soundWarnings(score, study.balance, { texture })
);

/**
 * Whether a study is given advice: as asked; otherwise a setting is, since it can still be changed, and a finished score is
 * not.
 */
export function isAdvised({ texture }: Pick<ReportEntry, "texture">, advise: boolean | undefined): boolean {
  return advise ?? texture.origin === "written";
}

/**
 * All warnings about the sound of one study; where asked for, with ways out and their figures for the worst passages.
 */
export function entryWarnings(
  entry: ReportEntry,
  { advise }: { readonly advise: boolean },
): readonly BalanceWarning[] {
  return advise ? advised(entry) : described(entry);
}
