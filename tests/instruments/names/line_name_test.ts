/** lineName(): a part's name without the numbers of its players, one way for all who need it. */
import { assertEquals } from "@std/assert";
import fc from "fast-check";
import { lineName } from "../../../lib/instruments/names/line_name.ts";

/** Names as open scores and printed ones have them. */
const NAMES:
  readonly (readonly [name: string, stem: string, numbers: readonly number[], isDivided?: true])[] = [
    ["Flute", "Flute", []],
    ["Horn 1", "Horn", [1]],
    ["Horn III", "Horn", [3]],
    ["Horn 12", "Horn", [12]],
    ["Horn 2 in F", "Horn in F", [2]],
    ["Corni I. II.", "Corni", [1, 2]],
    ["Corni I e II", "Corni", [1, 2]],
    ["Flutes 1, 2", "Flutes", [1, 2]],
    ["Flute 1/2", "Flute", [1, 2]],
    ["Trombone 3-4", "Trombone", [3, 4]],
    ["1st Violin", "Violin", [1]],
    ["2. Flöte", "Flöte", [2]],
    ["I. Violine", "Violine", [1]],
    ["2 Flutes", "2 Flutes", []],
    ["C, G Timpani", "C, G Timpani", []],
    ["V. Cello", "V. Cello", []],
    ["E Horn 1 (orig. E and A)", "E Horn", [1]],
    ["B Horn 3 [NB: B natural]", "B Horn", [3]],
    ["Violin II (stave 2)", "Violin", [2]],
    ["Violini I div.", "Violini", [1], true],
    ["Violin II div. a 3", "Violin", [2], true],
    ["Violine 1 geteilt", "Violine", [1], true],
    ["IV", "IV", []],
  ];

Deno.test("lineName() tells a name, the numbers in it and whether it is divided", () => {
  for (const [name, stem, numbers, isDivided = false] of NAMES) {
    assertEquals([name, lineName(name)], [name, { stem, numbers, isDivided }]);
  }
});

Deno.test("lineName() gives back the name and the number it was put together from", () => {
  const stems = ["Horn", "Violin", "Bb Clarinet", "Flûte", "F Horn", "Bass Trombone", "Corno inglese"];
  const roman = ["I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X"];
  fc.assert(fc.property(
    fc.constantFrom(...stems),
    fc.integer({ min: 1, max: 10 }),
    fc.boolean(),
    fc.constantFrom("", ".", " div.", " (solo)"),
    (stem, number, inRoman, end) => {
      const found = lineName(`${stem} ${inRoman ? roman[number - 1] : number}${end}`);
      assertEquals([found.stem, found.numbers], [stem, [number]]);
    },
  ));
});
