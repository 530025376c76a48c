/** Does a ranking of settings hang on the constants of a measure? */
// @ts-types="@types/d3-array"
import { sum } from "d3-array";
import {
  A_SCORE,
  A_SHARE_WITHIN,
  A_TEXT,
  checkArgument,
  checkOptions,
  type Kind,
  listOf,
} from "../../base/arguments.ts";
import { threeDigits } from "../../base/words.ts";
import { InputError } from "../../base/errors.ts";
import type { Score } from "../../score/model.ts";
import { type Constant, type Constants, rangeOf } from "../../base/settings.ts";
import { textureOf } from "../../texture/recognise/recognise.ts";
import { balance, BALANCE_CONSTANTS } from "../balance/balance.ts";
import { contour, CONTOUR_CONSTANTS } from "../contour/contour.ts";
import { FRESHNESS_CONSTANTS, freshnessFigures } from "../freshness/freshness.ts";
import { fullness, FULLNESS_CONSTANTS } from "../fullness/fullness.ts";
import { idiom, IDIOM_CONSTANTS } from "../idiom/idiom.ts";
import { momentum, MOMENTUM_CONSTANTS } from "../momentum/momentum.ts";
import { kendall, spearman } from "../rank_correlation.ts";
import type { Balance } from "../balance/balance_results.ts";

/** The measures whose rankings are tried: momentum, freshness, fullness, contour, idiom, and how well the lead is heard (`audibleShare`). */
export type RankedMeasure = "momentum" | "freshness" | "audibleShare" | "fullness" | "contour" | "idiom";

/** Options of {@linkcode sensitivity}. */
export interface SensitivityOptions {
  /** How far each constant is moved, as a share of its value, down and up. @default {0.5} */
  readonly by?: number;
  /** Names of the constants to move; by default all that are assumptions about music and hearing. */
  readonly constants?: readonly string[];
  /** Rankings to look at; by default all six. */
  readonly measures?: readonly RankedMeasure[];
}

/** One constant moved one way, and what that does to the ranking by one measure. */
export interface SensitivityRow {
  /** Measure the settings are ranked by. */
  readonly measure: RankedMeasure;
  /** Table the constant stands in: momentum, balance, freshness, fullness, contour or idiom. */
  readonly table: "momentum" | "balance" | "freshness" | "fullness" | "contour" | "idiom";
  /** The constant. */
  readonly constant: string;
  /** What it was multiplied by. */
  readonly factor: number;
  /** The value it had then. */
  readonly value: number;
  /** True where it stopped at the end of its range instead of going the whole way; a share ends at 1. */
  readonly isAtLimit?: boolean;
  /** Its usual value. */
  readonly usual: number;
  /** Unit of both. */
  readonly unit: string;
  /** Spearman's correlation of the ranking with the usual one; null where it says nothing (one setting, or all equal). */
  readonly spearman: number | null;
  /** Kendall's, likewise: 1 the same order, 0.33 of three settings one pair turned round. */
  readonly kendall: number | null;
  /** The setting that comes first. */
  readonly first: string;
  /** Whether another setting comes first than usual. */
  readonly isFirstChanged: boolean;
  /** How far the setting that usually comes first is ahead of the best other one, as a share of its own value; negative where it has been overtaken, null with one setting. */
  readonly lead: number | null;
  /** Mean of the settings' values over their usual mean. */
  readonly level: number;
}

/** What one setting measures under one change. */
export interface SensitivityValue {
  /** The measure. */
  readonly measure: RankedMeasure;
  /** The constant; null for the usual values. */
  readonly constant: string | null;
  /** What it was multiplied by; 1 for the usual values. */
  readonly factor: number;
  /** The setting. */
  readonly setting: string;
  /** Its whole value. */
  readonly whole: number;
  /** Its place, 1 for the highest. */
  readonly rank: number;
}

/** What {@linkcode sensitivity} returns. */
export interface Sensitivity {
  /** How far constants were moved. */
  readonly by: number;
  /** One row per measure, constant and direction. */
  readonly rows: readonly SensitivityRow[];
  /** One row per measure, constant, direction and setting, the usual values first. */
  readonly perSetting: readonly SensitivityValue[];
  /** How far ahead the first setting usually is, by measure: what the rows' `lead` starts from. */
  readonly usual: readonly {
    readonly measure: RankedMeasure;
    readonly first: string;
    readonly lead: number | null;
  }[];
  /** One sentence per measure, which says whether the ranking holds or is fragile. */
  readonly conclusions: readonly string[];
}

