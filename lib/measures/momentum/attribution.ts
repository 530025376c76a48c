/** Who carries the motion: momentum shared out between layers, roles, instrument families or parts. */
import { givenBalance } from "../balance/given_balance.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { A_TEXTURE, checkOptions, oneOf } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import { partsToldApart } from "../../score/told_apart.ts";
import { applySettings } from "../../base/settings.ts";
import type { Texture } from "../../texture/model.ts";
import { type Role, ROLE_NAMES } from "../../texture/roles.ts";
import { barMomentum } from "./bar_momentum.ts";
import { barShares } from "./bar_shares.ts";
import { barWindows } from "./bar_windows.ts";
import { audibilitiesOf, type DrivingAttack, drivingBars } from "./driving_events.ts";
import { forcesOf } from "./forces_of.ts";
import { MOMENTUM_CONSTANTS, type MomentumOptions } from "./momentum.ts";
import type { Attribution, AttributionBar, AttributionRow, SharedBy } from "./momentum_results.ts";
import { MOST_MEMBERS } from "./shapley.ts";

/** Options of {@linkcode attribution}. */
export interface AttributionOptions extends Pick<MomentumOptions, "texture" | "balance" | "constants"> {
  /** Between whom momentum is shared out. @default {"layer"} */
  readonly by?: SharedBy;
}

const OPTIONS = {
  by: oneOf(["layer", "role", "family", "part"]),
  texture: A_TEXTURE,
  balance: undefined,
  constants: undefined,
};

/**
 * Shares momentum out: what each layer, role, instrument family or part adds on average (its Shapley value), what it
 * would give alone, and what would be lost without it. Contributions sum to the whole's momentum.
 *
 * Audibility stays as it is in the full texture, so that the figures say who moves the music as it is written; leaving
 * a layer out of the score altogether would also uncover others. Within a bar up to 12 members are shared out exactly,
 * more by sampled orders, with the standard error stated. Roles and families are members in their own right here, so
 * a role's share may differ a little from the sum of its layers' shares (which is `perRole` of {@linkcode momentum}).
 *
 * @param score the score
 * @param options between whom, texture, balance, constants
 * @returns one row per member, the largest first, and one per bar and member
 * @throws {InputError} when `by` is none of the four, a constant is unknown, or more than 52 members attack in one bar
 *
 * @example The strings' share of the demo
 * ```ts
 * import { attribution, demoScore } from "ripieno";
 * import { assertAlmostEquals } from "@std/assert";
 * const { whole, rows } = attribution(demoScore(), { by: "family" });
 * assertAlmostEquals(rows.reduce((sum, r) => sum + r.contribution, 0), whole.momentum, 1e-9);
 * ```
 */
export function attribution(score: Score, options: AttributionOptions = {}): Attribution {
  const action = "share out momentum";
  checkOptions(action, options, OPTIONS);
  const { by = "layer" } = options;
  const settings = applySettings("momentum", MOMENTUM_CONSTANTS, options.constants);
  const texture = givenTexture(action, score, options.texture);
  const heard = givenBalance(action, score, { texture, balance: options.balance });
  const { halfAudibleSones, halfForceDynamic } = settings;
  const audibilities = audibilitiesOf(score, texture, { heard, halfAudibleSones });
  const forces = forcesOf(score, halfForceDynamic);
  const heardForces = audibilities.map((audibility, cell) => audibility * forces[cell]!);
  const bars = drivingBars(score, { texture, audibilities, constants: settings });
  const windows = barWindows(score, bars, settings);
  const nameOf = namesBy(by, score, texture);
  const perBar: AttributionBar[] = [];
  const sums = new Map<string, Sum>();
  const totalSeconds = windows.reduce((sum, w) => sum + w.seconds, 0);
  let whole = 0;
  windows.forEach((window, b) => {
    const own = window.events.slice(window.from, window.to);
    const names = [...new Set(own.flatMap((e) => e.strokes.map(nameOf)))];
    if (names.length > MOST_MEMBERS) throw tooMany(names.length, score.bars[b]!.number, by);
    const index = new Map(names.map((name, i) => [name, i]));
    const rhythm = barMomentum(window, settings, {
      count: names.length,
      of: (stroke) => index.get(nameOf(stroke)) ?? -1,
    });
    const { whole: { momentum: all }, shares } = barShares(rhythm(heardForces), names.length);
    const weight = totalSeconds > 0 ? window.seconds / totalSeconds : 0;
    whole += all * weight;
    names.forEach((name, i) => {
      const row: AttributionBar = { barIndex: b, bar: score.bars[b]!.number, name, ...shares[i]! };
      perBar.push(row);
      const sum = sums.get(name) ?? { contribution: 0, errorSquared: 0, alone: 0, takenAway: 0 };
      sum.contribution += row.contribution * weight;
      sum.errorSquared += (row.contributionError * weight) ** 2;
      sum.alone += row.alone * weight;
      sum.takenAway += row.takenAway * weight;
      sums.set(name, sum);
    });
  });
  const roles = rolesBy(by, texture);
  const rows = [...sums].map(([name, { errorSquared, ...sum }]): AttributionRow => ({
    name,
    ...roles.has(name) ? { role: roles.get(name)! } : {},
    ...sum,
    contributionError: Math.sqrt(errorSquared),
    share: whole > 0 ? sum.contribution / whole : 0,
  })).sort((a, b) => b.contribution - a.contribution || (a.name < b.name ? -1 : 1));
  return { by, whole: { momentum: whole }, rows, perBar, settings };
}

/** Means of one member over the score, while they are summed. */
interface Sum {
  contribution: number;
  errorSquared: number;
  alone: number;
  takenAway: number;
}

/** Roles of the members, where they have one. */
function rolesBy(by: SharedBy, texture: Texture): ReadonlyMap<string, Role> {
  if (by === "role") return new Map(ROLE_NAMES.map((role) => [role, role]));
  return new Map(by === "layer" ? texture.cells.map((c) => [c.layer, c.role]) : []);
}

/** Which member a stroke belongs to. */
function namesBy(by: SharedBy, score: Score, texture: Texture): (stroke: DrivingAttack) => string {
  if (by === "layer") return (stroke) => stroke.layer;
  if (by === "role") {
    const roles = new Map(texture.cells.map((c) => [c.layer, c.role]));
    return (stroke) => roles.get(stroke.layer) ?? "rest";
  }
  const names = partsToldApart(score.parts).map(({ instrument, name }) =>
    by === "family" ? instrumentById(instrument).family : name
  );
  return (stroke) => names[stroke.part]!;
}

function tooMany(count: number, bar: string, by: SharedBy): InputError {
  return new InputError({
    action: "share out momentum",
    problem: `${count} ${by}s attack in one bar, and at most ${MOST_MEMBERS} can share`,
    where: { bar },
    remedy: "Share it out by role or family",
  });
}
