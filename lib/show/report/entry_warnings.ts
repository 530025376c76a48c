/** Warnings about the sound of a study and marks in its voice leading, worked out once and shared by the report and the tables. */
import { memoOf } from "../../base/memo.ts";
import { capitalised } from "../../base/words.ts";
import type { BalanceWarning } from "../../measures/balance/balance_results.ts";
import type { VoiceLeadingRow } from "../../measures/chords/chord_results.ts";
import { voiceLeading } from "../../measures/chords/voice_leading.ts";
import { soundWarnings } from "../../orchestrate/remedies/sound_warnings.ts";
import { type Markup, markup } from "../drawing/markup.ts";
import { counted, notesAsPrinted, sentence, spanInWords } from "../drawing/words.ts";
import type { BarLinks } from "./bar_links.ts";
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

/** What a teacher of harmony would mark in the pads of a study, the heaviest first. */
export const entryVoiceLeading: (entry: ReportEntry) => readonly VoiceLeadingRow[] = memoOf((
  { score, texture }: ReportEntry,
) => voiceLeading(score, { texture }));

/** One mark as an item of a list. */
export function voiceLeadingItem(row: VoiceLeadingRow, { score }: ReportEntry, links: BarLinks): Markup {
  const place = links.inText(capitalised(spanInWords(score, row)));
  const often = row.places > 1 ? ` (${counted(row.places, "place")})` : "";
  const what = row.what === row.kind ? row.kind : `${row.kind}, ${row.what}`;
  return markup`<strong>${place}</strong>: ${notesAsPrinted(sentence(`${what}; ${row.parts}${often}`))}`;
}
