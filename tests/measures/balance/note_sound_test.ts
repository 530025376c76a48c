import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { instrumentById, type Note } from "ripieno";
import { componentExcitation, erbGrid, loudnessSones, sumDecibels } from "ripieno/hearing";
import { harmonicLevels, soundPowerDb } from "ripieno/instruments";
import { hzOf, makeNote } from "ripieno/score";
import { noiseBands } from "../../../lib/instruments/sound/noise_bands.ts";
import { contentOf, excitationsOf, sonesAlone } from "../../../lib/measures/balance/heard.ts";
import { type NoteSound, noteSounds } from "../../../lib/measures/balance/note_sound.ts";
import { smallScore } from "../small_scores.ts";

const OPTIONS = { hallStrengthDb: 3, gridStepCam: 0.25, accentSteps: 1 };

function soundOf(
  instrument: string,
  note: Partial<Note> = {},
  more: { readonly players?: number; readonly hallStrengthDb?: number } = {},
): NoteSound & { readonly sones: number; readonly excitation: Float64Array } {
  const { players = 1, hallStrengthDb = OPTIONS.hallStrengthDb } = more;
  const score = smallScore([{ instrument, role: "lead", players, notes: [] }]);
  const sounds = noteSounds(score, { ...OPTIONS, hallStrengthDb });
  const sound = sounds.of(
    makeNote({ part: 0, onsetTicks: 0, durationTicks: 96, soundingPitch: 67, ...note }),
  );
  const content = contentOf([sound], [1]);
  const [excitation] = excitationsOf(sounds.grid, [content]);
  return { ...sound, sones: sonesAlone(sounds.grid, content), excitation: excitation! };
}

Deno.test("noteSounds() power is the catalogue's level over 1 pW, players added as powers", () => {
  for (const id of ["flute", "horn in F", "violin", "trumpet in C"]) {
    const level = soundPowerDb(instrumentById(id), 6, { soundingPitch: 67 });
    const one = soundOf(id, { dynamic: 6 });
    assertAlmostEquals(10 * Math.log10(one.powerWatts / 1e-12), level, 1e-9);
    const eight = soundOf(id, { dynamic: 6 }, { players: 8 });
    assertAlmostEquals(eight.powerWatts / one.powerWatts, 8, 1e-9);
  }
});

Deno.test("noteSounds() level at the listener is Lw - 31 dB + G (ISO 3382-1:2009, Annex A): ten players are worth 10 dB of hall", () => {
  const [players, hall] = [
    soundOf("clarinet in Bb", { dynamic: 5 }, { players: 10 }),
    soundOf("clarinet in Bb", { dynamic: 5 }, { hallStrengthDb: 13 }),
  ];
  players.excitation.forEach((e, i) =>
    assertAlmostEquals(e, hall.excitation[i]!, 1e-9 * hall.excitation[i]!)
  );
});

Deno.test("noteSounds() spreads that level over the harmonics of the catalogue: together they are Lw - 31 dB + G", () => {
  for (const [id, soundingPitch] of [["violin", 60], ["bassoon", 40], ["trumpet in C", 67]] as const) {
    const instrument = instrumentById(id);
    const shape = harmonicLevels(instrument, soundingPitch, 6);
    const levelDb = soundPowerDb(instrument, 6, { soundingPitch }) - 31 + 3;
    const levels = shape.map((db) => db + levelDb - sumDecibels(shape));
    assertAlmostEquals(sumDecibels(levels), levelDb, 1e-9);
    // The exact evaluation on the standard's filters; the fast one is 0.1 % off at most.
    const grid = erbGrid();
    const expected = componentExcitation(grid, shape.map((_, i) => hzOf(soundingPitch) * (i + 1)), levels);
    const exact = loudnessSones(grid, expected);
    assertAlmostEquals(soundOf(id, { soundingPitch, dynamic: 6 }).sones, exact, 0.001 * exact);
  }
});

Deno.test("noteSounds() louder and more players are more sones; one forte flute in a hall lies between 5 and 40", () => {
  const sones = [2, 3, 4, 5, 6, 7].map((dynamic) => soundOf("flute", { dynamic, soundingPitch: 84 }).sones);
  assertEquals(sones, sones.toSorted((a, b) => a - b));
  assert(soundOf("flute", {}, { players: 2 }).sones > soundOf("flute").sones);
  // 91 dB re 1 pW gives 63 dB at the listener: around 2^((63 - 40) / 10) = 5 sones for a tone of 1 kHz, more for a spectrum.
  assert(sones[4]! > 5 && sones[4]! < 40, `${sones[4]} sones`);
});

Deno.test("noteSounds() gives the same sound to notes that differ only in time, and keeps it unchanged", () => {
  const score = smallScore([{ instrument: "oboe", role: "lead", notes: [] }]);
  const sounds = noteSounds(score, OPTIONS);
  const note = makeNote({ part: 0, onsetTicks: 0, durationTicks: 96, soundingPitch: 72 });
  const first = sounds.of(note);
  assertEquals(sounds.of({ ...note, onsetTicks: 500, slurred: true }), first);
  assert(sounds.of({ ...note, soundingPitch: 73 }).id !== first.id);
  assert(sounds.of(note, 1).powerWatts > first.powerWatts);
});

Deno.test("noteSounds() spreads the level of a drum over its bands of noise, evenly within each", () => {
  for (const id of ["snare drum", "bass drum"]) {
    const instrument = instrumentById(id);
    const bands = noiseBands(instrument, 6, { soundingPitch: 40 })!;
    const levelDb = soundPowerDb(instrument, 6, { soundingPitch: 40 }) - 31 + 3;
    const shift = levelDb - sumDecibels(bands.map((band) => band.levelDb));
    // Each band as lines 1 Hz and more apart, all as strong, which together have its level.
    const lines = bands.flatMap(({ lowHz, highHz, levelDb: own }) => {
      const count = Math.min(200, Math.ceil(highHz - lowHz));
      return Array.from({ length: count }, (_, i) => ({
        hz: lowHz + (highHz - lowHz) * (i + 0.5) / count,
        db: own + shift - 10 * Math.log10(count),
      }));
    });
    assertAlmostEquals(sumDecibels(lines.map((l) => l.db)), levelDb, 1e-9);
    const expected = loudnessSones(
      erbGrid(),
      componentExcitation(erbGrid(), lines.map((l) => l.hz), lines.map((l) => l.db)),
    );
    const { sones } = soundOf(id, { soundingPitch: 40, dynamic: 6, unpitched: true });
    assertAlmostEquals(sones, expected, 0.03 * expected, id);
  }
});

Deno.test("noteSounds() of a section that divides on the way is that of the players of each note", () => {
  const notes = [67, 74].flatMap((pitch) => [0, 4].map((at) => ({ at, quarters: 4, pitch })));
  const score = smallScore([{ instrument: "violin", role: "pad", players: 12, notes }]);
  const playing = [{ fromTicks: score.bars[1]!.startTicks, kind: "divided" as const, words: "div." }];
  const sounds = noteSounds({ ...score, parts: [{ ...score.parts[0]!, playing }] }, OPTIONS);
  const watts = score.notes.filter((n) => n.soundingPitch === 67).map((n) => sounds.of(n).powerWatts);
  assertAlmostEquals(watts[1]! / watts[0]!, 0.5, 1e-9);
});
