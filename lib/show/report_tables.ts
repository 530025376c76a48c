/** The tables of the report. */
import type { ComparisonRow, PlayabilityFinding, Severity } from "../measures/results.ts";
import type { Constants } from "../settings.ts";
import type { ReportEntry } from "./report.ts";
import { summarise, type SummaryRow } from "./summary.ts";
import { escapeHtml } from "./table.ts";
import { SEVERITIES, SEVERITY_LOOKS } from "./theme.ts";
import { counted, figure, percent, spanInWords } from "./words.ts";

/** A column: its heading, and whether it holds figures, short words, or text that needs room. */
interface Column {
  readonly head: string;
  readonly kind?: "n" | "s" | "t";
}

/** A table whose cells are HTML already. */
interface HtmlTable {
  readonly caption: string;
  readonly columns: readonly Column[];
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

function row(columns: readonly Column[], cells: readonly string[]): string {
  return `<tr>${
    cells.map((cell, i) => {
      const kind = columns[i]?.kind;
      const side = kind === undefined ? "" : ` class="${kind}"`;
      return i === 0 ? `<th scope="row"${side}>${cell}</th>` : `<td${side}>${cell}</td>`;
    }).join("")
  }</tr>`;
}

const SUMMARY: readonly Column[] = [
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
export function summaryTable({ study, score }: ReportEntry): string {
  const findings = (r: SummaryRow) =>
    (["impossible", "risky", "tiring"] as const).filter((s) => r[s] > 0).map((s) => `${r[s]} ${s}`).join(
      ", ",
    );
  const passages = summarise(study, score);
  const isNamed = passages.some((r) => !r.passage.startsWith("bars "));
  const columns = isNamed ? SUMMARY : SUMMARY.slice(1);
  const rows = passages.map((r) =>
    row(columns, [
      ...(isNamed ? [escapeHtml(r.passage)] : []),
      escapeHtml(r.bars),
      escapeHtml(r.lead),
      figure(r.momentum, 2),
      escapeHtml(r.drivenBy || "–"),
      r.leadAudible === null ? "–" : percent(r.leadAudible),
      String(r.barsSinceChange),
      findings(r) || "none",
    ])
  );
  const caption =
    `${study.name}, passage by passage. Momentum in driving attacks per second; lead heard: what is left ` +
    "of its loudness beside the rest; bars since a change: the most reached in the passage";
  return tableIn({ caption, columns, rows });
}

const COMPARISON: readonly Column[] = [
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
    caption: "Settings side by side",
    columns: COMPARISON,
    rows: rows.map((r) =>
      row(COMPARISON, [
        escapeHtml(r.name),
        figure(r.momentum, 2),
        percent(r.secondaryShare),
        r.audibleShare === null ? "–" : percent(r.audibleShare),
        r.powerDb === null ? "–" : figure(r.powerDb),
        r.handbookDb === null ? "–" : figure(r.handbookDb),
        figure(r.freshness, 2),
        figure(r.barsBetweenChanges),
        String(r.impossible),
        String(r.risky),
        String(r.tiring),
      ])
    ),
  });
}

const FINDINGS: readonly Column[] = [
  { head: "bars", kind: "s" },
  { head: "beat", kind: "n" },
  { head: "severity", kind: "s" },
  { head: "what is asked", kind: "t" },
  { head: "figure", kind: "n" },
  { head: "limit", kind: "n" },
  { head: "a way out", kind: "t" },
  { head: "source of the limit", kind: "t" },
];
/** From this many findings on, the parts are folded. */
const FOLD_FROM = 24;

