/** The tables of the report. */
import { type GatheredFinding, gatherFindings } from "../../measures/playability/gather_findings.ts";
import type { BalanceWarning } from "../../measures/balance/balance_results.ts";
import type { ComparisonRow } from "../../measures/compare/study_results.ts";
import type { Severity } from "../../measures/playability/playability_results.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Score } from "../../score/model.ts";
import type { Constants } from "../../base/settings.ts";
import type { BarLinks } from "./bar_links.ts";
import type { ReportEntry } from "./report_entry.ts";
import { countsInWords } from "../drawing/finding_counts.ts";
import { isUnnamed, summarise, type SummaryRow } from "../drawing/summary.ts";
import { escapeHtml } from "../drawing/table_html.ts";
import { TABLE_COLUMNS } from "./table_columns.ts";
import { SEVERITIES, SEVERITY_LOOKS, severityColour } from "../drawing/theme.ts";
import { counted, figure, levelFigure, listed, percent, spanInWords } from "../drawing/words.ts";

/** A column: its heading, and whether it holds bars, figures, short words, amounts with units, names of parts, or text that needs room. */
interface ReportColumn {
  readonly head: string;
  readonly kind?: "b" | "n" | "s" | "a" | "p" | "t";
}

/** A table whose cells are HTML already. */
interface HtmlTable {
  readonly caption: string;
  readonly columns: readonly ReportColumn[];
  readonly rows: readonly string[];
}

/** Rows of cells in a box that scrolls sideways where the page is narrow. */
function tableIn({ caption, columns, rows }: HtmlTable): string {
  const head = columns.map(({ head, kind }) =>
    `<th scope="col"${kind === undefined ? "" : ` class="${kind}"`}>${escapeHtml(head)}</th>`
  ).join("");
  return `<div class="wide" role="region" tabindex="0" aria-label="${escapeHtml(caption)}"><table>` +
    `<caption>${escapeHtml(caption)}</caption><thead><tr>${head}</tr></thead><tbody>${
      rows.join("")
    }</tbody>` +
    "</table></div>";
}

function row(columns: readonly ReportColumn[], cells: readonly string[]): string {
  return `<tr>${
    cells.map((cell, i) => {
      const kind = columns[i]?.kind;
      const side = kind === undefined ? "" : ` class="${kind}"`;
      return i === 0 ? `<th scope="row"${side}>${cell}</th>` : `<td${side}>${cell}</td>`;
    }).join("")
  }</tr>`;
}

const SUMMARY: readonly ReportColumn[] = [
  { head: "passage" },
  { head: "bars", kind: "s" },
  { head: "who leads", kind: "t" },
  { head: "momentum", kind: "n" },
  { head: "driven by", kind: "s" },
  { head: "lead heard", kind: "n" },
  { head: "bars since a change", kind: "n" },
  { head: "findings", kind: "s" },
];

/** A row per passage. */
export function summaryTable({ study, score }: ReportEntry, { inCell }: BarLinks): string {
  const passages = summarise(study, score);
  const isNamed = passages.some((r) => !isUnnamed(r));
  const columns = isNamed ? SUMMARY : SUMMARY.slice(1);
  const rows = passages.map((r, i) =>
    row(columns, [
      ...(isNamed ? [escapeHtml(nameBeside(passages, i))] : []),
      inCell(escapeHtml(r.bars)),
      escapeHtml(r.lead),
      figure(r.momentum, 2),
      escapeHtml(r.drivenBy || "–"),
      r.leadAudible === null ? "–" : percent(r.leadAudible),
      String(r.barsSinceChange),
      countsInWords(r),
    ])
  );
  const caption = `${study.name}, passage by passage`;
  return tableIn({ caption, columns, rows });
}

/** What a passage is called beside its bars: one without a name lies within the last that has one, or opens the piece. */
function nameBeside(passages: readonly SummaryRow[], index: number): string {
  if (!isUnnamed(passages[index]!)) return passages[index]!.passage;
  const before = passages.slice(0, index).findLast((p) => !isUnnamed(p));
  return before === undefined ? "opening" : `within ${before.passage}`;
}

const COMPARISON: readonly ReportColumn[] = [
  { head: "setting" },
  { head: "momentum", kind: "n" },
  { head: "from secondary parts", kind: "n" },
  { head: "lead heard", kind: "n" },
  { head: "by power, dB", kind: "n" },
  { head: "by handbook, dB", kind: "n" },
  { head: "freshness", kind: "n" },
  { head: "bars between changes", kind: "n" },
  { head: "impossible", kind: "n" },
  { head: "risky", kind: "n" },
  { head: "tiring", kind: "n" },
];

