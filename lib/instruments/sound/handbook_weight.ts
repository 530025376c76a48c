/** What the handbooks say an instrument weighs in the balance. From `data/handbook_weights.csv`. */
import { A_DYNAMIC, A_NUMBER, checkArgument, checkOptions } from "../../base/arguments.ts";
import weightsText from "../../../data/handbook_weights.csv" with { type: "text" };
import type { Instrument } from "../catalogue.ts";
import { aNumber, anyText, numberOrNothing, oneOf } from "../data_table.ts";
import { figureTable } from "../figure_table.ts";

const SOFT = 3;
const LOUD = 6;

const weightOf = figureTable("data/handbook_weights.csv", weightsText, {
  dynamic: oneOf(["p", "f"]),
  weightTrumpets: aNumber,
  departmentPlayers: numberOrNothing,
  note: anyText,
}).needed("handbook weight", (rows) => {
  const [soft, loud] = (["p", "f"] as const).map((mark) => rows.find((row) => row.dynamic === mark));
  return soft && loud && { soft, loud };
});

const OPTIONS = { players: A_NUMBER };

/**
 * Weight of a line in the balance by Rimsky-Korsakov's rules, in trumpets.
 *
 * At forte 1 trumpet = 1 trombone = 1 tuba = 2 horns, 1 horn = 2 woodwinds, and one whole string department
 * = 2 woodwinds; at piano every wind and every string department weighs the same (Rimsky-Korsakov,
 * Principles of Orchestration, tr. Agate 1922, vol. I ch. I p. 33). Between p and f weights go on a log scale
 * (model assumption); beyond them they are held. A string department counts whole from the size it has in a
 * small orchestra upwards (6 violins, 4 violas, 3 cellos, 2 basses), fewer players in proportion (model
 * assumption). For percussion, keyboards and plucked instruments he gives only an order; the figures are
 * planning figures, common practice. Weights compare lines at one dynamic, not dynamics with each other.
 *
 * @param instrument the instrument
 * @param dynamic loudness, 1 ppp to 8 fff
 * @param options players on the line; otherwise the catalogue's usual number
 * @returns the weight; 1 is one trumpet at that dynamic
 *
 * @example
 * ```ts
 * import { instrumentById } from "ripieno";
 * import { handbookWeight } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * assertEquals(handbookWeight(instrumentById("horn in F"), 6, { players: 2 }), 1);
 * assertEquals(handbookWeight(instrumentById("flute"), 6), 0.25);
 * assertEquals(handbookWeight(instrumentById("flute"), 3), 1);
 * ```
 */
export function handbookWeight(
  instrument: Instrument,
  dynamic: number,
  options: { readonly players?: number } = {},
): number {
  checkArgument("weigh the instrument", dynamic, A_DYNAMIC);
  checkOptions("weigh the instrument", options, OPTIONS);
  const { soft, loud } = weightOf(instrument);
  const share = Math.min(1, Math.max(0, (dynamic - SOFT) / (LOUD - SOFT)));
  const one = soft.weightTrumpets ** (1 - share) * loud.weightTrumpets ** share;
  const players = options.players ?? instrument.sectionPlayers;
  return one * (loud.departmentPlayers === null ? players : Math.min(1, players / loud.departmentPlayers));
}
