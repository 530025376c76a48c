import { recognise, type Score, textureOf } from "ripieno";
import { readMxl } from "ripieno/formats";
import { readHarmony } from "ripieno/harmony";
import { makeNote, sortNotes } from "ripieno/score";
import { random } from "../setup/random.ts";
import { sharedFolder } from "../setup/shared_data.ts";

/** A full score of eighths that wander through the chords of C major: 30 parts, 500 bars of 4/4. */
function fullScore(parts: number, bars: number): Score {
  const next = random(7);
  const tones = Array.from({ length: bars * 2 }, () => Math.floor(next() * 7));
  const notes = Array.from({ length: parts }, (_, part) =>
    Array.from({ length: bars * 8 }, (_, i) => {
      const step = tones[i >> 2]! + 2 * Math.floor(next() * 3);
      const soundingPitch = 36 + 12 * (part % 4) + [0, 2, 4, 5, 7, 9, 11][step % 7]!;
      return makeNote({ part, onsetTicks: i * 12, durationTicks: 12, soundingPitch });
    })).flat();
  return {
    title: "full score",
    source: "made for this bench",
    ticksPerQuarter: 24,
    bars: Array.from({ length: bars }, (_, b) => ({
      number: `${b + 1}`,
      startTicks: b * 96,
      durationTicks: 96,
      beats: 4,
      beatUnit: 4,
      keyFifths: 0,
    })),
    tempos: [{ onsetTicks: 0, quartersPerMinute: 100, origin: "marked" }],
    parts: Array.from({ length: parts }, (_, p) => ({
      id: `P${p}`,
      name: `Part ${p}`,
      instrument: "violin",
      instrumentFrom: "given",
      players: 1,
      transposeSemitones: 0,
      transposeSteps: 0,
    })),
    notes: sortNotes(notes),
    chords: [],
    notices: [],
  };
}

function benchHarmony(name: string, score: Score): void {
  const texture = textureOf(score);
  const group = `${name}, ${score.parts.length} parts, ${score.bars.length} bars`;
  Deno.bench(`harmony: ${name}`, { group }, () => {
    readHarmony(score);
  });
  Deno.bench(`harmony, texture given: ${name}`, { group }, () => {
    readHarmony(score, { texture });
  });
  // What the roles of the same score take, to hold it against: seconds alone say little of a busy machine.
  Deno.bench(`roles: ${name}`, { group, baseline: true, n: 3, warmup: 1 }, () => {
    recognise(score);
  });
}

benchHarmony("eighths throughout", fullScore(30, 500));
const scores = sharedFolder("openscore-orchestra");
if (scores) {
  const file = "Beethoven_Op.67_1.mxl";
  benchHarmony(file, readMxl(Deno.readFileSync(new URL(file, scores)), { file }));
}
