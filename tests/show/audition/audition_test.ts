/** Sound against the models it is made from, by measures of the tests' own. */
import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertLessOrEqual,
  assertThrows,
} from "@std/assert";
import { demoPlans, demoSketch, InputError, instrumentById, realise, type Score, textureOf } from "ripieno";
import { writeWav } from "ripieno/formats";
import { harmonicLevels, soundPowerDb } from "ripieno/instruments";
import { barIndexOf, clockOf } from "ripieno/score";
import { type Audition, audition, type AuditionOptions, soundFile } from "ripieno/show";
import { decaySeconds } from "../../../lib/instruments/sound/decay.ts";
import { db, energyOf, median, spectralFlux, spectrumOf, strongestNear } from "../../setup/sound_measures.ts";
import { deepFreeze, type Line, repeatedNotes, smallScore } from "../../measures/small_scores.ts";
import { modelEnergies } from "./model_levels.ts";

const SETTINGS = Object.entries(demoPlans()).map(([name, plan]) => ({
  name,
  score: realise(demoSketch(), plan),
}));
const RAPIDS = { fromBar: 17, toBar: 20 } as const;
const STAGE = { hall: "none" } as const;

/** Left and right as one. */
const mono = ({ channels: [left, right] }: Pick<Audition, "channels">) => left!.map((x, i) => x + right![i]!);

/** One line alone, on the stage. */
const lineOf = (line: Omit<Line, "role">, options: AuditionOptions = {}, bars = 2) =>
  audition(smallScore([{ role: "lead", ...line }], { bars }), { ...STAGE, ...options });

for (const { name, score } of SETTINGS) {
  const texture = textureOf(score);
  for (const hall of ["none", undefined] as const) {
    const where = hall === "none" ? "on the stage" : "in the hall";
    const sound = audition(score, { ...RAPIDS, texture, ...(hall ? { hall } : {}) });

    Deno.test(`${name} ${where}: every layer is within 1 dB of the balance over a passage`, () => {
      const model = modelEnergies(score, { texture, fromBarIndex: 16, toBarIndex: 19 });
      let judged = 0;
      for (const stem of sound.stems) {
        const { energy, seconds } = model.get(stem.name)!;
        if (seconds < 2) continue; // a single note of a passage before
        judged++;
        const level = db(energyOf(stem)) - sound.gainDb;
        assertAlmostEquals(level, db(energy), 1, `${stem.name}: ${level} dB`);
      }
      assertGreater(judged, 2);
    });

    Deno.test(`${name} ${where}: true peak is under -1 dB, and the stems sum to the whole`, () => {
      assertLessOrEqual(sound.truePeakDb, -1);
      for (const channel of sound.channels) assertLess(db(independentPeak(channel) ** 2), -1);
      sound.channels.forEach((channel, ear) => {
        let rest = 0, all = 0;
        for (let i = 0; i < channel.length; i++) {
          const sum = sound.stems.reduce((s, stem) => s + stem.channels[ear]![i]!, 0);
          rest += (sum - channel[i]!) ** 2;
          all += channel[i]! ** 2;
        }
        assertLess(db(rest / all), -60);
      });
    });
  }

  Deno.test(`${name}: onsets are within 10 ms once the detector is calibrated for the layer`, () => {
    const sound = audition(score, { fromBar: 17, toBar: 20, texture, ...STAGE, sampleRate: 24_000 });
    const clock = clockOf(score), start = clock(score.bars[16]!.startTicks);
    let onsets = 0, astray = 0;
    for (const stem of sound.stems) {
      const places = onsetsOf(score, stem.name, { from: 16, to: 19 }).map((ticks) => clock(ticks) - start)
        .filter((t, i, all) => i === 0 || t - all[i - 1]! > 0.09);
      const found = strongestNear(spectralFlux(mono(stem), { sampleRate: 24_000, size: 512 }), places);
      const late = median(found.map((t, i) => t - places[i]!));
      onsets += places.length;
      astray += found.filter((t, i) => Math.abs(t - places[i]! - late) > 0.01).length;
    }
    assertGreater(onsets, 15);
    assertLessOrEqual(astray, Math.ceil(0.03 * onsets), `${astray} of ${onsets}`);
  });
}

