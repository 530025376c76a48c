/** The report: one page that says what was studied, what was found, and how far to trust it. */
import { A_SWITCH, A_TEXT, AN_ENTRY, checkArgument, checkOptions, listOf } from "../../base/arguments.ts";
import { compare } from "../../measures/compare/compare.ts";
import { InputError } from "../../base/errors.ts";
import { BALANCE_CONSTANTS } from "../../measures/balance/balance.ts";
import { FRESHNESS_CONSTANTS } from "../../measures/freshness/freshness.ts";
import { MOMENTUM_CONSTANTS } from "../../measures/momentum/momentum.ts";
import { PASSAGE_CONSTANTS } from "../../measures/passages/passages.ts";
import { PLAYABILITY_CONSTANTS } from "../../measures/playability/playability.ts";
import { LOW_INTERVAL_CONSTANTS } from "../../measures/chords/low_intervals.ts";
import { maskingMatrix } from "../../measures/balance/masking.ts";
import { momentSound } from "../../measures/balance/moment_sound.ts";
import type { Freshness } from "../../measures/freshness/freshness_results.ts";
import type { BalanceWarning } from "../../measures/balance/balance_results.ts";
import { ROUGHNESS_CONSTANTS } from "../../measures/chords/rough_bars.ts";
import { endTicksOf, secondsOf } from "../../score/time.ts";
import { BALANCE_CAUTION } from "../drawing/balance_caution.ts";
import { balanceChart } from "../charts/balance.ts";
import { comparisonChart } from "../charts/comparison.ts";
import { freshnessChart } from "../charts/freshness.ts";
import { loudnessShareChart } from "../charts/loudness_share.ts";
import { maskingChart } from "../charts/masking.ts";
import { momentSoundChart } from "../charts/moment_sound.ts";
import { momentumChart } from "../charts/momentum.ts";
import { momentumComparisonChart } from "../charts/momentum_comparison.ts";
import { playabilityChart } from "../charts/playability.ts";
import { roleTimelineChart } from "../charts/role_timeline.ts";
import { type BarLinks, barLinks } from "./bar_links.ts";
import { entryWarnings, isAdvised } from "./entry_warnings.ts";
import type { ReportEntry } from "./report_entry.ts";
import { REPORT_STYLE } from "./report_style.ts";
import {
  changesTable,
  columnsTables,
  comparisonTable,
  findingsTables,
  noticesTable,
  remediesTable,
  settingsTable,
  summaryTable,
} from "./report_tables.ts";
import {
  assumptionsInWords,
  comparisonInWords,
  inShort,
  originInWords,
  roleMeanings,
  rolesInWords,
} from "./report_words.ts";
import { chartMarkup } from "../drawing/save_chart.ts";
import type { Chart } from "../drawing/svg.ts";
import { escapeHtml } from "../drawing/table_html.ts";
import { capitalised, counted, percent, sentence, spanInWords, tempoInFull } from "../drawing/words.ts";

/** Options of {@linkcode report}. */
export interface ReportOptions {
  /** Title of the page. By default the score's title. */
  readonly title?: string;
  /**
   * Whether ways out and advice on the scoring are given. By default for settings, which can still be changed; a finished
   * score is described.
   */
  readonly advise?: boolean;
}

const CHART = { width: 1000, title: "" } as const;

const ENTRIES = listOf(AN_ENTRY, "a list of studies with their scores and textures");

/**
 * Writes a report as one HTML page that needs nothing else: no network, no script, no other file. It holds a summary
 * in words and as a table, the settings side by side where there are several, every chart with how to read it and
 * what it shows here, playability findings with ways out, warnings and advice, what the reader could not use, all
 * constants with their sources, and what the figures cannot know.
 *
 * @param entries one or more studies, each with its score and texture
 * @param options title, whether to advise
 * @returns HTML
 * @throws {InputError} when there are no entries
 *
 * @example
 * ```ts
 * import { demoScore, study, textureOf } from "ripieno";
 * import { report } from "ripieno/show";
 * import { assertStringIncludes } from "@std/assert";
 * const score = demoScore();
 * const html = report([{ study: study(score), score, texture: textureOf(score) }], { title: "Spate, first try" });
 * assertStringIncludes(html, "<h1>Spate, first try</h1>");
 * ```
 */
