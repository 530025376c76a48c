/** What the command line does with wishes for plans: looks for them and hands them over. */
import { InputError } from "../../base/errors.ts";
import { tableToCsv } from "../../formats/files/csv.ts";
import type { FileToWrite } from "../../formats/files/file_to_write.ts";
import type { OrchestraPart } from "../../instruments/orchestra.ts";
import { writePlan } from "../../orchestrate/plan/plan_table.ts";
import type { Sketch } from "../../orchestrate/plan/sketch.ts";
import { readPlanWishes } from "../../orchestrate/search/plan_wish_table.ts";
import { search } from "../../orchestrate/search/search.ts";
import type { FoundPlan, SearchProgress } from "../../orchestrate/search/search_results.ts";
import { foundPlansChart } from "../charts/found_plans.ts";
import { chartSvg } from "../drawing/save_chart.ts";
import type { NamedText } from "./desk.ts";

/** Plans that were found, with what to hand over beside their study. */
export interface PlansOnDesk {
  readonly plans: readonly FoundPlan[];
  /** The plans as tables, what became of each wish, and the chart of it. */
  readonly files: readonly FileToWrite[];
  /** What to say, line by line. */
  readonly said: readonly string[];
}

/**
 * Looks for plans over a sketch that meet the wishes of a table.
 *
 * @throws {InputError} when the table cannot be used, or its wishes cannot be had together
 */
export async function plansFound(
  sketch: Sketch,
  table: NamedText,
  { orchestra, onProgress }: {
    readonly orchestra: readonly OrchestraPart[] | undefined;
    readonly onProgress: (progress: SearchProgress) => void;
  },
): Promise<PlansOnDesk> {
  const wishes = readPlanWishes(table.text, { file: table.file });
  const { plans, conflict, said } = await search(sketch, {
    wishes: wishes.passages.length > 0 ? wishes : withoutPassages(wishes),
    ...(orchestra ? { orchestra } : {}),
    onProgress,
  });
  if (plans.length === 0) {
    throw new InputError({
      action: "find a plan",
      problem: conflict.length === 0
        ? "none that was tried can be written"
        : conflict.length === 1
        ? `no scoring that was tried meets the wish "${conflict[0]}"`
        : `these wishes cannot be had together: ${conflict.map((c) => `"${c}"`).join(" and ")}`,
      where: { file: table.file },
      remedy: "Loosen one of them",
    });
  }
  return { plans, files: filesOf(plans), said: [said, ...plans.flatMap(inWords)] };
}

/** Wishes for the whole alone: passages are those of the sketch. */
function withoutPassages<T extends { readonly passages: unknown }>(
  { passages: _, ...rest }: T,
): Omit<T, "passages"> {
  return rest;
}

function inWords({ plan, reasons, traded }: FoundPlan): readonly string[] {
  return ["", `${plan.name}:`, ...reasons.map((r) => `  ${r}`), ...traded.map((t) => `  Given up: ${t}`)];
}

function filesOf(plans: readonly FoundPlan[]): readonly FileToWrite[] {
  const hasMomentum = plans[0]!.reached.some((r) => r.about === "momentum");
  const rows = plans.flatMap(({ plan, reached }) =>
    reached.map(({ wish, passage, wanted, reached, met }) => ({
      plan: plan.name,
      wish,
      passage,
      wanted: wanted ?? "",
      reached: reached === null ? "" : Number(reached.toPrecision(4)),
      met: met ? "yes" : "no",
    }))
  );
  return [
    ...plans.map(({ plan }) => ({ name: `${plan.name.replaceAll(" ", "_")}.csv`, content: writePlan(plan) })),
    ...(rows.length > 0 ? [{ name: "wishes_reached.csv", content: tableToCsv(rows) }] : []),
    ...(hasMomentum
      ? [{ name: "charts/wishes_reached.svg", content: chartSvg(foundPlansChart(plans)) }]
      : []),
  ];
}
