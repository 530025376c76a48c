import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertThrows,
} from "@std/assert";
import fc from "fast-check";
import { balance, instrumentById, type Score, soundWarnings } from "ripieno";
import { roughness, type RoughnessModel } from "ripieno/hearing";
import { harmonicLevels } from "ripieno/instruments";
import { roughBars } from "ripieno/measures";
import { hzOf, refineGrid } from "ripieno/score";
import { accompaniment, SEED } from "../sounding_lines.ts";
import { type Line, notFinite, smallScore } from "../small_scores.ts";

function held(instrument: string, pitch: number, players = 1): Line {
  return { instrument, role: "pad", players, notes: [{ at: 0, quarters: 8, pitch }] };
}

Deno.test("roughBars() of two equal notes is the roughness of their partials", () => {
  const levels = harmonicLevels(instrumentById("violin"), 69, 5);
  const both = [69, 70].flatMap((pitch) =>
    [...harmonicLevels(instrumentById("violin"), pitch, 5)].map((
      db,
      i,
    ) => [hzOf(pitch) * (i + 1), 10 ** (db / 20)])
  );
  const expected = roughness(both.map(([hz]) => hz!), both.map(([, a]) => a!));
  const [bar] = roughBars(smallScore([held("violin", 69), held("violin", 70)]));
  assert(levels.length > 10);
  // The two notes differ a little in power; partials 45 dB down are left out.
  assertAlmostEquals(bar!.roughness!, expected, 0.02 * expected);
});

Deno.test("roughBars() puts the intervals in the order of every textbook: semitone, third, fifth, octave", () => {
  for (const model of ["hutchinson_knopoff", "sethares_1993", "vassilakis_2001"] as RoughnessModel[]) {
    const of = (semitones: number) =>
      roughBars(smallScore([held("oboe", 67), held("oboe", 67 + semitones)]), { model })[0]!.roughness!;
    assertGreater(of(1), of(3), model);
    assertGreater(of(3), of(7), model);
    assertGreater(of(7), of(12), model);
  }
});

Deno.test("roughBars() finds the beat of the clash, and nothing in silence", () => {
  const clash: Line = { instrument: "flute", role: "pad", notes: [{ at: 2, quarters: 1, pitch: 73 }] };
  const rows = roughBars(smallScore([
    { instrument: "oboe", role: "lead", notes: [{ at: 0, quarters: 4, pitch: 72 }] },
    clash,
  ]));
  assertEquals(rows.map((r) => r.peakBeat), [3, null]);
  assertEquals([rows[1]!.roughness, rows[1]!.peak], [null, null]);
  assertLess(rows[0]!.roughness!, rows[0]!.peak!);
});

Deno.test("roughBars() do not depend on the order of the parts nor, by Hutchinson and Knopoff, on how many play all", () => {
  fc.assert(
    fc.property(accompaniment, (lines) => {
      const rows = roughBars(smallScore(lines));
      assertEquals(notFinite(rows), []);
      const turned = roughBars(smallScore(lines.toReversed()));
      const more = roughBars(smallScore(lines.map((l) => ({ ...l, players: 5 }))));
      rows.forEach((r, i) => {
        assertAlmostEquals(turned[i]!.roughness!, r.roughness!, 1e-9);
        assertAlmostEquals(more[i]!.roughness!, r.roughness!, 1e-9);
      });
    }),
    { seed: SEED, numRuns: 25 },
  );
});

Deno.test("roughBars() are the same on any grid, and for a bar asked alone", () => {
  const chord = (at: number, quarters: number, ...pitches: readonly number[]) =>
    pitches.map((pitch) => ({ at, quarters, pitch }));
  const notes = [
    ...chord(0, 1, 48, 49, 55),
    ...chord(1, 2, 60, 61),
    ...chord(3, 1, 50, 62, 63),
    ...chord(4, 3, 41, 42),
    ...chord(7, 1, 40, 47),
  ];
  for (const instrument of ["harp", "organ", "cello"]) {
    const score = smallScore([{ instrument, role: "pad", notes }], { bars: 2 });
    const coarse = { ...score, ...onGrid(score, 1) };
    const all = roughBars(coarse);
    for (const grid of [1, 3, 7, 480]) {
      roughBars(refineGrid(coarse, grid)).forEach((row, b) => {
        assertAlmostEquals(
          row.roughness!,
          all[b]!.roughness!,
          1e-9,
          `${instrument} on ${grid}, bar ${b + 1}`,
        );
        assertAlmostEquals(row.peak!, all[b]!.peak!, 1e-9);
      });
    }
    all.forEach((row, b) => assertEquals(roughBars(coarse, { fromBarIndex: b, toBarIndex: b }), [row]));
  }
});

