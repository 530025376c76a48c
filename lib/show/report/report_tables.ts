/** The tables of the report. */
import { type GatheredFinding, gatherFindings } from "../../measures/playability/gather_findings.ts";
import type { BalanceWarning } from "../../measures/balance/balance_results.ts";
import type { VersionChange } from "../../measures/compare/versions.ts";
import type { ComparisonRow } from "../../measures/compare/study_results.ts";
import type { Severity } from "../../measures/playability/playability_results.ts";
import type { FoundPlan } from "../../orchestrate/search/search_results.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Constants } from "../../base/settings.ts";
import type { BarLinks } from "./bar_links.ts";
import { countsInWords } from "./finding_counts.ts";
import type { ReportEntry } from "./report_entry.ts";
import { isUnnamed, summarise, type SummaryRow } from "./summary.ts";
import { TABLE_COLUMNS } from "./table_columns.ts";
import { type Markup, markup, type Piece } from "../drawing/markup.ts";
import { SEVERITIES, SEVERITY_LOOKS, severityColour } from "../drawing/theme.ts";
import {
  counted,
  figure,
  levelFigure,
  listed,
  notesAsPrinted,
  percent,
  spanInWords,
} from "../drawing/words.ts";

/** What a column holds: bars, figures, short words, amounts with units, names of parts, or text that needs room. */
type CellKind = "" | "b" | "n" | "s" | "a" | "p" | "t";

/** A column: its heading, what it holds, and its cell in a row; the first names the row. */
type ReportColumn<Row> = readonly [head: string, kind: CellKind, cell: (row: Row, index: number) => Piece];

/** Rows in a box that scrolls sideways where the page is narrow. */
function tableOf<Row>(caption: string, rows: readonly Row[], columns: readonly ReportColumn<Row>[]): Markup {
  const classOf = (kind: CellKind) => kind === "" ? "" : markup` class="${kind}"`;
  const heads = columns.map(([head, kind]) => markup`<th scope="col"${classOf(kind)}>${head}</th>`);
  const body = rows.map((row, index) =>
    markup`<tr>${
      columns.map(([, kind, cell], i) =>
        i === 0
          ? markup`<th scope="row"${classOf(kind)}>${cell(row, index)}</th>`
          : markup`<td${classOf(kind)}>${cell(row, index)}</td>`
      )
    }</tr>`
  );
  const table = markup`<caption>${caption}</caption><thead><tr>${heads}</tr></thead><tbody>${body}</tbody>`;
  const box = markup`class="wide" role="region" tabindex="0" aria-label="${caption}"`;
  return markup`<div ${box}><table>${table}</table></div>`;
}

export function summaryTable({ study, score, texture }: ReportEntry, { inCell }: BarLinks): Markup {
  const passages = summarise(study, score, { texture });
  const columns: readonly ReportColumn<SummaryRow>[] = [
    ["passage", "", (_, i) => nameBeside(passages, i)],
    ["bars", "s", (r) => inCell(r.bars)],
    ["who leads", "t", (r) => r.lead],
    ["momentum", "n", (r) => figure(r.momentum, 2)],
    ["driven by", "s", (r) => r.drivenBy || "–"],
    ["lead heard", "n", (r) => r.leadAudible === null ? "–" : percent(r.leadAudible)],
    ["bars since a change", "n", (r) => r.barsSinceChange],
    ["findings", "s", countsInWords],
  ];
  const hasNames = passages.some((r) => !isUnnamed(r));
  return tableOf(`${study.name}, passage by passage`, passages, hasNames ? columns : columns.slice(1));
}

/**
 * What a passage is called beside its bars: one without a name lies within the last that has one, or opens the piece, or
 * stands before the first that has one.
 */
function nameBeside(passages: readonly SummaryRow[], index: number): string {
  if (!isUnnamed(passages[index]!)) return passages[index]!.passage;
  const before = passages.slice(0, index).findLast((p) => !isUnnamed(p));
  if (before !== undefined) return `within ${before.passage}`;
  const next = passages.find((p) => !isUnnamed(p));
  return index === 0 || next === undefined ? "opening" : `before ${next.passage}`;
}

export function comparisonTable(rows: readonly ComparisonRow[]): Markup {
  const caption =
    "Settings side by side. By handbook: players counted at one dynamic, whoever is marked louder; findings: what several " +
    "parts stumble over in the same bars counts once";
  return tableOf(caption, rows, [
    ["setting", "", (r) => r.name],
    ["momentum", "n", (r) => figure(r.momentum, 2)],
    ["from secondary parts", "n", (r) => percent(r.secondaryShare)],
    ["lead heard", "n", (r) => r.audibleShare === null ? "–" : percent(r.audibleShare)],
    ["by power, dB", "n", (r) => levelFigure(r.powerDb, r.audibleShare)],
    ["by handbook, dB", "n", (r) => levelFigure(r.handbookDb, r.audibleShare)],
    ["freshness", "n", (r) => figure(r.freshness, 2)],
    ["fullness", "n", (r) => figure(r.fullness, 2)],
    ["with the tune", "n", (r) => r.contour === null ? "–" : figure(r.contour, 2)],
    [
      "bars between changes",
      "n",
      (r) => r.barsBetweenChanges === null ? "none" : figure(r.barsBetweenChanges),
    ],
    ["impossible", "n", (r) => r.impossible],
    ["risky", "n", (r) => r.risky],
    ["tiring", "n", (r) => r.tiring],
  ]);
}

