/** How far a way meets a wish, and what it gives and costs, in words. */
import { counted, listed, percent, threeDigits } from "../../base/words.ts";
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import type { Measured } from "./scene.ts";
import type { Bounds, Search, TriedWay } from "./suggest_bounds.ts";
import type { PassageMeasures, PassageWish } from "./suggest_results.ts";

/** How much nearer a passage comes to a contour; one that stays level follows nothing. */
function follows(before: PassageMeasures, after: PassageMeasures): number {
  return (after.contour ?? 0) - (before.contour ?? 0);
}

/** What a wish asks a measure to do, so that more is better. Of loudness and players what is left counts as a share of before. */
const ASKED: Readonly<Record<PassageWish, (before: PassageMeasures, after: PassageMeasures) => number>> = {
  "move more": (before, after) => after.momentum - before.momentum,
  "lead clearer": (before, after) => (after.audibleShare ?? 0) - (before.audibleShare ?? 0),
  "fresher": (before, after) => after.freshness - before.freshness,
  "lighter": (before, after) => 1 - after.loudnessSones / Math.max(before.loudnessSones, 1e-9),
  "rest the brass": (before, after) =>
    after.brassNotes < before.brassNotes ? 1 + closeness(before, after) : 0,
  "playable": (before, after) =>
    before.hardPlaces - after.hardPlaces + TIRING * (before.tiringPlaces - after.tiringPlaces),
  "rise": follows,
  "fall": follows,
  "arch": follows,
  "bowl": follows,
};

/** What a tiring place weighs beside a risky one. Model assumption. */
const TIRING = 0.25;

/** How little of momentum and of the lead's audibility goes, from 0 to 1. */
function closeness(before: PassageMeasures, after: PassageMeasures): number {
  const kept = (now: number, then: number) => then <= 0 ? 1 : Math.min(1, now / then);
  return (kept(after.momentum, before.momentum) + kept(after.audibleShare ?? 0, before.audibleShare ?? 0)) /
    2;
}

/** Least change of each measure that is worth a word. Model assumption. */
const WORTH_A_WORD = {
  momentum: 0.1,
  audibleShare: 0.01,
  freshness: 0.02,
  contour: 0.05,
  loudness: 0.05,
} as const;

/** How much better a passage meets a wish; 0 or less where it does not. */
export function betterBy(wish: PassageWish, before: Measured, after: Measured): number {
  return ASKED[wish](before.measures, after.measures);
}

/** What a way loses by its costs, as a share of a wish fulfilled. Model assumption. */
const COSTS = {
  /** The lead no longer heard at all; half as much where momentum is gone. */
  lead: 0.5,
  momentum: 0.25,
  /** One more risky place, one more tiring one. */
  hard: 0.1,
  tiring: 0.04,
} as const;

/** How much of a measure is gone, as a share of what was there. */
function goneShare(was: number, is: number): number {
  return was <= 0 ? 0 : Math.max(0, 1 - is / was);
}

/**
 * What a way is worth: how far it fulfils the wish, twice as much of it being worth less than twice, less what it costs in the lead's
 * audibility, in momentum and in hard and tiring places.
 */
export function worthOf(wish: PassageWish, before: Measured, after: Measured): number {
  const [was, is] = [before.measures, after.measures];
  const scale = wish === "move more"
    ? Math.max(1, was.momentum)
    : wish === "playable"
    ? Math.max(1, was.hardPlaces)
    : 0.3;
  const fulfilled = 1 - 2 ** (-betterBy(wish, before, after) / scale);
  return fulfilled - COSTS.lead * goneShare(was.audibleShare ?? 0, is.audibleShare ?? 0) -
    COSTS.momentum * goneShare(was.momentum, is.momentum) -
    COSTS.hard * Math.max(0, is.hardPlaces - was.hardPlaces) -
    COSTS.tiring * Math.max(0, is.tiringPlaces - was.tiringPlaces);
}

/** Whether a passage keeps the bounds. */
export function isWithin({ momentumAtLeast, leadAudibleAtLeast }: Bounds, { measures }: Measured): boolean {
  return measures.momentum >= momentumAtLeast &&
    (measures.audibleShare === null || measures.audibleShare >= leadAudibleAtLeast);
}

/** A measure before and after, in words. */
interface Shift {
  readonly words: string;
  /** Above 0 where it is better. */
  readonly better: number;
}

function shiftsOf(before: PassageMeasures, after: PassageMeasures): readonly Shift[] {
  const shifts: Shift[] = [];
  const add = (isWorth: boolean, words: string, better: number) => {
    if (isWorth) shifts.push({ words, better });
  };
  const moved = after.momentum - before.momentum;
  add(
    Math.abs(moved) >= WORTH_A_WORD.momentum,
    `momentum ${threeDigits(before.momentum)} → ${threeDigits(after.momentum)}`,
    moved,
  );
  const [was, is] = [before.audibleShare ?? 0, after.audibleShare ?? 0];
  add(
    Math.abs(is - was) >= WORTH_A_WORD.audibleShare,
    `lead audible ${percent(was)} → ${percent(is)}`,
    is - was,
  );
  const fresh = after.freshness - before.freshness;
  add(
    Math.abs(fresh) >= WORTH_A_WORD.freshness,
    `freshness ${threeDigits(before.freshness)} → ${threeDigits(after.freshness)}`,
    fresh,
  );
  const nearer = follows(before, after);
  add(
    Math.abs(nearer) >= WORTH_A_WORD.contour,
    `contour followed ${shapeInWords(before.contour)} → ${shapeInWords(after.contour)}`,
    nearer,
  );
  const hard = before.hardPlaces - after.hardPlaces;
  add(hard !== 0, `${counted(after.hardPlaces, "hard place")}, before ${before.hardPlaces}`, hard);
  const tiring = before.tiringPlaces - after.tiringPlaces;
  add(tiring !== 0, `${counted(after.tiringPlaces, "tiring place")}, before ${before.tiringPlaces}`, tiring);
  return shifts;
}