/** Places where notes of a layer are tongued, bowed or struck, in ticks. */
function onsetsOf(score: Score, layer: string, bars: { readonly from: number; readonly to: number }) {
  const own = score.notes.filter((n) => {
    const bar = barIndexOf(score, n.onsetTicks);
    return n.layer === layer && !n.slurred && !n.grace && bar >= bars.from && bar <= bars.to;
  });
  return [...new Set(own.map((n) => n.onsetTicks))].sort((a, b) => a - b);
}

/** What the samples around one weigh, 32 on either side, at places an eighth of a sample apart. */
const BETWEEN_SAMPLES = Array.from(
  { length: 15 },
  (_, place) =>
    Float64Array.from({ length: 65 }, (_, at) => {
      const x = at - 32 - (place - 7) / 8;
      const w = 0.42 + 0.5 * Math.cos(Math.PI * x / 33) + 0.08 * Math.cos(2 * Math.PI * x / 33);
      return w * (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x));
    }),
);

/** Peak eight times oversampled near the highest samples, by a sinc of 64 samples under a Blackman window. */
function independentPeak(samples: Float32Array): number {
  const high = samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
  let peak = high;
  for (let i = 1; i + 1 < samples.length; i++) {
    if (Math.abs(samples[i]!) < 0.6 * high) continue;
    for (const weights of BETWEEN_SAMPLES) {
      let sum = 0;
      for (let k = -32; k <= 32; k++) sum += (samples[i + k] ?? 0) * weights[k + 32]!;
      peak = Math.max(peak, Math.abs(sum));
    }
  }
  return peak;
}

Deno.test("audition does not click: with noise off, nothing lies above what the spectra hold", () => {
  const { score } = SETTINGS[1]!;
  const sound = audition(score, { ...RAPIDS, ...STAGE, constants: { noiseDb: -100 } });
  const size = 2048, from = Math.round(14_000 / 44_100 * size); // spectra end at 10 kHz
  for (const stem of sound.stems) {
    const samples = mono(stem);
    let strongest = 0, above = 0;
    for (let at = 0; at < samples.length; at += size / 2) {
      const powers = spectrumOf(samples, at, size);
      strongest = Math.max(strongest, powers.reduce((a, b) => a + b, 0));
      above = Math.max(above, powers.subarray(from).reduce((a, b) => a + b, 0));
    }
    assertLess(db(above / strongest), -70, stem.name);
  }
});

Deno.test("audition is the same for a seed and another for another, and changes nothing it is given", () => {
  const score = deepFreeze(
    smallScore([{ instrument: "violin", role: "lead", players: 8, notes: repeatedNotes(74, 1) }]),
  );
  const first = audition(score), again = audition(score), other = audition(score, { seed: 2 });
  assertEquals(first.channels[0]!, again.channels[0]!);
  assert(first.channels[0]!.some((x, i) => x !== other.channels[0]![i]));
  assertAlmostEquals(db(energyOf(first)) - first.gainDb, db(energyOf(other)) - other.gainDb, 0.5);
});

Deno.test("a passage sounds as it does within the whole", () => {
  const { score } = SETTINGS[1]!;
  const whole = audition(score, { fromBar: 17, toBar: 20, ...STAGE, gainDb: -96, roles: ["pulse"] });
  const passage = audition(score, { fromBar: 18, toBar: 19, ...STAGE, gainDb: -96, roles: ["pulse"] });
  const offset = whole.bars[1]!.startSeconds;
  // Between the first beat and the last, so that only whole notes are compared; a sample more or less is rounding.
  const [a, b] = [mono(whole), mono(passage)];
  const shift = Math.round(offset * 44_100);
  let best = Infinity;
  for (const d of [-1, 0, 1]) {
    let rest = 0, all = 0;
    for (let i = 22_050; i < 110_000; i++) {
      rest += (a[i + shift + d]! - b[i]!) ** 2;
      all += b[i]! ** 2;
    }
    best = Math.min(best, rest / all);
  }
  assertLess(db(best), -12); // single strokes may be rounded to the next sample, which is a few degrees of phase
});

