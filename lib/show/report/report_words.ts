/** What the charts of a report show, in sentences worked out from the data. */
import { capitalised } from "../../base/words.ts";
import { verb } from "../../measures/freshness/freshness_words.ts";
import { leadsInBars } from "../../measures/leads_in_bars.ts";
import { gatherFindings } from "../../measures/playability/gather_findings.ts";
import { isAlsoPossible } from "../../texture/also_possible.ts";
import type { Texture } from "../../texture/model.ts";
import { roleInWords } from "../../texture/role_in_words.ts";
import { type Role, ROLES } from "../../texture/roles.ts";
import type { Score } from "../../score/model.ts";
import type { ReportEntry } from "./report_entry.ts";
import { findingCounts } from "./finding_counts.ts";
import { spansOf } from "../drawing/spans.ts";
import { isUnnamed, summarise, type SummaryRow } from "./summary.ts";
import { leadName } from "./who_leads.ts";
import { SEVERITIES } from "../drawing/theme.ts";
import { counted, figure, listed, percent, spanInWords, unknownInstruments } from "../drawing/words.ts";

/** Passage with its bars, for example `Rapids (bars 17–24)`. */
function passageName(row: SummaryRow): string {
  if (isUnnamed(row)) return row.passage;
  return `${row.passage} (${row.fromBarIndex === row.toBarIndex ? "bar" : "bars"}\u00a0${row.bars})`;
}

/** Places or parts named in a sentence; where there are more, those with most of what it tells. */
const MOST_NAMED = 3;

/** The whole study in a few sentences, one idea each. */
export function inShort(entry: ReportEntry): readonly string[] {
  return [
    leadsInWords(entry),
    momentumInWords(entry),
    balanceInWords(entry),
    freshnessInWords(entry),
    playabilityInWords(entry),
  ];
}

/** Who leads, counted as everywhere on the page: a bar counts once. */
function leadsInWords({ score, texture }: ReportEntry): string {
  const bars = score.bars.length;
  const leads = leadsInBars(score, texture, { fromBarIndex: 0, toBarIndex: bars - 1 })
    .toSorted((a, b) => b.bars - a.bars);
  if (leads.length === 0) return "Nothing leads anywhere.";
  const sum = (some: typeof leads) => some.reduce((all, l) => all + l.bars, 0);
  const most = leads.filter((l) => l.bars === leads[0]!.bars);
  const others = leads.slice(most.length);
  const left = others.slice(MOST_NAMED);
  const named = others.slice(0, MOST_NAMED).map((l) => `${leadName(l.names)} (${l.bars})`);
  const next = left.length > 0 ? [...named, `${counted(left.length, "other")} (${sum(left)})`] : named;
  const silent = bars - sum(leads);
  const who = listed(
    most.map((l) => leadName(l.names)),
    most.length > MOST_NAMED + 1 ? MOST_NAMED : Infinity,
  );
  const lead = verb(most.flatMap((l) => l.names).join(" + "), "lead");
  const inBars = `in ${most[0]!.bars} of ${counted(bars, "bar")}`;
  const leading = most.length === 1
    ? `${lead} most, ${inBars}${next.length > 0 ? "" : ", and nobody else does"}`
    : `${lead}${next.length > 0 ? " most," : ""} ${inBars} each`;
  return `${capitalised(who)} ${leading}${next.length > 0 ? `, before ${listed(next, 9)}` : ""}${
    silent > 0 ? `; nothing leads in ${silent}` : ""
  }.`;
}

