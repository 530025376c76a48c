/** The report: one page that says what was studied, what was found, and how far to trust it. */
import { A_RECORD, A_SWITCH, A_TEXT, checkArgument, checkOptions, listOf } from "../../base/arguments.ts";
import { capitalised } from "../../base/words.ts";
import { compareVersions } from "../../measures/compare/versions.ts";
import { compare } from "../../measures/compare/compare.ts";
import { InputError } from "../../base/errors.ts";
import { HARMONY_CONSTANTS } from "../../harmony/harmony_constants.ts";
import { BALANCE_CONSTANTS } from "../../measures/balance/balance.ts";
import { IDIOM_CONSTANTS } from "../../measures/idiom/idiom.ts";
import { CONTOUR_CONSTANTS } from "../../measures/contour/contour.ts";
import { FULLNESS_CONSTANTS } from "../../measures/fullness/fullness.ts";
import { FRESHNESS_CONSTANTS } from "../../measures/freshness/freshness.ts";
import { MOMENTUM_CONSTANTS } from "../../measures/momentum/momentum.ts";
import { PASSAGE_CONSTANTS } from "../../measures/passages/passages.ts";
import { PLAYABILITY_CONSTANTS } from "../../measures/playability/playability.ts";
import { LOW_INTERVAL_CONSTANTS } from "../../measures/chords/low_intervals.ts";
import { VOICE_LEADING_CONSTANTS } from "../../measures/chords/voice_leading.ts";
import { ROUGHNESS_CONSTANTS } from "../../measures/chords/rough_bars.ts";
import type { FoundPlan } from "../../orchestrate/search/search_results.ts";
import { BALANCE_CAUTION } from "../drawing/balance_caution.ts";
import { comparisonChart } from "../charts/comparison.ts";
import { foundPlansChart, plansMetInWords } from "../charts/found_plans.ts";
import { momentumComparisonChart } from "../charts/momentum_comparison.ts";
import { barLinks } from "./bar_links.ts";
import { CHART, chartDrawer, type Draw } from "./chart_figure.ts";
import {
  CHANGED_PASSAGES,
  type ChangedPassage,
  changedPassages,
  excerptDrawer,
  EXCERPTS,
  fontsOnce,
  notesDrawer,
  type ReportExcerpt,
} from "./report_excerpts.ts";
import { type ReportSound, SOUNDS, soundsList } from "./report_sounds.ts";
import { entryHarmony } from "./entry_harmony.ts";
import { isAdvised } from "./entry_warnings.ts";
import { howToReadSection } from "./how_to_read.ts";
import { ENTRIES, entriesToldApart, type ReportEntry } from "./report_entry.ts";
import { REPORT_STYLE } from "./report_style.ts";
import {
  columnsTables,
  comparisonTable,
  noticesTable,
  settingsTable,
  versionsTable,
  wishesTable,
} from "./report_tables.ts";
import { comparisonInWords, originInWords } from "./report_words.ts";
import { studySection } from "./study_section.ts";
import { lines, type Markup, markup } from "../drawing/markup.ts";
import { counted } from "../drawing/words.ts";

/** Options of {@linkcode report}. */
export interface ReportOptions {
  /** Title of the page. By default the score's title. */
  readonly title?: string;
  /**
   * Whether ways out and advice on the scoring are given. By default for settings, which can still be changed; a finished
   * score is described.
   */
  readonly advise?: boolean;
  /** Whether the studies are versions of one score: then the second is held against the first, bar by bar. By default not. */
  readonly versions?: boolean;
  /** Bars in notes, as {@linkcode reportExcerpts} engraves them; they stand beside what they show. By default none. */
  readonly excerpts?: readonly ReportExcerpt[];
  /** Passages as sound, as {@linkcode reportSounds} plays them; the page brings them along. By default none. */
  readonly sounds?: readonly ReportSound[];
  /** Address of the listening page, where there is one beside the report, such as `listen.html`; by default none is linked. */
  readonly listeningPage?: string;
  /** Passages of the second version that were written anew, with the notes before and after; by default none are shown. */
  readonly changed?: readonly ChangedPassage[];
  /** Plans that the settings were written from, as `search` finds them: the page says what was asked and what each reaches. By default none are shown. */
  readonly found?: readonly FoundPlan[];
}

/** The kind of a list of plans that were found. */
export const FOUND_PLANS = listOf(A_RECORD, "a list of plans, as search() finds them");

