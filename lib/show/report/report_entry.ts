/** What a report is made of. */
import { AN_ENTRY, listOf } from "../../base/arguments.ts";
import { memoOf } from "../../base/memo.ts";
import type { Study } from "../../measures/compare/study_results.ts";
import type { Score } from "../../score/model.ts";
import { toldApart } from "../../score/told_apart.ts";
import type { Texture } from "../../texture/model.ts";

/** One study with what it was made from. */
export interface ReportEntry {
  /** The four measures. */
  readonly study: Study;
  /** The score. */
  readonly score: Score;
  /** What its parts do. */
  readonly texture: Texture;
}

/** One for each entry, the entry itself where its names differ already: what is worked out of it is worked out once. */
const entryToldApart = memoOf((entry: ReportEntry): ReportEntry => {
  const score = toldApart(entry.score);
  return score === entry.score ? entry : { ...entry, score };
});

/** The same with the parts of every score told apart by their names. */
export function entriesToldApart(entries: readonly ReportEntry[]): readonly ReportEntry[] {
  return entries.map(entryToldApart);
}

/** What a list of them has to be. */
export const ENTRIES = listOf(AN_ENTRY, "a list of studies with their scores and textures");
