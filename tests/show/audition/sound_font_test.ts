/** Sounds of a bank in place of the library's own: the same stems, levels, starts and lengths. */
import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertLessOrEqual,
  assertNotEquals,
  assertRejects,
  assertThrows,
} from "@std/assert";
import { demoPlans, demoSketch, InputError, realise, textureOf } from "ripieno";
import { readSoundFont, writeWav } from "ripieno/formats";
import { audition, type AuditionOptions, listeningPage, soundFile } from "ripieno/show";
import { repeatedNotes, smallScore } from "../../measures/small_scores.ts";
import { smallSoundFont } from "../../setup/small_sound_font.ts";
import { db, energyOf, spectrumOf } from "../../setup/sound_measures.ts";
import { modelEnergies } from "./model_levels.ts";

const FONT = await readSoundFont(smallSoundFont());
const SCORE = realise(demoSketch(), demoPlans().moving);
const RAPIDS = { fromBar: 17, toBar: 20, sampleRate: 24_000 } as const;
const STAGE = { hall: "none", soundFont: FONT } as const;

Deno.test("stems of a SoundFont begin and last as the library's own, sum to the whole, and keep the peak", () => {
  const texture = textureOf(SCORE);
  for (const hall of [{ hall: "none" }, {}] as const) {
    const bars = { ...RAPIDS, toBar: 18, texture, ...hall } as const;
    const own = audition(SCORE, bars);
    const sound = audition(SCORE, { ...bars, soundFont: FONT });
    assertEquals([own.soundFont, sound.soundFont], [null, "three sounds"]);
    assertEquals(sound.seconds, own.seconds);
    assertEquals(sound.bars, own.bars);
    assertEquals(
      sound.stems.map(({ name, role, parts }) => ({ name, role, parts })),
      own.stems.map(({ name, role, parts }) => ({ name, role, parts })),
    );
    assertLessOrEqual(sound.truePeakDb, -1);
    sound.channels.forEach((channel, ear) => {
      let rest = 0, all = 0;
      for (let i = 0; i < channel.length; i++) {
        rest += (sound.stems.reduce((s, stem) => s + stem.channels[ear]![i]!, 0) - channel[i]!) ** 2;
        all += channel[i]! ** 2;
      }
      assertLess(db(rest / all), -60);
    });
    const firstOf = (samples: Float32Array) => {
      const most = samples.reduce((m, x) => Math.max(m, Math.abs(x)), 0);
      return samples.findIndex((x) => Math.abs(x) > most / 50) / 24_000;
    };
    sound.stems.forEach((stem, s) => {
      assertAlmostEquals(firstOf(stem.channels[0]!), firstOf(own.stems[s]!.channels[0]!), 0.03, stem.name);
      assertNotEquals(stem.channels[0], own.stems[s]!.channels[0]);
    });
  }
});

Deno.test("a SoundFont's layers are within 1 dB of the balance", () => {
  const texture = textureOf(SCORE);
  const sound = audition(SCORE, { ...RAPIDS, ...STAGE, texture });
  const model = modelEnergies(SCORE, { texture, fromBarIndex: 16, toBarIndex: 19 });
  let judged = 0;
  for (const stem of sound.stems) {
    const { energy, seconds } = model.get(stem.name)!;
    if (seconds < 2) continue;
    judged++;
    assertAlmostEquals(db(energyOf(stem)) - sound.gainDb, db(energy), 1, stem.name);
  }
  assertGreater(judged, 2);
});

Deno.test("a SoundFont plays the same samples whatever it played before, and without clicks at the end of a note", () => {
  const oboe = smallScore([{ instrument: "oboe", role: "lead", notes: repeatedNotes(74, 1) }], { bars: 2 });
  const first = audition(oboe, STAGE);
  audition(SCORE, { ...RAPIDS, ...STAGE });
  assertEquals(audition(oboe, STAGE).channels, first.channels);
  const [left] = first.channels, peak = left!.reduce((m, x) => Math.max(m, Math.abs(x)), 0);
  // The last sample of a sound that is cut off is as loud as the rest; of one that has ended, it is gone.
  assertLess(Math.abs(left!.at(-1)!), peak / 1000);
});

