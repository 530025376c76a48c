/** From a sketch and a plan to real parts. */
import type { Score } from "../../score/model.ts";
import type { Plan } from "../plan/plan.ts";
import { type RealiseOptions, realiserOf } from "./realiser.ts";
import type { Sketch } from "../plan/sketch.ts";

export type { RealiseOptions } from "./realiser.ts";

/**
 * Writes real parts: the plan's layers over the sketch's tune and harmony, each part inside its range, with
 * dynamics, articulations, slurs, breaths and rehearsal marks. Where the plan wishes the lead of a passage clear, the others
 * are marked softer step by step until it keeps a third of its loudness in `balance`; what was changed, and what was
 * reached, stands in the score's notices.
 *
 * @param sketch tune, chords, metre and tempo
 * @param plan who takes which role with which figure
 * @param options orchestra and what to do with the impossible
 * @returns a setting: a score that remembers which layer each note belongs to
 * @throws {InputError} when the plan names an unknown part, a part twice in the same bars, a bar outside the
 * sketch, or asks somebody for what cannot be played; the message names the rule and a way out
 *
 * @example
 * ```ts
 * import { assign, demoSketch, realise } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const passage = {
 *   name: "Calm",
 *   fromBar: 1,
 *   toBar: 4,
 *   assignments: [
 *     assign({ role: "lead", parts: ["Flute 1"] }),
 *     assign({ role: "pulse", figure: "repeated eighths", parts: ["Violins II", "Violas"], dynamic: "p" }),
 *   ],
 * };
 * const score = realise(demoSketch(), { name: "two layers", passages: [passage] });
 * assertEquals(score.parts.map((p) => p.name), ["Flute 1", "Violins II", "Violas"]);
 * ```
 */
export function realise(sketch: Sketch, plan: Plan, options: RealiseOptions = {}): Score {
  return realiserOf(sketch, options)(plan).score;
}
