import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertThrows,
} from "@std/assert";
import { instrumentById } from "ripieno";
import { blend } from "ripieno/measures";
import { hzOf, makeNote } from "ripieno/score";
import { camOf } from "../../../lib/hearing/model/erb.ts";
import { notePartials } from "../../../lib/measures/chords/chord_partials.ts";
import { type Line, type LineNote, notFinite, repeatedNotes, smallScore } from "../small_scores.ts";

function pad(instrument: string, pitch: number, every = 1): Line {
  return { instrument, role: "pad", layer: "pad", notes: repeatedNotes(pitch, every) };
}
const rowOf = (lines: readonly Line[]) => blend(smallScore(lines))[0]!;

Deno.test("blend() of the same instrument in unison has no spread, and its onsets coincide", () => {
  const row = rowOf([pad("horn in F", 60), pad("horn in F", 60)]);
  assertAlmostEquals(row.centroidSpreadCam, 0, 1e-9);
  assertEquals([row.onsetSynchrony, row.parts, row.fromBarIndex, row.toBarIndex], [
    1,
    "horn in F 1–2",
    0,
    1,
  ]);
});

Deno.test("blend() finds flute and horn nearer in colour than flute and trumpet (direction after Sandell 1995)", () => {
  const [near, far] = ["horn in F", "trumpet in C"].map((i) => rowOf([pad("flute", 67), pad(i, 67)]));
  assertLess(near!.centroidSpreadCam, far!.centroidSpreadCam);
  assertEquals([far!.brightest, far!.darkest], ["trumpet in C 2", "flute 1"]);
  assertGreater(far!.centroidHz, near!.centroidHz);
  const three = rowOf(["flute", "trumpet in C", "horn in F"].map((i) => pad(i, 67)));
  assertEquals(three.brightest, "trumpet in C 2");
});

Deno.test("blend() counts the onsets that another part shares", () => {
  assertEquals(rowOf([pad("oboe", 67), pad("clarinet in Bb", 60, 2)]).onsetSynchrony, 8 / 12);
  const late = { ...pad("clarinet in Bb", 60), notes: repeatedNotes(60, 1, { from: 0.5, to: 8.5 }) };
  assertEquals(rowOf([pad("oboe", 67), late]).onsetSynchrony, 0);
  const once = (instrument: string, at: number): Line => ({
    ...pad(instrument, 67),
    notes: [{ at, quarters: 1, pitch: 67 }],
  });
  // The later one of three comes first in the score.
  assertEquals(rowOf([once("flute", 4), once("oboe", 0), once("viola", 0)]).onsetSynchrony, 2 / 3);
});

Deno.test("blend() has rows for layers of several pitched parts only, and does not depend on their order", () => {
  assertEquals(blend(smallScore([pad("oboe", 67)])), []);
  const drums = ["snare drum", "bass drum"].map((i): Line => ({ ...pad(i, 60), layer: "drums" }));
  assertEquals(blend(smallScore(drums)), []);
  const lines = [pad("oboe", 67), pad("horn in F", 60), pad("viola", 64)];
  const [a, b] = [lines, lines.toReversed()].map(rowOf);
  assertEquals(notFinite(a), []);
  assertAlmostEquals(a!.centroidSpreadCam, b!.centroidSpreadCam, 1e-9);
  assert(a!.onsetSynchrony === b!.onsetSynchrony);
  assertThrows(() => blend(smallScore(lines), { fromBarIndex: 7 }), Error, "0 to 1");
});

