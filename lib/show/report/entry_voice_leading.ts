/** The voice leading of a study, worked out once and shared by the report and the tables; and in words. */
import { memoOf } from "../../base/memo.ts";
import { capitalised } from "../../base/words.ts";
import type { VoiceLeadingRow } from "../../measures/chords/chord_results.ts";
import { voiceLeading } from "../../measures/chords/voice_leading.ts";
import { type Markup, markup } from "../drawing/markup.ts";
import { counted, notesAsPrinted, sentence, spanInWords } from "../drawing/words.ts";
import type { BarLinks } from "./bar_links.ts";
import type { ReportEntry } from "./report_entry.ts";

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
