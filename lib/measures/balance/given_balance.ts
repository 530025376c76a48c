/** The balance a measure weighs by, checked against the score it is given with. */
import { A_BALANCE, checkArgument } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";
import { balance } from "./balance.ts";
import type { Balance } from "./balance_results.ts";
import { HELD_OVER } from "./placed_notes.ts";

/** Clocks that differ by less tell the same time, in seconds. */
const SAME_TIME_SECONDS = 1e-6;

/** The balance to weigh by: the caller's own, or else that of the score. */
export function givenBalance(
  action: string,
  score: Score,
  given: { readonly texture: Texture; readonly balance?: Balance | undefined },
): Balance {
  const { texture, balance: own } = given;
  if (own === undefined) return balance(score, { texture });
  checkArgument(action, own, A_BALANCE);
  const strange = strangeness(score, texture, own);
  if (strange === undefined) return own;
  throw new InputError({
    action,
    problem: `the balance is not of this score: ${strange}`,
    remedy: "Give what balance(score, { texture }) gives for the same score and texture, or leave it out",
  });
}

/** The first thing that shows that a balance was worked out on something else. */
function strangeness(score: Score, texture: Texture, own: Balance): string | undefined {
  if (own.perBar.length !== score.bars.length) {
    return `it has ${own.perBar.length} bars and the score has ${score.bars.length}`;
  }
  const clock = clockOf(score);
  const other = own.perBar.find((row, b) =>
    Math.abs(row.onsetSeconds - clock(score.bars[b]!.startTicks)) > SAME_TIME_SECONDS
  );
  if (other !== undefined) return `bar ${other.bar} begins at another time`;
  const layers = new Set([...texture.layers.map((l) => l.id), HELD_OVER]);
  const stranger = own.perLayer.find((row) => !layers.has(row.layer));
  return stranger === undefined ? undefined : `it has a layer "${stranger.layer}", which the texture has not`;
}