/** A score of whole quarters on a coarser grid. */
function onGrid(
  score: Score,
  ticksPerQuarter: number,
): Pick<Score, "ticksPerQuarter" | "bars" | "tempos" | "notes"> {
  const factor = ticksPerQuarter / score.ticksPerQuarter;
  return {
    ticksPerQuarter,
    bars: score.bars.map((b) => ({
      ...b,
      startTicks: b.startTicks * factor,
      durationTicks: b.durationTicks * factor,
    })),
    tempos: score.tempos.map((t) => ({ ...t, onsetTicks: t.onsetTicks * factor })),
    notes: score.notes.map((n) => ({
      ...n,
      onsetTicks: n.onsetTicks * factor,
      durationTicks: n.durationTicks * factor,
    })),
  };
}

Deno.test("roughBars() refuses models and bars it does not know", () => {
  const score = smallScore([held("oboe", 67)]);
  assertThrows(() => roughBars(score, { model: "helmholtz" as never }), Error, "vassilakis_2001");
  assertThrows(() => roughBars(score, { fromBarIndex: 2 }), Error, "0 to 1");
  const often = (samplesPerBeat: number) => roughBars(score, { constants: { samplesPerBeat } });
  assertEquals(often(100).length, 2);
  assertThrows(() => often(101), Error, "samplesPerBeat");
});

Deno.test("soundWarnings() name who clashes in a rough bar and what moving one of them gives", () => {
  const score = smallScore([67, 68, 69, 70].map((pitch) => held("oboe", pitch)));
  const [warning] = soundWarnings(score, balance(score)).filter((w) => w.kind === "rough");
  assert(
    /oboe \d \(G/.test(warning!.what) && warning!.what.includes("a bare semitone"),
    warning!.what,
  );
  assert(/resting 0\.\d\d|octave (up|down) 0\.\d\d/.test(warning!.remedy), warning!.remedy);
  const calm = smallScore([held("oboe", 72), held("horn in F", 60)]);
  assertEquals(soundWarnings(calm, balance(calm)), []);
});

Deno.test("roughBars() are means over instants evenly spread in each beat, of those that sound", () => {
  const notes = (at: number, quarters: number, ...pitches: readonly number[]) =>
    pitches.map((pitch) => ({ at, quarters, pitch }));
  const of = (all: Line["notes"], samplesPerBeat = 2) => {
    const score = smallScore([{ instrument: "organ", role: "pad", notes: all }], { bars: 1 });
    return roughBars(score, { constants: { samplesPerBeat } })[0]!;
  };
  const [thirds, seconds] = [of(notes(0, 4, 60, 64)), of(notes(0, 4, 60, 61))];
  const [third, second] = [thirds.roughness!, seconds.roughness!];
  // Instants at 0, 0.5, … 3.5: of eight, three hear the second, and where nothing sounds none.
  const mixed = of([...notes(0, 1, 60, 64), ...notes(1, 1.5, 60, 61), ...notes(2.5, 1, 60, 64)]);
  assertAlmostEquals(mixed.roughness!, (4 * third + 3 * second) / 7, 1e-9);
  assertEquals(mixed.peakBeat, 2);
  assertAlmostEquals(mixed.peak!, second, 1e-9);
  assertAlmostEquals(thirds.peak!, third, 1e-9);
  assertEquals(thirds.peakBeat, 1, "the first of equal peaks");
  // Four to a beat hear what lies between: the last quarter of a beat.
  const late = [...notes(0, 0.75, 60, 64), ...notes(0.75, 0.25, 60, 61)];
  assertAlmostEquals(of(late).roughness!, third, 1e-9);
  assertAlmostEquals(of(late, 4).roughness!, (3 * third + second) / 4, 1e-9);
  const halves = [...notes(0, 0.5, 60, 64), ...notes(0.5, 0.5, 60, 61)];
  assertAlmostEquals(of(halves, 1).roughness!, third, 1e-9, "one to a beat hears its beginning");
  assertAlmostEquals(of(late, 1).roughness!, third, 1e-9);
});
