/** What a report is made of. */
import { AN_ENTRY, listOf } from "../../base/arguments.ts";
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

/** The same with the parts of every score told apart by their names. */
export function entriesToldApart(entries: readonly ReportEntry[]): readonly ReportEntry[] {
  return entries.map((entry) => ({ ...entry, score: toldApart(entry.score) }));
}

/** What a list of them has to be. */
export const ENTRIES = listOf(AN_ENTRY, "a list of studies with their scores and textures");