Deno.test("silence: rests are silent on the stage, and the hall dies away in them", () => {
  const notes = [{ at: 0, quarters: 1, pitch: 74 }, { at: 8, quarters: 1, pitch: 76 }];
  const dry = lineOf({ instrument: "oboe", notes }, {}, 3);
  assertEquals(energyOf(dry, 0.6, 3.9), 0);
  const wet = audition(smallScore([{ instrument: "oboe", role: "lead", notes }], { bars: 3 }));
  const early = energyOf(wet, 0.6, 0.7), late = energyOf(wet, 1.6, 1.7);
  // 60 dB in 1.4 s: 43 dB a second.
  assertAlmostEquals(db(early / late), 60 / 1.4, 8);
});

Deno.test("what is plucked or struck dies away as the tables say", () => {
  for (
    const [instrument, technique, pitch] of [
      ["cello", "pizzicato", 48],
      ["harp", "ordinario", 60],
      ["vibraphone", "ordinario", 65],
      ["timpani", "ordinario", 45],
    ] as const
  ) {
    const sound = lineOf({ instrument, notes: [{ at: 0, quarters: 4, pitch, technique }] });
    const tau = decaySeconds(instrumentById(instrument), technique)!;
    const at = (k: number) => energyOf(sound, 0.05 + k * tau, 0.05 + (k + 1) * tau);
    assertAlmostEquals(db(at(0) / at(2)), 2 * 10 * Math.LOG10E, 1, `${instrument} ${technique}`);
  }
});

Deno.test("unpitched percussion is noise where the tables have it, as loud as they say", () => {
  const sound = lineOf({
    instrument: "bass drum",
    notes: [0, 2, 4, 6].map((at) => ({ at, quarters: 1, pitch: 35, unpitched: true })),
  });
  const powers = spectrumOf(mono(sound), 0, 8192);
  const below = powers.subarray(0, Math.round(500 / 44_100 * 8192)).reduce((a, b) => a + b, 0);
  assertGreater(below / powers.reduce((a, b) => a + b, 0), 0.9);
});

Deno.test("under a hairpin a held note grows by what the power tables say, and grows brighter", () => {
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
  const sound = audition({ ...score, parts }, STAGE);
  const trumpet = instrumentById("trumpet in C");
  const rise = soundPowerDb(trumpet, 5.5, { soundingPitch: 67 }) -
    soundPowerDb(trumpet, 3.5, { soundingPitch: 67 });
  // A sixth of the way along, and five sixths.
  const level = (at: number) => db(energyOf(sound, at - 0.15, at + 0.15));
  assertAlmostEquals(level(4 * 5 / 6) - level(4 / 6), rise, 1);
  const share = (at: number) => {
    const powers = spectrumOf(mono(sound), Math.round(at * 44_100), 8192);
    const high = powers.subarray(Math.round(2000 / 44_100 * 8192)).reduce((a, b) => a + b, 0);
    return high / powers.reduce((a, b) => a + b, 0);
  };
  assertGreater(db(share(3.3) / share(0.6)), 2);
});

Deno.test("a held tone has the harmonics that balance hears, muted or not", () => {
  for (
    const [instrument, pitch, dynamic, technique] of [
      ["clarinet in Bb", 58, 5, "ordinario"],
      ["horn in F", 60, 7, "ordinario"],
      ["trumpet in C", 67, 4, "con sordino"],
      ["double bass", 36, 5, "ordinario"],
    ] as const
  ) {
    const sound = lineOf(
      { instrument, notes: [{ at: 0, quarters: 8, pitch, dynamic, technique }] },
      { constants: { noiseDb: -100, vibratoCents: 0, detuneCents: 0 } },
    );
    const size = 65_536;
    const powers = spectrumOf(mono(sound), 30_000, size);
    const hz = 440 * 2 ** ((pitch - 69) / 12);
    const around = (f: number) => {
      const k = Math.round(f * size / 44_100);
      return powers.subarray(k - 3, k + 4).reduce((a, b) => a + b, 0);
    };
    const levels = harmonicLevels(instrumentById(instrument), pitch, dynamic, { technique });
    const strongest = Math.max(...Array.from({ length: 12 }, (_, k) => around(hz * (k + 1))));
    for (let k = 0; k < 12; k++) {
      if (levels[k]! < -45) continue;
      assertAlmostEquals(
        db(around(hz * (k + 1)) / strongest),
        levels[k]!,
        0.5,
        `${instrument}, harmonic ${k + 1}`,
      );
    }
  }
});

