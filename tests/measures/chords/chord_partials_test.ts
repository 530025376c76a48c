/** Partials of notes, held against the tables of power and spectra that they are made of. */
import { assert, assertAlmostEquals, assertEquals, assertGreater, assertLess } from "@std/assert";
import { instrumentById, type Note } from "ripieno";
import { harmonicLevels, soundPowerDb } from "ripieno/instruments";
import { hzOf, makeNote } from "ripieno/score";
import { notePartials, notesAt } from "../../../lib/measures/chords/chord_partials.ts";

const noteOf = (soundingPitch: number, more: Partial<Note> = {}) =>
  makeNote({ part: 0, onsetTicks: 0, durationTicks: 960, soundingPitch, ...more });
const partialsOf = (instrument: string, note: Note, players = 1) =>
  notePartials(note, instrumentById(instrument), players);
const powerOf = (amplitudes: readonly number[]) => amplitudes.reduce((sum, a) => sum + a * a, 0);

Deno.test("partials of a note have its power, as squares of amplitudes re 1 mW, and lie at whole multiples", () => {
  for (
    const [instrument, pitch, dynamic, players] of [["violin", 69, 5, 1], ["trumpet in C", 60, 7, 2]] as const
  ) {
    const { hz, amplitudes } = partialsOf(instrument, noteOf(pitch, { dynamic }), players);
    const db = soundPowerDb(instrumentById(instrument), dynamic, { soundingPitch: pitch, players });
    assertAlmostEquals(10 * Math.log10(powerOf(amplitudes)) + 90, db, 0.01);
    hz.forEach((f) => assertAlmostEquals(f / hzOf(pitch), Math.round(f / hzOf(pitch)), 1e-9));
    assert(hz.every((f, i) => i === 0 || f > hz[i - 1]!));
  }
});

Deno.test("partials stand to each other as in the spectrum; what is left out is faint beside the strongest", () => {
  const levels = harmonicLevels(instrumentById("flute"), 72, 3);
  const { hz, amplitudes } = partialsOf("flute", noteOf(72, { dynamic: 3 }));
  const kept = hz.map((f) => Math.round(f / hzOf(72)) - 1);
  for (const [i, k] of kept.entries()) {
    assertAlmostEquals(
      20 * Math.log10(amplitudes[i]! / amplitudes[0]!),
      levels[k]! - levels[kept[0]!]!,
      1e-9,
    );
  }
  const strongest = Math.max(...levels);
  const left = levels.filter((_, k) => !kept.includes(k));
  assertGreater(left.length, 0);
  assert(left.every((db) => db < strongest - 40) && kept.every((k) => levels[k]! > strongest - 50));
});

Deno.test("an accent is a dynamic more, up to the loudest there is", () => {
  const of = (dynamic: number, ...articulations: Note["articulations"]) =>
    partialsOf("horn in F", noteOf(60, { dynamic, articulations })).amplitudes;
  assertEquals(of(5, "accent"), of(6));
  assertEquals(of(5, "marcato"), of(6));
  assertEquals(of(5, "tenuto"), of(5));
  assertEquals(of(8, "accent"), of(8));
});

Deno.test("a mute has a spectrum of its own, and what is struck or has no pitch no partials", () => {
  const [open, muted] = (["ordinario", "con sordino"] as const).map((technique) =>
    partialsOf("trumpet in C", noteOf(67, { technique })).amplitudes
  );
  const brightness = (a: readonly number[]) => powerOf(a.slice(4)) / powerOf(a);
  assert(Math.abs(brightness(open!) - brightness(muted!)) > 0.01);
  for (const instrument of ["timpani", "snare drum"]) assertEquals(partialsOf(instrument, noteOf(48)).hz, []);
  assertEquals(partialsOf("violin", noteOf(69, { unpitched: true })).hz, []);
});

/** What sounds at an instant of a note of two seconds that starts at tick 480, 480 ticks a second. */
function soundingAt(instrument: string, ticks: number, more: Partial<Note> = {}) {
  const note = noteOf(60, { onsetTicks: 480, ...more });
  const parts = [{ id: "P1", name: "one", instrument, players: 1, transposeSemitones: 0, transposeSteps: 0 }];
  const score = {
    parts: parts.map((p) => ({ ...p, instrumentFrom: "given" as const })),
    ticksPerQuarter: 480,
  };
  const where = { ticks, notes: [note], instruments: [instrumentById(instrument)], secondsPerTick: 1 / 480 };
  return notesAt(score, where);
}
const powerAt = (instrument: string, ticks: number) =>
  soundingAt(instrument, ticks).reduce((sum, n) => sum + powerOf(n.partials.amplitudes), 0);

Deno.test("a held note keeps its power from start to end, a plucked one loses the same share in the same time", () => {
  const full = powerOf(partialsOf("horn in F", noteOf(60)).amplitudes);
  for (const ticks of [480, 960, 1439]) assertAlmostEquals(powerAt("horn in F", ticks), full, 1e-9 * full);
  assertEquals([powerAt("horn in F", 470), powerAt("horn in F", 1440)], [0, 0]);
  const [start, middle, late] = [480, 720, 960].map((ticks) => powerAt("harp", ticks));
  assertLess(middle!, start!);
  assertAlmostEquals(middle! / start!, late! / middle!, 1e-9);
  assertAlmostEquals(start!, powerOf(partialsOf("harp", noteOf(60)).amplitudes), 0.01 * start!);
  assertEquals(powerAt("timpani", 480), 0);
  // A staccato note sounds half of its two seconds; then it is not there at all.
  const staccato = (ticks: number) => soundingAt("horn in F", ticks, { articulations: ["staccato"] }).length;
  assertEquals([staccato(480), staccato(950), staccato(960)], [1, 1, 0]);
});
