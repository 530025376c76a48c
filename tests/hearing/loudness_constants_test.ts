import { assert, assertAlmostEquals } from "@std/assert";
import { erbGrid } from "../../lib/hearing/erb_grid.ts";
import {
  compressed,
  filterConstants,
  LOUDNESS_FIGURES,
  offsetFor,
} from "../../lib/hearing/loudness_constants.ts";

Deno.test("offsetFor() reproduces ISO 532-2, Table 4, from Table 3 and the condition of equal loudness at threshold", () => {
  // Exponent (Table 3) and A (Table 4) at gains of 0, -5, -10, -15, -20 and -25 dB.
  const rows = [
    [0.2, 4.131],
    [0.21055, 4.59],
    [0.22228, 5.145],
    [0.23679, 5.902],
    [0.25016, 6.675],
    [0.26692, 7.784],
  ] as const;
  for (const [exponent, a] of rows) {
    assertAlmostEquals(offsetFor(exponent, LOUDNESS_FIGURES.iso532_2), a, 0.002 * a, `exponent ${exponent}`);
  }
});

Deno.test("a sound at its threshold is equally loud in every filter", () => {
  for (const model of ["ansi2007", "iso532_2"] as const) {
    const { atThreshold } = filterConstants(erbGrid(), model);
    for (const value of atThreshold) assertAlmostEquals(value, atThreshold[371]!, 1e-9);
  }
});

Deno.test("growth never steps back, and above 100 dB stays within 3 % of the printed (E / 1.0707)^0.2", () => {
  const grid = erbGrid();
  for (const model of ["ansi2007", "iso532_2"] as const) {
    const constants = filterConstants(grid, model);
    for (let c = 0; c < grid.centresHz.length; c += 5) {
      let last = 0;
      for (let db = -30; db <= 140; db += 0.5) {
        const value = compressed(constants, c, 10 ** (db / 10));
        assert(value > last, `${model}, ${grid.centresHz[c]} Hz, ${db} dB`);
        last = value;
        if (db > 100) {
          const printed = (10 ** (db / 10) / 1.0707) ** 0.2;
          const room = grid.centresHz[c]! >= 500 ? 0.0005 : 0.03;
          assertAlmostEquals(value, printed, room * printed, `${model}, ${grid.centresHz[c]} Hz, ${db} dB`);
        }
      }
    }
  }
});