Deno.test("measured tremolos have as many strokes as are written, and unmeasured ones are quick", () => {
  const strokes = (slashes: number, tremolo: "measured" | "unmeasured") => {
    const sound = lineOf({
      instrument: "viola",
      notes: [{ at: 0, quarters: 4, pitch: 60, tremoloSlashes: slashes, tremolo }],
    }, { constants: { noiseDb: 6 } });
    const flux = spectralFlux(mono(sound), { sampleRate: 44_100, size: 512 });
    const most = Math.max(...flux);
    let count = 0;
    flux.forEach((x, f) => {
      const around = flux.subarray(Math.max(0, f - 15), f + 16);
      if (x > most / 8 && x === Math.max(...around)) count++;
    });
    return count;
  };
  assertEquals(strokes(1, "measured"), 8);
  assertEquals(strokes(2, "measured"), 16);
  assertGreater(strokes(3, "unmeasured"), 24);
});

Deno.test("a trill goes to the next note of the key and back", () => {
  const sound = lineOf({ instrument: "flute", notes: [{ at: 0, quarters: 4, pitch: 74, trill: true }] });
  const samples = mono(sound);
  const powers = spectrumOf(samples, 10_000, 32_768);
  const at = (pitch: number) => {
    const k = Math.round(440 * 2 ** ((pitch - 69) / 12) * 32_768 / 44_100);
    return powers.subarray(k - 6, k + 7).reduce((a, b) => a + b, 0);
  };
  assertAlmostEquals(db(at(74) / at(76)), 0, 3);
  assertGreater(db(at(76) / at(79)), 15);
});

Deno.test("players sit where they are asked to", () => {
  const side = (seat: number) => {
    const { channels: [left, right] } = lineOf(
      { instrument: "oboe", name: "Oboe", notes: repeatedNotes(74, 1) },
      { seating: { Oboe: seat } },
    );
    return db(
      energyOf({ channels: [left!], sampleRate: 1 }) / energyOf({ channels: [right!], sampleRate: 1 }),
    );
  };
  assertGreater(side(-0.8), 10);
  assertAlmostEquals(side(0), 0, 0.1);
  assertLess(side(0.8), -10);
});

Deno.test("a sound file is what audition plays, sample for sample", async () => {
  const { score } = SETTINGS[2]!;
  const options = { fromBar: 9, toBar: 14, sampleRate: 24_000 } as const;
  const sound = audition(score, options);
  const file = await soundFile(score, { ...options, format: "wav", gainDb: sound.gainDb });
  const expected = writeWav(sound);
  assertEquals(file.length, expected.length);
  const [a, b] = [new Int16Array(file.buffer, 44), new Int16Array(expected.buffer, 44)];
  assert(a.every((x, i) => Math.abs(x - b[i]!) <= 1));
});

Deno.test("audition says what there is when something is asked for that there is not", () => {
  const { score } = SETTINGS[0]!;
  for (
    const [options, word] of [
      [{ fromBar: 99 }, "numbered 1 to 48"],
      [{ parts: ["Flute 9"] }, "Flute 1"],
      [{ layers: ["nothing"] }, "layer"],
      [{ roles: ["tune"] }, "lead"],
      [{ seating: { Oboe: 0 } }, "neither a part"],
      [{ seating: { brass: 4 } }, "-1 (left)"],
      [{ constants: { directShare: 2 } }, "0 to 1"],
      [{ sampleRate: 12 }, "44100"],
    ] as const
  ) {
    const error = assertThrows(() => audition(score, options as unknown as AuditionOptions), InputError);
    assert(error.message.includes(word), error.message);
  }
});
