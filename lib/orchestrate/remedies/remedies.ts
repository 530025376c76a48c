/** Ways out where the lead sinks, each with what it would give. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { A_RECORD, checkArgument, checkOptions } from "../../base/arguments.ts";
import type { Score } from "../../score/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { balance } from "../../measures/balance/balance.ts";
import { BALANCE_OPTIONS, type BalanceOptions } from "../../measures/balance/balance_options.ts";
import { applyRemedy } from "./apply_remedy.ts";
import { type PassageWindow, passageWindow } from "./passage_window.ts";
import { checkedBars } from "../../measures/balance/listening.ts";
import { type RemedyCandidate, remedyCandidates } from "./remedy_candidates.ts";
import { cautionOf } from "./remedy_caution.ts";
import { differentWays } from "./remedy_words.ts";
import type { Remedy, RemedyChange } from "../../measures/balance/remedy_results.ts";

/** Options of {@linkcode remedies}. */
export type RemediesOptions = BalanceOptions;

/** A passage: a warning will do, or bars by their indexes. */
export interface SunkPassage {
  /** First bar, index from 0. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
}

/** What the lead has over some bars. */
interface LeadOver {
  readonly audibleShare: number;
  readonly handbookDb: number | null;
  readonly powerDb: number | null;
}

/** Ways out that give less than this are left out. Model assumption: less is not heard. */
const LEAST_GAIN = 0.02;
/** Where no single change leaves the lead this much, changes are tried two by two. Model assumption. */
const ENOUGH = 0.25;
/** How many of the best changes are paired. */
const MOST_PAIRED = 4;

/**
 * Ways out of a passage in which the lead sinks, each worked out by making the change in the notes and measuring the
 * passage anew: the lead an octave up or down, one or two dynamics louder, doubled by a part that rests; the layers
 * that cover it most two dynamics softer, an octave away, or with half of their parts resting. Where no single change
 * leaves it a quarter of its loudness, the best are tried two by two.
 *
 * Whether players can do it is judged by the rules of playability on the passage alone; a register that does not
 * give the dynamic is said as well.
 *
 * @param score the score
 * @param passage a warning of `balance`, or first and last bar as indexes from 0
 * @param options texture and constants, as for `balance`
 * @returns what can be played first, and of that what helps most first; empty where nothing leads or nothing helps
 * @throws {InputError} when the bars are not in the score, or an option or constant is unknown
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise, remedies, vary } from "ripieno";
 * import { assert } from "@std/assert";
 * const flute = vary(demoPlans().held, { set: { parts: ["Flute 1"], octave: 0 } }, { role: "lead" });
 * const [best] = remedies(realise(demoSketch(), flute), { fromBarIndex: 0, toBarIndex: 3 });
 * assert(best!.playable && best!.gainedShare > 0.1, best!.what);
 * ```
 */
export function remedies(
  score: Score,
  passage: SunkPassage,
  options: RemediesOptions = {},
): readonly Remedy[] {
  const action = "look for ways out";
  checkOptions(action, options, BALANCE_OPTIONS);
  checkArgument(action, passage, A_RECORD, "a passage");
  const bars = checkedBars(action, score, {
    fromBarIndex: passage.fromBarIndex,
    toBarIndex: passage.toBarIndex,
  });
  const texture = givenTexture(action, score, options.texture);
  const window = passageWindow(score, texture, bars);
  const before = leadOver(window, options);
  if (before === null) return [];
  const judge = (candidate: RemedyCandidate) => judged(window, options, { ...candidate, before });
  const single = remedyCandidates(window, options).flatMap((c) => judge(c) ?? []);
  const best = bestFirst(single)[0]?.audibleShare ?? 0;
  const pairs = best >= ENOUGH ? [] : pairsOf(bestFirst(single)).flatMap((c) => judge(c) ?? []);
  const byWhat = new Map(single.map((r) => [JSON.stringify(r.changes), r.audibleShare]));
  const isWorthTwo = (r: Remedy) =>
    r.changes.every((c) => r.audibleShare - (byWhat.get(JSON.stringify([c])) ?? 0) >= LEAST_GAIN);
  return bestFirst([...single, ...pairs.filter(isWorthTwo)]).filter((r) => r.gainedShare >= LEAST_GAIN);
}

/** What can be played first, and of that what helps most. */
function bestFirst(rows: readonly Remedy[]): readonly Remedy[] {
  return rows.toSorted((a, b) =>
    Number(b.playable) - Number(a.playable) || b.audibleShare - a.audibleShare ||
    a.what.localeCompare(b.what)
  );
}

/** A change made and measured; undefined where nothing leads after it. */
function judged(
  window: PassageWindow,
  options: RemediesOptions,
  { what, changes, before }: RemedyCandidate & { readonly before: LeadOver },
): Remedy | undefined {
  const changed = applyRemedy(window.score, changes, window);
  const after = leadOver({ ...window, ...changed }, options);
  if (after === null) return undefined;
  const caution = changes.map((c) => cautionOf(window, changed.score, c)).find((c) => c !== "") ?? "";
  return {
    what,
    changes,
    ...after,
    gainedShare: after.audibleShare - before.audibleShare,
    playable: caution === "",
    caution,
  };
}

/** The best few changes two by two; a doubling is made first, so that it keeps the octave it was found in range for. */
function pairsOf(rows: readonly Remedy[]): readonly RemedyCandidate[] {
  const ways = differentWays(rows.filter((r) => r.playable)).slice(0, MOST_PAIRED);
  return ways.flatMap((a, i) =>
    ways.slice(i + 1).flatMap((b): RemedyCandidate[] => {
      const [x, y] = [a.changes[0]!, b.changes[0]!];
      if (x.kind === y.kind && x.kind !== "dynamic" || isOpposed(x, y)) return [];
      const [first, then] = y.kind === "double" ? [b, a] : [a, b];
      return [{ what: `${first.what}, and ${then.what}`, changes: [...first.changes, ...then.changes] }];
    })
  );
}

/** Whether two changes ask the same parts for different things of one kind, or for one thing twice. */
function isOpposed(x: RemedyChange, y: RemedyChange): boolean {
  if (!("parts" in x) || !("parts" in y)) return false;
  return (x.kind === y.kind || x.kind === "rest" || y.kind === "rest") &&
    x.parts.some((p) => y.parts.includes(p));
}

/** The lead's figures over the passage, mean over its bars with a lead; null where nothing leads. */
function leadOver(window: PassageWindow, options: RemediesOptions): LeadOver | null {
  const { perBar } = balance(window.score, { ...options, texture: window.texture });
  const led = perBar.slice(window.fromBarIndex, window.toBarIndex + 1).filter((b) => b.audibleShare !== null);
  if (led.length === 0) return null;
  return {
    audibleShare: mean(led, (b) => b.audibleShare) ?? 0,
    handbookDb: mean(led, (b) => b.handbookDb) ?? null,
    powerDb: mean(led, (b) => b.powerDb) ?? null,
  };
}
