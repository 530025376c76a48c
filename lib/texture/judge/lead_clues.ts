/** What tells who leads: a part's clues here and in the bars around, how like a tune it is, how it stands among its doublings. */
import type { Around } from "./broad_clues.ts";
import type { Evidence, EvidenceRows } from "../clues/evidence.ts";
import type { FigureShape } from "../figure_shapes.ts";
import { GROUP_CLUES } from "../clues/group_clues.ts";
import { BAR_CLUES } from "../clues/bar_clues.ts";
import { CLUES } from "../clues/clues.ts";
import type { RowsOf } from "../clues/rows.ts";
import { type Scene, SURROUNDINGS } from "../clues/surroundings.ts";

/** Who a part is … */
const FAMILIES = ["woodwind", "brass", "strings", "firstStrings"];
/** … beside what it does: people follow a flute on top for other reasons than first violins. */
const BESIDE = ["top", "groupTop", "near coverage", "near slurred", "bar single", "sounding"];
const FAMILY_AT = FAMILIES.map((clue) => CLUES.indexOf(clue));
const BESIDE_AT = BESIDE.map((clue) => CLUES.indexOf(clue));
const BESIDE_GROUP = ["size of its group", "highest of its doublings"];
const BESIDE_GROUP_AT = BESIDE_GROUP.map((clue) => GROUP_CLUES.indexOf(clue));

/** Weights of the bars around by distance; the bar itself counts only where the part plays in no other. */
const TWO_BARS_AROUND = [0.01, 1, 1];
const ONE_BAR_AROUND = [1, 1];

/** Names of what the lead model weighs. */
export function leadClues(kinds: readonly FigureShape[]): readonly string[] {
  return [
    ...CLUES,
    ...kinds.map((kind) => `like ${kind}`),
    ...SURROUNDINGS.map((s) => `melody: ${s}`),
    ...GROUP_CLUES,
    ...FAMILIES.flatMap((family) =>
      [...BESIDE, "like a tune", ...BESIDE_GROUP].map((clue) => `${family} and ${clue}`)
    ),
    ...GROUP_CLUES.map((clue) => `around: ${clue}`),
    ...BAR_CLUES.map((clue) => `around: ${clue}`),
    "filled by a figure",
  ];
}

/** Writes the weighted mean of some columns over the bars around in which the part sounds. */
function writeAround(
  into: Float64Array,
  at: number,
  { rows, cell, from, scene: { parts, sounds }, weights }: {
    readonly rows: EvidenceRows;
    readonly cell: number;
    /** First column. */
    readonly from: number;
    readonly scene: Scene;
    readonly weights: readonly number[];
  },
): void {
  const own = rows[cell]!;
  const count = own.length - from;
  let total = weights[0]!;
  for (let c = 0; c < count; c++) into[at + c] = total * own[from + c]!;
  for (let d = 1; d < weights.length; d++) {
    for (const j of [cell - d * parts, cell + d * parts]) {
      if (!sounds[j]) continue;
      const weight = weights[d]!;
      const other = rows[j]!;
      total += weight;
      for (let c = 0; c < count; c++) into[at + c]! += weight * other[from + c]!;
    }
  }
  for (let c = 0; c < count; c++) into[at + c]! /= total;
}

/**
 * What the lead is weighed by, cell by cell.
 *
 * @param evidence what the notes show
 * @param kinds logarithms of the shares of the kinds, by cell
 * @param around surroundings of the odds of the broad kinds, melody first
 * @returns rows of {@linkcode leadClues} of cells that sound
 */
export function leadRowsOf(
  { clues, groups, plain, scene }: Evidence,
  kinds: EvidenceRows,
  [melody]: Around,
): RowsOf {
  const firstBarClue = CLUES.length - BAR_CLUES.length;
  const others = melody!.length + GROUP_CLUES.length +
    FAMILIES.length * (BESIDE.length + 1 + BESIDE_GROUP.length) + GROUP_CLUES.length + BAR_CLUES.length + 1;
  const width = CLUES.length + (kinds[0]?.length ?? 0) + others;
  const write = (row: Float64Array, i: number) => {
    const own = clues[i]!;
    const group = groups[i]!;
    row.set(own);
    row.set(kinds[i]!, own.length);
    let at = own.length + kinds[i]!.length;
    for (const column of melody!) row[at++] = column[i]!;
    row.set(group, at);
    at += group.length;
    for (const f of FAMILY_AT) {
      const is = own[f]!;
      for (const s of BESIDE_AT) row[at++] = is * own[s]!;
      row[at++] = is * melody![0]![i]!;
      for (const s of BESIDE_GROUP_AT) row[at++] = is * group[s]!;
    }
    writeAround(row, at, { rows: groups, cell: i, from: 0, scene, weights: ONE_BAR_AROUND });
    at += group.length;
    writeAround(row, at, { rows: clues, cell: i, from: firstBarClue, scene, weights: TWO_BARS_AROUND });
    row[width - 1] = plain[i] ? 1 : 0;
  };
  return { width, write };
}