/** A row per setting. */
export function comparisonTable(rows: readonly ComparisonRow[]): string {
  return tableIn({
    caption:
      "Settings side by side. By handbook: players counted at one dynamic, whoever is marked louder; findings: what several " +
      "parts stumble over in the same bars counts once",
    columns: COMPARISON,
    rows: rows.map((r) =>
      row(COMPARISON, [
        escapeHtml(r.name),
        figure(r.momentum, 2),
        percent(r.secondaryShare),
        r.audibleShare === null ? "–" : percent(r.audibleShare),
        levelFigure(r.powerDb, r.audibleShare),
        levelFigure(r.handbookDb, r.audibleShare),
        figure(r.freshness, 2),
        r.barsBetweenChanges === null ? "none" : figure(r.barsBetweenChanges),
        String(r.impossible),
        String(r.risky),
        String(r.tiring),
      ])
    ),
  });
}

const FINDINGS: readonly ReportColumn[] = [
  { head: "bars", kind: "b" },
  { head: "beat", kind: "n" },
  { head: "parts", kind: "p" },
  { head: "what is asked", kind: "t" },
  { head: "found", kind: "a" },
  { head: "limit", kind: "a" },
  { head: "a way out", kind: "t" },
  { head: "source of the limit", kind: "p" },
];
/** From this many findings on, each severity folds. */
const FOLD_FROM = 24;
/** Parts named in a row; the table findings.csv names all. */
const MOST_PARTS = 8;

/**
 * Findings by severity, the worst first, in the order of the bars; what several parts stumble over in the same bars
 * is one row. Many of one severity fold, and so do findings that are only worth a look.
 */
export function findingsTables({ study, score }: ReportEntry, links: BarLinks): string {
  const gathered = gatherFindings(study.playability.findings);
  const folds = gathered.length >= FOLD_FROM;
  return SEVERITIES.map((severity) => {
    const own = gathered.filter((f) => f.severity === severity)
      .toSorted((a, b) => a.fromBarIndex - b.fromBarIndex || a.beat - b.beat);
    if (own.length === 0) return "";
    const rows = own.map((f) => findingRow(f, score, links));
    const table = tableIn({ caption: `Findings: ${severity}`, columns: FINDINGS, rows });
    const heading = `${severityTag(severity)}: ${counted(own.length, "finding")}`;
    if (!folds && severity !== "note") return `<h4>${heading}</h4>${table}`;
    return `<details class="findings"><summary>${heading}${rulesOf(own)}</summary>${table}</details>`;
  }).join("");
}

function findingRow(f: GatheredFinding, score: Score, { inCell }: BarLinks): string {
  const worst = f.parts.length > 1 ? `; worst in ${score.parts[f.worstPart]?.name ?? ""}` : "";
  return row(FINDINGS, [
    inCell(escapeHtml(spanInWords(score, f).replace(/^bars?\s/, ""))),
    figure(f.beat, Number.isInteger(f.beat) ? 0 : 2),
    escapeHtml(`${listed(f.partNames, MOST_PARTS)}${worst}`),
    escapeHtml(`${f.rule}: ${f.what}`) + (f.places > 1 ? ` (${counted(f.places, "place")})` : ""),
    amount(f.figure, f.unit),
    amount(f.limit, f.unit),
    escapeHtml(f.remedy),
    `<span class="source">${escapeHtml(f.source)}</span>`,
  ]);
}

/** What folded findings are about: their rules, the commonest first. */
function rulesOf(findings: readonly GatheredFinding[]): string {
  const rules = [...Map.groupBy(findings, (f) => f.rule)].sort((a, b) => b[1].length - a[1].length)
    .map(([rule, own]) => own.length > 1 ? `${rule} × ${own.length}` : rule);
  return ` (${escapeHtml(listed(rules, 4))})`;
}

/** A figure with its unit; a number on the dynamic scale as the mark that players read. */
function amount(value: number, unit: string): string {
  if (unit.startsWith("dynamic")) return `<em>${dynamicMark(value)}</em>`;
  const shown = Number.isInteger(value) ? String(value) : figure(value, Math.abs(value) < 10 ? 2 : 1);
  const noun = value === 1
    ? unit.replace(/^(note|breath|leap|semitone|position|second|stroke)s\b/, "$1")
    : unit;
  return escapeHtml(unit === "" ? shown : `${shown}\u00a0${noun}`);
}

function severityTag(severity: Severity): string {
  const { shape, filled } = SEVERITY_LOOKS[severity];
  const colour = severityColour(severity);
  return `<span class="tag"><svg viewBox="-7 -7 14 14" aria-hidden="true"><path d="${shape}" fill="${
    filled ? colour : "none"
  }" stroke="${colour}" stroke-width="2"/></svg>${severity}</span>`;
}

