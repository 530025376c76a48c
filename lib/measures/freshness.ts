/** How recently the orchestration changed, where it changes, and what goes stale. */
import { mean } from "simple-statistics";
import type { Score } from "../score/model.ts";
import { clockOf } from "../score/time.ts";
import { applySettings, refuseUnknown, type Settings } from "../settings.ts";
import type { RoleCell, Texture } from "../texture/model.ts";
import { textureOf } from "../texture/recognise.ts";
import { novelty } from "./novelty.ts";
import type { Freshness, FreshnessBar, FreshnessChange } from "./results.ts";

/** Constants of {@linkcode freshness}, with their units and sources. */
export const FRESHNESS_CONSTANTS = {
  halfLifeBars: {
    value: 4,
    unit: "bars",
    source: "model assumption",
    meaning: "bars after which the freshness of a change has halved",
  },
  sameRole: {
    value: 0.6,
    unit: "share",
    source: "model assumption",
    meaning: "likeness of a part that keeps its role with another figure",
  },
  sameSound: {
    value: 0.3,
    unit: "share",
    source: "model assumption",
    meaning: "likeness of a part that plays on in another role",
  },
  compareBars: {
    value: 2,
    unit: "bars",
    source: "model assumption",
    meaning: "bars compared before and after each bar line",
  },
  changeFrom: {
    value: 0.25,
    unit: "share",
    source: "model assumption",
    meaning: "change from which a bar line counts as a change point",
  },
  memoryBars: {
    value: 24,
    unit: "bars",
    source: "model assumption",
    meaning: "how far back a scoring is remembered",
  },
  repeatDiscount: {
    value: 0.5,
    unit: "share",
    source: "model assumption",
    meaning: "what a change loses when its scoring was heard before",
  },
  noveltyHalfWidthBars: {
    value: 4,
    unit: "bars",
    source: "model assumption",
    meaning: "half-width of the novelty kernel",
  },
} as const;

/** Options of {@linkcode freshness}. */
export interface FreshnessOptions {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Constants that differ from {@linkcode FRESHNESS_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof FRESHNESS_CONSTANTS>>;
}

type Constants = Settings<typeof FRESHNESS_CONSTANTS>;

/**
 * Freshness of a score. Two bars are alike by the parts that sound in either: 1 for a part with the same role and
 * figure in both, 0.6 for the same role with another figure, 0.3 for another role, 0 where it rests in one; the
 * mean over those parts. The change at a bar line is how much less the two bars before are like the two bars after
 * than like each other. A change of at least 0.25 that is larger than its neighbours is a change point; it lifts
 * freshness by its size towards 1, less the more its scoring is like one left earlier in the last 24 bars (half as
 * much where it is the same), and from there freshness halves every four bars.
 *
 * @param score the score
 * @param options texture and constants
 * @returns whole, per bar, per layer, change points, similarity matrix, advice
 * @throws {InputError} when a constant is unknown or not a number
 *
 * Source of the novelty curve: Foote, Automatic audio segmentation using a measure of audio novelty, ICME 2000;
 * the rest is a model assumption.
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, freshness, realise } from "ripieno";
 * import { assert } from "@std/assert";
 * const of = (plan: ReturnType<typeof demoPlans>["held"]) => freshness(realise(demoSketch(), plan)).whole.freshness;
 * assert(of(demoPlans().rotating) > of(demoPlans().moving));
 * ```
 */
export function freshness(score: Score, options: FreshnessOptions = {}): Freshness {
  refuseUnknown("compute freshness", options, ["texture", "constants"]);
  const settings = applySettings("freshness", FRESHNESS_CONSTANTS, options.constants);
  const texture = options.texture ?? textureOf(score);
  const parts = score.parts.length;
  const count = score.bars.length;
  const clock = clockOf(score);
  const bars = score.bars.map((_, b) => texture.cells.slice(b * parts, (b + 1) * parts));
  const similarity = similarityMatrix(bars, settings);
  const like = (i: number, j: number) => similarity[i * count + j]!;
  const changes = score.bars.map((_, b) => changeAt(b, count, like, settings.compareBars));
  const isChange = changes.map((c, b) =>
    b > 0 && c >= settings.changeFrom && c >= (changes[b - 1] ?? 0) && c > (changes[b + 1] ?? 0)
  );
  const curve = novelty(similarity, { halfWidth: Math.max(1, Math.round(settings.noveltyHalfWidthBars)) });

  const perBar: FreshnessBar[] = [];
  let fresh = 1;
  let since = 0;
  let stretchStart = 0;
  score.bars.forEach((bar, b) => {
    if (b > 0) fresh *= 2 ** (-1 / settings.halfLifeBars);
    since = b > 0 && !isChange[b] ? since + 1 : 0;
    if (isChange[b]) {
      const heard = likestBefore(b, stretchStart, like, settings);
      stretchStart = b;
      fresh += (1 - fresh) * Math.min(1, changes[b]! * (1 - settings.repeatDiscount * heard));
    }
    perBar.push({
      bar: b,
      barNumber: bar.number,
      onsetSeconds: clock(bar.startTicks),
      freshness: fresh,
      change: changes[b]!,
      novelty: curve[b]!,
      barsSinceChange: since,
      lead: leadNames(bars[b]!, score),
    });
  });
  const points = perBar.filter((b) => isChange[b.bar]);
  const changePoints = points.map((b): FreshnessChange => ({
    bar: b.bar,
    barNumber: b.barNumber,
    change: b.change,
    what: whatChanged(bars[b.bar - 1]!, bars[b.bar]!, score),
  }));
  const starts = [0, ...points.map((p) => p.bar), count];
  const stretches = starts.slice(1).map((s, i) => s - starts[i]!);
  const leads = new Set(perBar.map((b) => b.lead).filter((l) => l !== ""));
  return {
    whole: {
      freshness: count === 0 ? 0 : perBar.reduce((sum, b) => sum + b.freshness, 0) / count,
      barsBetweenChanges: count / Math.max(1, stretches.length),
      longestStretchBars: Math.max(0, ...stretches),
      distinctLeads: leads.size,
    },
    perBar,
    perLayer: texture.layers.map((l) => ({
      layer: l.id,
      role: l.role,
      fromBar: l.fromBar,
      toBar: l.toBar,
      bars: l.toBar - l.fromBar + 1,
    })),
    changes: changePoints,
    similarity,
    advice: adviceOf(perBar, bars, starts, like, score),
    settings,
  };
}

function similarityMatrix(bars: readonly (readonly RoleCell[])[], c: Constants): readonly number[] {
  const n = bars.length;
  const matrix = new Array<number>(n * n).fill(1);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < i; j++) matrix[i * n + j] = matrix[j * n + i] = likeness(bars[i]!, bars[j]!, c);
  }
  return matrix;
}

