/** The same tune over other chords. */
import { A_RECORD, A_SKETCH, checkArgument, type Kind } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { type Sketch, sketchOf } from "./sketch.ts";

const CHORDS: Kind = {
  noun: "a chord, or new chords by the ones they replace",
  give: 'Give "Dm" or { Dm: "F", Bb: "Gm7" }',
  fits: (value) =>
    typeof value === "string" ||
    A_RECORD.fits(value) && Object.values(value as object).every((chord) => typeof chord === "string"),
};

/**
 * A sketch whose tune stands over other chords, for trying what the harmony does. Rhythm, metre and tempo stay.
 *
 * @param sketch the sketch; not changed
 * @param chords one chord for all of it, or new chords by the ones they replace; chords not named stay
 * @returns the new sketch
 * @throws {InputError} when a chord to be replaced is not in the sketch, or a new one is not a chord
 *
 * @example
 * ```ts
 * import { demoSketch, reharmonise } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const other = reharmonise(demoSketch(), { Dm: "F", Bb: "Gm7" });
 * assertEquals(other.harmonies.slice(0, 3).map((h) => h.symbol), ["F", "F", "Gm7"]);
 * assertEquals(new Set(reharmonise(demoSketch(), "Dm").harmonies.map((h) => h.symbol)), new Set(["Dm"]));
 * ```
 */
export function reharmonise(sketch: Sketch, chords: string | Readonly<Record<string, string>>): Sketch {
  checkArgument("change the harmony", sketch, A_SKETCH);
  checkArgument("change the harmony", chords, CHORDS);
  const symbols = new Set(sketch.score.chords.map((c) => c.symbol));
  if (typeof chords !== "string") {
    const missing = Object.keys(chords).find((symbol) => !symbols.has(symbol));
    if (missing !== undefined) {
      throw new InputError({
        action: "change the harmony",
        problem: `the sketch has no chord "${missing}"`,
        where: { file: sketch.score.source },
        remedy: `Its chords are ${[...symbols].join(", ")}`,
      });
    }
  }
  const newSymbol = (symbol: string) =>
    typeof chords === "string" ? chords : Object.hasOwn(chords, symbol) ? chords[symbol]! : symbol;
  return sketchOf({
    ...sketch.score,
    chords: sketch.score.chords.map((chord) => ({ ...chord, symbol: newSymbol(chord.symbol) })),
  });
}
