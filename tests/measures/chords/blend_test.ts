import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertThrows,
} from "@std/assert";
import { blend } from "ripieno/measures";
import { type Line, notFinite, repeatedNotes, smallScore } from "../small_scores.ts";

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
});

Deno.test("blend() counts the onsets that another part shares", () => {
  assertEquals(rowOf([pad("oboe", 67), pad("clarinet in Bb", 60, 2)]).onsetSynchrony, 8 / 12);
  const late = { ...pad("clarinet in Bb", 60), notes: repeatedNotes(60, 1, { from: 0.5, to: 8.5 }) };
  assertEquals(rowOf([pad("oboe", 67), late]).onsetSynchrony, 0);
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
