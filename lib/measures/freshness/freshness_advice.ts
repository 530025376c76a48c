/** Who has led how long, what comes back, what is unused, where a change is due: as rows, and as a few sentences. */
import { soundingNotes } from "../../score/build.ts";
import { capitalised, counted } from "../../base/words.ts";
import { lineName } from "../../instruments/names/line_name.ts";
import type { Score } from "../../score/model.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { leadsInBars } from "../leads_in_bars.ts";
import { runsOf } from "../runs.ts";
import { list, shortened, verb } from "./freshness_words.ts";
import type {
  Freshness,
  FreshnessBar,
  FreshnessExpected,
  FreshnessLead,
  FreshnessPhrase,
  FreshnessRepeat,
} from "./freshness_results.ts";

/** What advice is made from. */
interface AdviceInput {
  readonly perBar: readonly FreshnessBar[];
  readonly bars: readonly (readonly RoleCell[])[];
  readonly texture: Texture;
  /** First bars of the stretches without a change, and the number of bars at the end. */
  readonly starts: readonly number[];
  /** Likeness of two bars by scoring. */
  readonly like: (i: number, j: number) => number;
  readonly phrases: readonly FreshnessPhrase[];
  readonly settings: Readonly<Record<"expectedAfterBars" | "sameScoringFrom" | "halfLifeBars", number>>;
}

/** Places named in full; the others are counted. */
const NAMED = 3;
/** Parts named in full in a list. */
const NAMED_PARTS = 6;

/** What is said of a score's freshness, and what it rests on. */
export type FreshnessInWords = Pick<
  Freshness,
  "leads" | "expected" | "repeats" | "unused" | "description" | "advice"
>;

/**
 * What keeps a score fresh or not in words: described for a finished score, with advice for one that can still be
 * changed. It names the three longest places of a kind and counts the others, so that it stays short
 * in a long movement too.
 */
export function freshnessAdvice(score: Score, input: AdviceInput): FreshnessInWords {
  const leads = leadsOf(score, input.bars);
  const expected = expectedOf(score, input);
  const repeats = repeatsOf(score, input);
  const unused = unusedOf(score, input.bars);
  const sentences = (advise: boolean) => [
    ...leadWords(score, input.texture),
    ...longLeadWords(score, input, advise),
    ...expectedWords(score, expected, { ...input, advise }),
    ...restlessWords(score, input, advise),
    ...repeatWords(repeats, { ...input, advise }),
    ...unusedWords(unused, leads.length > 0),
  ];
  return {
    leads,
    expected,
    repeats,
    unused,
    description: sentences(false),
    advice: sentences(true),
  };
}

/** First and last bars of the runs in which something holds. */
function barsWhere(count: number, holds: (bar: number) => boolean): { from: number; to: number }[] {
  const bars = Array.from({ length: count }, (_, b) => b).filter(holds);
  return runsOf(bars, (before, b) => before === b - 1).map((run) => ({ from: run[0]!, to: run.at(-1)! }));
}

const leadsBar = (bar: readonly RoleCell[], part: number): boolean => bar[part]!.role === "lead";

/** Whether a part leads a bar as surely as any; in a written texture all are sure. */
function isChief(bar: readonly RoleCell[], part: number): boolean {
  return leadsBar(bar, part) &&
    bar.every((c) => c.role !== "lead" || c.confidence <= bar[part]!.confidence);
}

function leadsOf(score: Score, bars: readonly (readonly RoleCell[])[]): readonly FreshnessLead[] {
  return score.parts.flatMap(({ name }, part): FreshnessLead[] => {
    const runs = barsWhere(bars.length, (b) => leadsBar(bars[b]!, part));
    if (runs.length === 0) return [];
    const longest = runs.reduce((best, run) => run.to - run.from > best.to - best.from ? run : best);
    return [{
      part,
      partName: name,
      bars: runs.reduce((sum, run) => sum + run.to - run.from + 1, 0),
      chiefBars: bars.filter((bar) => isChief(bar, part)).length,
      longestBars: longest.to - longest.from + 1,
      fromBarIndex: longest.from,
      toBarIndex: longest.to,
    }];
  }).sort((a, b) => b.bars - a.bars || b.chiefBars - a.chiefBars);
}

function expectedOf(score: Score, { starts, settings }: AdviceInput): readonly FreshnessExpected[] {
  const wait = Math.max(1, Math.round(settings.expectedAfterBars));
  return starts.slice(1).flatMap((end, i): FreshnessExpected[] => {
    const fromBarIndex = starts[i]!;
    const bars = end - fromBarIndex;
    if (bars <= wait) return [];
    const barIndex = fromBarIndex + wait;
    return [{ barIndex, bar: score.bars[barIndex]!.number, fromBarIndex, toBarIndex: end - 1, bars }];
  });
}

