/** Two versions of one score held against each other, bar by bar: what is new, what went, who does what else. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { A_RECORD, A_SCORE, A_STUDY, A_TEXTURE, checkArgument } from "../../base/arguments.ts";
import { listed } from "../../base/words.ts";
import type { Share } from "../../base/units.ts";
import { soundingNotes } from "../../score/build.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import type { Study } from "./study_results.ts";

/** A version of a score with what was made of it. */
export interface ScoreVersion {
  /** The score. */
  readonly score: Score;
  /** Who does what in it. */
  readonly texture: Texture;
  /** Its measures. */
  readonly study: Study;
}

/** What became of a stretch of bars. */
export interface VersionChange {
  /** `changed`: the bars are in both and not the same; `inserted`: only in the second; `removed`: only in the first. */
  readonly kind: "changed" | "inserted" | "removed";
  /** First bar in the first version, as printed; null where the bars are new. */
  readonly bar: string | null;
  /** Last bar there; null likewise. */
  readonly toBar: string | null;
  /** First bar in the second version, as printed; null where the bars went. */
  readonly newBar: string | null;
  /** Last bar there; null likewise. */
  readonly newToBar: string | null;
  /** Who does what else, in words; empty where only notes differ, and for bars that are in one version alone. */
  readonly who: string;
  /** Parts whose notes differ, in words. */
  readonly parts: string;
  /** Momentum before, mean over the bars; null where the bars are new. */
  readonly momentum: number | null;
  /** Momentum now; null where the bars went. */
  readonly newMomentum: number | null;
  /** Audible share of the lead before; null where nobody leads or the bars are new. */
  readonly audibleShare: Share | null;
  /** Audible share of the lead now; null likewise. */
  readonly newAudibleShare: Share | null;
  /** Freshness before; null where the bars are new. */
  readonly freshness: Share | null;
  /** Freshness now; null where the bars went. */
  readonly newFreshness: Share | null;
  /** Hard places (impossible and risky findings that begin in the bars) before. */
  readonly hardPlaces: number;
  /** Hard places now. */
  readonly newHardPlaces: number;
}

/** Least share of notes that two bars have in common for one to be the other, changed. Model assumption. */
const ALIKE = 0.2;

const ACTION = "compare the versions";

/** A bar of the one beside the bar of the other it is; one of them undefined where a bar is in one version alone. */
type BarPair = readonly [before: number | undefined, after: number | undefined];

/**
 * Holds two versions of a score against each other. Bars are matched by what is in them, so that bars that were put in or taken
 * out shift nothing; stretches that are the same are left out.
 *
 * @param before the first version
 * @param after the second version
 * @returns a row for each stretch that changed, in order
 * @throws {InputError} when a version lacks its score, texture or study
 *
 * @example
 * ```ts
 * import { demoScore, study, textureOf } from "ripieno";
 * import { compareVersions } from "ripieno/measures";
 * import { rewrite } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * const { score: other, texture } = rewrite(score, [{ fromBar: 5, toBar: 8, parts: ["Violas"], role: "rest" }]);
 * const rows = compareVersions(
 *   { score, texture: textureOf(score), study: study(score) },
 *   { score: other, texture, study: study(other, { texture }) },
 * );
 * assertEquals(rows.map((r) => [r.kind, r.bar, r.toBar, r.parts]), [["changed", "5", "8", "Violas"]]);
 * ```
 */
export function compareVersions(before: ScoreVersion, after: ScoreVersion): readonly VersionChange[] {
  for (const version of [before, after]) {
    checkArgument(ACTION, version, A_RECORD, "a version");
    checkArgument(ACTION, version.score, A_SCORE, "its score");
    checkArgument(ACTION, version.texture, A_TEXTURE, "its texture");
    checkArgument(ACTION, version.study, A_STUDY, "its study");
  }
  const [first, second] = [contentsOf(before.score), contentsOf(after.score)];
  const pairs = pairBars(first, second);
  const isSame = ([b, a]: BarPair) =>
    b !== undefined && a !== undefined && alike(first[b]!, second[a]!) === 1;
  const stretches: BarPair[][] = [];
  let open = false;
  for (const pair of pairs) {
    if (isSame(pair)) {
      open = false;
      continue;
    }
    if (open && kindOf(stretches.at(-1)![0]!) === kindOf(pair)) stretches.at(-1)!.push(pair);
    else stretches.push([pair]);
    open = true;
  }
  return stretches.map((stretch) => changeOf(before, after, { stretch, first, second }));
}

