/** Plucked notes that may be bowed: a pizz. without its arco. */
import type { Note } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Judge } from "./judge.ts";

/**
 * Bars a pizz. has stood before notes too fast for it make an arco the likelier thing to be missing. Model assumption;
 * of 345 pizz. in 29 open scores 62 are never answered by arco.
 */
const STANDING_BARS = 4;

/**
 * Whether a pizz. is likelier to have lost its arco than to hold at a place: it has stood for bars, or notes under it
 * are slurred or take bow marks. Gives words that say since when it stands, or null.
 */
export function standingPizzicato(
  line: readonly Note[],
  place: Note,
  judge: Pick<Judge, "score">,
): string | null {
  const at = line.indexOf(place);
  const first = line.findLastIndex((n, i) => i < at && n.technique !== "pizzicato") + 1;
  const end = line.findIndex((n, i) => i > at && n.technique !== "pizzicato");
  const since = barIndexOf(judge.score, line[first]!.onsetTicks);
  const bars = barIndexOf(judge.score, place.onsetTicks) - since;
  const bowed = line.slice(first, end < 0 ? line.length : end)
    .some((n) => n.slurred || n.signs?.some((sign) => sign === "up-bow" || sign === "down-bow"));
  if (bars < STANDING_BARS && !bowed) return null;
  return `pizz. stands since bar ${judge.score.bars[since]!.number}${
    bowed ? " and over slurs or bow marks" : ""
  }`;
}
