import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { erbGrid, layerLoudness, loudnessSones, partialLoudnessSones } from "ripieno/hearing";
import text from "./data/moore_glasberg_baer_1997.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";

const grid = erbGrid({ stepCam: 0.1 });
/** A filter above 1 kHz, where the equations have no gain and K is -3 dB. */
const FILTER = grid.centresHz.findIndex((hz) => hz > 1000);

/** An excitation in one filter only, in dB; the partial loudness then is that filter's alone. */
function one(levelDb: number, filter = FILTER): Float64Array {
  const excitation = new Float64Array(grid.centresHz.length);
  if (Number.isFinite(levelDb)) excitation[filter] = 10 ** (levelDb / 10);
  return excitation;
}

function perCam(signal: Float64Array, noise: Float64Array): number {
  return partialLoudnessSones(grid, signal, noise, { ears: "one" }) / grid.stepCam;
}

Deno.test("Moore, Glasberg and Baer 1997, equations 17 and 18: the derived table to its last digit", () => {
  const rows = tableRows(text);
  assert(rows.length > 50);
  for (const row of rows) {
    const noise = row.noise_db === "none" ? -Infinity : Number(row.noise_db);
    const expected = Number(row.partial_sone_per_cam);
    const got = perCam(one(Number(row.signal_db)), one(noise));
    assertAlmostEquals(
      got,
      expected,
      1e-5 * expected,
      `signal ${row.signal_db} dB, noise ${row.noise_db} dB`,
    );
  }
});

Deno.test("partial loudness with no masker is exactly the loudness in quiet, at every filter and level", () => {
  const silence = new Float64Array(grid.centresHz.length);
  for (let filter = 0; filter < grid.centresHz.length; filter += 7) {
    for (let level = -20; level <= 130; level += 2.5) {
      const signal = one(level, filter);
      const quiet = loudnessSones(grid, signal);
      assertAlmostEquals(partialLoudnessSones(grid, signal, silence), quiet, 1e-12 * quiet);
      assertEquals(layerLoudness(grid, [signal, silence]).partial[0], layerLoudness(grid, [signal]).alone[0]);
    }
  }
});

Deno.test("partial loudness under a strong masker is 0: a millionth of a sone 30 dB above, less than 1e-15 at 90 dB", () => {
  for (const level of [20, 40, 60, 80]) {
    assert(perCam(one(level), one(level + 30)) < 1e-6);
    assert(perCam(one(level), one(level + 60)) < 1e-10);
    assert(perCam(one(level), one(level + 90)) < 1e-15);
  }
});

Deno.test("at its masked threshold a signal is as loud as one at the threshold in quiet, from both sides", () => {
  const atThreshold = perCam(one(3.73), one(-Infinity));
  for (let noise = 0; noise <= 120; noise += 10) {
    const masked = 10 * Math.log10(10 ** ((noise - 3) / 10) + 10 ** 0.373);
    assertAlmostEquals(
      perCam(one(masked - 1e-9), one(noise)),
      atThreshold,
      1e-4 * atThreshold,
      `noise ${noise} dB`,
    );
    assertAlmostEquals(
      perCam(one(masked + 1e-9), one(noise)),
      atThreshold,
      1e-4 * atThreshold,
      `noise ${noise} dB`,
    );
  }
});