/** What is in each bar: a key for every note that begins there, by part name, place in quarters, length and pitch. */
function contentsOf(score: Score): readonly ReadonlySet<string>[] {
  const contents = score.bars.map(() => new Set<string>());
  const { ticksPerQuarter } = score;
  for (const n of soundingNotes(score)) {
    const b = barIndexOf(score, n.onsetTicks);
    const at = (n.onsetTicks - score.bars[b]!.startTicks) / ticksPerQuarter;
    const length = n.durationTicks / ticksPerQuarter;
    contents[b]!.add(
      `${score.parts[n.part]!.name}|${at.toFixed(4)}|${length.toFixed(4)}|${n.soundingPitch}|${
        n.dynamic.toFixed(2)
      }|${n.technique}|${n.articulations.join()}`,
    );
  }
  return contents;
}

/** Share of the notes of two bars that they have in common; 1 for two empty ones. */
function alike(a: ReadonlySet<string>, b: ReadonlySet<string>): number {
  if (a.size === 0 && b.size === 0) return 1;
  let shared = 0;
  for (const key of a) if (b.has(key)) shared++;
  return shared / (a.size + b.size - shared);
}

/** Bars of two versions beside each other, in order: as many alike as can be (an alignment by dynamic programming). */
function pairBars(a: readonly ReadonlySet<string>[], b: readonly ReadonlySet<string>[]): readonly BarPair[] {
  let head = 0;
  while (head < Math.min(a.length, b.length) && alike(a[head]!, b[head]!) === 1) head++;
  let tail = 0;
  const most = Math.min(a.length, b.length) - head;
  while (tail < most && alike(a[a.length - 1 - tail]!, b[b.length - 1 - tail]!) === 1) tail++;
  const middle = pairMiddle(a.slice(head, a.length - tail), b.slice(head, b.length - tail));
  const shifted = (i: number | undefined) => i === undefined ? undefined : i + head;
  return [
    ...Array.from({ length: head }, (_, i): BarPair => [i, i]),
    ...middle.map(([x, y]): BarPair => [shifted(x), shifted(y)]),
    ...Array.from({ length: tail }, (_, i): BarPair => [a.length - tail + i, b.length - tail + i]),
  ];
}

function pairMiddle(
  a: readonly ReadonlySet<string>[],
  b: readonly ReadonlySet<string>[],
): readonly BarPair[] {
  // As many bars in both: nothing was put in or taken out, however much changed.
  if (a.length === b.length) return a.map((_, i): BarPair => [i, i]);
  const width = b.length + 1;
  const best = new Float64Array((a.length + 1) * width);
  const worth = (i: number, j: number) => {
    const share = alike(a[i]!, b[j]!);
    return share >= ALIKE ? share : 0;
  };
  const worths = a.map((_, i) => b.map((_, j) => worth(i, j)));
  for (let i = a.length - 1; i >= 0; i--) {
    for (let j = b.length - 1; j >= 0; j--) {
      const pair = worths[i]![j]!;
      best[i * width + j] = Math.max(
        best[(i + 1) * width + j]!,
        best[i * width + j + 1]!,
        pair + best[(i + 1) * width + j + 1]!,
      );
    }
  }
  const pairs: BarPair[] = [];
  let [i, j] = [0, 0];
  while (i < a.length || j < b.length) {
    const pair = worths[i]?.[j] ?? 0;
    const here = best[i * width + j]!;
    if (pair > 0 && here === pair + best[(i + 1) * width + j + 1]!) pairs.push([i++, j++]);
    else if (i < a.length && (j >= b.length || here === best[(i + 1) * width + j]!)) {
      pairs.push([i++, undefined]);
    } else pairs.push([undefined, j++]);
  }
  return pairs;
}

function kindOf([b, a]: BarPair): VersionChange["kind"] {
  return b === undefined ? "inserted" : a === undefined ? "removed" : "changed";
}