/** Findings part by part; where there are many, each part folds, with its counts in sight. */
export function findingsTables({ study, score }: ReportEntry): string {
  const { findings } = study.playability;
  const parts = score.parts.flatMap((p, part) => {
    const own = findings.filter((f) => f.part === part)
      .toSorted((a, b) => a.fromBar - b.fromBar || a.beat - b.beat);
    return own.length === 0 ? [] : [{ name: p.name, own }];
  });
  const rowsOf = (own: readonly PlayabilityFinding[]) =>
    own.map((f) =>
      row(FINDINGS, [
        escapeHtml(spanInWords(score, f).replace(/^bars?\s/, "")),
        figure(f.beat, Number.isInteger(f.beat) ? 0 : 2),
        severityTag(f.severity),
        escapeHtml(`${f.rule}: ${f.what}`) + (f.places > 1 ? ` (${counted(f.places, "place")})` : ""),
        amount(f.figure, f.unit),
        amount(f.limit, f.unit),
        escapeHtml(f.remedy),
        `<span class="source">${escapeHtml(f.source)}</span>`,
      ])
    );
  if (findings.length < FOLD_FROM) {
    const rows = parts.flatMap(({ name, own }) => [
      `<tr class="part"><th scope="rowgroup" colspan="${FINDINGS.length}">${escapeHtml(name)}</th></tr>`,
      ...rowsOf(own),
    ]);
    return rows.length === 0 ? "" : tableIn({ caption: "Findings by part", columns: FINDINGS, rows });
  }
  return parts.map(({ name, own }) =>
    `<details><summary><strong>${escapeHtml(name)}</strong>: ${countsOf(own)}</summary>${
      tableIn({ caption: `Findings: ${name}`, columns: FINDINGS, rows: rowsOf(own) })
    }</details>`
  ).join("");
}

function countsOf(findings: readonly PlayabilityFinding[]): string {
  return SEVERITIES.map((s) => ({ s, n: findings.filter((f) => f.severity === s).length }))
    .filter(({ n }) => n > 0)
    .map(({ s, n }) => `<span class="tag">${severityTag(s)} ${n}</span>`).join(" · ");
}

function amount(value: number, unit: string): string {
  const shown = Number.isInteger(value) ? String(value) : figure(value, Math.abs(value) < 10 ? 2 : 1);
  return escapeHtml(unit === "" || unit === "1" ? shown : `${shown}\u00a0${unit}`);
}

function severityTag(severity: Severity): string {
  const { colour, shape, filled } = SEVERITY_LOOKS[severity];
  return `<span class="tag"><svg viewBox="-7 -7 14 14" aria-hidden="true"><path d="${shape}" fill="${
    filled ? colour : "none"
  }" stroke="${colour}" stroke-width="2"/></svg>${severity}</span>`;
}

const CHANGES: readonly Column[] = [
  { head: "bar", kind: "s" },
  { head: "how much", kind: "n" },
  { head: "what changes", kind: "t" },
];

/** The change points, in order. */
export function changesTable({ study }: ReportEntry): string {
  const rows = study.freshness.changes.map((c) =>
    row(CHANGES, [escapeHtml(c.barNumber), figure(c.change, 2), escapeHtml(c.what)])
  );
  if (rows.length === 0) return "";
  const caption = "Change points; how much: 0 nothing, 1 everything";
  const table = tableIn({ caption, columns: CHANGES, rows });
  return rows.length <= 12
    ? table
    : `<details><summary>All ${counted(rows.length, "change point")}</summary>${table}</details>`;
}

const SETTINGS: readonly Column[] = [
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

const NOTICES: readonly Column[] = [
  { head: "what", kind: "t" },
  { head: "how often", kind: "n" },
  { head: "first in", kind: "s" },
];

/** What the reader could not use. */
export function noticesTable({ score }: ReportEntry): string {
  const rows = score.notices.map((n) =>
    row(NOTICES, [
      escapeHtml(n.what),
      String(n.count),
      escapeHtml(
        [n.part, n.bar === undefined ? undefined : `bar ${n.bar}`].filter(Boolean).join(", ") || "–",
      ),
    ])
  );
  return tableIn({ caption: "Not used from the file", columns: NOTICES, rows });
}
