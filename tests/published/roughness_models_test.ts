import { assertAlmostEquals, assertEquals } from "@std/assert";
import { roughness, type RoughnessModel } from "ripieno/hearing";
import { hzOf } from "ripieno/score";
import text from "./data/vassilakis_2001_tones.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";

/** Partials of notes with harmonics of amplitude 1/n. */
function chord(pitches: readonly number[], harmonics: number): [number[], number[]] {
  const numbers = Array.from({ length: harmonics }, (_, i) => i + 1);
  return [
    pitches.flatMap((pitch) => numbers.map((n) => n * hzOf(pitch))),
    pitches.flatMap(() => numbers.map((n) => 1 / n)),
  ];
}

Deno.test("Hutchinson and Knopoff 1978 (as in Mashinter 2006): printed values to their last digit", () => {
  const rows: [readonly number[], number, number][] = [
    [[60, 61], 1, 0.499],
    [[69, 70], 1, 0.491],
    [[60, 61], 11, 0.484],
    [[60, 64, 67], 11, 0.12],
    [[60, 63, 67], 11, 0.13],
  ];
  for (const [pitches, harmonics, expected] of rows) {
    assertAlmostEquals(roughness(...chord(pitches, harmonics)), expected, 0.0005, `${pitches}`);
  }
});

Deno.test("Hutchinson and Knopoff 1978: the curve at 0.25, 0.5, 1 and 1.2 critical bandwidths", () => {
  // Two tones of amplitude 1 around 400 Hz: the value is half that of the curve, since the power is 2.
  const at = (distance: number) => {
    const width = 1.72 * 400 ** 0.65;
    return 2 * roughness([400 - distance * width / 2, 400 + distance * width / 2], [1, 1]);
  };
  assertAlmostEquals(at(0.25), 1, 1e-9);
  assertAlmostEquals(at(0.5), 0.5413, 0.00005);
  assertAlmostEquals(at(1), 0.0397, 0.00005);
  assertEquals(at(1.2001), 0);
  assertEquals(at(1.5), 0);
});

Deno.test("Hutchinson and Knopoff 1978: critical bandwidth at 400 & 440 Hz is 87.225 Hz, at 400 & 380 Hz 83.123 Hz", () => {
  // Read back from the model: the curve g(y) = (4 y e^(1 - 4 y))^2 at y = distance / bandwidth.
  const curve = (y: number) => (4 * y * Math.exp(1 - 4 * y)) ** 2;
  assertAlmostEquals(2 * roughness([400, 440], [1, 1]), curve(40 / 87.225), 1e-5);
  assertAlmostEquals(2 * roughness([400, 380], [1, 1]), curve(20 / 83.123), 1e-5);
});

Deno.test("Hutchinson and Knopoff: partials of equal frequency merge in power", () => {
  assertAlmostEquals(roughness([400, 400, 420], [3, 4, 5]), roughness([400, 420], [5, 5]), 1e-12);
});

Deno.test("Sethares' published program: ratios to a 440 and 460 Hz pair (printed, 0.01 %)", () => {
  const model: RoughnessModel = "sethares_program";
  const unit = roughness([440, 460], [1, 1], { model });
  const rows: [number[], number[], number][] = [
    [[440, 460, 480], [1, 1, 1], 2.9194],
    [[440, 460, 480], [1, 2, 3], 3.9161],
    [[440, 460, 480], [3, 2, 1], 3.9194],
    [[250, 275, 300, 425], [2, 9, 1.5, 4], 4.8657],
  ];
  for (const [hz, amplitudes, expected] of rows) {
    assertAlmostEquals(roughness(hz, amplitudes, { model }) / unit, expected, 1e-4 * expected);
  }
});

Deno.test("Sethares 1993, constants as printed: pairs of pure tones (derived)", () => {
  const rows: [number, number, number][] = [
    [440, 460, 0.175305],
    [440, 466.16, 0.180769],
    [440, 880, 2e-6],
    [261.63, 277.18, 0.170274],
  ];
  for (const [low, high, expected] of rows) {
    assertAlmostEquals(roughness([low, high], [1, 1], { model: "sethares_1993" }), expected, 5.1e-7);
  }
});

Deno.test("Vassilakis 2001, p. 210: all twelve dyads above C4 within 0.3 %", () => {
  const published = [
    40.383,
    27.617,
    18.117,
    16.002,
    11.446,
    12.826,
    6.17877,
    10.103,
    5.782,
    6.214,
    6.996,
    1.589,
  ];
  const tones = tableRows(text).map((row) => [1, 2, 3, 4, 5, 6].map((n) => Number(row[`partial_${n}_hz`])));
  const amplitudes = [1, 1 / 2, 1 / 3, 1 / 4, 1 / 5, 1 / 6];
  assertEquals(tones.length, 13);
  for (const [i, expected] of published.entries()) {
    const got = roughness([...tones[0]!, ...tones[i + 1]!], [...amplitudes, ...amplitudes], {
      model: "vassilakis_2001",
    });
    assertAlmostEquals(100 * got, expected, 0.003 * expected, `${i + 1} semitones`);
  }
});