export function report(entries: readonly ReportEntry[], options: ReportOptions = {}): string {
  checkOptions("write the report", options, { title: A_TEXT, advise: A_SWITCH });
  checkArgument("write the report", entries, ENTRIES);
  const [first] = entries;
  if (first === undefined) {
    throw new InputError({
      action: "write the report",
      problem: "there is nothing to report on",
      remedy: "Give at least one study with its score and texture",
    });
  }
  const title = options.title ?? (first.score.title || first.study.name);
  const draw = chartDrawer();
  const several = entries.length > 1;
  const body = [
    several ? comparisonSection(entries, draw) : "",
    ...entries.map((entry, i) =>
      entrySection(entry, {
        number: i + 1,
        several,
        draw,
        advise: isAdvised(entry, options.advise),
      })
    ),
    howToReadSection(entries),
    readingSection(entries),
    settingsSection(entries),
    tablesSection(),
    limitsSection(entries),
  ];
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeHtml(title)}</title>
<style>
${REPORT_STYLE}
</style>
</head>
<body>
<header>
<h1>${escapeHtml(title)}</h1>
${first.score.composer === undefined ? "" : `<p class="by">${escapeHtml(first.score.composer)}</p>`}
<p>${
    several
      ? `${
        counted(entries.length, "setting")
      } of one piece: who does what, how strongly it drives, whether the lead ` +
        "is heard, how fresh the orchestration stays, what players will stumble over."
      : "Who does what, how strongly it drives, whether the lead is heard, how fresh the orchestration stays, what " +
        "players will stumble over."
  }</p>
${contents(entries)}
</header>
<main>
${body.filter((part) => part !== "").join("\n")}
</main>
<footer><p>Every figure is worked out from the notes alone; the same notes give the same figures.</p>
<p class="on-screen">What is folded prints only where it is unfolded.</p></footer>
</body>
</html>
`;
}

/** Draws a chart into the page; ids of textures are numbered, since a page may hold each only once. */
type Draw = (chart: Chart) => string;

function chartDrawer(): Draw {
  let number = 0;
  return (chart) => {
    const own = `c${++number}`;
    const markup = chartMarkup(chart).replace(/(id="|url\(#)ripieno-/g, `$1${own}-`)
      .replace(/^<svg/, `<svg id="${own}"`);
    return `<figure><div class="wide chart" tabindex="0" role="group" aria-label="chart, scrolls sideways">${markup}${
      namesOver(chart, own)
    }</div></figure>`;
  };
}

/** The names of parts once more, for narrow screens: they stay in view while the bars move under them. */
function namesOver(chart: Chart, id: string): string {
  const names = chart.querySelector("[data-width]");
  if (names === null) return "";
  const room = Number(names.getAttribute("data-width"));
  const [width, height] = [Number(chart.getAttribute("width")), Number(chart.getAttribute("height"))];
  const style = `--share: ${room / width}; --top: ${(100 * topOf(names) / height).toFixed(1)}%`;
  return `<svg class="names" aria-hidden="true" viewBox="0 0 ${room} ${height}" style="${style}">` +
    `<use href="#${id}" width="${width}" height="${height}"/></svg>`;
}

/** Pixels from the upper edge of a chart down to something in it: legend and title stand above. */
function topOf(element: Element | null): number {
  if (element === null) return 0;
  const [, y = "0"] = /translate\([^,)]*,([^)]*)\)/.exec(element.getAttribute("transform") ?? "") ?? [];
  return Number(y) + topOf(element.parentElement);
}

function contents(entries: readonly ReportEntry[]): string {
  const links = [
    ...(entries.length > 1 ? [["comparison", "Side by side"]] : []),
    ...entries.map((e, i) => [`study-${i + 1}`, entries.length > 1 ? e.study.name : "In short"]),
    ["reading", "How to read it"],
    ["notices", "What was not used"],
    ["settings", "Constants"],
    ["tables", "What the tables hold"],
    ["limits", "How far to trust it"],
  ];
  return `<nav aria-label="contents">${
    links.map(([id, name]) => `<a href="#${id}">${escapeHtml(name!)}</a>`).join("")
  }</nav>`;
}

function comparisonSection(entries: readonly ReportEntry[], draw: Draw): string {
  const studies = entries.map((e) => e.study);
  const rows = compare(studies);
  return `<section><h2 id="comparison">Side by side</h2>
<p>${escapeHtml(comparisonInWords(entries))}</p>
${draw(comparisonChart(rows, CHART))}
<details><summary>The same as a table</summary>${comparisonTable(rows)}</details>
<h3>Momentum, setting by setting</h3>
${draw(momentumComparisonChart(studies, entries[0]!.score, CHART))}
</section>`;
}

/** A part of a page about one study. */
interface EntryPlace {
  readonly number: number;
  readonly several: boolean;
  readonly draw: Draw;
  readonly advise: boolean;
}

function entrySection(entry: ReportEntry, { number, several, draw, advise }: EntryPlace): string {
  const { study, score, texture } = entry;
  const { playability } = study;
  const links = barLinks(score, number);
  const roles = roleTimelineChart(score, texture, { ...CHART, barIds: links.ids });
  return `<section${several ? ' class="setting"' : ""}><h2 id="study-${number}">${
    escapeHtml(several ? study.name : "In short")
  }</h2>
