/** A way out of a covered lead, written into the plan a setting came from. */
import {
  A_NUMBER,
  A_PLAN,
  A_RECORD,
  A_SCORE,
  A_SKETCH,
  checkArgument,
  checkFields,
  type Kind,
} from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { DYNAMIC_MARKS, dynamicOf } from "../../score/dynamics.ts";
import type { Note, Score, WrittenLayer } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Remedy, RemedyChange } from "../../measures/balance/remedy_results.ts";
import { withEachMark } from "../plan/layer_dynamics.ts";
import type { Assignment, Plan } from "../plan/plan.ts";
import type { Sketch } from "../plan/sketch.ts";
import { vary } from "../plan/vary.ts";

/** What a remedy was worked out on. */
export interface VaryForRemedyOptions {
  /** The sketch. */
  readonly sketch: Sketch;
  /** The setting: the sketch realised by the plan. */
  readonly setting: Score;
  /** First bar of the passage, index from 0; a warning has it. */
  readonly fromBarIndex: number;
  /** Last bar, inclusive. */
  readonly toBarIndex: number;
}

const OPTIONS = { sketch: A_SKETCH, setting: A_SCORE, fromBarIndex: A_NUMBER, toBarIndex: A_NUMBER };
const REMEDY: Kind = {
  noun: "a remedy",
  give: "Give a row of what remedies(score, passage) gives",
  fields: ["what", "changes"],
  fits: (value) => A_RECORD.fits(value) && Array.isArray((value as { changes?: unknown }).changes),
};

/**
 * The plan with a remedy in it, by way of `vary`: the layers of the passages concerned are changed whole, since a plan
 * has no smaller unit. Realise it and measure to see what it gives; where a warning covers a whole passage, that is
 * what the remedy promised, but for breaths and voicings that follow the change.
 *
 * A doubling plays with the lead at the octave in which it has the tune in range, whatever octave the remedy had.
 *
 * @param plan the plan; not changed
 * @param remedy a row of `remedies`
 * @param options sketch, setting and bars
 * @returns the new plan, named after the remedy
 * @throws {InputError} when no layer of the setting has the remedy's parts in those bars
 *
 * @example
 * ```ts
 * import { balance, demoPlans, demoSketch, realise, remedies, vary } from "ripieno";
 * import { varyForRemedy } from "ripieno/orchestrate";
 * import { assert } from "@std/assert";
 * const sketch = demoSketch();
 * const plan = vary(demoPlans().held, { set: { parts: ["Flute 1"], octave: 0 } }, { role: "lead", passage: "Rapids" });
 * const setting = realise(sketch, plan);
 * const bars = { fromBarIndex: 16, toBarIndex: 23 };
 * const [best] = remedies(setting, bars);
 * const better = realise(sketch, varyForRemedy(plan, best!, { sketch, setting, ...bars }));
 * assert(balance(better).perBar[16]!.audibleShare! > balance(setting).perBar[16]!.audibleShare!);
 * ```
 */
export function varyForRemedy(
  plan: Plan,
  remedy: Pick<Remedy, "what" | "changes">,
  options: VaryForRemedyOptions,
): Plan {
  const action = "change the plan";
  checkArgument(action, plan, A_PLAN);
  checkArgument(action, remedy, REMEDY);
  checkFields(action, options, OPTIONS);
  for (const [name, kind] of Object.entries(OPTIONS)) {
    checkArgument(action, options[name as keyof typeof OPTIONS], kind, name);
  }
  const changed = remedy.changes.reduce((now, change) => varyFor(now, change, options), plan);
  return { ...changed, name: `${plan.name}, with ${remedy.what}` };
}

