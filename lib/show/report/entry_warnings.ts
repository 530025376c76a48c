/** Warnings about the sound of a study, worked out once and shared by the report and the tables. */
import type { Balance, BalanceWarning } from "../../measures/balance/balance_results.ts";
import { soundWarnings } from "../../orchestrate/remedies/sound_warnings.ts";
import type { ReportEntry } from "./report_entry.ts";

const known = new WeakMap<Balance, readonly BalanceWarning[]>();

/**
 * All warnings about the sound of one study.
 *
 * @param entry study, score and texture
 * @returns warnings, with ways out and their figures for the worst passages
 */
export function entryWarnings({ study, score, texture }: ReportEntry): readonly BalanceWarning[] {
  let warnings = known.get(study.balance);
  if (warnings === undefined) {
    warnings = soundWarnings(score, study.balance, { texture });
    known.set(study.balance, warnings);
  }
  return warnings;
}