${facts(entry)}
<ul>${inShort(entry).map((s) => `<li>${links.inText(escapeHtml(s))}</li>`).join("")}</ul>
${summaryTable(entry, links)}
<h3>Who does what</h3>
<p>${links.inText(escapeHtml(rolesInWords(entry)))}</p>
${draw(roles)}
${momentumPart(entry, { several, draw })}
<h3>Is the lead heard?</h3>
${draw(balanceChart(study.balance, score, CHART))}
${warnings(entry, { links, advise })}
${worstPassage(entry, { draw, links, advise })}
<details><summary>Who makes the loudness?</summary>
${draw(loudnessShareChart(study.balance, score, CHART))}
</details>
<h3>Freshness</h3>
${draw(freshnessChart(study.freshness, score, CHART))}
${freshnessList(study.freshness, { links, advise })}
${changesTable(entry, links, { several })}
<h3>What players will stumble over</h3>
${
    playability.findings.length === 0
      ? "<p>Nothing by the rules.</p>"
      : `${draw(playabilityChart(playability, score, CHART))}
${findingsTables(entry, links)}`
  }
<p class="caution">${escapeHtml(playability.caution)}</p>
</section>`;
}

/** Where settings stand side by side, so does their momentum: once more alone it folds. */
function momentumPart(
  { study, score }: ReportEntry,
  { several, draw }: Pick<EntryPlace, "several" | "draw">,
): string {
  const chart = draw(momentumChart(study.momentum, score, CHART));
  return several
    ? `<details><summary>Momentum of this setting on a scale of its own</summary>${chart}</details>`
    : `<h3>Momentum</h3>\n${chart}`;
}

function facts({ score, study, texture }: ReportEntry): string {
  const seconds = secondsOf(score, endTicksOf(score));
  const assumed = score.tempos.every((t) => t.origin === "assumed")
    ? ", assumed, since the file has none"
    : "";
  const tempo = `${tempoInFull(score)}${assumed}`;
  const players = score.parts.reduce((sum, p) => sum + p.players, 0);
  const rows: readonly (readonly [string, string])[] = [
    ...(study.name === score.source || study.name === score.title ? [] : [["setting", study.name] as const]),
    ["source", score.source],
    ["parts", `${score.parts.length}, ${counted(players, "player")}`],
    [
      "music",
      `${counted(score.bars.length, "bar")}, ${counted(score.notes.length, "note")}, ${duration(seconds)}`,
    ],
    ["tempo", tempo],
    ["roles", texture.origin === "written" ? "as written in the plan" : "read off the notes"],
  ];
  const assumptions = assumptionsInWords({ score, study, texture });
  return `<dl>${
    rows.map(([name, value]) => `<dt>${escapeHtml(name)}</dt><dd>${escapeHtml(value)}</dd>`).join("")
  }</dl>${assumptions.map((a) => `<p class="caution">${escapeHtml(a)}</p>`).join("")}`;
}

function duration(seconds: number): string {
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)} min ${whole % 60} s`;
}

/** Items of a list shown in full; the rest folds. */
const OPEN_ITEMS = 6;

/** A list that folds after its first items. */
function foldedList(heading: string, items: readonly string[]): string {
  if (items.length === 0) return "";
  const lis = items.map((item) => `<li>${item}</li>`);
  const open = lis.length <= OPEN_ITEMS + 2 ? lis.length : OPEN_ITEMS;
  const rest = lis.slice(open);
  return `<h4>${escapeHtml(heading)}</h4><ul>${lis.slice(0, open).join("")}</ul>` +
    (rest.length === 0
      ? ""
      : `<details><summary>${rest.length} more</summary><ul>${rest.join("")}</ul></details>`);
}

/** What keeps the scoring fresh or lets it go stale: described, or as advice. */
function freshnessList({ description, advice }: Freshness, { links, advise }: Advising): string {
  const sentences = advise ? advice : description;
  return foldedList(
    advise ? "Advice" : "What stays and what comes back",
    sentences.map((words) => links.inText(escapeHtml(sentence(words)))),
  );
}

/** How the places of a study are told. */
interface Advising {
  readonly links: BarLinks;
  readonly advise: boolean;
}