const MEASURES: readonly RankedMeasure[] = [
  "momentum",
  "freshness",
  "audibleShare",
  "fullness",
  "contour",
  "idiom",
];

/** Tables whose constants bear on a measure; momentum takes the balance. */
const TABLES_OF: Readonly<Record<RankedMeasure, readonly SensitivityRow["table"][]>> = {
  momentum: ["momentum", "balance"],
  freshness: ["freshness"],
  audibleShare: ["balance"],
  fullness: ["fullness"],
  contour: ["contour", "balance"],
  idiom: ["idiom"],
};

const TABLES: Readonly<Record<SensitivityRow["table"], Constants>> = {
  momentum: MOMENTUM_CONSTANTS,
  balance: BALANCE_CONSTANTS,
  freshness: FRESHNESS_CONSTANTS,
  fullness: FULLNESS_CONSTANTS,
  contour: CONTOUR_CONSTANTS,
  idiom: IDIOM_CONSTANTS,
};

/** Constants that say how closely something is worked out, or only when to warn: moved when they are asked for. */
const NO_ASSUMPTIONS = ["gridStepCam", "quickGridStepCam", "coveredBelowShare", "unusualBelow"];

/** Differences smaller than this, as a share, are no lead. */
const NO_LEAD = 1e-9;

const NAMES = listOf(A_TEXT, "a list of names");
const RANKINGS: Kind = {
  noun: `one or more of ${MEASURES.join(", ")}`,
  give: "Give them in a list",
  fits: (value) => Array.isArray(value) && value.length > 0 && value.every((name) => MEASURES.includes(name)),
};
const OPTIONS = { by: A_SHARE_WITHIN, constants: NAMES, measures: RANKINGS };

const SETTINGS: Kind = {
  noun: "scores in a list, or by name",
  give: "Write [one, other] or { one, other }",
  fits: (value) => typeof value === "object" && value !== null && Object.values(value).every(A_SCORE.fits),
};

/**
 * Moves the constants of the measures down and up by half, one at a time, and looks whether the ranking of the settings
 * stays: rank correlations with the usual order, whether another setting comes first, and how far ahead the first one is.
 * A ranking whose first place changes is said to be fragile: it hangs on a constant that could as well be another.
 *
 * A constant stops at the end of the range it makes sense in ({@linkcode rangeOf}), and the conclusion says so. Only one
 * constant moves at a time, and only the order is judged. Texture and balance are worked out once per setting
 * and, for the balance's own constants, once per change.
 *
 * @param settings scores or settings, at least one; by name, or in a list with their sources as names
 * @param options how far, which constants, which measures
 * @returns flat rows for a table, a chart or a CSV, and a sentence per measure
 * @throws {InputError} when there are no settings, or a constant or measure is unknown
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise, sensitivity } from "ripieno";
 * import { assert } from "@std/assert";
 * const settings = Object.values(demoPlans()).map((plan) => realise(demoSketch(), plan));
 * const { conclusions } = sensitivity(settings, { constants: ["slurredStrength"], measures: ["momentum"] });
 * assert(conclusions[0]!.startsWith("Momentum: holds"));
 * ```
 */
