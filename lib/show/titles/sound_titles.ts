/** What charts of balance and loudness have found, in a line. */
import type { Balance, MaskingRow, MomentSound } from "../../measures/balance/balance_results.ts";
import type { Role } from "../../texture/roles.ts";
import type { BarAxis } from "../drawing/bar_axis.ts";
import { capitalised } from "../../base/words.ts";
import { counted, percent } from "../drawing/words.ts";
import { placesByValue } from "./where_most.ts";

/** Whether the lead is heard: what it keeps, in how many bars it is covered, and where it fares worst. */
export function balanceTitle({ perBar, whole }: Balance, covered: number, axis: BarAxis): string {
  if (whole.audibleShare === null) return "Nothing leads";
  const led = perBar.filter((b) => b.audibleShare !== null).length;
  const worst = placesByValue(perBar, axis, (b) => b.audibleShare).at(-1)!;
  const where = led < 2 ? "" : `, least in ${worst.name}, ${percent(worst.value)}`;
  const kept = `it keeps ${percent(whole.audibleShare)} of its loudness${where}`;
  if (covered === 0) return capitalised(`the lead is never covered: ${kept}`);
  if (covered === led) return capitalised(`the lead is covered throughout: ${kept}`);
  return `The lead is covered in ${covered} of ${counted(led, "bar")}; ${kept}`;
}

/** Who makes most of the loudness, and where all is loudest. */
export function loudnessTitle(
  means: readonly { readonly role: Role; readonly share: number }[],
  { perBar }: Balance,
  axis: BarAxis,
): string {
  const [most] = means.toSorted((a, b) => b.share - a.share);
  const [loudest] = placesByValue(perBar, axis, (b) => b.loudnessSones);
  if (most === undefined || loudest === undefined) return "Nothing sounds";
  const where = perBar.length < 2 ? "" : `; all is loudest in ${loudest.name}`;
  const makes = most.share > 0.5 ? "makes most of the loudness" : "has the largest share of the loudness";
  return `The ${most.role} ${makes}, ${percent(most.share)}${where}`;
}

/** Who takes most from whom. */
export function maskingTitle([worst]: readonly MaskingRow[]): string {
  if (worst === undefined) return "No two layers sound together";
  const { maskerRole, maskerParts, maskedRole, maskedParts, lostShare } = worst;
  return `The ${maskerRole} (${maskerParts}) takes ${
    percent(lostShare)
  } of the ${maskedRole} (${maskedParts})`;
}

/** Who keeps most and least of its loudness in one moment. */
export function momentTitle({ bar, beat, layers }: MomentSound): string {
  const place = `Bar ${bar}, beat ${Number(beat.toFixed(2))}`;
  const ranked = layers.toSorted((a, b) => b.audibleShare - a.audibleShare);
  const [most, least] = [ranked[0], ranked.at(-1)];
  if (most === undefined || least === undefined) return `${place}: nothing sounds`;
  if (most === least) return `${place}: the ${most.role} is alone`;
  return `${place}: the ${most.role} keeps ${percent(most.audibleShare)} of its loudness, the ${least.role} ${
    percent(least.audibleShare)
  }`;
}
