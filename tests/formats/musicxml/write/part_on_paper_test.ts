/** Notes of keyboards and harps on their two staves: beats are counted from the bar line, whatever upbeat there is. */
import { assertEquals } from "@std/assert";
import fc from "fast-check";
import type { Score } from "ripieno";
import { makeNote } from "ripieno/score";
import { partsOnPaper } from "../../../../lib/formats/musicxml/write/part_on_paper.ts";

const TICKS = 12;

/** A harp's runs, with an upbeat of so many ticks before its bars. */
function harp(
  notes: readonly { readonly at: number; readonly pitch: number }[],
  { upbeat, beats, beatUnit, bars }: {
    readonly upbeat: number;
    readonly beats: number;
    readonly beatUnit: number;
    readonly bars: number;
  },
): Score {
  const full = beats * 4 * TICKS / beatUnit;
  const lengths = [...upbeat === 0 ? [] : [upbeat], ...Array.from({ length: bars }, () => full)];
  let startTicks = 0;
  return {
    title: "Harp",
    source: "harp",
    ticksPerQuarter: TICKS,
    bars: lengths.map((durationTicks, i) => {
      const bar = { number: String(i), startTicks, durationTicks, beats, beatUnit, keyFifths: 0 };
      startTicks += durationTicks;
      return bar;
    }),
    tempos: [{ onsetTicks: 0, quartersPerMinute: 90, origin: "marked" }],
    parts: [{
      id: "P1",
      name: "Harp",
      instrument: "harp",
      instrumentFrom: "name",
      players: 1,
      transposeSemitones: 0,
      transposeSteps: 0,
    }],
    notes: notes.map(({ at, pitch }) =>
      makeNote({ part: 0, onsetTicks: upbeat + at, durationTicks: 3, soundingPitch: pitch })
    ),
    chords: [],
    notices: [],
  };
}

Deno.test("an upbeat of any length moves no note to the other stave", () => {
  fc.assert(fc.property(
    fc.array(fc.integer({ min: 36, max: 88 }), { minLength: 16, maxLength: 48 }),
    fc.constantFrom({ beats: 4, beatUnit: 4 }, { beats: 3, beatUnit: 4 }, { beats: 6, beatUnit: 8 }),
    fc.integer({ min: 1, max: 3 * TICKS - 1 }),
    (pitches, metre, upbeat) => {
      const run = pitches.map((pitch, i) => ({ at: 3 * i, pitch }));
      const bars = Math.ceil(3 * run.length / (metre.beats * 4 * TICKS / metre.beatUnit));
      const staves = (before: number) =>
        partsOnPaper(harp([{ at: 0, pitch: 36 }, ...run, { at: 3 * run.length - 3, pitch: 88 }], {
          upbeat: before,
          bars,
          ...metre,
        }))[0]!.notes.map((n) => n.staff);
      assertEquals(staves(upbeat), staves(0));
    },
  ));
});

Deno.test("a run within one beat stays on one stave after an upbeat of an eighth, too", () => {
  const pitches = [53, 57, 60, 64, 72, 69, 64, 60];
  const run = pitches.map((pitch, i) => ({ at: 3 * i, pitch }));
  const [paper] = partsOnPaper(harp(run, { upbeat: 6, beats: 4, beatUnit: 4, bars: 1 }));
  assertEquals(paper!.notes.map((n) => n.staff), [2, 2, 2, 2, 1, 1, 1, 1]);
});