export function sensitivity(
  settings: readonly Score[] | Readonly<Record<string, Score>>,
  options: SensitivityOptions = {},
): Sensitivity {
  checkOptions("try the constants", options, OPTIONS);
  const { by = 0.5, measures = MEASURES } = options;
  const moved = movedConstants(by, measures, options.constants);
  const prepared = prepare(settings);
  const names = prepared.map((p) => p.name);

  const usualOf = new Map(measures.map((m) => [m, prepared.map((p) => p.measure(m, undefined))]));
  const perSetting: SensitivityValue[] = [];
  const put = (measure: RankedMeasure, constant: string | null, factor: number, values: readonly number[]) =>
    values.forEach((whole, i) => {
      const rank = 1 + values.filter((v) => v > whole).length;
      perSetting.push({ measure, constant, factor, setting: names[i]!, whole, rank });
    });
  for (const [measure, values] of usualOf) put(measure, null, 1, values);

  const rows = moved.map(({ measure, table, constant, name, factor, value, isAtLimit }): SensitivityRow => {
    const values = prepared.map((p) => p.measure(measure, { table, name, value }));
    put(measure, name, factor, values);
    const usual = usualOf.get(measure)!;
    const first = firstOf(values, firstOf(usual));
    return {
      measure,
      table,
      constant: name,
      factor,
      value,
      isAtLimit,
      usual: constant.value,
      unit: constant.unit,
      spearman: spearman(usual, values),
      kendall: kendall(usual, values),
      first: names[first]!,
      isFirstChanged: first !== firstOf(usual),
      lead: leadOf(values, firstOf(usual)),
      level: sum(usual) === 0 ? 1 : sum(values) / sum(usual),
    };
  });
  const usual = measures.map((measure) => {
    const values = usualOf.get(measure)!;
    return { measure, first: names[firstOf(values)]!, lead: leadOf(values, firstOf(values)) };
  });
  return { by, rows, perSetting, usual, conclusions: usual.map((u) => conclusionOf(u, rows, by)) };
}

function sensitivityError(problem: string, remedy: string): InputError {
  return new InputError({ action: "try the constants", problem, remedy });
}

/** A constant on its way. */
interface Moved {
  readonly measure: RankedMeasure;
  readonly table: SensitivityRow["table"];
  readonly name: string;
  readonly constant: Constant;
  readonly factor: number;
  readonly value: number;
  readonly isAtLimit: boolean;
}

function movedConstants(
  by: number,
  measures: readonly RankedMeasure[],
  wanted: readonly string[] | undefined,
): readonly Moved[] {
  const all = measures.flatMap((measure) =>
    TABLES_OF[measure].flatMap((table) =>
      Object.entries(TABLES[table]).map(([name, constant]) => ({ measure, table, name, constant }))
    )
  );
  const missing = wanted?.find((name) => !all.some((c) => c.name === name));
  if (missing !== undefined) {
    throw sensitivityError(
      `"${missing}" is not a constant of ${measures.join(" or ")}`,
      `Their constants are ${[...new Set(all.map((c) => c.name))].join(", ")}`,
    );
  }
  return all
    .filter((c) => wanted === undefined ? !NO_ASSUMPTIONS.includes(c.name) : wanted.includes(c.name))
    .flatMap((c) =>
      [1 - by, 1 + by].flatMap((factor) => {
        const moved = movedValue(c.constant, factor);
        return moved === undefined ? [] : [{ ...c, factor, ...moved }];
      })
    )
    .filter((c) => c.value !== c.constant.value);
}

/** The moved value, at the end of its range where it would go beyond; nothing where that end itself makes no sense. */
function movedValue(constant: Constant, factor: number): { value: number; isAtLimit: boolean } | undefined {
  const wanted = constant.value * factor;
  const { least, isLeastOut, most } = rangeOf(constant);
  const value = Math.min(most, Math.max(least, wanted));
  return isLeastOut && value === least ? undefined : { value, isAtLimit: value !== wanted };
}

/** A setting that is measured again and again. */
interface Prepared {
  readonly name: string;
  readonly measure: (
    measure: RankedMeasure,
    change:
      | { readonly table: SensitivityRow["table"]; readonly name: string; readonly value: number }
      | undefined,
  ) => number;
}

