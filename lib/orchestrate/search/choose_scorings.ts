/** The best choice of one scoring for each passage, as a mixed-integer model for the solver HiGHS. */
import type { HighsModel } from "./highs_model.ts";
import { solverOf } from "./highs_model.ts";

/** A sum over the chosen scorings that has a limit. */
export interface Limit {
  /** What each scoring of each passage adds. */
  readonly adds: readonly (readonly number[])[];
  readonly atLeast?: number;
  readonly atMost?: number;
}

/** What is to be chosen from. */
export interface ScoringChoice {
  /** Cost of each scoring of each passage; null where it may not be chosen. */
  readonly costs: readonly (readonly (number | null)[])[];
  /** Cost of one scoring after another: passage of the first, its number, number of the second. Left out, it is 0. */
  readonly after?: (passage: number, first: number, second: number) => number;
  readonly limits: readonly Limit[];
}

/** Prepares choosing: the number of the chosen scoring of each passage, or undefined where nothing meets the limits. */
export async function scoringChooser(): Promise<(choice: ScoringChoice) => readonly number[] | undefined> {
  const solve = await solverOf();
  return (choice) => {
    if (choice.costs.some((own) => own.every((c) => c === null))) return undefined;
    const values = solve(modelOf(choice));
    if (!values) return undefined;
    let column = 0;
    return choice.costs.map((own) => {
      const first = column;
      column += own.length;
      return own.reduce<number>((best, _, k) => values[first + k]! > values[first + best]! ? k : best, 0);
    });
  };
}

/**
 * One whole variable for each scoring, 1 where it is chosen; one for each pair of neighbours, which follows from these: as
 * many pairs leave a scoring as it is chosen, and as many arrive.
 */
function modelOf({ costs, after, limits }: ScoringChoice): HighsModel {
  const columns: { cost: number; most: number; isWhole: boolean; entries: (readonly [number, number])[] }[] =
    [];
  const rows: { low: number; high: number }[] = [];
  const row = (low: number, high: number) => rows.push({ low, high }) - 1;
  const chosen = costs.map((own) => {
    const one = row(1, 1);
    return own.map((cost) =>
      columns.push({ cost: cost ?? 0, most: cost === null ? 0 : 1, isWhole: true, entries: [[one, 1]] }) - 1
    );
  });
  for (const { adds, atLeast = -Infinity, atMost = Infinity } of limits) {
    const limit = row(atLeast, atMost);
    chosen.forEach((own, p) =>
      own.forEach((column, k) => {
        if (adds[p]![k] !== 0) columns[column]!.entries.push([limit, adds[p]![k]!]);
      })
    );
  }
  if (after) {
    for (let p = 0; p + 1 < chosen.length; p++) {
      const may = (passage: number) =>
        chosen[passage]!.flatMap((column, k) => columns[column]!.most > 0 ? [{ column, k }] : []);
      const leave = new Map(may(p).map(({ column, k }) => [k, balanced(column)]));
      const arrive = new Map(may(p + 1).map(({ column, k }) => [k, balanced(column)]));
      for (const [first, from] of leave) {
        for (const [second, to] of arrive) {
          columns.push({
            cost: after(p, first, second),
            most: 1,
            isWhole: false,
            entries: [[from, 1], [to, 1]],
          });
        }
      }
    }
  }
  return { columns, rows };

  /** A row that says: as many pairs as this scoring is chosen. */
  function balanced(column: number): number {
    const balance = row(0, 0);
    columns[column]!.entries.push([balance, -1]);
    return balance;
  }
}
