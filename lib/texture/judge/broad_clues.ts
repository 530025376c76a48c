/** What tells what a part does broadly: the odds of every broad kind, and of leading, in their surroundings. */
import { BROAD_KINDS } from "../broad_kinds.ts";
import type { Evidence, EvidenceRows } from "../clues/evidence.ts";
import { broadOf, type FigureShape } from "../figure_shapes.ts";
import type { LeadCourse } from "./lead_course.ts";
import { RECURRENCE_CLUES } from "../features/recurrences.ts";
import { CLUES } from "../clues/clues.ts";
import type { RowsOf } from "../clues/rows.ts";
import {
  amongCompanions,
  bestOfDoublings,
  overBars,
  SURROUNDINGS,
  surroundingsOf,
} from "../clues/surroundings.ts";

/** How likely a share is against all others, as a logarithm of the odds, from -5 to 5. */
function oddsOf(share: number): number {
  const kept = Math.max(1e-6, Math.min(0.999, share));
  return Math.max(-5, Math.min(5, Math.log(kept / (1 - kept))));
}

/** Per cell, the odds of each of the broad kinds by what the kinds of a part come down to. */
function broadOdds(
  kinds: EvidenceRows,
  names: readonly FigureShape[],
  { scene }: Evidence,
): readonly Float64Array[] {
  const odds = BROAD_KINDS.map(() => new Float64Array(kinds.length).fill(-5));
  const broad = names.map((name) => BROAD_KINDS.indexOf(broadOf(name)));
  const shares = new Float64Array(BROAD_KINDS.length);
  kinds.forEach((row, i) => {
    if (!scene.sounds[i]) return;
    shares.fill(0);
    let all = 0;
    row.forEach((x, k) => {
      const share = Math.exp(x);
      shares[broad[k]!]! += share;
      all += share;
    });
    odds.forEach((column, k) => column[i] = oddsOf(shares[k]! / all));
  });
  return odds;
}

/** Broad kinds whose surroundings are weighed; lines beside the melody are too rare. */
const WEIGHED = BROAD_KINDS.slice(0, 4);

/** Where in a row of clues those of what comes back are. */
const RECURRENCES_AT = RECURRENCE_CLUES.map((clue) => CLUES.indexOf(clue));

/** Names of what the model of the broad kinds weighs. */
export function broadClues(kinds: readonly FigureShape[]): readonly string[] {
  return [
    ...kinds.map((kind) => `like ${kind}`),
    ...WEIGHED.flatMap((kind) => SURROUNDINGS.map((s) => `${kind}: ${s}`)),
    ...SURROUNDINGS.map((s) => `lead: ${s}`),
    "leads",
    "doubles the lead",
    "goes with the lead",
    "leads in three bars",
    "doubles the lead in five bars",
    ...RECURRENCE_CLUES,
  ];
}

/** Surroundings of the odds of the broad kinds that are weighed, melody first. */
export type Around = readonly (readonly Float64Array[])[];

/** Surroundings of every broad kind that is weighed. */
export function broadAround(kinds: EvidenceRows, names: readonly FigureShape[], evidence: Evidence): Around {
  return broadOdds(kinds, names, evidence).slice(0, WEIGHED.length).map((odds) =>
    surroundingsOf(odds, evidence.scene)
  );
}

/** Rows of {@linkcode broadClues} of cells that sound. */
export function broadRowsOf(
  { scene, clues }: Evidence,
  kinds: EvidenceRows,
  around: Around,
  lead: LeadCourse,
): RowsOf {
  const leads = new Float64Array(lead.shares.length);
  lead.course.forEach((p, b) => {
    if (p >= 0) leads[b * scene.parts + p] = 1;
  });
  const doubled = bestOfDoublings(leads, scene);
  const columns = [
    ...around.flat(),
    ...surroundingsOf(lead.shares, scene),
    leads,
    doubled,
    amongCompanions(leads, scene, 0.5),
    overBars(leads, scene, [1, 1]),
    overBars(doubled, scene, [1, 1, 1]),
  ];
  const firstColumn = kinds[0]?.length ?? 0;
  const width = firstColumn + columns.length + RECURRENCES_AT.length;
  const write = (row: Float64Array, i: number) => {
    row.set(kinds[i]!);
    let at = firstColumn;
    for (const column of columns) row[at++] = column[i]!;
    for (const clue of RECURRENCES_AT) row[at++] = clues[i]![clue]!;
  };
  return { width, write };
}