/** What the role timeline shows. */
export function rolesInWords({ score, texture }: ReportEntry): string {
  const cells = new Map<Role, number>();
  let sounding = 0;
  const plays = new Set<number>();
  for (const { role, part } of texture.cells) {
    if (role === "rest") continue;
    sounding++;
    plays.add(part);
    cells.set(role, (cells.get(role) ?? 0) + 1);
  }
  if (sounding === 0) return "No part plays.";
  const shares = [...cells].sort((a, b) => b[1] - a[1]).map(([role, n]) =>
    `${roleInWords(role, texture.cells, score)} ${percent(n / sounding)}`
  );
  const silent = score.parts.filter((_, i) => !plays.has(i)).map((p) => p.name);
  const mean = sounding / Math.max(1, score.bars.length);
  return `Of all bars that parts play, the roles take: ${listed(shares, 9)}. On average ` +
    `${figure(mean, Number.isInteger(mean) ? 0 : 1)} of ${
      counted(score.parts.length, "part")
    } sound at a time` +
    `${silent.length > 0 ? `; ${listed(silent)} never ${silent.length === 1 ? "plays" : "play"}` : ""}.${
      alsoPossibleInWords(score, texture)
    }`;
}

/** Parts that may lead as well where others are called lead, those with most of the lead first. */
function alsoPossibleInWords(score: Score, { cells }: Texture): string {
  const byPart = [...Map.groupBy(cells.filter(isAlsoPossible), (c) => c.part)].map(([part, own]) => ({
    name: score.parts[part]!.name,
    bars: own.length,
    share: own.reduce((sum, c) => sum + c.leadShare, 0),
  })).sort((a, b) => b.share - a.share);
  if (byPart.length === 0) return "";
  const named = byPart.slice(0, MOST_NAMED).map(({ name, bars }, i) =>
    `${leadName([name])} (${i === 0 ? counted(bars, "bar") : bars})`
  );
  const left = byPart.length - named.length;
  return ` Also possible as the lead: ${
    listed(left > 0 ? [...named, counted(left, "other part")] : named, 9)
  }.`;
}

/** What the momentum chart shows. */
function momentumInWords({ study, score, texture }: ReportEntry): string {
  const { whole, perRole } = study.momentum;
  const rows = [...summarise(study, score, { texture })].sort((a, b) => b.momentum - a.momentum);
  const mean = `Momentum is ${figure(whole.momentum, 2)} driving attacks per second on average`;
  const [top] = rows;
  const low = rows.at(-1);
  const ends = top && low && rows.length > 1
    ? `, most in ${passageName(top)} with ${figure(top.momentum, 2)}, least in ${passageName(low)} with ${
      figure(low.momentum, 2)
    }`
    : "";
  const parts = [...perRole].filter((r) => r.contribution > 0).sort((a, b) =>
    b.contribution - a.contribution
  );
  const roles = whole.momentum > 0
    ? parts.slice(0, 3).map((r) =>
      `${roleInWords(r.role, texture.cells, score)} ${percent(r.contribution / whole.momentum)}`
    )
    : [];
  return `${mean}${ends}.${roles.length > 0 ? ` Most of it comes from ${listed(roles)}.` : ""}`;
}

/** What the balance chart shows. */
function balanceInWords({ study, score }: ReportEntry): string {
  const { whole, perBar, settings } = study.balance;
  if (whole.audibleShare === null) return "Nothing leads, so there is no lead to be covered.";
  const limit = settings.coveredBelowShare ?? 0;
  const covered = spansOf(perBar, (b) => b.audibleShare !== null && b.audibleShare < limit ? "covered" : "");
  const bars = covered.reduce((n, s) => n + s.toBarIndex + 1 - s.fromBarIndex, 0);
  const longest = [...covered].sort((a, b) =>
    (b.toBarIndex - b.fromBarIndex) - (a.toBarIndex - a.fromBarIndex)
  );
  const inWords = (spans: typeof covered) => listed(spans.map((s) => spanInWords(score, s)));
  const places = covered.length <= MOST_NAMED
    ? ` (${inWords(covered)})`
    : `, longest in ${inWords(longest.slice(0, MOST_NAMED))}`;
  const heard = `The lead keeps ${percent(whole.audibleShare)} of its loudness beside everything else`;
  const sinks = bars === 0
    ? ", and is covered nowhere"
    : `, and is covered (less than ${percent(limit)} left) in ${counted(bars, "bar")}${places}`;
  if (whole.powerDb === null || whole.handbookDb === null) return `${heard}${sinks}: it is alone throughout.`;
  const aloneBars = perBar.filter((b) => b.leadAlone).length;
  const alone = aloneBars === 0
    ? ""
    : ` where others sound with it; in ${counted(aloneBars, "bar")} it is alone`;
  return `${heard}${sinks}. ${capitalised(againstRest(whole.powerDb, "by sound power"))}; ${
    againstRest(whole.handbookDb, "by the handbook's weights (all players at one dynamic)")
  }${alone}.`;
}

