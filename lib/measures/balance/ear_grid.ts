/** The ear's filters, and how closely it is worked out what they let through. */
import { memo } from "../../base/memo.ts";
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
const grids = memo<EarGrid>(16);

/** The filters of a spacing, always the same object for the same figures. */
export function earGrid(stepCam: number, detail: HearingDetail): EarGrid {
  return grids(`${stepCam} ${detail}`, () => ({ ...erbGrid({ stepCam }), detail }));
}