/** What was wished, and what each plan that was found reaches. */
export function wishesTable(plans: readonly FoundPlan[]): Markup {
  const wishes = plans[0]!.reached.map(({ wish }, i) => ({ wish, i }));
  const reachedIn = ({ reached }: FoundPlan, i: number) => {
    const { reached: value, met } = reached[i]!;
    const missed = met ? "" : ", missed";
    return value === null ? (met ? "yes" : "no") : `${figure(value, 2)}${missed}`;
  };
  const caption =
    "Wishes and what each plan reaches; a momentum about a tenth away counts as met, near stillness somewhat more";
  return tableOf(caption, wishes, [
    ["wish", "t", (w) => w.wish],
    ...plans.map((p): ReportColumn<(typeof wishes)[number]> => [p.plan.name, "n", (w) => reachedIn(p, w.i)]),
  ]);
}

/** A table that is written for versions of one score alone. */
const VERSIONS = "versions.csv";

/** Two versions of a score, stretch by stretch. */
export function versionsTable(rows: readonly VersionChange[]): Markup {
  const span = (from: string | null, to: string | null) =>
    from === null ? "–" : from === to ? from : `${from}–${to}`;
  const shift = (was: string, is: string) => was === is ? is : `${was} → ${is}`;
  const share = (value: number | null) => value === null ? "–" : percent(value);
  const plain = (value: number | null) => value === null ? "–" : figure(value, 2);
  const caption =
    "What the second version has otherwise; bars are matched by what is in them. Means over the bars, before → now";
  return tableOf(caption, rows, [
    ["bars", "", (r) => shift(span(r.bar, r.toBar), span(r.newBar, r.newToBar))],
    ["what", "", (r) => r.kind],
    ["parts", "", (r) => r.parts],
    ["who does what else", "", (r) => r.who],
    ["momentum", "n", (r) => shift(plain(r.momentum), plain(r.newMomentum))],
    ["lead heard", "n", (r) => shift(share(r.audibleShare), share(r.newAudibleShare))],
    ["freshness", "n", (r) => shift(plain(r.freshness), plain(r.newFreshness))],
    ["hard places", "n", (r) => shift(String(r.hardPlaces), String(r.newHardPlaces))],
  ]);
}

/** From this many findings on, each severity folds. */
const FOLD_FROM = 24;
/** Parts named in a row; the table findings.csv names all. */
const MOST_PARTS = 8;

/**
 * Findings by severity, the worst first, in the order of the bars; what several parts stumble over in the same bars
 * is one row. Many of one severity fold, and so do findings that are only worth a look.
 */
export function findingsTables(entry: ReportEntry, links: BarLinks): readonly Markup[] {
  const gathered = gatherFindings(entry.study.playability.findings);
  const folds = gathered.length >= FOLD_FROM;
  return SEVERITIES.flatMap((severity) => {
    const own = gathered.filter((f) => f.severity === severity)
      .toSorted((a, b) => a.fromBarIndex - b.fromBarIndex || a.beat - b.beat);
    if (own.length === 0) return [];
    const table = tableOf(`Findings: ${severity}`, own, findingColumns(entry, links));
    const heading = markup`${severityTag(severity)}: ${counted(own.length, "finding")}`;
    if (!folds && severity !== "note") return [markup`<h4>${heading}</h4>${table}`];
    return [markup`<details class="findings"><summary>${heading}${rulesOf(own)}</summary>${table}</details>`];
  });
}

function findingColumns(
  { score }: ReportEntry,
  { inCell }: BarLinks,
): readonly ReportColumn<GatheredFinding>[] {
  const worstOf = (f: GatheredFinding) =>
    f.parts.length > 1 ? `; worst in ${score.parts[f.worstPart]?.name ?? ""}` : "";
  const placesOf = (f: GatheredFinding) => f.places > 1 ? ` (${counted(f.places, "place")})` : "";
  return [
    ["bars", "b", (f) => inCell(spanInWords(score, f).replace(/^bars?\s/, ""))],
    ["beat", "n", (f) => figure(f.beat, Number.isInteger(f.beat) ? 0 : 2)],
    ["parts", "p", (f) => `${listed(f.partNames, MOST_PARTS)}${worstOf(f)}`],
    ["what is asked", "t", (f) => notesAsPrinted(`${f.rule}: ${f.what}${placesOf(f)}`)],
    ["found", "a", (f) => amount(f.figure, f.unit)],
    ["limit", "a", (f) => amount(f.limit, f.unit)],
    ["a way out", "t", (f) => notesAsPrinted(f.remedy)],
    ["source of the limit", "p", (f) => sourceOf(f)],
  ];
}

const sourceOf = ({ source }: { readonly source: string }) => markup`<span class="source">${source}</span>`;

