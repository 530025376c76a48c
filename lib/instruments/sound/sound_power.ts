/** How much sound an instrument radiates. From `data/sound_power.csv`. */
import { A_DYNAMIC, A_NUMBER, checkArgument, checkOptions } from "../../base/arguments.ts";
import powerText from "../../../data/sound_power.csv" with { type: "text" };
import type { Decibels, SoundingPitch } from "../../base/units.ts";
import type { Instrument } from "../catalogue.ts";
import { registersOf } from "../registers.ts";
import { aNumber, anyText, oneOf, under } from "../data_table.ts";
import { type FigureSource, figureTable } from "../figure_table.ts";

const figuresOf = figureTable("data/sound_power.csv", powerText, {
  quantity: oneOf(["playing", "single note, extreme"]),
  dynamic: oneOf(["pp", "f", "ff"]),
  powerDb: under("power_db_re_1_pw", aNumber),
  note: anyText,
}).needed("sound power", (rows, { id }): SoundPowerFigures | undefined => {
  const level = (quantity: string, dynamic: string) =>
    rows.find((row) => row.quantity === quantity && row.dynamic === dynamic);
  const [pianissimo, forte, fortissimo] = ["pp", "f", "ff"].map((dynamic) => level("playing", dynamic));
  return pianissimo && forte && fortissimo && {
    figureOf: forte.figureOf,
    pianissimoDb: pianissimo.powerDb,
    forteDb: forte.powerDb,
    fortissimoDb: fortissimo.powerDb,
    softestNoteDb: level("single note, extreme", "pp")?.powerDb ?? null,
    loudestNoteDb: level("single note, extreme", "ff")?.powerDb ?? null,
    source: forte.source,
    confidence: forte.figureOf === id ? forte.confidence : "derived",
  };
});

const PP = 2;
const F = 6;
const FF = 7;

/** The figures a level is worked out from. */
export interface SoundPowerFigures extends FigureSource {
  /** Level at pp in dB re 1 pW, one player. */
  readonly pianissimoDb: Decibels;
  /** Level at f. */
  readonly forteDb: Decibels;
  /** Level at ff. */
  readonly fortissimoDb: Decibels;
  /** Softest single note attainable, or null where not known. */
  readonly softestNoteDb: Decibels | null;
  /** Loudest single note attainable, or null where not known. */
  readonly loudestNoteDb: Decibels | null;
}

/**
 * The figures behind {@linkcode soundPowerDb}, with their source.
 *
 * The levels in playing of strings and the common winds are recalled from Meyer 2009, ch. 3; the rest are
 * planning figures. The old tables of peak watts (bass drum 25 W) are not used: they give the instantaneous
 * peak, not the power level.
 *
 * @param instrument the instrument
 * @returns levels at pp, f and ff for one player, and the extremes of single notes
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { soundPowerFigures } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(soundPowerFigures(instrumentById("clarinet in A")).figureOf, "clarinet in Bb");
 * ```
 */
export function soundPowerFigures(instrument: Instrument): SoundPowerFigures {
  return figuresOf(instrument);
}

const OPTIONS = { soundingPitch: A_NUMBER, players: A_NUMBER };

/**
 * Sound power level of a line, in dB re 1 pW.
 *
 * Between the figures at pp, f and ff it goes in straight lines over the dynamic scale (model assumption);
 * ppp and fff continue them as far as the extremes of single notes allow. Registers add their offset, going
 * smoothly from the middle of one to the middle of the next (model assumption). Players add as independent
 * sources, 10 log10 n. Note that these levels put the horn beside the trumpet, the handbooks 3 dB below it:
 * two models, kept apart.
 *
 * @param instrument the instrument
 * @param dynamic loudness, 1 ppp to 8 fff
 * @param options sounding pitch, for the register; players, otherwise 1
 * @returns the level in dB re 1 pW
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { soundPowerDb } from "ripieno/instruments";
 * import { assertAlmostEquals, assertEquals } from "@std/assert";
 * const violin = instrumentById("violin");
 * assertEquals(soundPowerDb(violin, 6), 89);
 * assertAlmostEquals(soundPowerDb(violin, 6, { players: 10 }), 99);
 * ```
 */
export function soundPowerDb(
  instrument: Instrument,
  dynamic: number,
  options: { readonly soundingPitch?: SoundingPitch; readonly players?: number } = {},
): Decibels {
  checkArgument("look up the sound power", dynamic, A_DYNAMIC);
  checkOptions("look up the sound power", options, OPTIONS);
  const figures = soundPowerFigures(instrument);
  let level = dynamic <= F
    ? figures.pianissimoDb + (figures.forteDb - figures.pianissimoDb) * (dynamic - PP) / (F - PP)
    : figures.forteDb + (figures.fortissimoDb - figures.forteDb) * (dynamic - F) / (FF - F);
  if (options.soundingPitch !== undefined) level += registerOffsetDb(instrument, options.soundingPitch);
  if (figures.softestNoteDb !== null) level = Math.max(level, figures.softestNoteDb);
  if (figures.loudestNoteDb !== null) level = Math.min(level, figures.loudestNoteDb);
  return level + 10 * Math.log10(options.players ?? 1);
}

function registerOffsetDb(instrument: Instrument, soundingPitch: SoundingPitch): Decibels {
  const registers = registersOf(instrument);
  let below = registers[0];
  if (below === undefined) return 0;
  for (const register of registers) {
    const middle = (register.low + register.high) / 2;
    if (middle >= soundingPitch) {
      const from = (below.low + below.high) / 2;
      if (middle === from) return register.powerOffsetDb;
      const share = Math.max(0, (soundingPitch - from) / (middle - from));
      return below.powerOffsetDb + share * (register.powerOffsetDb - below.powerOffsetDb);
    }
    below = register;
  }
  return below.powerOffsetDb;
}