function prepare(settings: readonly Score[] | Readonly<Record<string, Score>>): readonly Prepared[] {
  if (A_SCORE.fits(settings)) {
    throw sensitivityError("it was given one score by itself", "Write it in a list: [score]");
  }
  checkArgument("try the constants", settings, SETTINGS);
  const named = Array.isArray(settings)
    ? (settings as readonly Score[]).map((score, i) => [score?.source || `setting ${i + 1}`, score] as const)
    : Object.entries(settings);
  if (named.length === 0) {
    throw sensitivityError("there are no settings", "Give at least one score, better several");
  }
  const twice = named.find(([name], i) => named.findIndex(([other]) => other === name) !== i);
  if (twice) {
    throw sensitivityError(
      `two settings are called "${twice[0]}"`,
      "Give them by name: { one: score, other: score }",
    );
  }
  return named.map(([name, score]): Prepared => {
    const texture = textureOf(score);
    const balances = new Map<string, Balance>();
    const heardWith = (constants: Readonly<Record<string, number>>): Balance => {
      const key = JSON.stringify(constants);
      const heard = balances.get(key) ?? balance(score, { texture, constants });
      balances.set(key, heard);
      return heard;
    };
    return {
      name,
      measure: (measure, change) => {
        const of = (table: SensitivityRow["table"]) =>
          change?.table === table ? { [change.name]: change.value } : {};
        if (measure === "freshness") {
          return freshnessFigures(score, { texture, constants: of("freshness") }).whole.freshness;
        }
        if (measure === "fullness") {
          return fullness(score, { texture, constants: of("fullness") }).whole.fullness;
        }
        if (measure === "idiom") {
          return idiom(score, { texture, constants: of("idiom") }).whole.idiom ?? 0;
        }
        const heard = heardWith(of("balance"));
        if (measure === "contour") {
          const shape = contour(score, { texture, balance: heard, constants: of("contour") });
          return shape.whole.contour ?? 0;
        }
        if (measure === "audibleShare") return heard.whole.audibleShare ?? 0;
        return momentum(score, { texture, balance: heard, layers: false, constants: of("momentum") }).whole
          .momentum;
      },
    };
  });
}

/** Index of the highest value; of equals the one preferred, if it is among them. */
function firstOf(values: readonly number[], preferred?: number): number {
  if (preferred !== undefined && (leadOf(values, preferred) ?? 0) >= -NO_LEAD) return preferred;
  return values.indexOf(Math.max(...values));
}

/** How far a setting is ahead of the best other one, over the larger of the two. */
function leadOf(values: readonly number[], first: number): number | null {
  if (values.length < 2) return null;
  const other = Math.max(...values.filter((_, i) => i !== first));
  const largest = Math.max(Math.abs(values[first]!), Math.abs(other));
  return largest === 0 ? 0 : (values[first]! - other) / largest;
}

const MEASURE_WORDS: Readonly<Record<RankedMeasure, string>> = {
  momentum: "Momentum",
  freshness: "Freshness",
  audibleShare: "How well the lead is heard",
  fullness: "Fullness",
  contour: "Contour",
  idiom: "Idiom",
};

function conclusionOf(
  { measure, first, lead }: Sensitivity["usual"][number],
  all: readonly SensitivityRow[],
  by: number,
): string {
  const rows = all.filter((r) => r.measure === measure);
  const name = MEASURE_WORDS[measure];
  const held = rows.filter((r) => r.isAtLimit).map((r) =>
    `${r.constant} no further than ${threeDigits(r.value)}`
  );
  const percent = `${Math.round(by * 100)} %${held.length === 0 ? "" : ` (${held.join(", ")})`}`;
  if (lead === null) return `${name}: with one setting there is no order to change.`;
  if (rows.length === 0) return `${name}: no constant was moved.`;
  if (Math.abs(lead) <= NO_LEAD && rows.every((r) => Math.abs(r.lead!) <= NO_LEAD)) {
    return `${name}: no order: nobody is ahead of “${first}”, whichever constant moves by ${percent}.`;
  }
  const flips = rows.filter((r) => r.isFirstChanged);
  if (flips.length > 0) {
    const words = flips.slice(0, 3).map((r) =>
      `“${r.first}” with ${r.constant} at ${threeDigits(r.value)} instead of ${threeDigits(r.usual)}`
    );
    const more = flips.length > 3 ? ` and ${flips.length - 3} more` : "";
    return `${name}: fragile: “${first}” comes first, but ${words.join(", ")}${more}.`;
  }
  const turned = rows.filter((r) => r.kendall !== null && r.kendall < 1 - 1e-9);
  const narrowest = rows.reduce((a, b) => b.lead! < a.lead! ? b : a);
  const places = turned.length === 0
    ? "and the whole order stays"
    : `though places behind it change with ${[...new Set(turned.map((r) => r.constant))].join(", ")}`;
  return `${name}: holds: “${first}” comes first whichever constant moves by ${percent}, ${places}; its lead of ${
    Math.round(lead * 100)
  } % is narrowest, ${Math.round(narrowest.lead! * 100)} %, with ${narrowest.constant} at ${
    threeDigits(narrowest.value)
  }.`;
}
