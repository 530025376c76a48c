/**
 * SHARC timbre data set (G. Sandell; via GitHub anton-k/sharc-timbre): harmonic levels of measured notes. The
 * medians per instrument stand in `data/sharc.csv`; the notes themselves are kept beside the checkout.
 */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { median } from "simple-statistics";
import { instrumentById, pitchOf } from "ripieno";
import { harmonicLevels, spectrumFits } from "ripieno/instruments";
import { hzOf } from "ripieno/score";
import text from "./data/sharc.csv" with { type: "text" };
import { csvRows, sharedFolder } from "../setup/shared_data.ts";
import { tableRows } from "./hearing_rows.ts";
import { checkRanges } from "./instrument_range_rows.ts";

const sets = tableRows(text);
const MEASURED_AT = 5;

function centroidHz(levels: ArrayLike<number>, fundamentalHz: number): number {
  let sum = 0, weighted = 0;
  for (let index = 0; index < levels.length; index++) {
    const amplitude = 10 ** (levels[index]! / 20);
    sum += amplitude;
    weighted += amplitude * (index + 1) * fundamentalHz;
  }
  return weighted / sum;
}

Deno.test("SHARC: the notes measured lie within the catalogue's ranges, or the reason is given", () => {
  checkRanges("sharc", 23);
});

Deno.test("SHARC: the median spectral centroid of each instrument, within a third of an octave", () => {
  assertEquals(sets.length, 35);
  for (const set of sets) {
    const instrument = instrumentById(set.instrument!);
    const centroids: number[] = [];
    for (let pitch = pitchOf(set.low_sounding!)!; pitch <= pitchOf(set.high_sounding!)!; pitch++) {
      const levels = harmonicLevels(instrument, pitch, MEASURED_AT, { technique: set.technique! });
      centroids.push(centroidHz(levels, hzOf(pitch)));
    }
    const octaves = Math.log2(median(centroids) / Number(set.median_centroid_hz));
    assert(Math.abs(octaves) <= 1 / 3, `${set.data_set_name}: ${octaves.toFixed(2)} octaves`);
  }
});

Deno.test("SHARC: the reported errors of the fit are what the measured notes give", () => {
  const folder = sharedFolder("../reference");
  if (!folder) {
    assert(spectrumFits().every((fit) => fit.meanErrorDb < 8));
    return;
  }
  const notes = csvRows(new URL("sharc-harmonics.csv", folder));
  const names = new Map(sets.map((set) => [`${set.instrument}|${set.technique}`, set.data_set_name!]));
  names.set("piccolo trumpet in Bb|ordinario", names.get("trumpet in D|ordinario")!);
  for (const fit of spectrumFits()) {
    const name = names.get(`${fit.instrument}|${fit.technique}`);
    const own = notes.filter((note) => note.instrument_id === name);
    assertEquals(own.length, fit.notes, name);
    const errors: number[] = [], centroidErrors: number[] = [];
    for (const note of own) {
      const measured = note.harmonic_levels_dB!.split(" ").map(Number);
      const fitted = harmonicLevels(instrumentById(fit.instrument), Number(note.midi), MEASURED_AT, {
        technique: fit.technique,
      });
      const length = Math.min(measured.length, fitted.length);
      const audible = Array.from({ length }, (_, index) => index).filter((index) => measured[index]! > -40);
      errors.push(audible.reduce((sum, i) => sum + Math.abs(fitted[i]! - measured[i]!), 0) / audible.length);
      const hz = Number(note.f0_Hz);
      const octaves = Math.log2(
        centroidHz(fitted.subarray(0, length), hz) / centroidHz(measured.slice(0, length), hz),
      );
      centroidErrors.push(Math.abs(octaves));
    }
    const mean = errors.reduce((sum, error) => sum + error, 0) / errors.length;
    assertAlmostEquals(mean, fit.meanErrorDb, 0.05, `${name}: mean error in dB`);
    assertAlmostEquals(median(centroidErrors), fit.centroidErrorOctaves, 0.01, `${name}: centroid`);
  }
  const all = spectrumFits();
  const worst = [...all].sort((a, b) => b.meanErrorDb - a.meanErrorDb)[0]!;
  console.log(
    `${all.length} spectra fitted: median error ${
      median(all.map((fit) => fit.meanErrorDb)).toFixed(1)
    } dB, ` +
      `worst ${worst.instrument} ${worst.technique} ${worst.meanErrorDb} dB; median centroid error ` +
      `${median(all.map((fit) => fit.centroidErrorOctaves)).toFixed(2)} octaves, held out ` +
      `${median(all.map((fit) => fit.heldOutCentroidErrorOctaves)).toFixed(2)}`,
  );
});

Deno.test("SHARC: the fit holds on notes it has not seen: within 30 % of the error on those it has, or 0.1 octave", () => {
  for (const fit of spectrumFits()) {
    assert(fit.heldOutMeanErrorDb < 1.3 * fit.meanErrorDb, `${fit.instrument} ${fit.technique}`);
    assert(
      fit.heldOutCentroidErrorOctaves < fit.centroidErrorOctaves + 0.1,
      `${fit.instrument} ${fit.technique}`,
    );
  }
});
