import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import { thirdOctaveLevels, zwickerLoudness } from "ripieno/hearing";
import bandsText from "./data/iso_532_1_bands.csv" with { type: "text" };
import specificText from "./data/iso_532_1_specific.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";

const bandRows = tableRows(bandsText), specificRows = tableRows(specificText);
const bands = (name: string) => bandRows.map((row) => Number(row[name]));
const curve = (signal: number) => specificRows.map((row) => Number(row[`signal_${signal}`]));
const single = (band: number, level: number) =>
  Array.from({ length: 28 }, (_, i) => i === band ? level : -60);

function largestDistance(a: Float64Array, b: readonly number[]): number {
  assertEquals(a.length, 240);
  assertEquals(b.length, 240);
  return a.reduce((most, value, i) => Math.max(most, Math.abs(value - b[i]!)), 0);
}

Deno.test("ISO 532-1, Annex B.2: total within 0.001 sone, all 240 specific values within 0.0001 sone/Bark", () => {
  const heard = zwickerLoudness(bands("annexB2_signal1"));
  assertAlmostEquals(heard.sones, 83.296, 0.001);
  assertAlmostEquals(heard.phon, 103.8, 0.05);
  assert(largestDistance(heard.specific, curve(1)) <= 0.0001);
});

Deno.test("ISO 532-1, Annex B.3: tones within the smaller of 5 % and 0.1 sone, whole curves within 0.1 sone/Bark", () => {
  const tones = [
    { signal: 2, hz: 250, level: 80, sones: 14.655, phon: 78.73 },
    { signal: 3, hz: 1000, level: 60, sones: 4.019, phon: 60.07 },
    { signal: 4, hz: 4000, level: 40, sones: 1.549, phon: 46.31 },
  ];
  for (const { signal, hz, level, sones, phon } of tones) {
    const heard = zwickerLoudness(thirdOctaveLevels([hz], [level]));
    assertAlmostEquals(heard.sones, sones, Math.min(0.05 * sones, 0.1), `${hz} Hz`);
    assertAlmostEquals(heard.phon, phon, 0.5, `${hz} Hz`);
    assert(largestDistance(heard.specific, curve(signal)) <= 0.1, `${hz} Hz`);
  }
});

Deno.test("ISO 532-1: values worked out independently from the same figures (derived)", () => {
  const rows: [string, number[], "free" | "diffuse", number, number][] = [
    ["250 Hz leaking", bands("tone_250Hz_80dB_butter3"), "free", 14.709, 78.79],
    ["1 kHz leaking", bands("tone_1kHz_60dB_butter3"), "free", 4.1, 60.36],
    ["4 kHz leaking", bands("tone_4kHz_40dB_butter3"), "free", 1.594, 46.73],
    ["1 kHz 40 dB leaking", [...thirdOctaveLevels([1000], [40])], "free", 1.017, 40.24],
    ["250 Hz in one band", single(10, 80), "free", 14.33, 78.41],
    ["1 kHz 40 dB in one band", single(16, 40), "free", 0.927, 38.96],
    ["1 kHz 60 dB in one band", single(16, 60), "free", 3.49, 58.03],
    ["4 kHz 40 dB in one band", single(22, 40), "free", 1.411, 44.97],
  ];
  const flat: [number, number, number, number, number][] = [
    [20, 1.466, 45.52, 1.638, 47.12],
    [30, 3.962, 59.86, 4.297, 61.03],
    [40, 8.595, 71.03, 9.198, 72.01],
    [50, 16.96, 80.84, 18.03, 81.72],
    [60, 31.94, 89.97, 33.87, 90.82],
    [70, 58.78, 98.77, 62.2, 99.59],
    [80, 107.09, 107.43, 113.25, 108.23],
  ];
  for (const [level, freeSones, freePhon, diffuseSones, diffusePhon] of flat) {
    rows.push([`flat ${level} dB`, Array(28).fill(level), "free", freeSones, freePhon]);
    rows.push([`flat ${level} dB`, Array(28).fill(level), "diffuse", diffuseSones, diffusePhon]);
  }
  for (const [name, levels, field, sones, phon] of rows) {
    const heard = zwickerLoudness(levels, { field });
    // Half a unit of the last digit given, which is the second or third after the point.
    assertAlmostEquals(heard.sones, sones, sones < 15 ? 0.00061 : 0.0061, `${name} ${field}`);
    assertAlmostEquals(heard.phon, phon, 0.011, `${name} ${field}`);
  }
});

Deno.test("ISO 532-1: doubling the sones adds ten phons from one sone up", () => {
  const heard = zwickerLoudness(Array(28).fill(55));
  assertAlmostEquals(heard.phon, 40 + 10 * Math.log2(heard.sones), 1e-12);
});

Deno.test("ISO 532-1: silence is 0 sones, a louder band never softer, and the pattern adds up to the total", () => {
  const silent = zwickerLoudness(Array(28).fill(-Infinity));
  assertEquals([silent.sones, silent.phon, silent.specific.every((v) => v === 0)], [0, 3, true]);
  for (let band = 0; band < 28; band++) {
    let last = -1;
    for (let level = 0; level <= 105; level += 5) {
      const heard = zwickerLoudness(Array.from({ length: 28 }, (_, i) => i === band ? level : 45));
      assert(heard.sones >= last, `band ${band}, ${level} dB`);
      last = heard.sones;
      const sampled = heard.specific.reduce((sum, v) => sum + v, 0) / 10;
      assertAlmostEquals(sampled, heard.sones, 0.03 * heard.sones);
    }
  }
});

Deno.test("ISO 532-1: refuses what the standard does not cover", () => {
  assertThrows(() => zwickerLoudness(Array(27).fill(50)), InputError, "28");
  assertThrows(() => zwickerLoudness(Array(28).fill(NaN)), InputError);
  assertThrows(() => zwickerLoudness(single(9, 121)), InputError, "120 dB");
  assertThrows(() => zwickerLoudness(Array(28).fill(50), { field: "hall" as never }), InputError, "hall");
});