function varyFor(plan: Plan, change: RemedyChange, options: VaryForRemedyOptions): Plan {
  const { setting } = options;
  const names = change.kind === "double" ? [change.of] : change.parts;
  const layers = layersWith(names, options);
  return layers.reduce((now, layer) => {
    const where = {
      passage: layer.passage,
      role: layer.role as Assignment["role"],
      part: planNameIn(plan, layer, options),
    };
    const row = plan.passages.find((p) => p.name === layer.passage)!.assignments
      .find((a) => a.role === layer.role && a.parts.includes(where.part))!;
    switch (change.kind) {
      case "octave":
        return vary(now, { set: { octave: octaveOf(row, layer, options) + change.octaves } }, where);
      case "dynamic":
        return vary(now, {
          set: withEachMark(row, (mark) => moved(mark, change.steps)),
        }, where);
      case "double":
        return vary(now, { double: [change.part] }, where);
      case "rest": {
        const left = layer.parts.map((p) => setting.parts[p]!.name).filter((n) => !change.parts.includes(n));
        return left.length === 0
          ? vary(now, { remove: true }, where)
          : vary(now, { set: { parts: left } }, where);
      }
    }
  }, plan);
}

/** Written layers of the bars that have one of the parts. */
function layersWith(
  names: readonly string[],
  { setting, fromBarIndex, toBarIndex }: VaryForRemedyOptions,
): readonly WrittenLayer[] {
  const found = (setting.layers ?? []).filter((l) =>
    l.toBarIndex >= fromBarIndex && l.fromBarIndex <= toBarIndex &&
    l.parts.some((p) => names.includes(setting.parts[p]!.name))
  );
  if (found.length > 0) return found;
  throw new InputError({
    action: "change the plan",
    problem: `no layer of the setting has ${names.join(", ")} in these bars`,
    remedy: "Give the setting that was realised from this plan, and the bars of the warning",
  });
}

/** A name by which the plan lists the layer's parts: one of them, or a plural. */
function planNameIn(plan: Plan, layer: WrittenLayer, { setting }: VaryForRemedyOptions): string {
  const own = layer.parts.map((p) => setting.parts[p]!.name.toLowerCase());
  const rows = plan.passages.filter((p) => p.name === layer.passage).flatMap((p) => p.assignments)
    .filter((a) => a.role === layer.role);
  const isListed = (a: Assignment) =>
    a.parts.some((name) =>
      own.includes(name.trim().toLowerCase()) ||
      own.some((o) => o.startsWith(name.trim().toLowerCase().replace(/s$/, "")))
    );
  const row = rows.find(isListed) ?? rows[0];
  if (row === undefined) {
    throw new InputError({
      action: "change the plan",
      problem: `it has no ${layer.role} in "${layer.passage}"`,
      remedy: "Give the plan that the setting was realised from",
    });
  }
  return row.parts[0]!;
}

/** The octave a layer stands in now: the plan's, or for a line that follows the tune what the setting shows. */
function octaveOf(row: Assignment, layer: WrittenLayer, { sketch, setting }: VaryForRemedyOptions): number {
  if (row.octave !== null) return row.octave;
  if (row.role !== "lead") return 0;
  const inBars = (notes: readonly Note[]) =>
    notes.filter((n) => {
      const bar = barIndexOf(setting, n.onsetTicks);
      return bar >= layer.fromBarIndex && bar <= layer.toBarIndex;
    });
  const mean = (notes: readonly Note[]) =>
    notes.reduce((sum, n) => sum + n.soundingPitch, 0) / Math.max(1, notes.length);
  const ratio = setting.ticksPerQuarter / sketch.score.ticksPerQuarter;
  const tune = inBars(sketch.tune.map((n) => ({ ...n, onsetTicks: n.onsetTicks * ratio })));
  const played = inBars(setting.notes.filter((n) => n.layer === layer.id && n.part === layer.parts[0]));
  return Math.round((mean(played) - mean(tune)) / 12);
}

/** A dynamic some steps away, held at ppp and fff. */
function moved(mark: string, steps: number): string {
  const at = Math.max(1, Math.min(DYNAMIC_MARKS.length, (dynamicOf(mark) ?? 5) + steps));
  return DYNAMIC_MARKS[Math.round(at) - 1]!;
}