function againstRest(level: number, how: string): string {
  if (Math.abs(level) < 0.5) return `${how} it stands level with the rest`;
  return `${how} it stands ${figure(Math.abs(level))}\u00a0dB ${level > 0 ? "above" : "below"} the rest`;
}

/** Restlessness from which a report speaks of it: a phrase in four is scored two ways. */
const RESTLESS_FROM = 0.125;

/** What the freshness chart shows. */
function freshnessInWords({ study, score, texture }: ReportEntry): string {
  const { whole, changes, perBar } = study.freshness;
  const longest = perBar.reduce((a, b) => b.barsSinceChange > a.barsSinceChange ? b : a, perBar[0]!);
  const stretch = longest === undefined
    ? ""
    : ` The longest stretch without one lasts ${counted(whole.longestStretchBars, "bar")} (${
      spanInWords(score, {
        fromBarIndex: Math.max(0, longest.barIndex - longest.barsSinceChange),
        toBarIndex: longest.barIndex,
      })
    }).`;
  const biggest = [...changes].sort((a, b) => b.change - a.change)[0];
  const most = biggest === undefined ? "" : ` Most changes at bar\u00a0${biggest.bar}.`;
  const isShared = texture.origin === "written" && perBar.some((b) => b.lead.includes(" + "));
  const leads = `${counted(whole.distinctLeads, "different lead")}${
    isShared ? " (parts that lead together are one)" : ""
  }`;
  if (whole.barsBetweenChanges === null) {
    return `The orchestration has no change point in ${counted(perBar.length, "bar")}, and ${leads}.`;
  }
  const inside = changes.filter((c) => !c.beginsPhrase).length;
  const where = inside === 0 ? "" : `, ${inside} of them inside a phrase`;
  const restless = whole.restlessness < RESTLESS_FROM
    ? ""
    : ` Restlessness is ${figure(whole.restlessness, 2)}: much changes where the music does not turn.`;
  return `The orchestration has ${counted(changes.length, "change point")}${where}, one every ` +
    `${figure(whole.barsBetweenChanges)} bars on average, and ${leads}.${most}${stretch}${restless}`;
}

/** What the playability chart shows. */
function playabilityInWords({ study }: ReportEntry): string {
  const { whole } = study.playability;
  const gathered = gatherFindings(study.playability.findings);
  const asked = gathered.filter((f) => f.severity !== "note");
  const notes = gathered.length - asked.length;
  const besides = notes === 0
    ? ""
    : ` ${counted(notes, "more place")} ${notes === 1 ? "is" : "are"} worth a look.`;
  if (asked.length === 0) {
    return `The rules find nothing that players would stumble over in ${
      counted(whole.notes, "note")
    }.${besides}`;
  }
  const { note: _note, ...counts } = findingCounts(asked);
  const severities = SEVERITIES.flatMap((s) => s !== "note" && counts[s] > 0 ? [`${counts[s]} ${s}`] : []);
  const parts = new Map<string, number>();
  for (const name of asked.flatMap((f) => f.partNames)) parts.set(name, (parts.get(name) ?? 0) + 1);
  const most = [...parts].sort((a, b) => b[1] - a[1]).slice(0, MOST_NAMED).map(([name, n]) =>
    `${name} (${n})`
  );
  const shared = asked.some((f) => f.parts.length > 1)
    ? " What several parts stumble over in the same bars counts once."
    : "";
  return `${counted(asked.length, "finding")} in ${counted(parts.size, "part")}: ${listed(severities)}. ` +
    `${parts.size > MOST_NAMED ? "Most are" : asked.length === 1 ? "It is" : "They are"} in ${
      listed(most)
    }.${shared}${besides}`;
}

