import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { allInstruments, instrumentById } from "ripieno";
import { harmonicLevels } from "ripieno/instruments";
import { hzOf } from "ripieno/score";

const centroidHz = (levels: Float64Array, fundamentalHz: number): number => {
  let sum = 0, weighted = 0;
  levels.forEach((db, index) => {
    const amplitude = 10 ** (db / 20);
    sum += amplitude;
    weighted += amplitude * (index + 1) * fundamentalHz;
  });
  return weighted / sum;
};

Deno.test("levels are relative to the strongest harmonic and reach to 10 kHz", () => {
  for (const instrument of allInstruments()) {
    const { low, high } = instrument.rangeComfortable;
    for (const pitch of instrument.unpitched ? [38, 60] : [low, Math.round((low + high) / 2), high]) {
      const levels = harmonicLevels(instrument, pitch, 5);
      assertEquals(Math.max(...levels), 0, instrument.id);
      assert(levels.every(Number.isFinite), instrument.id);
      assertEquals(levels.length, Math.max(1, Math.floor(10_000 / hzOf(pitch))), instrument.id);
    }
  }
});

Deno.test("louder is never darker, on any instrument", () => {
  for (const instrument of allInstruments()) {
    const { low, high } = instrument.rangeComfortable;
    const pitch = instrument.unpitched ? 45 : Math.round((low + high) / 2);
    let last = 0;
    for (let dynamic = 1; dynamic <= 8; dynamic++) {
      const centroid = centroidHz(harmonicLevels(instrument, pitch, dynamic), hzOf(pitch));
      assert(centroid >= last - 1e-9, `${instrument.id} ${dynamic}`);
      last = centroid;
    }
  }
});

Deno.test("what the ear knows: a clarinet's low register lacks even harmonics, a flute is purer than an oboe", () => {
  // Common knowledge of acoustics, no source.
  const clarinet = harmonicLevels(instrumentById("clarinet in Bb"), 52, 5);
  assert(clarinet[1]! < clarinet[0]! - 15 && clarinet[1]! < clarinet[2]! - 10);
  const bright = (id: string) => centroidHz(harmonicLevels(instrumentById(id), 74, 5), hzOf(74));
  assert(bright("flute") < bright("oboe"));
  assert(bright("horn in F") < bright("trumpet in C"));
});

Deno.test("mutes and plucking change the spectrum where it was measured, and nothing elsewhere", () => {
  const trumpet = instrumentById("trumpet in C");
  const open = harmonicLevels(trumpet, 70, 5),
    muted = harmonicLevels(trumpet, 70, 5, { technique: "con sordino" });
  assert(centroidHz(muted, hzOf(70)) > 1.5 * centroidHz(open, hzOf(70)));
  const flute = instrumentById("flute");
  assertEquals(harmonicLevels(flute, 70, 5, { technique: "flutter" }), harmonicLevels(flute, 70, 5));
});

Deno.test("asking twice gives the same answer, and a quarter tone lies between its neighbours", () => {
  const horn = instrumentById("horn in F");
  assertEquals(harmonicLevels(horn, 60, 4.5), harmonicLevels(horn, 60, 4.5));
  const [below, between, above] = [60, 60.5, 61].map((pitch) =>
    centroidHz(harmonicLevels(horn, pitch, 5), hzOf(pitch))
  );
  assertAlmostEquals(between!, (below! + above!) / 2, 30);
});
