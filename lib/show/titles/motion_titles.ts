/** What charts of momentum have found, in a line. */
import type { Study } from "../../measures/compare/study_results.ts";
import type { Attribution, Momentum } from "../../measures/momentum/momentum_results.ts";
import type { BuildUpStep } from "../../orchestrate/rewrite/build_up.ts";
import type { Role } from "../../texture/roles.ts";
import type { BarAxis } from "../drawing/bar_axis.ts";
import { capitalised } from "../../base/words.ts";
import { verb } from "../../measures/freshness/freshness_words.ts";
import { counted, figure, listed, percent } from "../drawing/words.ts";
import { placesByValue, quoted } from "./where_most.ts";

/** Momentum below which nothing is said to move, and shares that are as good as the same. */
const STILL = 0.05;
const ALIKE = 0.03;

/** Where it moves most, and what carries it there. */
export function momentumTitle({ perBar, perRole, whole }: Momentum, axis: BarAxis): string {
  const places = placesByValue(perBar, axis, (b) => b.momentum);
  const [most, least] = [places[0], places.at(-1)];
  if (most === undefined || most.value < STILL) return "Nothing moves";
  const [first] = perRole.toSorted((a, b) => b.contribution - a.contribution);
  const isMost = first !== undefined && first.contribution > whole.momentum / 2;
  const by = isMost ? `; the ${first.role} drives most` : "";
  if (places.length < 2 || most.value - least!.value < ALIKE * most.value) {
    return `${figure(whole.momentum)} driving attacks a second throughout${by}`;
  }
  return `${capitalised(most.name)} moves most, ${figure(most.value)} driving attacks a second, ` +
    `${least!.name} least, ${figure(least!.value)}${by}`;
}

/** Which setting drives most, and how far ahead of the last it is. */
export function momentaTitle(studies: readonly Study[]): string {
  const ranked = studies.map((s) => ({ name: quoted(s.name), value: s.momentum.whole.momentum }))
    .toSorted((a, b) => b.value - a.value);
  const [most, last] = [ranked[0]!, ranked.at(-1)!];
  if (most.value < STILL) return "Nothing moves";
  if (ranked.length === 1) return `${most.name} moves at ${figure(most.value)} driving attacks a second`;
  if (most.value - last.value < ALIKE * most.value) {
    return `All move alike, at about ${figure(most.value)} driving attacks a second`;
  }
  const times = most.value / last.value;
  const ahead = last.value >= STILL && times >= 1.95
    ? `${figure(times, times < 10 ? 1 : 0)} times as hard as`
    : "harder than";
  return `${most.name} drives ${ahead} ${last.name}: ${figure(most.value)} against ${figure(last.value)}`;
}

/** Which role is quickest of those that are plainly heard, and which are covered. */
export function ladderTitle(
  rates: readonly {
    readonly role: Role;
    readonly perSecond: number;
    readonly heard: boolean;
    readonly fromBarIndex: number;
    readonly toBarIndex: number;
  }[],
): string {
  const bars = (r: (typeof rates)[number]) => r.toBarIndex + 1 - r.fromBarIndex;
  const sumOf = (some: typeof rates) => some.reduce((sum, r) => sum + bars(r), 0);
  const roles = [...Map.groupBy(rates, (r) => r.role)].map(([role, own]) => {
    const heard = own.filter((r) => r.heard);
    const perSecond = heard.reduce((sum, r) => sum + r.perSecond * bars(r), 0) / Math.max(1, sumOf(heard));
    return { role, perSecond, isCovered: sumOf(heard) < sumOf(own) / 2 };
  });
  const [quickest] = roles.filter((r) => !r.isCovered).toSorted((a, b) => b.perSecond - a.perSecond);
  const covered = roles.filter((r) => r.isCovered).map((r) => r.role);
  const hidden = covered.length === 0 ? "" : `${listed(covered)} mostly covered`;
  if (quickest === undefined) return hidden === "" ? "No attacks" : capitalised(hidden);
  return `The ${quickest.role} is quickest, ${figure(quickest.perSecond)} attacks a second` +
    (hidden === "" ? "" : `; ${hidden}`);
}

/** Who carries most of the motion; those that share the first place are named together. */
export function attributionTitle({ rows, whole, by }: Attribution): string {
  const ranked = rows.toSorted((a, b) => b.contribution - a.contribution);
  const [first] = ranked;
  if (first === undefined || whole.momentum < STILL) return "Nothing moves";
  const equal = ranked.filter((r) => first.contribution - r.contribution < 0.005);
  const name = (words: string) => by === "part" || by === "layer" ? words : `the ${words}`;
  const most = first.contribution > whole.momentum / 2 ? "most" : "the largest share";
  const of = ` of ${figure(whole.momentum, 2)} driving attacks a second`;
  if (equal.length > 1 && equal.length < 5) {
    const names = capitalised(listed(equal.map((r) => name(r.name))));
    return `${names} carry most, ${figure(first.contribution, 2)} each${of}`;
  }
  const carries = by === "role" ? "carries" : verb(first.name, "carry");
  return `${capitalised(name(first.name))} ${carries} ${most}, ${figure(first.contribution, 2)}${of}`;
}

/** Which step adds most motion, and which takes most from the lead. */
export function buildUpTitle(steps: readonly BuildUpStep[]): string {
  const later = steps.slice(1);
  const [drives] = later.toSorted((a, b) => b.momentumGained - a.momentumGained);
  if (drives === undefined) {
    const [{ added, momentum }] = steps as readonly [BuildUpStep];
    return `The ${added} alone: ${figure(momentum)} driving attacks a second`;
  }
  const taken = later.flatMap((step, i) => {
    const [before, after] = [steps[i]!.audibleShare, step.audibleShare];
    return before === null || after === null ? [] : [{ step, before, after, lost: before - after }];
  }).toSorted((a, b) => b.lost - a.lost)[0];
  const last = steps.at(-1)!.momentum;
  const adds = drives.momentumGained < STILL
    ? `Nothing adds motion to the ${steps[0]!.added}`
    : `The ${rolesOf(drives)} ${drives.roles.length > 1 ? "add" : "adds"} most motion, ${
      figure(drives.momentumGained)
    } of ${figure(last)}`;
  if (taken === undefined || taken.lost < 0.01) return adds;
  const takes = taken.step.roles.length > 1 ? "take" : "takes";
  const who = taken.step !== drives ? `the ${rolesOf(taken.step)}` : drives.roles.length > 1 ? "they" : "it";
  return `${adds}; ${who} ${takes} most from the lead, ${percent(taken.before)} to ${percent(taken.after)}`;
}

function rolesOf({ roles, added }: BuildUpStep): string {
  return roles.length === 0 ? added : listed(roles);
}

/** A count of bars out of all. */
export function ofBars(some: number, all: number): string {
  if (all === 1) return "the only bar";
  return some === all ? `all ${counted(all, "bar")}` : `${some} of ${counted(all, "bar")}`;
}