function shapeInWords(contour: number | null): string {
  return contour === null ? "not at all" : contour.toFixed(2);
}

/** Loudness and players, of which neither more nor less is better by itself. */
function weightOf(before: PassageMeasures, after: PassageMeasures): string {
  const change = after.loudnessSones / Math.max(before.loudnessSones, 1e-9) - 1;
  const loud = Math.abs(change) < WORTH_A_WORD.loudness
    ? ""
    : `${percent(Math.abs(change))} ${change < 0 ? "softer" : "louder"}`;
  const parts = after.parts === before.parts
    ? ""
    : `${counted(after.parts, "part")} instead of ${before.parts}`;
  return listed([loud, parts].filter((words) => words !== ""));
}

/** What a way gives, in words with figures. */
export function gainsInWords(wish: PassageWish, before: PassageMeasures, after: PassageMeasures): string {
  const gained = shiftsOf(before, after).filter((s) => s.better > 0).map((s) => s.words);
  const isLighter = wish === "lighter" || wish === "rest the brass";
  return [...(isLighter ? [weightOf(before, after)] : []), ...gained].filter((w) => w !== "").join("; ");
}

/** What a way costs, in words with figures; loudness and players are told with it where the wish is not about them. */
export function costsInWords(wish: PassageWish, before: PassageMeasures, after: PassageMeasures): string {
  const lost = shiftsOf(before, after).filter((s) => s.better < 0).map((s) => s.words);
  const isLighter = wish === "lighter" || wish === "rest the brass";
  return [...lost, ...(isLighter ? [] : [weightOf(before, after)])].filter((w) => w !== "").join("; ");
}

const SERIOUS: readonly PlayabilityFinding["severity"][] = ["risky", "tiring"];

/** The most serious thing that players are newly asked, in words; empty where the rules find nothing new. */
export function newCaution(before: Measured, after: Measured): string {
  const keyOf = (f: PlayabilityFinding) => `${f.partName}|${f.rule}|${f.severity}`;
  const known = new Set(before.findings.map(keyOf));
  const fresh = after.findings.filter((f) => SERIOUS.includes(f.severity) && !known.has(keyOf(f)));
  const [worst] = fresh.toSorted((a, b) => SERIOUS.indexOf(a.severity) - SERIOUS.indexOf(b.severity));
  return worst === undefined ? "" : `${worst.severity} for ${worst.partName}: ${worst.what}`;
}

const NOBODY_PLAYS = "Nobody plays in these bars who may change.";

/** What is said where there is nothing to try. */
const NOTHING: Readonly<Record<PassageWish, string>> = {
  "move more": "Nobody stands still or rests here who could move more.",
  "lead clearer": "Nobody leads here, or nothing plays beside the lead.",
  "fresher": "Nobody here could take over the lead or another figure.",
  "lighter": "Nothing plays here but the lead.",
  "rest the brass": "No brass plays in these bars.",
  "playable": "The rules find nothing here that is hard to play.",
  "rise": NOBODY_PLAYS,
  "fall": NOBODY_PLAYS,
  "arch": NOBODY_PLAYS,
  "bowl": NOBODY_PLAYS,
};

/** What came of a search, in a sentence. */
export function saidOf(
  { wish, bounds, measured }: Search,
  { all, good, ways, refused }: {
    readonly all: readonly TriedWay[];
    readonly good: readonly TriedWay[];
    readonly ways: readonly TriedWay[];
    readonly refused: number;
  },
): string {
  const tried = `${counted(all.length, "way")} ${all.length === 1 ? "was" : "were"} tried in the notes${
    refused > 0 ? `, ${refused} more cannot be played or written` : ""
  }`;
  if (ways.length > 0) {
    const [best] = ways;
    return `${tried}; the best: ${best!.way.what} (${
      gainsInWords(wish, measured.measures, best!.measured.measures)
    }).`;
  }
  if (all.length === 0 && refused === 0) return NOTHING[wish];
  const [nearest] = good;
  if (nearest === undefined) return `${tried}; none of them makes the passage what "${wish}" asks.`;
  const { measures } = nearest.measured;
  const bound = measures.momentum < bounds.momentumAtLeast
    ? `momentum at least ${threeDigits(bounds.momentumAtLeast)}: it has ${threeDigits(measures.momentum)}`
    : `lead audible at least ${percent(bounds.leadAudibleAtLeast)}: it is ${
      percent(measures.audibleShare ?? 0)
    }`;
  return `${tried}; none keeps the bounds. The nearest, ${nearest.way.what}, fails ${bound}.`;
}