Deno.test("blend() weighs the centres of notes by power and length, and those of parts by mean power", () => {
  const centreOf = (pitch: number, dynamic: number) => {
    const note = makeNote({ part: 0, onsetTicks: 0, durationTicks: 96, soundingPitch: pitch, dynamic });
    const { hz, amplitudes } = notePartials(note, instrumentById("oboe"), 1);
    const of = (f: (a: number, i: number) => number) => amplitudes.reduce((sum, a, i) => sum + f(a, i), 0);
    return { hz: of((a, i) => a * hz[i]!) / of((a) => a), power: of((a) => a * a) };
  };
  const [low, high] = [centreOf(62, 3), centreOf(74, 6)];
  const oboe = (...notes: readonly LineNote[]): Line => ({ ...pad("oboe", 0), notes });
  const lowNote = (at: number, quarters: number): LineNote => ({ at, quarters, pitch: 62, dynamic: 3 });
  const highNote = (at: number, quarters: number): LineNote => ({ at, quarters, pitch: 74, dynamic: 6 });
  // A quarter below and three above, beside a part with a low note alone, which counts less as it is softer.
  const row = rowOf([oboe(lowNote(0, 1), highNote(1, 3)), oboe(lowNote(0, 4))]);
  const mixed = {
    hz: (low.hz * low.power + 3 * high.hz * high.power) / (low.power + 3 * high.power),
    power: (low.power + 3 * high.power) / 4,
  };
  const both = (mixed.hz * mixed.power + low.hz * low.power) / (mixed.power + low.power);
  assertAlmostEquals(row.centroidHz, both, 1e-6 * both);
  // Of two values the standard deviation is half their distance.
  assertAlmostEquals(row.centroidSpreadCam, (camOf(mixed.hz) - camOf(low.hz)) / 2, 1e-9);
  assertEquals([row.brightest, row.darkest], ["oboe 1", "oboe 2"]);
  // A part that plays half as long counts as much by its mean power; lengths are seconds, at whatever tempo.
  const [turned] = blend(
    smallScore([oboe(lowNote(0, 1), highNote(1, 3)), oboe(lowNote(0, 2))], {
      quartersPerMinute: 60,
      tempos: [[1, 120]],
    }),
  );
  const played = {
    hz: (low.hz * low.power + 1.5 * high.hz * high.power) / (low.power + 1.5 * high.power),
    power: (low.power + 1.5 * high.power) / 2.5,
  };
  const two = (played.hz * played.power + low.hz * low.power) / (played.power + low.power);
  assertAlmostEquals(turned!.centroidHz, two, 1e-6 * two);
});

Deno.test("blend() hears onsets together up to 30 ms (Rasch 1979), and looks at the bars it is asked for", () => {
  // At 100 quarters a minute a tick of 96 to a quarter lasts 6.25 ms.
  const synchrony = (ticks: number, constants = {}) => {
    const late = { ...pad("oboe", 62), notes: [{ at: 1 + ticks / 96, quarters: 1, pitch: 62 }] };
    const score = smallScore([{ ...pad("oboe", 67), notes: [{ at: 1, quarters: 1, pitch: 67 }] }, late], {
      quartersPerMinute: 100,
    });
    return blend(score, { constants })[0]!.onsetSynchrony;
  };
  assertEquals([synchrony(4), synchrony(5), synchrony(-4), synchrony(-5)], [1, 0, 1, 0]);
  assertEquals([synchrony(8, { togetherSeconds: 0.05 }), synchrony(9, { togetherSeconds: 0.05 })], [1, 0]);
  const score = smallScore([pad("oboe", 67, 1), {
    ...pad("clarinet in Bb", 60),
    notes: repeatedNotes(60, 1, { to: 4 }),
  }]);
  assertEquals(blend(score, { fromBarIndex: 1, toBarIndex: 1 }), [], "one part alone there");
  const [first] = blend(score, { fromBarIndex: 0, toBarIndex: 0 });
  assertEquals([first!.fromBarIndex, first!.toBarIndex, first!.onsetSynchrony], [0, 0, 1]);
  assertEquals(blend(score)[0]!.onsetSynchrony, 8 / 12);
});

Deno.test("blend() hears the softest notes too: the centre lies above their fundamental", () => {
  const soft = (pitch: number): Line => ({
    ...pad("flute", pitch),
    notes: repeatedNotes(pitch, 1, { dynamic: 1 }),
  });
  assertGreater(rowOf([soft(72), soft(72)]).centroidHz, hzOf(72));
});
