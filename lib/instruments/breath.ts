/** How long a breath lasts. From `data/breath.csv`. */
import { A_DYNAMIC, A_NUMBER, AN_INSTRUMENT, checkArgument, checkOptions } from "../base/arguments.ts";
import breathText from "../../data/breath.csv" with { type: "text" };
import type { Seconds, SoundingPitch } from "../base/units.ts";
import { figureNames, type Instrument } from "./catalogue.ts";
import { registerOf } from "./registers.ts";
import { aNumber, anyText, oneOf, readTable, someText, sourced } from "./data_table.ts";

const SOFT = 3;
const LOUD = 6;

const rows = readTable(breathText, {
  file: "data/breath.csv",
  columns: {
    instrument: someText,
    dynamic: oneOf(["p", "f"]),
    flow_litres_per_second: aNumber,
    usable_breath_litres: aNumber,
    ...sourced,
    note: anyText,
  },
});

const secondsAt = new WeakMap<Instrument, readonly [number, number] | null>();

const OPTIONS = { soundingPitch: A_NUMBER };

/**
 * Seconds that one breath lasts on a held note. The usable breath over the air flow, known at p and f;
 * between them on a log scale, beyond them held. Plan phrases at 60 to 70 % of it: it is a limit of the
 * single note, not of the evening.
 *
 * The flows lie inside the span of 0.1 to 1 L/s that UNSW music acoustics gives for winds (tuba and bass
 * trombone at f above it); the order between instruments is common practice. With a pitch, the register's share
 * of the air counts: low brass notes and low flute notes take more, high ones less (model assumption).
 *
 * @param instrument the instrument
 * @param dynamic loudness, 1 ppp to 8 fff
 * @param options sounding pitch, for the register
 * @returns seconds, or null for what needs no breath
 *
 * @example
 * ```ts
 * import { breathSeconds, instrumentById } from "ripieno";
 * import { assert, assertEquals } from "@std/assert";
 * assert(breathSeconds(instrumentById("oboe"), 3)! > 2 * breathSeconds(instrumentById("flute"), 3)!);
 * assertEquals(breathSeconds(instrumentById("violin"), 5), null);
 * ```
 */
export function breathSeconds(
  instrument: Instrument,
  dynamic: number,
  options: { readonly soundingPitch?: SoundingPitch } = {},
): Seconds | null {
  checkArgument("look up the breath", dynamic, A_DYNAMIC);
  checkArgument("look up an instrument", instrument, AN_INSTRUMENT);
  checkOptions("look up the breath", options, OPTIONS);
  let known = secondsAt.get(instrument);
  if (known === undefined) secondsAt.set(instrument, known = read(instrument));
  if (known === null) return null;
  const share = Math.min(1, Math.max(0, (dynamic - SOFT) / (LOUD - SOFT)));
  const seconds = known[0] ** (1 - share) * known[1] ** share;
  if (options.soundingPitch === undefined) return seconds;
  return seconds / (registerOf(instrument, options.soundingPitch).register?.airFactor ?? 1);
}

function read(instrument: Instrument): readonly [number, number] | null {
  if (!["woodwind", "brass", "voice"].includes(instrument.family)) return null;
  for (const name of figureNames(instrument)) {
    const own = rows.filter((row) => row.instrument === name);
    const soft = own.find((row) => row.dynamic === "p");
    const loud = own.find((row) => row.dynamic === "f");
    if (soft && loud) {
      return [
        soft.usable_breath_litres / soft.flow_litres_per_second,
        loud.usable_breath_litres / loud.flow_litres_per_second,
      ];
    }
  }
  return null;
}