/** Stretches whose first bar is scored as one that began before, the one just left excepted. */
function repeatsOf(score: Score, { starts, bars, like, settings }: AdviceInput): readonly FreshnessRepeat[] {
  // Bars of one scoring are alike to any other in the same degree: the first of them stands for all.
  const scorings = new Set<string>();
  const firsts: number[] = [];
  const remember = (bar: number): void => {
    const scoring = bars[bar]!.map(({ role, figure }) => `${role} ${figure}`).join("|");
    if (!scorings.has(scoring)) firsts.push(bar);
    scorings.add(scoring);
  };
  const awayBars = (barIndex: number): number => {
    let last = barIndex - 1;
    while (last > 0 && like(barIndex, last) < settings.sameScoringFrom) last--;
    return barIndex - 1 - last;
  };
  return starts.slice(1, -1).flatMap((barIndex, i): FreshnessRepeat[] => {
    if (i > 0) remember(starts[i - 1]!);
    const ofBarIndex = firsts.find((earlier) => like(barIndex, earlier) >= settings.sameScoringFrom);
    return ofBarIndex === undefined ? [] : [{
      barIndex,
      bar: score.bars[barIndex]!.number,
      ofBarIndex,
      ofBar: score.bars[ofBarIndex]!.number,
      awayBars: awayBars(barIndex),
    }];
  });
}

/** Colours are instruments: second horns are no other colour than first horns. */
function unusedOf(score: Score, bars: readonly (readonly RoleCell[])[]): Freshness["unused"] {
  const pitched = new Set(soundingNotes(score).filter((n) => !n.unpitched).map((n) => n.part));
  const colours = [...Map.groupBy(score.parts.keys(), (p) => score.parts[p]!.instrument)];
  const does = (parts: readonly number[], isIt: (cell: RoleCell) => boolean) =>
    bars.some((row) => parts.some((p) => isIt(row[p]!)));
  const named = (isIt: (instrument: string, parts: readonly number[]) => boolean) =>
    colours.filter(([instrument, parts]) => isIt(instrument, parts)).map(([, parts]) =>
      colourName(score, parts)
    );
  return {
    neverPlay: named((_, parts) => !does(parts, (c) => c.role !== "rest")),
    // Nobody expects a tune of drums.
    neverLead: named((instrument, parts) =>
      parts.some((p) => pitched.has(p)) && !instrument.includes("timpani") &&
      does(parts, (c) => c.role !== "rest") && !does(parts, (c) => c.role === "lead")
    ),
  };
}

/** The part's name, or of several the first's without its number. */
function colourName(score: Score, parts: readonly number[]): string {
  const name = score.parts[parts[0]!]!.name;
  return parts.length === 1 ? name : lineName(name).stem;
}

/** Who leads in how many bars, each counted once. */
function leadWords(score: Score, texture: Texture): readonly string[] {
  const bars = score.bars.length;
  const leads = leadsInBars(score, texture, { fromBarIndex: 0, toBarIndex: bars - 1 })
    .toSorted((a, b) => b.bars - a.bars);
  if (leads.length < 2) return [];
  const named = leads.slice(0, NAMED).map((l, i) => {
    const who = shortened(l.names);
    return i === 0 ? `${who} ${verb(who, "lead")} in ${l.bars} of ${bars} bars` : `${who} in ${l.bars}`;
  });
  const others = leads.slice(NAMED);
  const inOthers = others.reduce((sum, l) => sum + l.bars, 0);
  const nobody = bars - leads.reduce((sum, l) => sum + l.bars, 0);
  return [
    `${capitalised(named.join(", "))}${
      others.length > 0
        ? `, ${counted(others.length, "other")} in ${inOthers}${others.length > 1 ? " together" : ""}`
        : ""
    }${nobody > 0 ? `; nobody leads in ${nobody}` : ""}.`,
  ];
}

