/** The part of the report about one study. */
import { capitalised } from "../../base/words.ts";
import { maskingMatrix } from "../../measures/balance/masking.ts";
import { momentSound } from "../../measures/balance/moment_sound.ts";
import type { BalanceWarning } from "../../measures/balance/balance_results.ts";
import type { Freshness } from "../../measures/freshness/freshness_results.ts";
import { endTicksOf, secondsOf } from "../../score/time.ts";
import { sharedSections } from "../../score/seat_strings.ts";
import { balanceChart } from "../charts/balance.ts";
import { freshnessChart } from "../charts/freshness.ts";
import { contourChart } from "../charts/contour.ts";
import { fullnessChart } from "../charts/fullness.ts";
import { idiomChart } from "../charts/idiom.ts";
import { harmonyChart } from "../charts/harmony.ts";
import { loudnessShareChart } from "../charts/loudness_share.ts";
import { maskingChart } from "../charts/masking.ts";
import { momentSoundChart } from "../charts/moment_sound.ts";
import { momentumChart } from "../charts/momentum.ts";
import { playabilityChart } from "../charts/playability.ts";
import { roleTimelineChart } from "../charts/role_timeline.ts";
import { instrumentById } from "../../instruments/names/instrument_by_id.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { type BarLinks, barLinks } from "./bar_links.ts";
import { CHART, type Draw } from "./chart_figure.ts";
import { chordsOf, entryHarmony, harmonyInWords } from "./entry_harmony.ts";
import { entryVoiceLeading, entryWarnings, voiceLeadingItem } from "./entry_warnings.ts";
import type { ReportEntry } from "./report_entry.ts";
import type { DrawExcerpts } from "./report_excerpts.ts";
import { changesTable, findingsTables, remediesTable, summaryTable } from "./report_tables.ts";
import { assumptionsInWords, inShort, rolesInWords } from "./report_words.ts";
import { lines, type Markup, markup } from "../drawing/markup.ts";
import { counted, percent, sentence, spanInWords, tempoInFull } from "../drawing/words.ts";

/** Where a study stands on its page, and how it is told. */
interface StudyPlace {
  /** Its number, from 1. */
  readonly number: number;
  /** Whether there are others. */
  readonly several: boolean;
  readonly draw: Draw;
  /** Bars in notes, drawn where they belong. */
  readonly notes: DrawExcerpts;
  /** Passages as sound; nothing where there is none. */
  readonly toHear: (links: BarLinks) => Markup | undefined;
  /** Whether ways out and advice are given. */
  readonly advise: boolean;
}

/** How the places of a study are told. */
interface Advising extends Pick<StudyPlace, "draw" | "advise" | "notes"> {
  readonly links: BarLinks;
}

/** One study: in short, passage by passage, and measure by measure with its charts. */
export function studySection(
  entry: ReportEntry,
  { number, several, draw, notes, toHear, advise }: StudyPlace,
): Markup {
  const { study, score, texture } = entry;
  const links = barLinks(score, number);
  const how = { links, draw, notes, advise };
  const kind = several ? markup` class="setting"` : "";
  return lines([
    markup`<section${kind}><h2 id="study-${number}">${several ? study.name : "In short"}</h2>`,
    facts(entry),
    markup`<ul>${inShort(entry).map((s) => markup`<li>${links.inText(s)}</li>`)}</ul>`,
    summaryTable(entry, links),
    toHear(links),
    markup`<h3>Who does what</h3>`,
    markup`<p>${links.inText(rolesInWords(entry))}</p>`,
    draw(roleTimelineChart(score, texture, { ...CHART, barIds: links.ids })),
    harmonyPart(entry, { several, draw }),
    voiceLeadingPart(entry, how),
    momentumPart(entry, { several, draw }),
    markup`<h3>Is the lead heard?</h3>`,
    draw(balanceChart(study.balance, score, CHART)),
    warnings(entry, how),
    worstPassage(entry, how),
    markup`<details><summary>Who makes the loudness?</summary>`,
    draw(loudnessShareChart(study.balance, score, { ...CHART, texture })),
    markup`</details>`,
    markup`<h3>Freshness</h3>`,
    draw(freshnessChart(study.freshness, score, CHART)),
    freshnessList(study.freshness, how),
    changesTable(entry, links, { several }),
    lines(notes("turn", links)),
    shapeOfMusic(entry, how),
    chordsAndIdiom(entry, how),
    markup`<h3>What players will stumble over</h3>`,
    playabilityPart(entry, how),
    markup`<p class="caution">${study.playability.caution}</p>`,
    markup`</section>`,
  ]);
}