/**
 * Writes a report as one HTML page that needs nothing else: no network, no script, no other file. It holds a summary
 * in words and as a table, the settings side by side where there are several, every chart with how to read it and
 * what it shows here, playability findings with ways out, warnings and advice, what the reader could not use, all
 * constants with their sources, and what the figures cannot know.
 *
 * @param studies one or more studies, each with its score and texture
 * @param options title, whether to advise, notes and sound beside what is said
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
export function report(studies: readonly ReportEntry[], options: ReportOptions = {}): string {
  checkOptions("write the report", options, {
    title: A_TEXT,
    advise: A_SWITCH,
    versions: A_SWITCH,
    excerpts: EXCERPTS,
    sounds: SOUNDS,
    listeningPage: A_TEXT,
    changed: CHANGED_PASSAGES,
    found: FOUND_PLANS,
  });
  checkArgument("write the report", studies, ENTRIES);
  const entries = entriesToldApart(studies);
  const [first] = entries;
  if (first === undefined) {
    throw new InputError({
      action: "write the report",
      problem: "there is nothing to report on",
      remedy: "Give at least one study with its score and texture",
    });
  }
  const draw = chartDrawer();
  const several = entries.length > 1;
  const { excerpts = [], sounds = [], found = [] } = options;
  const isFirst = fontsOnce();
  const excerptsOf = (study: number) => excerptDrawer(excerpts.filter((e) => e.study === study), isFirst);
  return pageOf(entries, options, [
    ...(found.length > 0 ? [wishesSection(found, draw)] : []),
    ...(several ? [comparisonSection(entries, draw)] : []),
    ...(several && options.versions === true
      ? [versionsSection(entries, { draw: notesDrawer(isFirst), changed: options.changed ?? [] })]
      : []),
    ...entries.map((entry, i) =>
      studySection(entry, {
        number: i + 1,
        several,
        draw,
        notes: excerptsOf(i),
        toHear: (links) => soundsList(sounds.filter((sound) => sound.study === i), links),
        advise: isAdvised(entry, options.advise),
      })
    ),
    howToReadSection(entries),
    noticesSection(entries),
    settingsSection(entries),
    tablesSection(several && options.versions === true),
    limitsSection(entries),
  ]);
}

/** The page around the sections. */
function pageOf(
  entries: readonly ReportEntry[],
  options: ReportOptions,
  sections: readonly Markup[],
): string {
  const { study: { name }, score: { composer, title: own } } = entries[0]!;
  const title = options.title ?? (own || name);
  const { html } = markup`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>
${{ html: REPORT_STYLE }}
</style>
</head>
<body>
<header>
<h1>${title}</h1>
${composer === undefined ? "" : markup`<p class="by">${composer}</p>`}
<p>${subject(entries.length)}</p>
${
    options.listeningPage === undefined
      ? ""
      : markup`<p class="on-screen"><a href="${options.listeningPage}">Listen, take layers away, and hear what the rest does without them</a></p>`
  }
${contents(entries, options)}
</header>
<main>
${lines(sections)}
</main>
<footer><p>Every figure is worked out from the notes alone; the same notes give the same figures.</p>
<p class="on-screen">What is folded prints only where it is unfolded.</p></footer>
</body>
</html>
`;
  return html;
}

function subject(settings: number): string {
  const what =
    "who does what, how strongly it drives, whether the lead is heard, how fresh the orchestration stays, " +
    "what players will stumble over.";
  return settings > 1 ? `${counted(settings, "setting")} of one piece: ${what}` : capitalised(what);
}

function contents(entries: readonly ReportEntry[], { versions, found = [] }: ReportOptions): Markup {
  const several = entries.length > 1;
  const links: readonly (readonly [id: string, name: string])[] = [
    ...(found.length > 0 ? [["wishes", "What was asked"] as const] : []),
    ...(several ? [["comparison", "Side by side"] as const] : []),
    ...(several && versions === true ? [["versions", "What changed"] as const] : []),
    ...entries.map((e, i) => [`study-${i + 1}`, several ? e.study.name : "In short"] as const),
    ["reading", "How to read it"],
    ["notices", "What was noticed in file and plan"],
    ["settings", "Constants"],
    ["tables", "What the tables hold"],
    ["limits", "How far to trust it"],
  ];
  return markup`<nav aria-label="contents">${
    links.map(([id, name]) => markup`<a href="#${id}">${name}</a>`)
  }</nav>`;
}

/** What was asked of plans that were looked for, and what became of it. */
function wishesSection(plans: readonly FoundPlan[], draw: Draw): Markup {
  const hasMomentum = plans[0]!.reached.some((r) => r.about === "momentum");
  const givenUp = plans.flatMap(({ plan, traded }) =>
    traded.map((words) => markup`<li>${plan.name}: ${words}</li>`)
  );
  return markup`<section><h2 id="wishes">What was asked</h2>
<p>${plansMetInWords(plans)}.</p>
${hasMomentum ? draw(foundPlansChart(plans, CHART)) : ""}
${plans[0]!.reached.length > 0 ? wishesTable(plans) : ""}
${givenUp.length > 0 ? markup`<h3>What was given up</h3><ul>${lines(givenUp)}</ul>` : ""}
</section>`;
}