/** A place, what is the matter there, and, where advice is given, a way out. */
function warningItem(w: BalanceWarning, { score }: ReportEntry, { links, advise }: Advising): string {
  const place = links.inText(escapeHtml(capitalised(spanInWords(score, w))));
  return `<strong>${place}</strong>: ${links.inText(escapeHtml(sentence(w.what)))}${
    advise ? ` ${waysOut(w)}` : ""
  }`;
}

/** Ways out named beside what they mend; remedies.csv has all. */
const WAYS_OUT = 3;

function waysOut({ remedy, remedies = [] }: BalanceWarning): string {
  if (remedies.length === 0) return escapeHtml(sentence(remedy));
  const items = remedies.slice(0, WAYS_OUT).map(({ what, audibleShare, playable, caution }) =>
    `<li>${escapeHtml(capitalised(what))}: the lead keeps ${percent(audibleShare)}${
      playable ? "" : escapeHtml(`; with care: ${caution}`)
    }</li>`
  );
  return `Ways out, made in the notes and measured anew:<ul class="ways">${items.join("")}</ul>`;
}

/** Where the lead sinks, the places with figures first, then the longest; and what is low or rough. */
function warnings(entry: ReportEntry, how: Advising): string {
  const all = entryWarnings(entry, how);
  const sunk = all.filter((w) => w.kind === "lead covered").sort((a, b) =>
    Number(b.remedies !== undefined) - Number(a.remedies !== undefined) ||
    (b.toBarIndex - b.fromBarIndex) - (a.toBarIndex - a.fromBarIndex)
  );
  const thick = all.filter((w) => w.kind !== "lead covered");
  return foldedList(
    how.advise ? "Where the lead sinks, and ways out" : "Where the lead sinks",
    sunk.map((w) => warningItem(w, entry, how)),
  ) +
    foldedList(
      "Where low intervals thicken, and what is roughest",
      thick.map((w) => warningItem(w, entry, how)),
    );
}

/** The worst passage under the glass: where advice is given, ways out with all their figures; who covers whom, one moment. */
function worstPassage(
  entry: ReportEntry,
  { draw, links, advise }: Advising & { readonly draw: Draw },
): string {
  const [worst] = entryWarnings(entry, { advise }).filter((w) => w.kind === "lead covered")
    .sort((a, b) =>
      (b.toBarIndex + 1 - b.fromBarIndex) * (b.limit - b.figure) -
      (a.toBarIndex + 1 - a.fromBarIndex) * (a.limit - a.figure)
    );
  if (worst === undefined) return "";
  const { score, study, texture } = entry;
  const constants = study.balance.settings;
  const bars = {
    fromBarIndex: worst.fromBarIndex,
    toBarIndex: Math.min(worst.toBarIndex, worst.fromBarIndex + MOST_BARS_CLOSE - 1),
  };
  const masking = maskingMatrix(score, { texture, constants, ...bars });
  const moment = momentSound(score, { texture, constants, barIndex: worst.fromBarIndex });
  return `<details><summary>The place where the lead sinks furthest, more closely: ${
    escapeHtml(spanInWords(score, worst))
  }</summary>
${advise ? remediesTable(worst) : ""}
<h4>Who covers whom in ${links.inText(escapeHtml(spanInWords(score, bars)))}</h4>
${draw(maskingChart(masking, CHART))}
<h4>The beginning of ${
    links.inText(
      escapeHtml(spanInWords(score, { fromBarIndex: worst.fromBarIndex, toBarIndex: worst.fromBarIndex })),
    )
  }, as the ear has it</h4>
${draw(momentSoundChart(moment, CHART))}
</details>`;
}

/** Bars of a long passage that are looked at closely. */
const MOST_BARS_CLOSE = 16;

