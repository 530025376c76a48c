import { assert, assertAlmostEquals, assertEquals, assertGreater, assertLess } from "@std/assert";
import { allInstruments, instrumentById } from "ripieno";
import { hzOfCam, sumDecibels } from "ripieno/hearing";
import { soundPowerDb } from "ripieno/instruments";
import { makeNote } from "ripieno/score";
import { decaySeconds } from "../../../lib/instruments/sound/decay.ts";
import { noiseBands } from "../../../lib/instruments/sound/noise_bands.ts";
import { contentOf, excitationsOf } from "../../../lib/measures/balance/heard.ts";
import { noteSounds } from "../../../lib/measures/balance/note_sound.ts";
import { smallScore } from "../../measures/small_scores.ts";

Deno.test("every unpitched instrument has bands of noise, rising and apart; no pitched one has", () => {
  for (const instrument of allInstruments()) {
    const bands = noiseBands(instrument, 5);
    assertEquals(bands !== undefined, instrument.unpitched, instrument.id);
    bands?.forEach((band, i) => {
      assert(band.lowHz > 0 && band.lowHz < band.highHz && band.highHz <= 16_000, instrument.id);
      assert(i === 0 || band.lowHz >= bands[i - 1]!.highHz, instrument.id);
    });
  }
});

Deno.test("louder strokes are brighter; a drum set gives the piece that is struck", () => {
  const snare = instrumentById("snare drum");
  const tilt = (dynamic: number) => {
    const bands = noiseBands(snare, dynamic)!;
    return bands.at(-1)!.levelDb - bands[0]!.levelDb;
  };
  assertGreater(tilt(8), tilt(2));
  const set = instrumentById("drum set");
  // General MIDI percussion keys: 36 bass drum, 49 crash cymbal, 51 ride, which stands under the cymbals' figures.
  assertEquals(noiseBands(set, 5, { soundingPitch: 36 }), noiseBands(instrumentById("bass drum"), 5));
  assertEquals(noiseBands(set, 5, { soundingPitch: 49 }), noiseBands(instrumentById("cymbals"), 5));
  assertEquals(noiseBands(set, 5, { soundingPitch: 51 }), noiseBands(instrumentById("suspended cymbal"), 5));
});

Deno.test("a stroke's noise reaches the ear where it lies: a bass drum low, cymbals high (common knowledge)", () => {
  const centre = (instrument: string) => {
    const score = smallScore([{ instrument, role: "pulse", notes: [] }]);
    const { grid, of } = noteSounds(score, { hallStrengthDb: 3, gridStepCam: 0.25, accentSteps: 1 });
    const note = makeNote({
      part: 0,
      onsetTicks: 0,
      durationTicks: 96,
      soundingPitch: 60,
      unpitched: true,
      dynamic: 6,
    });
    const [excitation] = excitationsOf(grid, [contentOf([of(note)], [1])]);
    const at = excitation!.indexOf(Math.max(...excitation!));
    return hzOfCam(grid.centresCam[at]!);
  };
  assertLess(centre("bass drum"), 200);
  assertGreater(centre("cymbals"), 1500);
});

Deno.test("decaySeconds(): what is held does not decay; plucked and struck notes do, a tam-tam longer than a wood block", () => {
  for (const instrument of allInstruments()) {
    assertEquals(decaySeconds(instrument, "ordinario") === null, instrument.sustains, instrument.id);
  }
  const of = (id: string, technique = "ordinario") => decaySeconds(instrumentById(id), technique)!;
  assertGreater(of("tam-tam"), 10 * of("wood block"));
  assertLess(of("violin", "pizzicato"), of("double bass", "pizzicato"));
  assertEquals(decaySeconds(instrumentById("flute"), "pizzicato"), null);
});

Deno.test("the bands together have the level of the stroke", () => {
  const bands = noiseBands(instrumentById("triangle"), 6)!;
  const level = soundPowerDb(instrumentById("triangle"), 6);
  const shift = level - sumDecibels(bands.map((b) => b.levelDb));
  assertAlmostEquals(sumDecibels(bands.map((b) => b.levelDb + shift)), level, 1e-9);
});
