import { assertAlmostEquals } from "@std/assert";
import {
  type Components,
  excitationPattern,
  loudnessSones,
  noiseComponents,
  phonOfSones,
  thirdOctaveComponents,
} from "ripieno/hearing";
import { sonesTolerance } from "./hearing_rows.ts";

function tones(...pairs: (readonly [number, number])[]): Components {
  return {
    frequenciesHz: Float64Array.from(pairs, (p) => p[0]),
    levelsDbSpl: Float64Array.from(pairs, (p) => p[1]),
  };
}

function sones(...sounds: Components[]): number {
  const { grid, excitation } = excitationPattern(
    sounds.flatMap((s) => [...s.frequenciesHz]),
    sounds.flatMap((s) => [...s.levelsDbSpl]),
  );
  return loudnessSones(grid, excitation);
}

// ANSI S3.4-2007, Table 7, as transcribed in deeuu/loudness: loudness of a 1 kHz tone, free field, both ears.
const TABLE_7: [number, string][] = [
  [0, "0.0011"],
  [2, "0.0028"],
  [3, "0.0044"],
  [5, "0.0088"],
  [7.5, "0.017"],
  [10, "0.029"],
  [15, "0.070"],
  [20, "0.142"],
  [30, "0.422"],
  [35, "0.662"],
  [40, "0.997"],
  [45, "1.461"],
  [50, "2.098"],
  [60, "4.166"],
  [65, "5.813"],
  [70, "8.102"],
  [75, "11.326"],
  [80, "15.980"],
  [90, "33.216"],
  [95, "48.242"],
  [100, "70.362"],
  [105, "103.274"],
  [110, "152.776"],
  [120, "341.982"],
];

Deno.test("ANSI S3.4, Table 7: sones of a 1 kHz tone within 0.1 % or half the last digit (2.5 % below 10 phon)", () => {
  for (const [phon, printed] of TABLE_7) {
    const got = sones(tones([1000, phon]));
    const digits = printed.length - printed.indexOf(".") - 1;
    const tolerance = Math.max((phon < 10 ? 0.025 : 0.001) * Number(printed), 0.51 * 10 ** -digits);
    assertAlmostEquals(got, Number(printed), tolerance, `${phon} phon`);
    assertAlmostEquals(phonOfSones(got), phon, 0.02);
  }
});

const white = (widthHz: number, levelDbPerHz: number) =>
  noiseComponents({ lowHz: 1000 - widthHz / 2, highHz: 1000 + widthHz / 2, levelDbPerHz });
const pink = (levelDbPerHz: number) =>
  noiseComponents({ lowHz: 50, highHz: 15000, levelDbPerHz, colour: "pink" });
const flat = (level: number) => thirdOctaveComponents(Array(26).fill(level), { lowestBandHz: 50 });

// ANSI S3.4-2007, examples, as transcribed in deeuu/loudness.
const EXAMPLES: [string, string, Components[]][] = [
  ["tones 2", "0.35", [tones([3000, 20])]],
  ["tones 2", "7.1", [tones([3000, 60])]],
  ["tones 2", "27.5", [tones([3000, 80])]],
  ["noise 1, 100 Hz wide", "4.25", [white(100, 40)]],
  ["noise 1, 1000 Hz wide", "14.29", [white(1000, 40)]],
  ["noise 2, 1000 Hz wide, 60 dB in all", "8.02", [white(1000, 30)]],
  ["noise 3, pink", "3.62", [pink(0)]],
  ["noise 4, 26 bands at 0 dB", "0.071", [flat(0)]],
  ["noise 4, 26 bands at 20 dB", "2.51", [flat(20)]],
  ["noise 4, 26 bands at 30 dB", "6.26", [flat(30)]],
  ["noise 4, 26 bands at 50 dB", "23.3", [flat(50)]],
  ["several tones 1", "6.35", [tones([1500, 60], [1600, 60], [1700, 60])]],
  ["several tones 3", "1.99", [tones(...Array.from({ length: 10 }, (_, i) => [100 * (i + 1), 30] as const))]],
  ["tone and noise 1", "5.14", [tones([1000, 60]), white(100, 40)]],
];

Deno.test("ANSI S3.4, examples: within the smaller of 5 % and 0.1 sone", () => {
  for (const [name, printed, sounds] of EXAMPLES) {
    assertAlmostEquals(sones(...sounds), Number(printed), sonesTolerance(printed), name);
  }
});

Deno.test("ANSI S3.4, noise 3 at 40 dB/Hz: within 0.5 % (0.2 sone; the low-frequency gains are those of ISO 532-2)", () => {
  assertAlmostEquals(sones(pink(40)), 49.28, 0.005 * 49.28);
});