export function comparisonInWords(entries: readonly ReportEntry[]): string {
  const best = (valueOf: (entry: ReportEntry) => number | null) =>
    entries.flatMap((e) => {
      const value = valueOf(e);
      return value === null ? [] : [{ name: e.study.name, value }];
    }).sort((a, b) => b.value - a.value);
  const driven = best((e) => e.study.momentum.whole.momentum);
  const heard = best((e) => e.study.balance.whole.audibleShare);
  const fresh = best((e) => e.study.freshness.whole.freshness);
  const asked = best((e) => {
    const { impossible, risky } = findingCounts(gatherFindings(e.study.playability.findings));
    return impossible + risky;
  });
  const sentences = [
    `“${driven[0]!.name}” drives most with ${figure(driven[0]!.value, 2)} driving attacks per second, ` +
    `“${driven.at(-1)!.name}” least with ${figure(driven.at(-1)!.value, 2)}.`,
    ...(heard.length > 1
      ? [
        `The lead is heard best in “${heard[0]!.name}” (${
          percent(heard[0]!.value)
        } of its loudness left), worst ` +
        `in “${heard.at(-1)!.name}” (${percent(heard.at(-1)!.value)}).`,
      ]
      : []),
    `“${fresh[0]!.name}” stays freshest (${figure(fresh[0]!.value, 2)} on average).`,
    asked[0]!.value === 0
      ? "None asks anything impossible or risky."
      : `“${asked[0]!.name}” asks most of the players, with ${
        counted(asked[0]!.value, "impossible or risky finding")
      }.`,
  ];
  return sentences.join(" ");
}

/** How sure the roles are, in words. */
export function originInWords({ texture }: ReportEntry): string {
  if (texture.origin === "written") return "The roles are those of the plan that the score was written from.";
  const sounding = texture.cells.filter((c) => c.role !== "rest");
  const mean = sounding.reduce((sum, c) => sum + c.confidence, 0) / Math.max(1, sounding.length);
  return `The roles were read off the notes by rules, with a mean confidence of ${
    figure(mean, 2)
  } (1 is certain); ` +
    "where a role is wrong, everything that rests on it is wrong too.";
}

/** What was assumed where the source is silent: tempo and instruments. */
export function assumptionsInWords(score: Score): readonly string[] {
  const assumed = score.tempos.filter((t) => t.origin === "assumed");
  const speeds = [...new Set(assumed.map((t) => Math.round(t.quartersPerMinute * 10) / 10))];
  const tempo = assumed.length === 0 ? [] : [
    `The source gives no tempo${assumed.length === score.tempos.length ? "" : " in some bars"}: ${
      listed(speeds.map((s) => `♩ = ${s}`))
    } is assumed. Momentum, breath and speed limits scale with it; set the tempo and study again.`,
  ];
  return [...tempo, ...unknownInstruments(score)];
}

/** The roles that occur, by the names that the charts give them, each with its meaning. */
export function roleMeanings(entries: readonly ReportEntry[]): readonly { role: string; meaning: string }[] {
  const shown = new Set(entries.flatMap((e) => e.texture.cells.map((c) => c.role)));
  const namesOf = (role: Role) =>
    [
      ...new Set(
        entries.filter((e) => e.texture.cells.some((c) => c.role === role)).map((e) =>
          roleInWords(role, e.texture.cells, e.score)
        ),
      ),
    ].join(", ");
  return ROLES.filter((r) => r.role !== "rest" && shown.has(r.role))
    .map(({ role, meaning }) => ({ role: namesOf(role), meaning }));
}
