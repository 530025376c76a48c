import { assert, assertAlmostEquals } from "@std/assert";
import { dbOfPower } from "../../../lib/hearing/decibels.ts";
import { camOf, erbHz } from "../../../lib/hearing/model/erb.ts";
import { type ErbGrid, erbGrid } from "../../../lib/hearing/model/erb_grid.ts";
import {
  compressed,
  filterConstants,
  LOUDNESS_FIGURES,
  offsetFor,
} from "../../../lib/hearing/model/loudness_constants.ts";

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

/** Filters at chosen frequencies, for reading constants at a table's own rows. */
function filtersAt(frequenciesHz: readonly number[]): ErbGrid {
  const centresHz = Float64Array.from(frequenciesHz);
  return { stepCam: 1, centresHz, centresCam: centresHz.map(camOf), bandwidthsHz: centresHz.map(erbHz) };
}

Deno.test("thresholds are those of ISO 532-2, Table 2, and 0.58 dB higher for ANSI S3.4", () => {
  const table2 = [
    [50, 27.46],
    [63, 23.45],
    [80, 18.47],
    [100, 15.13],
    [125, 11.97],
    [160, 9.34],
    [200, 7.43],
    [250, 5.75],
    [315, 4.73],
    [400, 3.92],
    [500, 3.15],
    [750, 3.15],
    [1000, 3.15],
  ] as const;
  const grid = filtersAt(table2.map(([hz]) => hz));
  for (const [i, [hz, db]] of table2.entries()) {
    assertAlmostEquals(dbOfPower(filterConstants(grid, "iso532_2").threshold[i]!), db, 0.001, `${hz} Hz`);
    assertAlmostEquals(
      dbOfPower(filterConstants(grid, "ansi2007").threshold[i]!),
      db + 0.58,
      0.001,
      `${hz} Hz`,
    );
  }
});

Deno.test("a signal is masked at the signal-to-noise ratios of Moore, Glasberg and Baer 1997, Fig. 9 (derived)", () => {
  const rows = [[50, 13.5], [100, 4.9], [200, 0.4], [400, -1.9], [800, -2.9], [1000, -3], [
    8000,
    -3,
  ]] as const;
  const { masking } = filterConstants(filtersAt(rows.map(([hz]) => hz)), "ansi2007");
  for (const [i, [hz, db]] of rows.entries()) {
    assertAlmostEquals(dbOfPower(masking[i]!), db, 0.05, `${hz} Hz`);
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
