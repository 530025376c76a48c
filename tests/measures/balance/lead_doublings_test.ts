import { assert, assertAlmostEquals, assertEquals, assertLess } from "@std/assert";
import { balance, textureOf } from "ripieno";
import { soundingNotes } from "ripieno/score";
import { leadDoublings } from "../../../lib/measures/balance/lead_doublings.ts";
import { type Line, type LineNote, smallScore } from "../small_scores.ts";

const tune = [74, 76, 78, 79, 81, 79, 78, 76];
const line = (pitches: readonly number[], more: Partial<LineNote> = {}): readonly LineNote[] =>
  pitches.map((pitch, i) => ({ at: i, quarters: 1, pitch, dynamic: 5, ...more }));
const lead: Line = { instrument: "oboe", role: "lead", layer: "lead", notes: line(tune) };
const beside = (notes: readonly LineNote[]): Line => ({
  instrument: "violin",
  role: "pulse",
  players: 12,
  notes,
});

function doubled(other: Line): number {
  const score = smallScore([lead, other]);
  return [...leadDoublings(score, textureOf(score), soundingNotes(score))].filter((n) => n.part === 1).length;
}

Deno.test("leadDoublings(): unison, octaves and the tune in repeated notes double it", () => {
  assertEquals(doubled(beside(line(tune))), 8);
  assertEquals(doubled(beside(line(tune.map((p) => p - 12)))), 8);
  const halves = tune.flatMap((pitch, i) =>
    [0, 0.5].map((d) => ({ at: i + d, quarters: 0.5, pitch, dynamic: 5 }))
  );
  assertEquals(doubled(beside(halves)), 16);
});

Deno.test("leadDoublings(): thirds, another rhythm, a held note and chord tones met by chance do not", () => {
  assertEquals(doubled(beside(line(tune.map((p) => p - 3)))), 0);
  assertEquals(doubled(beside([{ at: 0, quarters: 8, pitch: 74, dynamic: 5 }])), 0);
  assertEquals(doubled(beside(line(tune.map(() => 74)))), 0);
});

Deno.test("leadDoublings(): three notes of five that go with the lead are enough, two are not, nor is one pitch in octaves", () => {
  const first = (count: number) => tune.slice(0, 5).map((p, i) => i < count ? p : p - 3);
  assertEquals([doubled(beside(line(first(3)))), doubled(beside(line(first(2))))], [3, 0]);
  assertEquals(doubled(beside([line(tune)[0]!, { at: 0, quarters: 1, pitch: 62, dynamic: 5 }])), 0);
});

Deno.test("leadDoublings(): who leads is asked bar by bar, and the bars before and after tell whether a part goes with the lead", () => {
  // Of six notes, four in one bar and two in the other, those of the bar in which it leads go with it.
  const doubledIn = (bar: number, without: readonly number[]) => {
    const score = smallScore([beside(line(tune).filter((n) => !without.includes(n.at))), lead]);
    const read = textureOf(score);
    const cells = read.cells.map((cell): typeof cell =>
      cell.part === 1 && cell.barIndex !== bar ? { ...cell, role: "pad" } : cell
    );
    return [...leadDoublings(score, { ...read, cells }, soundingNotes(score))]
      .map((n) => [n.part, n.onsetTicks / 96]);
  };
  assertEquals([doubledIn(0, [6, 7]), doubledIn(0, [2, 3])], [[0, 1, 2, 3].map((at) => [0, at]), []]);
  assertEquals([doubledIn(1, [2, 3]), doubledIn(1, [6, 7])], [[4, 5, 6, 7].map((at) => [0, at]), []]);
  // One note that goes with the lead in the first bar, three in the second, which is enough for both or for neither.
  const apart = (
    second: number,
  ) => [tune[0]!, 60, 60, 60, ...tune.slice(4).map((p, i) => i < second ? p : 60)];
  const inBoth = (second: number) => {
    const both = smallScore([beside(line(apart(second))), lead]);
    return [...leadDoublings(both, textureOf(both), soundingNotes(both))].length;
  };
  assertEquals([inBoth(4), inBoth(3)], [5, 0]);
});

Deno.test("balance(): what doubles the lead does not cover it, and does not count for it", () => {
  const share = (other: Line) => balance(smallScore([lead, other])).whole.audibleShare!;
  const soft = (notes: readonly LineNote[]) => ({ ...beside(notes), players: 4 });
  assertAlmostEquals(share(soft(line(tune))), 1, 0.02);
  assertLess(share(soft(line(tune.map((p) => p - 3)))), 0.9);
  assert(balance(smallScore([lead, beside(line(tune))])).whole.powerDb! < 0);
});

Deno.test("balance(): a part on the lead's own pitch supports it there and covers it elsewhere, an octave below it covers", () => {
  const share = (other: Line) =>
    balance(smallScore([lead, other])).perNote.map((n) => Number(n.audibleShare.toFixed(3)));
  const trombone = (pitch: number, at: number, quarters: number): Line => ({
    instrument: "tenor trombone",
    role: "pad",
    players: 3,
    notes: [{ at, quarters, pitch, dynamic: 7 }],
  });
  const covered = (shares: readonly number[]) => shares.map((s) => s < 0.7);
  const [no, yes] = [false, true];
  // The tune: D5 E5 F#5 G5 A5 G5 F#5 E5. Begun together on its D; already sounding before its F#; entering under its A.
  assertEquals(covered(share(trombone(74, 0, 2))), [no, yes, no, no, no, no, no, no]);
  assertEquals(covered(share(trombone(78, 1, 2))), [no, yes, no, no, no, no, no, no]);
  assertEquals(covered(share(trombone(81, 4.5, 1))), [no, no, no, no, no, yes, no, no]);
  assertEquals(covered(share(trombone(62, 0, 2))), [yes, yes, no, no, no, no, no, no]);
});