/** Measures of some bars of a version; nulls where there are none. */
function measuresOf({ study }: ScoreVersion, bars: readonly number[]) {
  const inside = new Set(bars);
  const rows = <T extends { readonly barIndex: number }>(all: readonly T[]) =>
    all.filter((row) => inside.has(row.barIndex));
  return {
    momentum: mean(rows(study.momentum.perBar), (r) => r.momentum) ?? null,
    audibleShare: mean(rows(study.balance.perBar), (r) => r.audibleShare) ?? null,
    freshness: mean(rows(study.freshness.perBar), (r) => r.freshness) ?? null,
    hardPlaces:
      study.playability.findings.filter((f) =>
        (f.severity === "impossible" || f.severity === "risky") && inside.has(f.fromBarIndex)
      ).length,
  };
}

/** Some bars that changed, and what is in all bars of both versions. */
interface ChangedBars {
  readonly stretch: readonly BarPair[];
  readonly first: readonly ReadonlySet<string>[];
  readonly second: readonly ReadonlySet<string>[];
}

function changeOf(before: ScoreVersion, after: ScoreVersion, changed: ChangedBars): VersionChange {
  const { stretch } = changed;
  const [was, is] = [stretch.flatMap(([b]) => b ?? []), stretch.flatMap(([, a]) => a ?? [])];
  const then = measuresOf(before, was);
  const now = measuresOf(after, is);
  const printed = ({ score }: ScoreVersion, bar: number | undefined) =>
    bar === undefined ? null : score.bars[bar]!.number;
  const kind = kindOf(stretch[0]!);
  return {
    kind,
    bar: printed(before, was[0]),
    toBar: printed(before, was.at(-1)),
    newBar: printed(after, is[0]),
    newToBar: printed(after, is.at(-1)),
    who: kind === "changed" ? whoElse(before, after, stretch) : "",
    parts: partsThatDiffer(before, after, changed),
    momentum: then.momentum,
    newMomentum: now.momentum,
    audibleShare: then.audibleShare,
    newAudibleShare: now.audibleShare,
    freshness: then.freshness,
    newFreshness: now.freshness,
    hardPlaces: then.hardPlaces,
    newHardPlaces: now.hardPlaces,
  };
}

/** Names in a sentence at most. */
const MOST = 6;

/** Parts with other notes in the bars, by name. */
function partsThatDiffer(
  before: ScoreVersion,
  after: ScoreVersion,
  { stretch, first, second }: ChangedBars,
): string {
  const names = new Set<string>();
  const add = (keys: Iterable<string>, others: ReadonlySet<string> | undefined) => {
    for (const key of keys) if (!others?.has(key)) names.add(key.slice(0, key.indexOf("|")));
  };
  for (const [b, a] of stretch) {
    const [was, is] = [b === undefined ? undefined : first[b], a === undefined ? undefined : second[a]];
    add(was ?? [], is);
    add(is ?? [], was);
  }
  const order = [...before.score.parts, ...after.score.parts].map((p) => p.name);
  return listed([...names].sort((x, y) => order.indexOf(x) - order.indexOf(y)), MOST);
}

/** Who does what else in most of the bars, as `Violas: pulse: repeated eighths, before pad: held chord`. */
function whoElse(before: ScoreVersion, after: ScoreVersion, stretch: readonly BarPair[]): string {
  const doesIn = ({ score, texture }: ScoreVersion, name: string, bars: readonly number[]) => {
    const part = score.parts.findIndex((p) => p.name === name);
    if (part < 0) return "not there";
    const counts = new Map<string, number>();
    for (const b of bars) {
      const { role, figure } = texture.cells[b * score.parts.length + part]!;
      const words = role === "rest" || figure === role ? role : `${role}: ${figure}`;
      counts.set(words, (counts.get(words) ?? 0) + 1);
    }
    return [...counts].sort((x, y) => y[1] - x[1])[0]?.[0] ?? "rest";
  };
  const [was, is] = [stretch.flatMap(([b]) => b ?? []), stretch.flatMap(([, a]) => a ?? [])];
  const names = [...new Set([...before.score.parts, ...after.score.parts].map((p) => p.name))];
  const changed = new Map<string, string[]>();
  for (const name of names) {
    const [then, now] = [doesIn(before, name, was), doesIn(after, name, is)];
    if (then === now) continue;
    const words = `${now}, before ${then}`;
    changed.set(words, [...(changed.get(words) ?? []), name]);
  }
  return [...changed].map(([words, parts]) => `${listed(parts, MOST)}: ${words}`).join("; ");
}
