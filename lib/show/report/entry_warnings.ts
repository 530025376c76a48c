/** Warnings about the sound of a study, worked out once and shared by the report and the tables. */
import type { Balance, BalanceWarning } from "../../measures/balance/balance_results.ts";
import { soundWarnings } from "../../orchestrate/remedies/sound_warnings.ts";
import type { ReportEntry } from "./report_entry.ts";

const described = new WeakMap<Balance, readonly BalanceWarning[]>();
const advised = new WeakMap<Balance, readonly BalanceWarning[]>();

/**
 * Whether a study is given advice: as asked; otherwise a setting is, since it can still be changed, and a finished
 * score is not.
 */
export function isAdvised({ texture }: Pick<ReportEntry, "texture">, advise: boolean | undefined): boolean {
  return advise ?? texture.origin === "written";
}

/**
 * All warnings about the sound of one study; where asked for, with ways out and their figures for the worst passages.
 */
export function entryWarnings(
  { study, score, texture }: ReportEntry,
  { advise }: { readonly advise: boolean },
): readonly BalanceWarning[] {
  const known = advise ? advised : described;
  let warnings = known.get(study.balance);
  if (warnings === undefined) {
    warnings = soundWarnings(score, study.balance, { texture, ...(advise ? {} : { remediesFor: 0 }) });
    known.set(study.balance, warnings);
  }
  return warnings;
}
