/** The ear's filters, and how closely it is worked out what they let through. */
import { type ErbGrid, erbGrid } from "../../hearing/model/erb_grid.ts";

/**
 * How closely hearing is worked out. `full`: all that sounds together sets the slopes of the filters, as the standard
 * has it. `quick`: every note has its own slopes and is worked out once, on fewer filters.
 */
export type HearingDetail = "full" | "quick";

/** Filters of the ear, and how closely it is worked out what they let through. */
export interface EarGrid extends ErbGrid {
  readonly detail: HearingDetail;
}

/** Grids are kept, since per-filter constants are kept with them. */
const grids = new Map<string, EarGrid>();

/** The filters of a spacing, always the same object for the same figures. */
export function earGrid(stepCam: number, detail: HearingDetail): EarGrid {
  const key = `${stepCam} ${detail}`;
  let grid = grids.get(key);
  if (!grid) grids.set(key, grid = { ...erbGrid({ stepCam }), detail });
  return grid;
}
