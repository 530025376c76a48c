/** How many of one instrument balance another. */
import { A_NUMBER, AN_INSTRUMENT, checkArgument, checkOptions, oneOf } from "../../base/arguments.ts";
import type { SoundingPitch } from "../../base/units.ts";
import type { Instrument } from "../catalogue.ts";
import { handbookWeight } from "./handbook_weight.ts";
import { soundPowerDb } from "./sound_power.ts";

/** Options of {@linkcode playersToMatch}. */
export interface PlayersToMatchOptions {
  /** Loudness both are marked, 1 ppp to 8 fff; by default 6, forte. */
  readonly dynamic?: number;
  /** Players of the instrument to be matched; by default 1. */
  readonly players?: number;
  /** `handbook` (Rimsky-Korsakov's ratios, the default) or `power` (sound power, players adding). */
  readonly model?: "handbook" | "power";
  /** Sounding pitch both play, for the power model's registers. */
  readonly soundingPitch?: SoundingPitch;
}

const OPTIONS = {
  dynamic: A_NUMBER,
  players: A_NUMBER,
  model: oneOf(["handbook", "power"]),
  soundingPitch: A_NUMBER,
};

/**
 * How many players of one instrument balance another at the same marking. The two models disagree, most on the
 * horn; compare them rather than trust either.
 *
 * For a bowed section the handbook counts departments: 1 means one whole string department, however many
 * players sit in it.
 *
 * @param instrument the instrument to be counted
 * @param target the instrument to be matched
 * @param options dynamic, players of the target, model
 * @returns the number, a fraction where it does not come out even
 *
 * @example How many flutes match one trumpet at forte?
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { playersToMatch } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const flute = instrumentById("flute"), trumpet = instrumentById("trumpet in C");
 * assertEquals(playersToMatch(flute, trumpet), 4);
 * assertEquals(playersToMatch(flute, trumpet, { model: "power" }), 10);
 * assertEquals(playersToMatch(flute, trumpet, { dynamic: 3 }), 1);
 * ```
 */
export function playersToMatch(
  instrument: Instrument,
  target: Instrument,
  options: PlayersToMatchOptions = {},
): number {
  checkArgument("match the players", instrument, AN_INSTRUMENT);
  checkArgument("match the players", target, AN_INSTRUMENT, "the one to be matched");
  checkOptions("match the players", options, OPTIONS);
  const { dynamic = 6, players = 1, model = "handbook", soundingPitch } = options;
  if (model === "handbook") {
    const one = instrument.family === "strings" ? {} : { players: 1 };
    const whole = target.family === "strings" ? {} : { players };
    return handbookWeight(target, dynamic, whole) / handbookWeight(instrument, dynamic, one);
  }
  const at = soundingPitch === undefined ? {} : { soundingPitch };
  const differenceDb = soundPowerDb(target, dynamic, { ...at, players }) -
    soundPowerDb(instrument, dynamic, at);
  return 10 ** (differenceDb / 10);
}