function likeness(a: readonly RoleCell[], b: readonly RoleCell[], c: Constants): number {
  let sounding = 0;
  let alike = 0;
  for (let p = 0; p < a.length; p++) {
    const [x, y] = [a[p]!, b[p]!];
    if (x.role === "rest" && y.role === "rest") continue;
    sounding++;
    if (x.role === "rest" || y.role === "rest") continue;
    alike += x.role !== y.role ? c.sameSound : x.figure !== y.figure ? c.sameRole : 1;
  }
  return sounding === 0 ? 1 : alike / sounding;
}

function changeAt(
  b: number,
  count: number,
  like: (i: number, j: number) => number,
  compareBars: number,
): number {
  const width = Math.max(1, Math.round(compareBars));
  const before = Array.from({ length: width }, (_, k) => b - 1 - k).filter((i) => i >= 0);
  const after = Array.from({ length: width }, (_, k) => b + k).filter((i) => i < count);
  if (before.length === 0 || after.length === 0) return 0;
  const within = (list: readonly number[]) =>
    meanOr(list.flatMap((i) => list.filter((j) => j < i).map((j) => like(i, j))), 1);
  const across = meanOr(before.flatMap((i) => after.map((j) => like(i, j))), 1);
  return Math.max(0, (within(before) + within(after)) / 2 - across);
}

function meanOr(values: number[], whenEmpty: number): number {
  return values.length === 0 ? whenEmpty : mean(values);
}

/** Likeness of a new scoring to the likest bar remembered, the stretch that it ends left out. */
function likestBefore(
  b: number,
  stretchStart: number,
  like: (i: number, j: number) => number,
  c: Constants,
): number {
  let best = 0;
  for (let i = Math.max(0, b - Math.round(c.memoryBars)); i < stretchStart; i++) {
    best = Math.max(best, like(b, i));
  }
  return best;
}

function leadNames(cells: readonly RoleCell[], score: Score): string {
  return cells.filter((c) => c.role === "lead").map((c) => score.parts[c.part]!.name).join(" + ");
}

