/** Nothing that nobody can play comes into a score by rewriting it. */
import { InputError } from "../../base/errors.ts";
import { playability } from "../../measures/playability/playability.ts";
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";
import type { Score } from "../../score/model.ts";
import type { PlacedWish } from "./place_wishes.ts";

/** What nobody can play in the parts that were changed, by place. */
function impossibleIn(score: Score, parts: ReadonlySet<number>): readonly PlayabilityFinding[] {
  const own = { ...score, notes: score.notes.filter((n) => parts.has(n.part)) };
  return playability(own).findings.filter((f) => f.severity === "impossible");
}

/**
 * Refuses a rewritten score in which a part has what nobody can play and did not have it before.
 *
 * @throws {InputError} with the rule, the place and a remedy
 */
export function refuseWorse(before: Score, after: Score, placed: readonly PlacedWish[]): void {
  const parts = new Set(placed.flatMap((p) => p.parts));
  const now = impossibleIn(after, parts);
  if (now.length === 0) return;
  const keyOf = (f: PlayabilityFinding) => `${f.rule} ${f.part} ${f.fromBarIndex}`;
  const known = new Set(impossibleIn(before, parts).map(keyOf));
  const worse = now.find((f) => !known.has(keyOf(f)));
  if (worse === undefined) return;
  throw new InputError({
    action: "rewrite the score",
    problem: `${worse.what} (rule: ${worse.rule})`,
    where: { part: worse.partName, bar: worse.bar, beat: Math.round(worse.beat * 100) / 100 },
    remedy: worse.remedy,
  });
}