function comparisonSection(entries: readonly ReportEntry[], draw: Draw): Markup {
  const studies = entries.map((e) => e.study);
  const rows = compare(studies);
  return markup`<section><h2 id="comparison">Side by side</h2>
<p>${comparisonInWords(entries)}</p>
${draw(comparisonChart(rows, CHART))}
<details><summary>The same as a table</summary>${comparisonTable(rows)}</details>
<h3>Momentum, setting by setting</h3>
${
    draw(
      momentumComparisonChart(studies, entries[0]!.score, {
        ...CHART,
        height: comparedHeight(studies.length),
      }),
    )
  }
</section>`;
}

/** The second version held against the first. */
function versionsSection(
  [before, after]: readonly ReportEntry[],
  { draw, changed }: { readonly draw: Draw; readonly changed: readonly ChangedPassage[] },
): Markup {
  const changes = compareVersions(before!, after!);
  return markup`<section><h2 id="versions">What changed</h2>
${changedPassages(changed, draw)}
${
    changes.length === 0
      ? markup`<p>The two versions have the same notes, as loud and played the same way.</p>`
      : versionsTable(changes)
  }
</section>`;
}

/** Height of settings below each other, in pixels: what a printed page has room for, and no more than each needs. */
function comparedHeight(settings: number): number {
  return settings * Math.max(110, Math.min(190, 570 / settings));
}

function noticesSection(entries: readonly ReportEntry[]): Markup {
  const bySource = new Map(entries.filter((e) => e.score.notices.length > 0).map((e) => [e.score.source, e]));
  const tables = [...bySource.values()].map((entry) =>
    noticesTable(entry, barLinks(entry.score, entries.indexOf(entry) + 1))
  );
  return markup`<section><h2 id="notices">What was noticed in file and plan</h2>
${tables.length === 0 ? markup`<p>Everything in the file that these measures ask for was used.</p>` : tables}
</section>`;
}

function settingsSection(entries: readonly ReportEntry[]): Markup {
  const { momentum, balance, freshness, fullness, contour, playability } = entries[0]!.study;
  const tables = [
    settingsTable("Harmony", { constants: HARMONY_CONSTANTS, used: entryHarmony(entries[0]!).settings }),
    settingsTable("Momentum", { constants: MOMENTUM_CONSTANTS, used: momentum.settings }),
    settingsTable("Balance", { constants: BALANCE_CONSTANTS, used: balance.settings }),
    settingsTable("Low intervals", { constants: LOW_INTERVAL_CONSTANTS, used: {} }),
    settingsTable("Roughness", { constants: ROUGHNESS_CONSTANTS, used: {} }),
    settingsTable("Voice leading", { constants: VOICE_LEADING_CONSTANTS, used: {} }),
    settingsTable("Freshness", { constants: FRESHNESS_CONSTANTS, used: freshness.settings }),
    settingsTable("Fullness", { constants: FULLNESS_CONSTANTS, used: fullness.settings }),
    settingsTable("Contour", { constants: CONTOUR_CONSTANTS, used: contour.settings }),
    settingsTable("Idiom", { constants: IDIOM_CONSTANTS, used: entries[0]!.study.idiom?.settings ?? {} }),
    settingsTable("Passages", { constants: PASSAGE_CONSTANTS, used: {} }),
    settingsTable("Playability", { constants: PLAYABILITY_CONSTANTS, used: playability.settings }),
  ];
  const whose = entries.length > 1 ? " The table holds those of the first setting." : "";
  return markup`<section><h2 id="settings">Constants</h2>
<details><summary>Every constant, its unit and its source</summary>
<p>Values that differ from the default stand out in bold.${whose}</p>
${lines(tables)}
</details></section>`;
}

function tablesSection(versions: boolean): Markup {
  return markup`<section><h2 id="tables">What the tables hold</h2>
<details><summary>Every column of the CSV files beside this report</summary>
<p>In every table the first column says which setting a row belongs to. Bars and beats are as printed; beats count from 1. Numbers are rounded to four decimals, small ones to six at most; empty means unknown.</p>
${columnsTables({ versions })}
</details></section>`;
}

function limitsSection(entries: readonly ReportEntry[]): Markup {
  const origins = [...new Set(entries.map(originInWords))].map((words) => markup`<li>${words}</li>`);
  return markup`<section><h2 id="limits">How far to trust it</h2>
<ul>
${lines(origins)}
<li>Chords and keys that are read off the notes are a reading: of symphonic movements that others have annotated, some four roots of five agree. Whose chord a held or passing note belongs to is often a matter of taste.</li>
<li>Momentum is a model of drive, not a measurement of listeners: it knows attacks, loudness, pulse and metre, but not harmony's pull, melody's direction, or what the scene on the screen does.</li>
<li>${BALANCE_CAUTION} Roughness and low intervals are facts about the chord, not faults: both may be meant.</li>
<li>Freshness counts changes of who plays what. A listener may be held by a harmony or a tune while the scoring stays, and tired by changes without purpose.</li>
<li>Playability compares with published guides and common practice. It does not know your players, fingerings in context, or how much rehearsal there is.</li>
<li>Constants named <em>model assumption</em> have no published source; change them and see whether the conclusion holds.</li>
</ul>
</section>`;
}
