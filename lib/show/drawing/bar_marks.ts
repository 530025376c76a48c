/** Marks along the bars: boxes as wide as their bars, and lines with a level stretch for each. */
import * as Plot from "@observablehq/plot";
import type { Role } from "../../texture/roles.ts";
import type { BarScale } from "./bar_scale.ts";
import { roleFill } from "./frame.ts";
import { joinedFills, namedMark } from "./named_mark.ts";

/** A row of one bar, or of several. */
type InBars =
  | { readonly barIndex: number }
  | { readonly fromBarIndex: number; readonly toBarIndex: number };

type Channel<Row, Value> = Value | ((row: Row, index: number) => Value);

/** How boxes are drawn: ends across the bars, looks, and what pops up. By default they fill a panel from 0 to 1. */
interface BoxOptions<Row> {
  readonly y1?: Channel<Row, number>;
  readonly y2?: Channel<Row, number>;
  readonly fill: Channel<Row, string>;
  readonly fillOpacity?: Channel<Row, number>;
  readonly stroke?: Channel<Row, string>;
  readonly strokeOpacity?: number;
  readonly strokeWidth?: number;
  readonly insetLeft?: number;
  readonly insetRight?: number;
  readonly rx?: number;
  readonly shapeRendering?: string;
  readonly title?: (row: Row) => string;
  /** Whether boxes of one fill are filled by one path, as textures need. Default false. */
  readonly joined?: boolean;
}

/** Boxes as wide as the bars of their rows, in a group of a class. */
export function barBoxes<Row extends InBars>(
  name: string,
  rows: readonly Row[],
  { y1 = 0, y2 = 1, joined = false, ...options }: BoxOptions<Row>,
): Plot.Markish {
  return Plot.rect(rows, {
    x1: (row: InBars) => "fromBarIndex" in row ? row.fromBarIndex : row.barIndex,
    x2: (row: InBars) => ("toBarIndex" in row ? row.toBarIndex : row.barIndex) + 1,
    y1: typeof y1 === "number" ? () => y1 : y1,
    y2: typeof y2 === "number" ? () => y2 : y2,
    ...options,
    ...(joined ? joinedFills(name) : namedMark(name)),
  });
}

/** What one role has of one bar, from one end to the other. */
export interface RoleBox {
  readonly barIndex: number;
  readonly role: Role;
  readonly from: number;
  readonly to: number;
}

/** What the roles have of each bar, one upon the other, with the textures of a chart. */
export function stackedBoxes(
  name: string,
  boxes: readonly RoleBox[],
  { scale, chart, title }: {
    readonly scale: BarScale;
    readonly chart: string;
    readonly title: (box: RoleBox) => string;
  },
): Plot.Markish {
  return barBoxes(name, boxes, {
    y1: (b) => b.from,
    y2: (b) => b.to,
    insetRight: scale.gap,
    shapeRendering: scale.gap > 0 ? "auto" : "crispEdges",
    fill: (b) => roleFill(chart, b.role),
    title,
    joined: true,
  });
}

/** Two points for every bar, so that a line or an area has a level stretch; it breaks where a bar has no value. */
export function stepsOf<Row extends { readonly barIndex: number }>(
  rows: readonly Row[],
  valueOf: (row: Row) => number | null,
): readonly { readonly x: number; readonly y: number }[] {
  return rows.flatMap((row) => {
    const y = valueOf(row) ?? NaN;
    return [{ x: row.barIndex, y }, { x: row.barIndex + 1, y }];
  });
}

/** A line along the points of {@linkcode stepsOf}, in a group of a class. */
export function stepLine(
  name: string,
  points: ReturnType<typeof stepsOf>,
  options: { readonly stroke: string; readonly strokeWidth: number; readonly strokeDasharray?: string },
): Plot.Markish {
  return Plot.line(points, { x: "x", y: "y", ...options, ...namedMark(name) });
}
