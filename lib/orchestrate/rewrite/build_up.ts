/** A texture put together bit by bit, and what each layer adds. */
import { A_NUMBER, A_SCORE, A_TEXTURE, checkArgument, checkOptions } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import type { Share } from "../../base/units.ts";
import { balance } from "../../measures/balance/balance.ts";
import { momentum } from "../../measures/momentum/momentum.ts";
import type { Score } from "../../score/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import type { Texture } from "../../texture/model.ts";
import type { Role } from "../../texture/roles.ts";
import { type BarsAsked, barsAsked } from "./bars_asked.ts";
import { excerpt, type ScoreWithTexture } from "./excerpt.ts";
import { takeCells } from "./take.ts";

/** Options of {@linkcode buildUp}. */
export interface BuildUpOptions extends BarsAsked {
  /** Who does what, where it is known or was corrected by hand; by default it is read. */
  readonly texture?: Texture;
}

/** One step of a texture that is built up, with all layers so far. */
export interface BuildUpStep extends ScoreWithTexture {
  /** Number of the step, from 1. */
  readonly step: number;
  /** What came in with it, in words. */
  readonly added: string;
  /** Roles that came in with it. */
  readonly roles: readonly Role[];
  /** Parts that sound by now. */
  readonly parts: number;
  /** Notes that sound by now. */
  readonly notes: number;
  /** Momentum of all so far, driving attacks per second. */
  readonly momentum: number;
  /** What the step added to it. */
  readonly momentumGained: number;
  /** Audible share of the lead; null where nobody leads. */
  readonly audibleShare: Share | null;
}

/** Layers in the order in which they come in: what sings, what holds, what moves, what shines. Common practice, no source. */
const STEPS: readonly (readonly Role[])[] = [
  ["lead"],
  ["bass"],
  ["pad"],
  ["pulse", "punctuation"],
  ["figuration"],
  ["run", "trill"],
  ["counterline"],
];

const ACTION = "build the texture up";

/**
 * A passage built up layer by layer: the melody, then the bass, held chords, the pulse, broken chords, runs and trills, the second
 * line; and what momentum and the lead's audibility are at each step. Steps of which the passage has nothing are left out.
 *
 * @param score the score
 * @param options bars as printed, texture
 * @returns a step for each kind of layer the passage has, with the passage as it is then; the last is the whole
 * @throws {InputError} for bars the score does not have, and where nothing sounds in them
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { buildUp } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const steps = buildUp(demoScore(), { fromBar: 17, toBar: 24 });
 * assertEquals(steps[0]?.added, "lead");
 * assertEquals(steps.every((s, i) => i === 0 || s.notes > steps[i - 1]!.notes), true);
 * ```
 */
export function buildUp(score: Score, options: BuildUpOptions = {}): readonly BuildUpStep[] {
  checkArgument(ACTION, score, A_SCORE);
  checkOptions(ACTION, options, { texture: A_TEXTURE, fromBar: A_NUMBER, toBar: A_NUMBER });
  const texture = givenTexture(ACTION, score, options.texture);
  const passage = excerpt({ score, texture }, barsAsked(score, options, { action: ACTION }));
  const present = new Set(passage.texture.cells.map((cell) => cell.role));
  const steps: BuildUpStep[] = [];
  const soFar = new Set<Role>();
  for (const roles of STEPS.map((own) => own.filter((role) => present.has(role)))) {
    if (roles.length === 0) continue;
    roles.forEach((role) => soFar.add(role));
    const taken = takeCells(passage, (cell) => soFar.has(cell.role));
    const heard = balance(taken.score, { texture: taken.texture });
    const now = momentum(taken.score, { texture: taken.texture, balance: heard }).whole.momentum;
    steps.push({
      ...taken,
      step: steps.length + 1,
      added: roles.join(", "),
      roles,
      parts: new Set(taken.score.notes.map((n) => n.part)).size,
      notes: taken.score.notes.length,
      momentum: now,
      momentumGained: now - (steps.at(-1)?.momentum ?? 0),
      audibleShare: heard.whole.audibleShare,
    });
  }
  if (steps.length > 0) return steps;
  throw new InputError({
    action: ACTION,
    problem: "nothing sounds in the bars",
    where: { file: score.source },
    remedy: "Choose other bars",
  });
}