Deno.test("quarter tones, plucked notes, hairpins and drums are those of the score", () => {
  const alone = (line: Parameters<typeof smallScore>[0][number], options: AuditionOptions = {}) =>
    audition(smallScore([line], { bars: 2 }), { ...STAGE, ...options });
  const quarterTone = alone({
    instrument: "violin",
    role: "lead",
    notes: [{ at: 0, quarters: 8, pitch: 69.5 }],
  });
  const size = 65_536, powers = spectrumOf(quarterTone.channels[0]!, 20_000, size);
  const strongest = powers.indexOf(Math.max(...powers)) * 44_100 / size;
  assertAlmostEquals(1200 * Math.log2(strongest / 440), 50, 8);

  const plucked = alone({
    instrument: "cello",
    role: "lead",
    notes: [{ at: 0, quarters: 4, pitch: 48, technique: "pizzicato" }],
  });
  assertGreater(db(energyOf(plucked, 0, 0.3) / energyOf(plucked, 1.4, 1.7)), 20); // program 45 dies away, 0 does not

  const drum = alone({
    instrument: "bass drum",
    role: "pulse",
    notes: [{ at: 0, quarters: 1, pitch: 35, unpitched: true }],
  });
  const noise = spectrumOf(drum.channels[0]!, 0, 4096);
  assertGreater(noise.filter((p) => p > Math.max(...noise) / 1000).length, 300);

  const score = smallScore([{
    instrument: "trumpet in C",
    role: "lead",
    notes: [{ at: 0, quarters: 8, pitch: 67, dynamic: 3 }],
  }], { bars: 2 });
  const parts = score.parts.map((part) => ({
    ...part,
    writtenDynamics: [
      { onsetTicks: 0, staff: 0, kind: "mark", mark: "p" },
      { onsetTicks: 0, staff: 0, kind: "crescendo", number: 1 },
      { onsetTicks: 8 * 96, staff: 0, kind: "stop", number: 1 },
      { onsetTicks: 8 * 96, staff: 0, kind: "mark", mark: "f" },
    ] as const,
  }));
  const grown = audition({ ...score, parts }, STAGE);
  assertGreater(db(energyOf(grown, 3, 3.5) / energyOf(grown, 0.3, 0.8)), 6);
});

Deno.test("what a SoundFont has no sound for is played by the library, as loud as it should be", async () => {
  const low = await readSoundFont(smallSoundFont({ keys: [0, 60] }));
  const notes = [{ at: 0, quarters: 2, pitch: 55 }, { at: 4, quarters: 2, pitch: 76 }];
  const score = smallScore([{ instrument: "violin", role: "lead", notes }], { bars: 2 });
  const sound = audition(score, { ...STAGE, soundFont: low, gainDb: -96 });
  const own = audition(score, { hall: "none", gainDb: -96 });
  for (const at of [0, 2]) {
    assertAlmostEquals(db(energyOf(sound, at, at + 1.5)), db(energyOf(own, at, at + 1.5)), 0.5);
  }
});

Deno.test("files and the listening page take a SoundFont, and say so", async () => {
  const options = { fromBar: 17, toBar: 18, sampleRate: 24_000, soundFont: FONT, gainDb: -100 } as const;
  const file = await soundFile(SCORE, { ...options, format: "wav" });
  const whole = writeWav(audition(SCORE, options));
  assertEquals(file.length, whole.length);
  const [a, b] = [new Int16Array(file.buffer, 44), new Int16Array(whole.buffer, 44)];
  assert(a.every((x, i) => Math.abs(x - b[i]!) <= 1));
  const page = await listeningPage([{ name: "moving", score: SCORE }], {
    fromBar: 17,
    toBar: 18,
    notation: false,
    soundFont: FONT,
  });
  assert(page.includes("sounds of the SoundFont three sounds"));
});

Deno.test("what is no SoundFont is refused in one sentence", async () => {
  const bytes = smallSoundFont();
  for (
    const [file, word] of [
      [new TextEncoder().encode("once upon a time there was no bank"), "it is no SoundFont"],
      [new Uint8Array(0), "it is no SoundFont"],
      [bytes.slice(0, 700), "damaged"],
      [bytes.slice(0, bytes.length - 200), "damaged"],
      [smallSoundFont({ empty: true }), "no sound"],
      ["no_such_bank.sf2", "there is no such file"],
      ["deno.json", "it is no SoundFont"],
    ] as const
  ) {
    const error = await assertRejects(() => readSoundFont(file), InputError);
    assert(error.message.includes(word), error.message);
  }
  const bank = bytes as unknown as NonNullable<AuditionOptions["soundFont"]>;
  assertThrows(() => audition(SCORE, { soundFont: bank }), InputError, "readSoundFont");
});
