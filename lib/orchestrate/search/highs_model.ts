/** Whole-number models solved by HiGHS, which is loaded when it is asked for. */
import { InputError } from "../../base/errors.ts";

/** One unknown of a model, from 0 to `most`. */
interface HighsColumn {
  readonly cost: number;
  readonly most: number;
  /** Whether it is 0, 1, 2 and so on. */
  readonly isWhole: boolean;
  /** Where it stands: row and factor. */
  readonly entries: readonly (readonly [row: number, factor: number])[];
}

/** A model: the least total cost under rows that lie between two limits. */
export interface HighsModel {
  readonly columns: readonly HighsColumn[];
  readonly rows: readonly { readonly low: number; readonly high: number }[];
}

/** What is used here of the package, whose own types describe its older way alone. */
interface Highs {
  readonly createModel: (data: unknown) => {
    readonly options: { readonly set: (name: string, value: unknown) => void };
    readonly run: () => unknown;
    readonly getModelStatus: () => number;
    readonly getSolution: () => { readonly colValue: Float64Array };
    readonly dispose: () => void;
  };
  readonly constants: { readonly modelStatus: { readonly optimal: number; readonly infeasible: number } };
}

/** How far from the best a choice may be, as a part of its cost: none that anybody would hear. */
const GAP = 1e-6;

/**
 * Loads the solver. What it gives solves a model: the value of each column, or undefined where there is no solution. It has
 * no limit of time, so that the same model has the same answer on any machine; a search has some thousand unknowns, which take
 * a second.
 */
export async function solverOf(): Promise<(model: HighsModel) => Float64Array | undefined> {
  const { default: load } = await import("highs");
  const highs = await (load as unknown as () => Promise<Highs>)();
  return ({ columns, rows }) => {
    const starts = new Int32Array(columns.length + 1);
    columns.forEach((c, i) => starts[i + 1] = starts[i]! + c.entries.length);
    const entries = columns.flatMap((c) => [...c.entries].sort(([a], [b]) => a - b));
    const model = highs.createModel({
      numCols: columns.length,
      numRows: rows.length,
      colCost: Float64Array.from(columns, (c) => c.cost),
      colLower: new Float64Array(columns.length),
      colUpper: Float64Array.from(columns, (c) => c.most),
      rowLower: Float64Array.from(rows, (r) => r.low),
      rowUpper: Float64Array.from(rows, (r) => r.high),
      matrix: {
        format: "csc",
        numRows: rows.length,
        numCols: columns.length,
        starts,
        indices: Int32Array.from(entries, ([row]) => row),
        values: Float64Array.from(entries, ([, factor]) => factor),
      },
      integrality: Int32Array.from(columns, (c) => c.isWhole ? 1 : 0),
    });
    try {
      model.options.set("output_flag", false);
      model.options.set("random_seed", 1);
      model.options.set("mip_rel_gap", GAP);
      model.run();
      const status = model.getModelStatus();
      const { optimal, infeasible } = highs.constants.modelStatus;
      if (status === optimal) return model.getSolution().colValue;
      if (status === infeasible) return undefined;
      throw new InputError({
        action: "choose scorings",
        problem: `the solver ended without an answer (its status is ${status})`,
        remedy: "Ask for fewer passages or scorings",
      });
    } finally {
      model.dispose(); // the solver's memory is not cleared away by itself
    }
  };
}