/** Chords and keys, where there are any. Settings of one piece mostly share them: there they fold. */
function harmonyPart(entry: ReportEntry, { several, draw }: Pick<StudyPlace, "several" | "draw">): Markup {
  const harmony = entryHarmony(entry);
  const chart = chordsOf(harmony).length === 0 ? "" : draw(harmonyChart(entry.score, harmony, CHART));
  const part = markup`<p>${harmonyInWords(harmony)}</p>\n${chart}`;
  return several
    ? markup`<details><summary>Chords and keys</summary>${part}</details>`
    : markup`<h3>Chords and keys</h3>\n${part}`;
}

/** What a teacher would mark in a setting's held chords; a finished score is its composer's, and its marks stand in the table alone. */
function voiceLeadingPart(entry: ReportEntry, { links, notes }: Advising): Markup | undefined {
  if (entry.texture.origin !== "written") return undefined;
  const rows = entryVoiceLeading(entry);
  const list = foldedList("How the chords are led", rows.map((row) => voiceLeadingItem(row, entry, links)));
  return list && lines([list, ...notes("voice leading", links)]);
}

/** Where settings stand side by side, so does their momentum: once more alone it folds. */
function momentumPart(
  { study, score, texture }: ReportEntry,
  { several, draw }: Pick<StudyPlace, "several" | "draw">,
): Markup {
  const chart = draw(momentumChart(study.momentum, score, { ...CHART, texture }));
  return several
    ? markup`<details><summary>Momentum of this setting on a scale of its own</summary>${chart}</details>`
    : markup`<h3>Momentum</h3>\n${chart}`;
}

function playabilityPart(entry: ReportEntry, { draw, links, notes }: Advising): Markup {
  const { score, study: { playability } } = entry;
  if (playability.findings.length === 0) return markup`<p>Nothing by the rules.</p>`;
  return lines([
    draw(playabilityChart(playability, score, CHART)),
    ...findingsTables(entry, links),
    ...notes("playability", links),
  ]);
}

function facts({ score, study, texture }: ReportEntry): Markup {
  const seconds = secondsOf(score, endTicksOf(score));
  const isAssumed = score.tempos.every((t) => t.origin === "assumed");
  const players = score.parts.reduce((sum, p) => sum + p.players, 0);
  const bars = counted(score.bars.length, "bar");
  const rows: readonly (readonly [string, string])[] = [
    ...(study.name === score.source || study.name === score.title ? [] : [["setting", study.name] as const]),
    ["source", score.source],
    ["parts", `${score.parts.length}, ${counted(players, "player")}${sectionsInWords(score, texture)}`],
    ["music", `${bars}, ${counted(score.notes.length, "note")}, ${duration(seconds)}`],
    ["tempo", `${tempoInFull(score)}${isAssumed ? ", assumed, since the file has none" : ""}`],
    ...(hasRepeats(score) ? [["repeats", "not played: every bar counts once, as printed"] as const] : []),
    ["roles", texture.origin === "written" ? "as written in the plan" : "read off the notes"],
  ];
  const items = rows.map(([name, value]) => markup`<dt>${name}</dt><dd>${value}</dd>`);
  const assumptions = assumptionsInWords(score).map((words) => markup`<p class="caution">${words}</p>`);
  return markup`<dl>${items}</dl>${assumptions}`;
}

/** That the size of sections is an assumption, where a file was read that does not say how many play. */
function sectionsInWords({ parts, notes }: Score, { origin }: Texture): string {
  const sections = parts.filter((p) => p.players > 1 && instrumentById(p.instrument).sectionPlayers > 1);
  const usual = sections.length > 0 && sharedSections(parts, notes).every((p, i) => p === parts[i]);
  return origin === "recognised" && usual ? ", sections taken at their usual size" : "";
}

/** Whether the signs of a score ask for some of its bars again. */
function hasRepeats({ bars }: Score): boolean {
  return bars.some(({ repeat }) => repeat?.times !== undefined || repeat?.jump !== undefined);
}

