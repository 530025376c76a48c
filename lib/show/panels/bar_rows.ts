/** Bars broken into rows, one below the other like the systems of a score. */
// @ts-types="@types/d3-array"
import { range } from "d3-array";
import type { Score } from "../../score/model.ts";
import { cannotDraw, type ChartOptions, checkedSpan } from "../drawing/chart_options.ts";
import type { FrameBlock } from "../drawing/frame.ts";
import type { BarSpan } from "../drawing/spans.ts";
import { h } from "../drawing/svg.ts";

/** Options of charts that are broken into rows. */
export interface BarRowsOptions extends ChartOptions {
  /** First bar shown, index from 0. Default 0. */
  readonly fromBarIndex?: number;
  /** Last bar shown, inclusive. By default the last of the score. */
  readonly toBarIndex?: number;
  /**
   * Into how many rows the bars are broken, one below the other like systems of a score, 1 to 50. By default so many
   * that every bar has room.
   */
  readonly rows?: number;
}

interface RowsInput {
  /** Name of the chart, for messages. */
  readonly chart: string;
  readonly options: BarRowsOptions;
  /** Width of all bars of a row in pixels. */
  readonly pixels: number;
  /** Pixels a bar has at least before the bars are broken into rows. */
  readonly barPixels: number;
}

const MOST_ROWS = 50;
/** Pixels between a row of bars and the next. */
const ROW_GAP = 14;

/** The bars of each row. Rows differ by one bar at most, so that all have one scale to the eye. */
export function barRows(score: Score, { chart, options, pixels, barPixels }: RowsInput): readonly BarSpan[] {
  const { fromBarIndex = 0, toBarIndex = score.bars.length - 1 } = options;
  if (score.bars.length > 0) checkedSpan(score, { chart, fromBarIndex, toBarIndex });
  const bars = toBarIndex + 1 - fromBarIndex;
  const usual = Math.min(MOST_ROWS, Math.max(1, Math.ceil(bars * barPixels / Math.max(1, pixels))));
  const count = Math.max(1, Math.min(checkedRows(chart, options.rows) ?? usual, bars));
  const start = (row: number) => fromBarIndex + Math.round(row * bars / count);
  return range(count).map((row) => ({ fromBarIndex: start(row), toBarIndex: start(row + 1) - 1 }));
}

function checkedRows(chart: string, rows: number | undefined): number | undefined {
  if (rows === undefined || (Number.isInteger(rows) && rows >= 1 && rows <= MOST_ROWS)) return rows;
  throw cannotDraw(chart, `rows is ${String(rows)}`, `Give a whole number from 1 to ${MOST_ROWS}`);
}

/** Blocks of all rows, with a gap between them at which a page may end. */
export function rowsBlocks(
  spans: readonly BarSpan[],
  blocksOf: (span: BarSpan, row: number) => readonly FrameBlock[],
): readonly FrameBlock[] {
  return spans.flatMap((span, row) => [
    ...(row === 0 ? [] : [{ element: h("g", { "data-break": "" }), height: ROW_GAP }]),
    ...blocksOf(span, row),
  ]);
}
