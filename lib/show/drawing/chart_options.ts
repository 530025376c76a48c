/** What every chart can be told, and the check that nothing else is said. */
import { A_TEXT, BARS, checkOptions, type Kind } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import type { BarSpan } from "./spans.ts";
import type { Score } from "../../score/model.ts";

/** Options of every chart. */
export interface ChartOptions {
  /** Width of the picture in pixels, 320 to 6000. Default 960. */
  readonly width?: number;
  /** Height of the drawing without title and legend in pixels, 60 to 12000. By default what the rows need. */
  readonly height?: number;
  /** Title; an empty one leaves it out. By default what the chart shows. */
  readonly title?: string;
}

/** The refusal to draw a chart, which is named as it is for the caller. */
export function cannotDraw(chart: string, problem: string, remedy: string): InputError {
  return new InputError({ action: `draw the ${chart}`, problem, remedy });
}

const LIMITS = { width: [320, 6000], height: [60, 12_000] } as const;

/**
 * Checks a chart's options, since notebooks check no types, and fills the width in. `others` are options beside the
 * common ones and what they have to be; undefined where the chart looks itself.
 */
export function checkedOptions<T extends ChartOptions>(
  chart: string,
  options: T,
  others: Readonly<Record<string, Kind | undefined>> = {},
): T & { readonly width: number } {
  checkOptions(`draw the ${chart}`, options, {
    width: undefined,
    height: undefined,
    title: A_TEXT,
    ...others,
  });
  for (const name of ["width", "height"] as const) {
    const value = options[name];
    const [least, most] = LIMITS[name];
    if (value !== undefined && !(value >= least && value <= most)) {
      throw cannotDraw(chart, `${name} is ${String(value)}`, `Give pixels from ${least} to ${most}`);
    }
  }
  return { ...options, width: options.width ?? 960 };
}

/** Checks that a chart's second argument, where there is one, is a score and not its options. */
export function checkedScore(chart: string, score: Score | undefined): Score | undefined {
  if (score === undefined || BARS.fits(score)) return score;
  throw cannotDraw(
    chart,
    "its second argument is not a score",
    "Give the score second and the options third; without a score, give undefined",
  );
}

/** Refuses a span whose bars the score does not have, or whose first comes after the last. */
export function checkedSpan(
  score: Score,
  { chart, fromBarIndex, toBarIndex }: BarSpan & { readonly chart: string },
): void {
  const isBar = (b: number) => Number.isInteger(b) && b >= 0 && b < score.bars.length;
  if (isBar(fromBarIndex) && isBar(toBarIndex) && fromBarIndex <= toBarIndex) return;
  throw cannotDraw(
    chart,
    `fromBarIndex ${fromBarIndex} to toBarIndex ${toBarIndex} is no span of bars of this score`,
    `Give indexes from 0 to ${score.bars.length - 1}, the first not after the last`,
  );
}