const REMEDIES: readonly ReportColumn[] = [
  { head: "lead heard", kind: "n" },
  { head: "more", kind: "n" },
  { head: "with", kind: "t" },
  { head: "by power, dB", kind: "n" },
  { head: "by handbook, dB", kind: "n" },
  { head: "can it be played?", kind: "t" },
];
/** Ways out shown in the report; the table remedies.csv has all. */
const MOST_REMEDIES = 8;

/** Ways out of one passage with what each gives. */
export function remediesTable({ remedies = [], figure: now }: BalanceWarning): string {
  if (remedies.length === 0) return "<p>None of the changes that were tried brings the lead out.</p>";
  const rows = remedies.slice(0, MOST_REMEDIES).map((r) =>
    row(REMEDIES, [
      percent(r.audibleShare),
      `+${percent(r.gainedShare)}`,
      escapeHtml(r.what),
      levelFigure(r.powerDb, r.audibleShare),
      levelFigure(r.handbookDb, r.audibleShare),
      r.playable ? "yes" : escapeHtml(`with care: ${r.caution}`),
    ])
  );
  const caption = `Ways out, each made in the notes and measured anew; now the lead keeps ${percent(now)}. ` +
    "More: what is gained; by power, by handbook: the lead over the rest after the change";
  return tableIn({ caption, columns: REMEDIES, rows });
}

const CHANGES: readonly ReportColumn[] = [
  { head: "bar", kind: "s" },
  { head: "how much", kind: "n" },
  { head: "what changes", kind: "t" },
];

/** From this many change points on their table folds: the chart names the largest. */
const FOLD_CHANGES_FROM = 13;

/** The change points, in order; where the page has several settings the table folds. */
export function changesTable(
  { study }: ReportEntry,
  { inCell }: BarLinks,
  { several }: { readonly several: boolean },
): string {
  const rows = study.freshness.changes.map((c) =>
    row(CHANGES, [inCell(escapeHtml(c.bar)), figure(c.change, 2), escapeHtml(c.what)])
  );
  if (rows.length === 0) return "";
  const caption = "Change points; how much: 0 nothing, 1 everything";
  const table = tableIn({ caption, columns: CHANGES, rows });
  return rows.length < FOLD_CHANGES_FROM && !several
    ? table
    : `<details><summary>All ${counted(rows.length, "change point")}</summary>${table}</details>`;
}

const SETTINGS: readonly ReportColumn[] = [
  { head: "constant", kind: "s" },
  { head: "value", kind: "n" },
  { head: "default", kind: "n" },
  { head: "unit", kind: "s" },
  { head: "what it does", kind: "t" },
  { head: "source", kind: "t" },
];

/** The constants of one measure: what was used, the default, and where it comes from. */
export function settingsTable(
  name: string,
  { constants, used }: { readonly constants: Constants; readonly used: Readonly<Record<string, number>> },
): string {
  const rows = Object.entries(constants).map(([key, c]) => {
    const value = used[key] ?? c.value;
    return row(SETTINGS, [
      escapeHtml(key.replace(/([a-z0-9])([A-Z])/g, "$1 $2").toLowerCase()),
      value === c.value ? String(value) : `<strong>${value}</strong>`,
      String(c.value),
      escapeHtml(c.unit),
      escapeHtml(c.meaning),
      `<span class="source">${escapeHtml(c.source)}</span>`,
    ]);
  });
  return tableIn({ caption: name, columns: SETTINGS, rows });
}

const NOTICES: readonly ReportColumn[] = [
  { head: "what", kind: "t" },
  { head: "how often", kind: "n" },
  { head: "first in", kind: "s" },
];

/** What the reader could not use. */
export function noticesTable({ score }: ReportEntry, { inText }: BarLinks): string {
  const rows = score.notices.map((n) =>
    row(NOTICES, [
      escapeHtml(n.what),
      String(n.count),
      inText(escapeHtml(
        [n.part, n.bar === undefined ? undefined : `bar ${n.bar}`].filter(Boolean).join(", ") || "–",
      )),
    ])
  );
  return tableIn({ caption: "Not used from the file", columns: NOTICES, rows });
}

const COLUMNS: readonly ReportColumn[] = [{ head: "column" }, { head: "what it holds", kind: "t" }];

/** What every column of the files of a study holds, table by table. */
export function columnsTables(): string {
  return Object.entries(TABLE_COLUMNS).map(([file, columns]) =>
    tableIn({
      caption: file,
      columns: COLUMNS,
      rows: Object.entries(columns).map(([name, meaning]) =>
        row(COLUMNS, [`<code>${escapeHtml(name)}</code>`, escapeHtml(meaning)])
      ),
    })
  ).join("");
}
