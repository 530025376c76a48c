/**
 * Meyer, Acoustics and the Performance of Music (5th ed., Springer 2009), ch. 3: sound power levels in dB re
 * 1 pW. Recalled from memory, pages not checked; to be compared with the book before anything is claimed.
 */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { instrumentById } from "ripieno";
import { soundPowerDb, soundPowerFigures } from "ripieno/instruments";

// Mean level at forte; rapid scale pp and ff; softest and loudest single note. From memory.
const RECALLED = {
  "flute": [91, 82, 94, 67, 101],
  "oboe": [93, 83, 95, 70, 103],
  "clarinet in Bb": [93, 77, 97, 57, 106],
  "bassoon": [93, 81, 96, 72, 102],
  "horn in F": [102, 86, 107, 65, 117],
  "trumpet in C": [101, 89, 104, 78, 111],
  "tenor trombone": [101, 89, 105, 73, 113],
  "tuba": [104, 93, 108, 77, 112],
} as const;

Deno.test("Meyer (recalled): levels at pp, f and ff, and the extremes of single notes hold at every dynamic", () => {
  for (const [id, [forte, soft, loud, softest, loudest]] of Object.entries(RECALLED)) {
    const instrument = instrumentById(id);
    assertEquals([2, 6, 7].map((dynamic) => soundPowerDb(instrument, dynamic)), [soft, forte, loud], id);
    const { low, high } = instrument.rangeExtreme;
    for (const soundingPitch of [low, (low + high) / 2, high]) {
      for (const dynamic of [1, 8]) {
        const level = soundPowerDb(instrument, dynamic, { soundingPitch });
        assert(level >= softest && level <= loudest, `${id} ${soundingPitch} ${dynamic}: ${level}`);
      }
    }
    assertEquals(soundPowerFigures(instrument).confidence, "memory");
  }
});

Deno.test("Meyer (recalled): strings at forte 89, 87, 90, 92 dB; ten violins 10 dB more than one", () => {
  const forte = ["violin", "viola", "cello", "double bass"].map((id) => soundPowerDb(instrumentById(id), 6));
  assertEquals(forte, [89, 87, 90, 92]);
  assertAlmostEquals(soundPowerDb(instrumentById("violin"), 6, { players: 10 }), 99, 1e-9);
});