/** The longest runs of bars under one lead; parts that lead together are named together. */
function longLeadWords(
  score: Score,
  { bars, settings }: AdviceInput,
  advise: boolean,
): readonly string[] {
  const byRun = new Map<string, { from: number; to: number; names: string[] }>();
  score.parts.forEach(({ name }, part) => {
    for (const { from, to } of barsWhere(bars.length, (b) => leadsBar(bars[b]!, part))) {
      if (to - from + 1 <= settings.expectedAfterBars) continue;
      const key = `${from} ${to}`;
      const run = byRun.get(key) ?? { from, to, names: [] };
      run.names.push(name);
      byRun.set(key, run);
    }
  });
  const runs = [...byRun.values()].sort((a, b) => b.to - b.from - (a.to - a.from) || a.from - b.from);
  const printed = (b: number) => score.bars[b]!.number;
  const words = runs.slice(0, NAMED).map(({ from, to, names }) => {
    const who = names.join(" + ");
    const span = `${who} ${verb(who, "lead")} for ${to - from + 1} bars (${printed(from)} to ${printed(to)})`;
    return advise ? `${span}: hand the tune to another colour on the way.` : `${span}.`;
  });
  return runs.length > NAMED
    ? [
      ...words,
      `${
        counted(runs.length - NAMED, "more time")
      } one part keeps the lead for more than ${settings.expectedAfterBars} bars.`,
    ]
    : words;
}

function expectedWords(
  score: Score,
  expected: readonly FreshnessExpected[],
  { settings, advise }: AdviceInput & { readonly advise: boolean },
): readonly string[] {
  const longest = expected.toSorted((a, b) => b.bars - a.bars);
  const printed = (b: number) => score.bars[b]!.number;
  const words = longest.slice(0, NAMED).map((e) => {
    const span = `Nothing changes for ${e.bars} bars (${printed(e.fromBarIndex)} to ${
      printed(e.toBarIndex)
    })`;
    return advise ? `${span}: listeners would expect a change by bar ${e.bar}.` : `${span}.`;
  });
  return longest.length > NAMED
    ? [
      ...words,
      `Nothing changes either in ${
        counted(longest.length - NAMED, "more stretch", "more stretches")
      } of more than ${settings.expectedAfterBars} bars.`,
    ]
    : words;
}

/** Phrases that hold together less than this are named: more than half of the scoring changes on the way. */
const RESTLESS_BELOW = 2 / 3;

/** Where the scoring changes for its own sake. */
function restlessWords(
  score: Score,
  { phrases }: AdviceInput,
  advise: boolean,
): readonly string[] {
  const restless = phrases.filter((p) => p.coherence < RESTLESS_BELOW)
    .toSorted((a, b) => a.coherence - b.coherence);
  if (restless.length === 0) return [];
  const printed = (b: number) => score.bars[b]!.number;
  const named = restless.slice(0, NAMED).toSorted((a, b) => a.fromBarIndex - b.fromBarIndex).map((p) =>
    `bars ${printed(p.fromBarIndex)} to ${printed(p.toBarIndex)}`
  );
  const more = restless.length - named.length;
  const places = list([...named, ...more > 0 ? [`${counted(more, "more phrase")}`] : []]);
  const advice = advise ? ": keep one scoring for a phrase, or let two answer each other." : ".";
  return [`The scoring changes in the middle of phrases, where the music does not turn: ${places}${advice}`];
}

/** What comes back soon, and what comes back after a while, which frames what lies between. */
function repeatWords(
  repeats: readonly FreshnessRepeat[],
  { settings, advise }: AdviceInput & { readonly advise: boolean },
): readonly string[] {
  const isFrame = (r: FreshnessRepeat) => r.awayBars >= settings.halfLifeBars;
  const words = (all: readonly FreshnessRepeat[], say: string, advice: string) => {
    if (all.length === 0) return [];
    const named = all.slice(0, NAMED).map((r) => `in bar ${r.bar} that of bar ${r.ofBar}`);
    const more = all.length - named.length;
    const places = list([...named, ...more > 0 ? [`in ${counted(more, "more place")}`] : []]);
    return [`${say}: ${places}.${advise ? advice : ""}`];
  };
  return [
    ...words(
      repeats.filter((r) => !isFrame(r)),
      "Scorings come back",
      " Change a colour or a figure, unless the return is meant.",
    ),
    ...words(repeats.filter(isFrame), "Scorings return after a while, as a frame", ""),
  ];
}

function unusedWords({ neverLead, neverPlay }: Freshness["unused"], isLed: boolean): readonly string[] {
  const names = (all: readonly string[]) =>
    all.length > NAMED_PARTS
      ? `${all.slice(0, NAMED_PARTS).join(", ")} and ${all.length - NAMED_PARTS} more`
      : all.join(", ");
  return [
    ...isLed && neverLead.length > 0 ? [`Colours that never lead: ${names(neverLead)}.`] : [],
    ...neverPlay.length > 0 ? [`Never heard: ${names(neverPlay)}.`] : [],
  ];
}