/** What each chart and each table shows, said once for all settings. */
function howToReadSection(entries: readonly ReportEntry[]): string {
  const roles = roleMeanings(entries).map((r) => `<em>${r.role}</em>, ${escapeHtml(r.meaning)}`).join("; ");
  const items: readonly (readonly [string, string])[] = [
    [
      "passage by passage",
      "momentum in driving attacks per second; lead heard: what is left of its loudness beside the " +
      "rest; bars since a change: the most reached in the passage; findings begin in it, and what several parts stumble " +
      "over in the same bars counts once",
    ],
    [
      "who does what",
      `each row is a part, in the order of the score; colour, texture and word say what it is for in these bars: ${roles}. ` +
      "Empty stretches are silence. Bar numbers on this page lead here",
    ],
    [
      "momentum",
      "the line is the number of driving attacks per second in each bar; below it, each role's share. What is " +
      "slurred, soft or covered counts less. Side by side, all settings share one scale",
    ],
    [
      "is the lead heard?",
      "above, what is left of the lead's loudness when everything else plays; under the dashed line it " +
      "counts as covered. Below, the lead's level against all the rest by two other models; above 0 it outweighs them; the " +
      "handbook counts players at one dynamic and ignores who is marked louder. Where the models disagree, listen",
    ],
    [
      "who covers whom",
      "each figure says what goes of a row's loudness, in per cent, when the column sounds with it and nothing else does",
    ],
    [
      "as the ear has it",
      "low is left, high is right. A layer is heard where its line stands above the others; the strip says " +
      "who has each band, the lower panel what is heard there",
    ],
    [
      "who makes the loudness?",
      "above, how loud everything is together; below, how the loudness is shared out between the " +
      "roles, each as it is heard beside the others",
    ],
    [
      "freshness",
      "the curve jumps where the orchestration changes, further for a larger change, and sinks while it stays the " +
      "same. The names say what changes",
    ],
    [
      "what players will stumble over",
      "one row per part with findings; the shape says how serious it is, the band how far it " +
      "reaches. In the tables, what several parts stumble over in the same bars is one row",
    ],
  ];
  return `<section><h2 id="reading">How to read it</h2>
<dl class="key">${
    items.map(([name, text]) => `<dt>${escapeHtml(capitalised(name))}</dt><dd>${sentence(text)}</dd>`).join(
      "",
    )
  }</dl>
</section>`;
}

function readingSection(entries: readonly ReportEntry[]): string {
  const bySource = new Map(entries.filter((e) => e.score.notices.length > 0).map((e) => [e.score.source, e]));
  const tables = [...bySource.values()].map((entry) =>
    noticesTable(entry, barLinks(entry.score, entries.indexOf(entry) + 1))
  );
  return `<section><h2 id="notices">What was not used</h2>
${
    tables.length === 0
      ? "<p>Everything in the file that these measures ask for was used.</p>"
      : tables.join("")
  }
</section>`;
}

function settingsSection(entries: readonly ReportEntry[]): string {
  const [first] = entries;
  const { momentum, balance, freshness, playability } = first!.study;
  const tables = [
    settingsTable("Momentum", { constants: MOMENTUM_CONSTANTS, used: momentum.settings }),
    settingsTable("Balance", { constants: BALANCE_CONSTANTS, used: balance.settings }),
    settingsTable("Low intervals", { constants: LOW_INTERVAL_CONSTANTS, used: {} }),
    settingsTable("Roughness", { constants: ROUGHNESS_CONSTANTS, used: {} }),
    settingsTable("Freshness", { constants: FRESHNESS_CONSTANTS, used: freshness.settings }),
    settingsTable("Passages", { constants: PASSAGE_CONSTANTS, used: {} }),
    settingsTable("Playability", { constants: PLAYABILITY_CONSTANTS, used: playability.settings }),
  ];
  return `<section><h2 id="settings">Constants</h2>
<details><summary>Every constant, its unit and its source</summary>
<p>Values that differ from the default stand out in bold.${
    entries.length > 1 ? " The table holds those of the first setting." : ""
  }</p>
${tables.join("\n")}
</details></section>`;
}

function tablesSection(): string {
  return `<section><h2 id="tables">What the tables hold</h2>
<details><summary>Every column of the CSV files beside this report</summary>
<p>In every table the first column says which setting a row belongs to. Bars and beats are as printed; beats count from 1. Numbers are rounded to four decimals, small ones to six at most; empty means unknown.</p>
${columnsTables()}
</details></section>`;
}

function limitsSection(entries: readonly ReportEntry[]): string {
  const origins = [...new Set(entries.map(originInWords))];
  return `<section><h2 id="limits">How far to trust it</h2>
<ul>
${origins.map((o) => `<li>${escapeHtml(o)}</li>`).join("\n")}
<li>Momentum is a model of drive, not a measurement of listeners: it knows attacks, loudness, pulse and metre, but not harmony's pull, melody's direction, or what the scene on the screen does.</li>
<li>${
    escapeHtml(BALANCE_CAUTION)
  } Roughness and low intervals are facts about the chord, not faults: both may be meant.</li>
<li>Freshness counts changes of who plays what. A listener may be held by a harmony or a tune while the scoring stays, and tired by changes without purpose.</li>
<li>Playability compares with published guides and common practice. It does not know your players, fingerings in context, or how much rehearsal there is.</li>
<li>Constants named <em>model assumption</em> have no published source; change them and see whether the conclusion holds.</li>
</ul>
</section>`;
}
