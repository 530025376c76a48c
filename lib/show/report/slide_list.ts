/** What a deck shows: pictures, each with one sentence that says what was found. */
import { compare } from "../../measures/compare/compare.ts";
import { capitalised } from "../../base/words.ts";
import { balanceChart } from "../charts/balance.ts";
import { comparisonChart } from "../charts/comparison.ts";
import { freshnessChart } from "../charts/freshness.ts";
import { momentumChart } from "../charts/momentum.ts";
import { momentumComparisonChart } from "../charts/momentum_comparison.ts";
import { playabilityChart } from "../charts/playability.ts";
import { roleTimelineChart } from "../charts/role_timeline.ts";
import type { Chart } from "../drawing/svg.ts";
import { spanInWords } from "../drawing/words.ts";
import { CHART } from "./chart_figure.ts";
import type { ReportEntry } from "./report_entry.ts";
import type { ReportExcerpt } from "./report_excerpts.ts";
import { comparisonInWords, inShort } from "./report_words.ts";

/** A picture and what it shows. */
export interface Slide {
  /** The finding, one sentence. */
  readonly sentence: string;
  readonly picture: Chart;
}

/** Slides of a deck at most. */
const MOST_SLIDES = 8;

/** The first sentence of some; a full stop in a figure ends none. */
function firstSentence(words: string): string {
  return /^[\s\S]*?[.!?](?=\s|$)/.exec(words)?.[0] ?? words;
}

/** Sentences one by one. */
function sentencesOf(words: string): readonly string[] {
  return words.match(/[\s\S]+?[.!?](?=\s|$)\s*/g)?.map((s) => s.trim()) ?? [words];
}

/**
 * The slides of a deck, five to eight: settings side by side where there are several; of the one that is looked at closely, the last,
 * who leads, what drives, whether the lead is heard, where the scoring turns, and what players stumble over.
 */
export function slideList(
  entries: readonly ReportEntry[],
  excerpts: readonly ReportExcerpt[],
): readonly Slide[] {
  const last = entries.length - 1;
  const own = excerpts.filter((e) => e.study === last);
  const side = entries.length > 1 ? sideBySide(entries) : [];
  const close = closely(entries[last]!, own, entries.length > 1);
  return [...side, ...close].slice(0, MOST_SLIDES);
}

function sideBySide(entries: readonly ReportEntry[]): readonly Slide[] {
  const studies = entries.map((e) => e.study);
  const [drives = "", heard = ""] = sentencesOf(comparisonInWords(entries));
  return [
    { sentence: drives, picture: momentumComparisonChart(studies, entries[0]!.score, CHART) },
    { sentence: heard, picture: comparisonChart(compare(studies), CHART) },
  ];
}

/** One study: its charts by what was found, and bars in notes beside what they show. */
function closely(
  entry: ReportEntry,
  excerpts: readonly ReportExcerpt[],
  several: boolean,
): readonly Slide[] {
  const { study, score, texture } = entry;
  const named = (words: string) => several ? `“${study.name}”: ${words}` : words;
  const [leads = "", momentum = "", balance = "", freshness = "", playability = ""] = inShort(entry).map((
    s,
  ) => named(firstSentence(s)));
  const turn = excerpts.filter((e) => e.subject === "turn")
    .toSorted((a, b) => changeAt(entry, b) - changeAt(entry, a))[0];
  const place = excerpts.find((e) => e.subject === "lead") ?? excerpts.find((e) => e.subject !== "turn");
  const inNotes = (e: ReportExcerpt | undefined): readonly Slide[] =>
    e === undefined ? [] : [{
      sentence: e.subject === "turn"
        ? `${capitalised(e.about)}.`
        : `${capitalised(spanInWords(score, e))}: ${e.about}.`,
      picture: e.picture,
    }];
  const findings = study.playability.findings.length === 0
    ? []
    : [{ sentence: playability, picture: playabilityChart(study.playability, score, CHART) }];
  return [
    { sentence: leads, picture: roleTimelineChart(score, texture, CHART) },
    ...inNotes(turn),
    ...(several
      ? []
      : [{ sentence: momentum, picture: momentumChart(study.momentum, score, { ...CHART, texture }) }]),
    { sentence: balance, picture: balanceChart(study.balance, score, CHART) },
    { sentence: freshness, picture: freshnessChart(study.freshness, score, CHART) },
    ...inNotes(place),
    ...findings,
  ];
}

/** How much changes at the turn of an excerpt, which begins a bar before. */
function changeAt({ study }: ReportEntry, { fromBarIndex }: ReportExcerpt): number {
  return study.freshness.changes.find((c) => c.barIndex === fromBarIndex + 1)?.change ?? 0;
}
