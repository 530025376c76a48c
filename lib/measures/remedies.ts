/** Ways out where the lead sinks, each with what it would give. */
import { refuseUnknown } from "../settings.ts";
import type { Score } from "../score/model.ts";
import { textureOf } from "../texture/recognise.ts";
import { balance } from "./balance.ts";
import { BALANCE_OPTION_NAMES, type BalanceOptions } from "./balance_options.ts";
import { applyRemedy } from "./apply_remedy.ts";
import { type PassageWindow, passageWindow } from "./passage_window.ts";
import { checkedBars } from "./listening.ts";
import { remedyCandidates } from "./remedy_candidates.ts";
import { cautionOf } from "./remedy_caution.ts";
import type { Remedy } from "./results.ts";

/** Options of {@linkcode remedies}. */
export type RemediesOptions = BalanceOptions;

/** A passage: a warning will do, or bars by their indexes. */
export interface SunkPassage {
  /** First bar, index from 0. */
  readonly fromBar: number;
  /** Last bar, inclusive. */
  readonly toBar: number;
}

/** What the lead has over some bars. */
interface LeadOver {
  readonly audibleShare: number;
  readonly handbookDb: number;
  readonly powerDb: number;
}

/** Ways out that give less than this are left out. Model assumption: less is not heard. */
const LEAST_GAIN = 0.02;

/**
 * Ways out of a passage in which the lead sinks, each worked out by making the change in the notes and measuring the
 * passage anew: the lead an octave up or down, one or two dynamics louder, doubled by a part that rests; the layers
 * that cover it most two dynamics softer, an octave away, or with half of their parts resting.
 *
 * Whether players can do it is judged by the rules of playability on the passage alone; a register that does not
 * give the dynamic is said as well.
 *
 * @param score the score
 * @param passage a warning of `balance`, or first and last bar as indexes from 0
 * @param options texture and constants, as for `balance`
 * @returns what can be played first, and of that what helps most first; empty where nothing leads or nothing helps
 * @throws {InputError} when the bars are not in the score, or an option or constant is unknown
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise, remedies, vary } from "ripieno";
 * import { assert } from "@std/assert";
 * const flute = vary(demoPlans().held, { set: { parts: ["Flute 1"], octave: 0 } }, { role: "lead" });
 * const [best] = remedies(realise(demoSketch(), flute), { fromBar: 0, toBar: 3 });
 * assert(best!.playable && best!.gainedShare > 0.1, best!.what);
 * ```
 */
export function remedies(
  score: Score,
  passage: SunkPassage,
  options: RemediesOptions = {},
): readonly Remedy[] {
  const action = "look for ways out";
  refuseUnknown(action, options, [...BALANCE_OPTION_NAMES]);
  const bars = checkedBars(action, score, { fromBar: passage.fromBar, toBar: passage.toBar });
  const texture = options.texture ?? textureOf(score);
  const window = passageWindow(score, texture, bars);
  const before = leadOver(window, options);
  if (before === null) return [];
  const rows = remedyCandidates(window, options).flatMap(({ what, change }): Remedy[] => {
    const changed = applyRemedy(window.score, change, window);
    const after = leadOver({ ...window, ...changed }, options);
    if (after === null || after.audibleShare - before.audibleShare < LEAST_GAIN) return [];
    const caution = cautionOf(window, changed.score, change);
    return [{
      what,
      change,
      ...after,
      gainedShare: after.audibleShare - before.audibleShare,
      playable: caution === "",
      caution,
    }];
  });
  return rows.sort((a, b) =>
    Number(b.playable) - Number(a.playable) || b.audibleShare - a.audibleShare ||
    a.what.localeCompare(b.what)
  );
}

/** The lead's figures over the passage, mean over its bars with a lead; null where nothing leads. */
function leadOver(window: PassageWindow, options: RemediesOptions): LeadOver | null {
  const { perBar } = balance(window.score, { ...options, texture: window.texture });
  const led = perBar.slice(window.fromBar, window.toBar + 1).filter((b) => b.audibleShare !== null);
  if (led.length === 0) return null;
  const mean = (of: (b: (typeof led)[number]) => number | null) =>
    led.reduce((sum, b) => sum + (of(b) ?? 0), 0) / led.length;
  return {
    audibleShare: mean((b) => b.audibleShare),
    handbookDb: mean((b) => b.handbookDb),
    powerDb: mean((b) => b.powerDb),
  };
}
