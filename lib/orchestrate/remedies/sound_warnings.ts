/** Everything in the sound that should be looked at, with ways out and what each would give. */
import { A_BALANCE, A_NUMBER, checkArgument, checkOptions } from "../../base/arguments.ts";
import type { Score } from "../../score/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { BALANCE_OPTIONS, type BalanceOptions } from "../../measures/balance/balance_options.ts";
import { lowIntervalWarnings } from "../../measures/chords/low_interval_warnings.ts";
import { lowIntervals } from "../../measures/chords/low_intervals.ts";
import { remedies } from "./remedies.ts";
import { remediesInWords } from "./remedy_words.ts";
import type { Balance, BalanceWarning } from "../../measures/balance/balance_results.ts";
import { roughBars } from "../../measures/chords/rough_bars.ts";
import { roughWarnings } from "../../measures/chords/rough_warnings.ts";

/** Options of {@linkcode soundWarnings}: texture, hall, microphones and detail as the balance was worked out with. */
export interface SoundWarningsOptions extends Omit<BalanceOptions, "constants"> {
  /** For how many passages with a covered lead ways out are worked out, the worst first. Default 6. */
  readonly remediesFor?: number;
  /** How many low intervals are named at most. Default 4. */
  readonly mostLowIntervals?: number;
  /** How many rough stretches are named at most. Default 3. */
  readonly mostRough?: number;
}

const { constants: _constants, ...PLACE } = BALANCE_OPTIONS;
const OPTIONS = { ...PLACE, remediesFor: A_NUMBER, mostLowIntervals: A_NUMBER, mostRough: A_NUMBER };

/**
 * All warnings about the sound: where the lead is covered, for the worst passages with ways out that were worked out
 * in the notes; the low intervals that thicken most; the roughest stretches. What is named of the last two is few on
 * purpose: `lowIntervals` and `roughBars` have all.
 *
 * @param score the score
 * @param balance its balance
 * @param options texture, and how many of each
 * @returns warnings by kind, then by bar
 * @throws {InputError} when an option is unknown
 *
 * @example
 * ```ts
 * import { balance, demoScore, soundWarnings } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * const heard = balance(score);
 * const covered = soundWarnings(score, heard).filter((w) => w.kind === "lead covered");
 * assertEquals(covered.length, heard.warnings.length);
 * ```
 */
export function soundWarnings(
  score: Score,
  balance: Balance,
  options: SoundWarningsOptions = {},
): readonly BalanceWarning[] {
  const action = "gather warnings";
  checkOptions(action, options, OPTIONS);
  checkArgument(action, balance, A_BALANCE);
  const { remediesFor = 6, mostLowIntervals = 4, mostRough = 3, ...place } = options;
  const texture = givenTexture(action, score, options.texture);
  const covered = balance.warnings.filter((w) => w.kind === "lead covered");
  const worst = new Set(covered.toSorted((a, b) => sunkBy(b) - sunkBy(a)).slice(0, remediesFor));
  return [
    ...covered.map((w): BalanceWarning => {
      if (!worst.has(w)) return w;
      const rows = remedies(score, w, { ...place, texture, constants: balance.settings });
      return { ...w, remedy: remediesInWords(rows) ?? w.remedy, remedies: rows };
    }),
    ...lowIntervalWarnings(score, lowIntervals(score), mostLowIntervals),
    ...roughWarnings(score, roughBars(score), { texture, most: mostRough }),
  ];
}

/** How far and how long the lead sinks in a passage. */
function sunkBy({ fromBarIndex, toBarIndex, figure, limit }: BalanceWarning): number {
  return (toBarIndex + 1 - fromBarIndex) * (limit - figure);
}
