/** Orchestras to write for, and sizes of string sections. From `data/orchestras.csv` and `data/string_section_sizes.csv`. */
import { once } from "../base/memo.ts";
import orchestrasText from "../../data/orchestras.csv" with { type: "text" };
import sizesText from "../../data/string_section_sizes.csv" with { type: "text" };
import { A_TEXT, checkArgument } from "../base/arguments.ts";
import { InputError } from "../base/errors.ts";
import { instrumentById } from "./catalogue.ts";
import { aNumber, anyText, readTable, someText, type Sourced, sourced, under } from "./data_table.ts";

/** One line of an orchestra. */
export interface OrchestraPart {
  /** Name as printed, for example `Horn 3`. */
  readonly name: string;
  /** Catalogue id of the instrument. */
  readonly instrument: string;
  /** Players on the line. */
  readonly players: number;
}

/** Players of the five string sections in one ensemble. */
export interface StringSectionSizes extends Sourced {
  /** Ensemble. */
  readonly ensemble: string;
  /** First violins. */
  readonly violins1: number;
  /** Second violins. */
  readonly violins2: number;
  /** Violas. */
  readonly violas: number;
  /** Cellos. */
  readonly cellos: number;
  /** Double basses. */
  readonly doubleBasses: number;
}

const rows = once(() =>
  readTable(orchestrasText, {
    file: "data/orchestras.csv",
    columns: { orchestra: someText, part: someText, instrument: someText, players: aNumber, ...sourced },
  })
);

const sizes = once(() =>
  readTable(sizesText, {
    file: "data/string_section_sizes.csv",
    columns: {
      ensemble: someText,
      violins1: under("violins_1_players", aNumber),
      violins2: under("violins_2_players", aNumber),
      violas: under("violas_players", aNumber),
      cellos: under("cellos_players", aNumber),
      doubleBasses: under("double_basses_players", aNumber),
      ...sourced,
      note: anyText,
    },
  })
);

/**
 * An orchestra, part by part in score order: `symphony`, `chamber`, `strings`, `studio` (as hired for a film: six horns, more
 * percussion) or `school` (winds two to a part, saxophones, a euphonium). Sizes are common practice, no source; those of
 * your own come by `readOrchestra`.
 *
 * @param name its name
 * @returns its parts; string sections are one line each
 * @throws {InputError} when there is no orchestra of that name
 *
 * @example
 * ```ts
 * import { orchestra } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(orchestra("strings").map((part) => part.name), [
 *   "Violins I",
 *   "Violins II",
 *   "Violas",
 *   "Cellos",
 *   "Double basses",
 * ]);
 * assertEquals(orchestra().filter((part) => part.instrument === "horn in F").length, 4);
 * ```
 */
export function orchestra(name: string = "symphony"): readonly OrchestraPart[] {
  checkArgument("take the orchestra", name, A_TEXT);
  const parts = rows().filter((row) => row.orchestra === name);
  if (parts.length === 0) {
    const names = [...new Set(rows().map((row) => row.orchestra))];
    throw new InputError({
      action: "take the orchestra",
      problem: `there is none called "${name}"`,
      remedy: `The orchestras are ${
        names.join(", ")
      }; one of your own is a table, read by readOrchestra or --orchestra mine.csv`,
    });
  }
  return parts.map((row) => ({
    name: row.part,
    instrument: instrumentById(row.instrument).id,
    players: row.players,
  }));
}

/**
 * Sizes of string sections as books and orchestras give them.
 *
 * @returns one row per ensemble, with its source
 *
 * @example
 * ```ts
 * import { sectionSizes } from "ripieno/instruments";
 * import { assertEquals } from "@std/assert";
 * const large = sectionSizes().find((row) => row.ensemble === "large symphony");
 * assertEquals([large?.violins1, large?.doubleBasses], [16, 8]);
 * ```
 */
export function sectionSizes(): readonly StringSectionSizes[] {
  return sizes();
}
