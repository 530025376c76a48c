/** Slashes are counted in note values, whatever the grid of the score (common practice, no source). */
import { assertAlmostEquals, assertEquals } from "@std/assert";
import { makeNote, strokeCount, strokeTicks } from "ripieno/score";
import { recognise } from "../../lib/texture/recognise.ts";
import { example } from "../texture/examples.ts";

const note = (quarters: number, tremoloSlashes: number, grid: number) =>
  makeNote({ part: 0, onsetTicks: 0, durationTicks: quarters * grid, soundingPitch: 60, tremoloSlashes });

Deno.test("a half note under one, two, three slashes is eighths, sixteenths, thirty-seconds on every grid", () => {
  for (const grid of [1, 4, 12, 480]) {
    assertEquals([0, 1, 2, 3].map((slashes) => strokeCount(note(2, slashes, grid), grid)), [1, 4, 8, 16]);
    assertAlmostEquals(strokeTicks(note(2, 3, grid), grid), grid / 8, 1e-12);
  }
  // Below a quarter each slash halves the note's own value.
  assertEquals([1, 2].map((slashes) => strokeCount(note(0.5, slashes, 8), 8)), [2, 4]);
  assertEquals(strokeCount(note(0, 3, 4), 4), 1);
});

Deno.test("a roll held over the bar line is a roll still", () => {
  const score = example([["violin", "A5:3/2 G5:1/2 F5:1 D6:1 C6:3/2 A5:1/2 G5:1 E5:1"], ["timpani", "D3:8"]]);
  const rolled = { ...score, notes: score.notes.map((n) => n.part === 1 ? { ...n, tremoloSlashes: 3 } : n) };
  const cells = recognise(rolled).cells.filter((c) => c.part === 1);
  assertEquals(cells.map((c) => [c.role, c.figure]), [["trill", "tremolo"], ["trill", "tremolo"]]);
});