function whatChanged(before: readonly RoleCell[], after: readonly RoleCell[], score: Score): string {
  const words: string[] = [];
  const [leadBefore, leadAfter] = [leadNames(before, score), leadNames(after, score)];
  if (leadBefore !== leadAfter) {
    words.push(leadAfter === "" ? "nobody leads" : `${leadAfter} ${verb(leadAfter, "take")} the lead`);
  }
  const entering = after.filter((c, p) =>
    c.role !== "rest" && c.role !== "lead" && before[p]!.role === "rest"
  );
  for (const [role, cells] of Map.groupBy(entering, (c) => c.role)) {
    words.push(
      `${list(cells.map((c) => score.parts[c.part]!.name))} enter${cells.length === 1 ? "s" : ""} as ${role}`,
    );
  }
  const leaving = after.filter((c, p) => c.role === "rest" && before[p]!.role !== "rest");
  if (leaving.length > 0) {
    words.push(
      `${list(leaving.map((c) => score.parts[c.part]!.name))} rest${leaving.length === 1 ? "s" : ""}`,
    );
  }
  const changing = after.filter((c, p) =>
    c.role !== "rest" && c.role !== "lead" && before[p]!.role !== "rest" &&
    (before[p]!.role !== c.role || before[p]!.figure !== c.figure)
  );
  for (const [role, cells] of Map.groupBy(changing, (c) => c.role)) {
    words.push(
      `${list(cells.map((c) => score.parts[c.part]!.name))} turn${cells.length === 1 ? "s" : ""} to ${role}`,
    );
  }
  return words.length === 0 ? "the texture shifts" : words.join("; ");
}

/** A verb that fits one name or several joined by " + ". */
function verb(names: string, word: string): string {
  return names.includes(" + ") ? word : `${word}s`;
}

/** Names in a row, cut after four. */
function list(names: readonly string[]): string {
  if (names.length > 4) return `${names.slice(0, 3).join(", ")} and ${names.length - 3} more`;
  return names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}

/** A stretch longer than this is named in the advice, in bars. Common practice, no source: hand over every four to eight bars. */
const LONG_STRETCH_BARS = 8;

function adviceOf(
  perBar: readonly FreshnessBar[],
  bars: readonly (readonly RoleCell[])[],
  starts: readonly number[],
  like: (i: number, j: number) => number,
  score: Score,
): readonly string[] {
  const advice: string[] = [];
  const printed = (b: number) => score.bars[b]!.number;
  let from = 0;
  let longest = { lead: "", from: 0, bars: 0 };
  for (let b = 1; b <= perBar.length; b++) {
    if (b < perBar.length && perBar[b]!.lead === perBar[from]!.lead) continue;
    if (perBar[from]!.lead !== "" && b - from > longest.bars) {
      longest = { lead: perBar[from]!.lead, from, bars: b - from };
    }
    from = b;
  }
  if (longest.bars > LONG_STRETCH_BARS) {
    advice.push(
      `${longest.lead} ${verb(longest.lead, "lead")} for ${longest.bars} bars (${printed(longest.from)} to ${
        printed(longest.from + longest.bars - 1)
      }): hand the tune to another colour on the way.`,
    );
  }
  for (let i = 0; i + 1 < starts.length; i++) {
    const [start, end] = [starts[i]!, starts[i + 1]!];
    if (end - start > LONG_STRETCH_BARS) {
      advice.push(
        `Nothing changes for ${end - start} bars (${printed(start)} to ${
          printed(end - 1)
        }): listeners would expect a change by bar ${printed(start + LONG_STRETCH_BARS)}.`,
      );
    }
  }
  for (let i = 1; i + 1 < starts.length; i++) {
    for (let k = 0; k < i - 1; k++) {
      if (like(starts[i]!, starts[k]!) < 0.999) continue;
      advice.push(
        `Bar ${printed(starts[i]!)} repeats the scoring of bar ${
          printed(starts[k]!)
        }: change one colour or figure.`,
      );
      break;
    }
  }
  const neverLead = score.parts.filter((_, p) => bars.every((row) => row[p]!.role !== "lead"));
  if (neverLead.length > 0 && neverLead.length < score.parts.length) {
    advice.push(`Colours that never lead: ${neverLead.map((p) => p.name).join(", ")}.`);
  }
  return advice;
}
