/** Findings of a single line, for the tests of playability. */
import { type Note, playability, type PlayabilityFinding, type Score } from "ripieno";
import type { PlayabilityOptions } from "ripieno/measures";
import { type LineNote, smallScore } from "./small_scores.ts";

export interface FindingsOptions {
  readonly players?: number;
  readonly bars?: number;
  /** Only findings of this rule. */
  readonly rule?: string;
  /** Something to change in the score before it is measured. */
  readonly changed?: (score: Score) => Score;
  readonly constants?: PlayabilityOptions["constants"];
}

/** Findings of one line at 60 quarters a minute, so that quarters are seconds. */
export function findingsOf(
  instrument: string,
  notes: readonly LineNote[],
  options: FindingsOptions = {},
): readonly PlayabilityFinding[] {
  const { players = 1, bars = 30, rule, changed = (score) => score, constants = {} } = options;
  const score = smallScore([{ instrument, role: "lead", players, notes }], { bars, quartersPerMinute: 60 });
  const { findings } = playability(changed(score), { constants });
  return rule === undefined ? findings : findings.filter((f) => f.rule === rule);
}
/** Severity and rule of each. */
export const rulesOf = (findings: readonly PlayabilityFinding[]) =>
  findings.map((f) => `${f.severity} ${f.rule}`);

/** Separate or slurred notes at a rate for some seconds: one pitch repeated, or up and down a third by steps. */
export function quick(
  pitch: number,
  perSecond: number,
  seconds: number,
  more: Partial<Note> & { readonly moving?: boolean } = {},
): readonly LineNote[] {
  const { moving = false, ...rest } = more;
  return Array.from({ length: Math.round(perSecond * seconds) }, (_, i) => ({
    at: i / perSecond,
    quarters: 1 / perSecond,
    pitch: moving ? pitch + [0, 2, 4, 2][i % 4]! : pitch,
    ...rest,
    slurred: rest.slurred === true && i > 0,
  }));
}

/** Notes one after another, each as long as given. */
export function inTurn(
  pitches: readonly number[],
  quarters: number,
  more: Partial<Note> = {},
): readonly LineNote[] {
  return pitches.map((pitch, i) => ({ at: i * quarters, quarters, pitch, ...more }));
}

/** Notes at once. */
export function chord(pitches: readonly number[], more: Partial<LineNote> = {}): readonly LineNote[] {
  return pitches.map((pitch) => ({ at: 0, quarters: 1, pitch, ...more }));
}
