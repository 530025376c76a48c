/** The line the ear follows, worked out by hand. */
import { assertEquals } from "@std/assert";
import { leadLine } from "../../../lib/measures/freshness/lead_line.ts";
import { type LineNote, TICKS_PER_QUARTER as QUARTER } from "../small_scores.ts";
import { scoringOf } from "./scorings.ts";

/** The line as `beat-end pitch`, of parts with a letter for each bar and notes as [beat, quarters, pitch]. */
function lineOf(
  rows: readonly string[],
  parts: readonly (readonly (readonly [
    at: number,
    quarters: number,
    pitch: number,
    more?: Partial<LineNote>,
  ])[])[],
): readonly string[] {
  const { score, texture } = scoringOf(rows);
  const [any] = score.notes;
  const notes = parts.flatMap((own, part) =>
    own.map(([at, quarters, pitch, more]) => ({
      ...any!,
      part,
      onsetTicks: at * QUARTER,
      durationTicks: quarters * QUARTER,
      soundingPitch: pitch,
      ...more,
    }))
  ).toSorted((a, b) => a.onsetTicks - b.onsetTicks);
  const bars = [...Map.groupBy(texture.cells, (cell) => cell.barIndex).values()];
  return leadLine({ ...score, notes }, bars).map(({ onsetTicks, endTicks, pitch, barIndex }) => {
    assertEquals(barIndex, Math.floor(onsetTicks / QUARTER / 4));
    return `${onsetTicks / QUARTER}-${endTicks / QUARTER} ${pitch}`;
  });
}

Deno.test("the line is what leads, the highest of its doublings, to the end of the last of them", () => {
  assertEquals(lineOf(["LL", "PP"], [[[0, 3, 60], [4, 1, 62]], [[0, 4, 80], [1, 1, 81]]]), [
    "0-3 60",
    "4-5 62",
  ]);
  assertEquals(lineOf(["L", "L"], [[[0, 3, 60], [3, 1, 64]], [[0, 4, 72], [3, 0.5, 52]]]), [
    "0-4 72",
    "3-4 64",
  ]);
  assertEquals(lineOf(["L", "L"], [[[0, 3, 60]], [[0, 1, 72]]]), ["0-3 72"]);
});

Deno.test("where nobody leads the line is the highest of all that begins; drums have none", () => {
  const drum = { unpitched: true };
  assertEquals(lineOf(["L.", "PP"], [[[0, 1, 60], [4, 1, 62]], [[0, 1, 80], [4, 2, 50], [6, 1, 55, drum]]]), [
    "0-1 60",
    "4-6 62",
  ]);
});
