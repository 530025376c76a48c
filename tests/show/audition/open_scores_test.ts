/** Sound of scores that others engraved: peaks, clicks, sums, levels and onsets, part by part, in the middle of six movements. */
import { assert, assertAlmostEquals, assertGreater, assertLess, assertLessOrEqual } from "@std/assert";
import type { Score, Texture } from "ripieno";
import { barIndexOf, clockOf } from "ripieno/score";
import { type Audition, audition } from "ripieno/show";
import { layersOf } from "../../../lib/texture/layers.ts";
import { roleDoes } from "../../../lib/texture/role_does.ts";
import { openScore } from "../../setup/open_scores.ts";
import { sharedFolder } from "../../setup/shared_data.ts";
import { db, energyOf, median, spectralFlux, spectrumOf, strongestNear } from "../../setup/sound_measures.ts";
import { modelEnergies } from "./model_levels.ts";

const MOVEMENTS = [
  "Bach_BWV.1048_1",
  "Beach_Op.32_2",
  "Beethoven_Op.21_1",
  "Beethoven_Op.67_1",
  "Brahms_Op.90_3",
  "Bruckner_WAB.105_2",
];
const BARS = 2;
const SAMPLE_RATE = 24_000;
/** Where spectra have ended, and what noise an attack of two milliseconds leaves above. */
const ABOVE_HZ = 11_000, LEAST_ABOVE_DB = -55;

/** Every part a layer of its own, so that nothing hangs on how the texture is read. */
function partsApart(score: Score): Texture {
  const cells = score.bars.flatMap((_, barIndex) =>
    score.parts.map((_, part) => ({
      barIndex,
      part,
      role: "pad" as const,
      figure: "held chord" as const,
      does: roleDoes("pad", "held chord"),
      confidence: 1,
      leadShare: 0,
      reason: "",
      layer: `part ${part}`,
    }))
  );
  return { origin: "written", cells, layers: layersOf(cells, score.parts.length) };
}

const mono = ({ channels: [left, right] }: Pick<Audition, "channels">) => left!.map((x, i) => x + right![i]!);

/** Places in seconds where notes of a part begin anew, far enough apart to be told. */
function onsetsIn(score: Score, part: number, { from, to }: { readonly from: number; readonly to: number }) {
  const clock = clockOf(score), start = clock(score.bars[from]!.startTicks);
  const own = score.notes.filter((n) => {
    const bar = barIndexOf(score, n.onsetTicks);
    return n.part === part && bar >= from && bar <= to && !n.slurred && !n.grace && !n.cue && !n.trill &&
      n.tremoloSlashes === 0;
  });
  return [...new Set(own.map((n) => n.onsetTicks))].sort((a, b) => a - b).map((ticks) => clock(ticks) - start)
    .filter((t, i, all) => i === 0 || t - all[i - 1]! > 0.09);
}

/** Strongest energy above all spectra, against the strongest of the part. */
function clicksDb(samples: Float32Array): number {
  const size = 1024, first = Math.round(ABOVE_HZ / SAMPLE_RATE * size);
  let strongest = 0, above = 0;
  for (let at = 0; at < samples.length; at += size / 2) {
    const powers = spectrumOf(samples, at, size);
    strongest = Math.max(strongest, powers.reduce((a, b) => a + b, 0));
    above = Math.max(above, powers.subarray(first).reduce((a, b) => a + b, 0));
  }
  return db(above / strongest);
}

const folder = sharedFolder("openscore-orchestra");

for (const name of folder ? MOVEMENTS : []) {
  Deno.test(`${name}: the sound of each part is what the balance has, without clicks, in time`, () => {
    const file = `${name}.mxl`;
    const score = openScore(new URL(file, folder!));
    const texture = partsApart(score);
    const from = Math.floor(score.bars.length / 2), to = from + BARS - 1;
    const bars = { fromBar: Number(score.bars[from]!.number), toBar: Number(score.bars[to]!.number) };
    const quiet = { constants: { noiseDb: -100 }, sampleRate: SAMPLE_RATE } as const;
    const sound = audition(score, { ...bars, ...quiet, texture, hall: "none" });
    const model = modelEnergies(score, { texture, fromBarIndex: from, toBarIndex: to });
    assertLessOrEqual(sound.truePeakDb, -1);
    assertGreater(sound.stems.length, 3);
    let onsets = 0, astray = 0;
    for (const stem of sound.stems) {
      const own = model.get(stem.name)!;
      const level = db(energyOf(stem)) - sound.gainDb;
      assertAlmostEquals(level, db(own.energy), 1, `${stem.parts}: ${level} dB`);
      const samples = mono(stem), part = Number(stem.name.slice(5));
      assertLess(clicksDb(samples), LEAST_ABOVE_DB, stem.parts[0]);
      const places = onsetsIn(score, part, { from, to });
      if (places.length < 3) continue;
      const found = strongestNear(spectralFlux(samples, { sampleRate: SAMPLE_RATE, size: 512 }), places);
      const late = median(found.map((t, i) => t - places[i]!));
      onsets += places.length;
      astray += found.filter((t, i) => Math.abs(t - places[i]! - late) > 0.01).length;
    }
    assert(astray <= Math.ceil(0.03 * onsets), `${astray} of ${onsets}`);
    const hall = audition(score, { ...bars, ...quiet, texture });
    assertLessOrEqual(hall.truePeakDb, -1);
    for (const one of [sound, hall]) {
      one.channels.forEach((channel, ear) => {
        let rest = 0, all = 0;
        channel.forEach((x, i) => {
          rest += (one.stems.reduce((sum, stem) => sum + stem.channels[ear]![i]!, 0) - x) ** 2;
          all += x ** 2;
        });
        assertLess(db(rest / all), -60);
      });
    }
    const [dry, wet] = [sound, hall].map((one) =>
      db(one.stems.reduce((sum, s) => sum + energyOf(s), 0)) - one.gainDb
    );
    assertAlmostEquals(wet!, dry!, 1, "all parts in the hall");
  });
}