function duration(seconds: number): string {
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)} min ${whole % 60} s`;
}

/** Items of a list shown in full; the rest folds. */
const OPEN_ITEMS = 6;

/** A list that folds after its first items. */
function foldedList(heading: string, items: readonly Markup[]): Markup | undefined {
  if (items.length === 0) return undefined;
  const all = items.map((item) => markup`<li>${item}</li>`);
  const open = all.length <= OPEN_ITEMS + 2 ? all.length : OPEN_ITEMS;
  const rest = all.slice(open);
  const folded = markup`<details><summary>${rest.length} more</summary><ul>${rest}</ul></details>`;
  return markup`<h4>${heading}</h4><ul>${all.slice(0, open)}</ul>${rest.length === 0 ? undefined : folded}`;
}

/** Sentences as a list, with links to their bars. */
function sentences(description: readonly string[], links: BarLinks): Markup | undefined {
  if (description.length === 0) return undefined;
  return markup`<ul>${description.map((s) => markup`<li>${links.inText(s)}</li>`)}</ul>`;
}

/** How loud, high and busy it is along the tune. */
function shapeOfMusic(
  { study: { contour }, score }: ReportEntry,
  { links, draw }: Advising & Pick<StudyPlace, "draw">,
): Markup {
  return lines([
    markup`<details><summary>Does the scoring go as the tune does?</summary>`,
    draw(contourChart(contour, score, CHART)),
    sentences(contour.description, links),
    markup`</details>`,
  ]);
}

/** How full the chords are, and how usual it is what the instruments do where that was asked for. */
function chordsAndIdiom(
  { study: { fullness, idiom }, score }: ReportEntry,
  { links, draw }: Advising & Pick<StudyPlace, "draw">,
): Markup {
  return lines([
    markup`<details><summary>How full are the chords, how usual is what instruments do?</summary>`,
    draw(fullnessChart(fullness, score, CHART)),
    sentences(fullness.description, links),
    idiom === null ? undefined : draw(idiomChart(idiom, score, CHART)),
    idiom === null ? undefined : sentences(idiom.description, links),
    markup`</details>`,
  ]);
}

/** What keeps the scoring fresh or lets it go stale: described, or as advice. */
function freshnessList({ description, advice }: Freshness, { links, advise }: Advising): Markup | undefined {
  const heading = advise ? "Advice" : "What stays and what comes back";
  return foldedList(heading, (advise ? advice : description).map((words) => links.inText(sentence(words))));
}

/** A place, what is the matter there, and, where advice is given, a way out. */
function warningItem(w: BalanceWarning, { score }: ReportEntry, { links, advise }: Advising): Markup {
  const place = links.inText(capitalised(spanInWords(score, w)));
  return markup`<strong>${place}</strong>: ${links.inText(sentence(w.what))}${
    advise ? [" ", waysOut(w)] : ""
  }`;
}

/** Ways out named beside what they mend; remedies.csv has all. */
const WAYS_OUT = 3;

function waysOut({ remedy, remedies = [] }: BalanceWarning): Markup {
  if (remedies.length === 0) return markup`${sentence(remedy)}`;
  const items = remedies.slice(0, WAYS_OUT).map(({ what, audibleShare, playable, caution }) => {
    const care = playable ? "" : `; with care: ${caution}`;
    return markup`<li>${capitalised(what)}: the lead keeps ${percent(audibleShare)}${care}</li>`;
  });
  return markup`Ways out, made in the notes and measured anew:<ul class="ways">${items}</ul>`;
}

/** Where the lead sinks, the places with figures first, then the longest; and what is low or rough. */
function warnings(entry: ReportEntry, how: Advising): Markup {
  const all = entryWarnings(entry, how);
  const itemsOf = (some: readonly BalanceWarning[]) => some.map((w) => warningItem(w, entry, how));
  const sunk = all.filter((w) => w.kind === "lead covered").sort((a, b) =>
    Number(b.remedies !== undefined) - Number(a.remedies !== undefined) ||
    (b.toBarIndex - b.fromBarIndex) - (a.toBarIndex - a.fromBarIndex)
  );
  const thick = all.filter((w) => w.kind !== "lead covered");
  const heading = how.advise ? "Where the lead sinks, and ways out" : "Where the lead sinks";
  return lines([
    foldedList(heading, itemsOf(sunk)),
    ...how.notes("lead", how.links),
    foldedList("Where low intervals thicken, and what is roughest", itemsOf(thick)),
    ...how.notes("sound", how.links),
  ]);
}

/** Bars of a long passage that are looked at closely. */
const MOST_BARS_CLOSE = 16;

/** The worst passage under the glass: where advice is given, ways out with all their figures; who covers whom, one moment. */
function worstPassage(entry: ReportEntry, { draw, links, advise }: Advising): Markup | undefined {
  const depth = (w: BalanceWarning) => (w.toBarIndex + 1 - w.fromBarIndex) * (w.limit - w.figure);
  const [worst] = entryWarnings(entry, { advise }).filter((w) => w.kind === "lead covered")
    .sort((a, b) => depth(b) - depth(a));
  if (worst === undefined) return undefined;
  const { score, study, texture } = entry;
  const { fromBarIndex } = worst;
  const bars = { fromBarIndex, toBarIndex: Math.min(worst.toBarIndex, fromBarIndex + MOST_BARS_CLOSE - 1) };
  const heard = { texture, constants: study.balance.settings };
  const masking = maskingMatrix(score, { ...heard, ...bars });
  const moment = momentSound(score, { ...heard, barIndex: fromBarIndex });
  const place = spanInWords(score, worst);
  const first = links.inText(spanInWords(score, { fromBarIndex, toBarIndex: fromBarIndex }));
  return markup`<details><summary>The place where the lead sinks furthest, more closely: ${place}</summary>
${advise ? remediesTable(worst) : ""}
<h4>Who covers whom in ${links.inText(spanInWords(score, bars))}</h4>
${draw(maskingChart(masking, CHART))}
<h4>The beginning of ${first}, as the ear has it</h4>
${draw(momentSoundChart(moment, CHART))}
</details>`;
}
