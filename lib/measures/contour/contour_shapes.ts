/** Shapes that a passage may be wished to have, and curves of single points laid over bars. */
import type { Kind } from "../../base/kinds.ts";

/** Shapes with a name: heights at points spread evenly over the passage. */
export const CONTOUR_SHAPES = {
  rise: [0, 1],
  fall: [1, 0],
  arch: [0, 1, 0],
  bowl: [1, 0, 1],
} as const;

/** A shape with a name. */
export type ContourShapeName = keyof typeof CONTOUR_SHAPES;

/** A wished shape: by name, or as heights at points spread evenly, straight lines between them; only their order counts. */
export type ContourWish = ContourShapeName | readonly number[];

/** A shape with a name, or two heights and more. */
export const A_CONTOUR_WISH: Kind = {
  noun: `${Object.keys(CONTOUR_SHAPES).join(", ")} or a list of two heights and more`,
  give: 'Give "rise", or numbers such as [1, 3, 2]',
  fits: (value) =>
    typeof value === "string"
      ? Object.hasOwn(CONTOUR_SHAPES, value)
      : Array.isArray(value) && value.length > 1 && value.every((v) => Number.isFinite(v)),
};

/** The heights of a wish. */
export function pointsOf(wish: ContourWish): readonly number[] {
  return typeof wish === "string" ? CONTOUR_SHAPES[wish] : wish;
}

/** A curve through points spread evenly, at the middle of each of some bars; as many points as bars are the bars' own. */
export function curveOver(points: readonly number[], bars: number): readonly number[] {
  return Array.from({ length: bars }, (_, b) => {
    const at = bars < 2 ? 0 : b * (points.length - 1) / (bars - 1);
    const before = Math.floor(at);
    const after = Math.min(points.length - 1, before + 1);
    return points[before]! + (at - before) * (points[after]! - points[before]!);
  });
}

/** Mean over the bars around each, as many as are asked for; what has no value is left out and stays so. */
export function smoothed(
  values: readonly (number | null)[],
  overBars: number,
): readonly (number | null)[] {
  return values.map((value, b) => {
    if (value === null) return null;
    let [sum, count] = [0, 0];
    for (let i = 0; i < values.length; i++) {
      const other = values[i]!;
      if (other === null || Math.abs(i - b) > (overBars - 1) / 2) continue;
      sum += other;
      count++;
    }
    return sum / count;
  });
}