/** What folded findings are about: their rules, the commonest first. */
function rulesOf(findings: readonly GatheredFinding[]): string {
  const rules = [...Map.groupBy(findings, (f) => f.rule)].sort((a, b) => b[1].length - a[1].length)
    .map(([rule, own]) => own.length > 1 ? `${rule} × ${own.length}` : rule);
  return ` (${listed(rules, 4)})`;
}

/** A figure with its unit; a number on the dynamic scale as the mark that players read. */
function amount(value: number, unit: string): Piece {
  if (unit.startsWith("dynamic")) return markup`<em>${dynamicMark(value)}</em>`;
  const shown = Number.isInteger(value) ? String(value) : figure(value, Math.abs(value) < 10 ? 2 : 1);
  const noun = value === 1
    ? unit.replace(/^(note|breath|leap|semitone|position|second|stroke)s\b/, "$1")
    : unit;
  return unit === "" ? shown : `${shown}\u00a0${noun}`;
}

function severityTag(severity: Severity): Markup {
  const { shape, filled } = SEVERITY_LOOKS[severity];
  const colour = severityColour(severity);
  const path = markup`<path d="${shape}" fill="${
    filled ? colour : "none"
  }" stroke="${colour}" stroke-width="2"/>`;
  return markup`<span class="tag"><svg viewBox="-7 -7 14 14" aria-hidden="true">${path}</svg>${severity}</span>`;
}

/** Ways out shown in the report; the table remedies.csv has all. */
const MOST_REMEDIES = 8;

/** Ways out of one passage with what each gives. */
export function remediesTable({ remedies = [], figure: now }: BalanceWarning): Markup {
  if (remedies.length === 0) return markup`<p>None of the changes that were tried brings the lead out.</p>`;
  const caption = `Ways out, each made in the notes and measured anew; now the lead keeps ${percent(now)}. ` +
    "More: what is gained; by power, by handbook: the lead over the rest after the change";
  return tableOf(caption, remedies.slice(0, MOST_REMEDIES), [
    ["lead heard", "n", (r) => percent(r.audibleShare)],
    ["more", "n", (r) => `+${percent(r.gainedShare)}`],
    ["with", "t", (r) => r.what],
    ["by power, dB", "n", (r) => levelFigure(r.powerDb, r.audibleShare)],
    ["by handbook, dB", "n", (r) => levelFigure(r.handbookDb, r.audibleShare)],
    ["can it be played?", "t", (r) => r.playable ? "yes" : `with care: ${r.caution}`],
  ]);
}

/** From this many change points on their table folds: the chart names the largest. */
const FOLD_CHANGES_FROM = 13;

/** The change points, in order; where the page has several settings the table folds. */
export function changesTable(
  { study: { freshness: { changes } } }: ReportEntry,
  { inCell }: BarLinks,
  { several }: { readonly several: boolean },
): Markup {
  if (changes.length === 0) return markup``;
  const table = tableOf("Change points; how much: 0 nothing, 1 everything", changes, [
    ["bar", "s", (c) => inCell(c.bar)],
    ["how much", "n", (c) => figure(c.change, 2)],
    ["what changes", "t", (c) => c.what],
  ]);
  if (changes.length < FOLD_CHANGES_FROM && !several) return table;
  return markup`<details><summary>All ${counted(changes.length, "change point")}</summary>${table}</details>`;
}

/** The constants of one measure: what was used, the default, and where it comes from. */
export function settingsTable(
  name: string,
  { constants, used }: { readonly constants: Constants; readonly used: Readonly<Record<string, number>> },
): Markup {
  return tableOf(name, Object.entries(constants), [
    ["constant", "s", ([key]) => key.replace(/([a-z0-9])([A-Z])/g, "$1 $2").toLowerCase()],
    ["value", "n", ([key, { value }]) => {
      const own = used[key] ?? value;
      return own === value ? own : markup`<strong>${own}</strong>`;
    }],
    ["default", "n", ([, { value }]) => value],
    ["unit", "s", ([, { unit }]) => unit],
    ["what it does", "t", ([, { meaning }]) => meaning],
    ["source", "t", ([, constant]) => sourceOf(constant)],
  ]);
}

export function noticesTable({ score }: ReportEntry, { inText }: BarLinks): Markup {
  return tableOf("Noticed in file and plan", score.notices, [
    ["what", "t", (n) => n.what],
    ["how often", "n", (n) => n.count],
    [
      "first in",
      "s",
      ({ part, bar }) =>
        inText([part, bar === undefined ? undefined : `bar ${bar}`].filter(Boolean).join(", ") || "–"),
    ],
  ]);
}

/** What every column of the files of a study holds, table by table. */
export function columnsTables({ versions }: { readonly versions: boolean }): readonly Markup[] {
  return Object.entries(TABLE_COLUMNS).filter(([file]) => versions || file !== VERSIONS).map((
    [file, columns],
  ) =>
    tableOf(file, Object.entries(columns), [
      ["column", "", ([name]) => markup`<code>${name}</code>`],
      ["what it holds", "t", ([, meaning]) => meaning],
    ])
  );
}
