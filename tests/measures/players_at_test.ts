/** Words over a stave say how many play it: a divided section is no louder than a whole one. */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import type { Part, Score } from "ripieno";
import type { Playing } from "ripieno/score";
import { noteSounds } from "../../lib/measures/balance/note_sound.ts";
import { playersOfNotes } from "../../lib/measures/players_at.ts";
import { smallScore } from "./small_scores.ts";

/** Violins in chords of two, one bar each, with words over them. */
function violins(playing: readonly Playing[], name = "Violin I"): Score {
  const notes = [0, 4, 8, 12].flatMap((
    at,
  ) => [{ at, quarters: 4, pitch: 67 }, { at, quarters: 4, pitch: 74 }]);
  const score = smallScore([{ instrument: "violin", name, role: "pad", notes, players: 12 }], { bars: 4 });
  const part: Part = { ...score.parts[0]!, playing };
  return { ...score, parts: [part] };
}

const words = (
  score: Score,
  ...list: readonly (readonly [bar: number, kind: Playing["kind"], count?: number])[]
) =>
  list.map(([bar, kind, count]): Playing => ({
    fromTicks: score.bars[bar]!.startTicks,
    kind,
    words: kind,
    ...count === undefined ? {} : { count },
  }));

Deno.test("div. shares the players between the pitches that sound, unis. and tutti bring them together, a solo is one", () => {
  const plain = violins([]);
  assertEquals(plain.notes.map(playersOfNotes(plain)), Array(8).fill(12));
  const score = violins(words(plain, [1, "divided"], [2, "solo", 1], [3, "all"]));
  assertEquals(score.notes.map(playersOfNotes(score)), [12, 12, 6, 6, 1, 1, 12, 12]);
  const desk = { ...score, parts: score.parts.map((part) => ({ ...part, players: 2 })) };
  assertEquals(desk.notes.map(playersOfNotes(desk)), [2, 2, 1, 1, 1, 1, 2, 2], "one desk, too");
  const named = violins([], "Violini I div.");
  assertEquals(named.notes.map(playersOfNotes(named)), Array(8).fill(6));
});

Deno.test("a divided section sends out as much power as all of it on one note, undivided double stops more", () => {
  const plain = violins([]);
  const options = { hallStrengthDb: 3, gridStepCam: 0.5, accentSteps: 1 };
  const wattsOf = (score: Score, bar: number) => {
    const sounds = noteSounds(score, options, { detail: "quick" });
    return score.notes.filter((n) => n.onsetTicks === score.bars[bar]!.startTicks)
      .reduce((sum, n) => sum + sounds.of(n).powerWatts, 0);
  };
  const divided = violins(words(plain, [1, "divided"]));
  assertAlmostEquals(wattsOf(divided, 1) / wattsOf(plain, 1), 0.5, 1e-9);
  assertAlmostEquals(wattsOf(divided, 0) / wattsOf(plain, 0), 1, 1e-9);
  assert(wattsOf(violins(words(plain, [1, "solo", 1])), 1) < wattsOf(plain, 1) / 11.9);
});

Deno.test("a wind player's words change nothing: a 2 and solo over a stave of one are left over from a shared one", () => {
  const plain = violins([]);
  const wind = {
    ...plain,
    parts: [{
      ...plain.parts[0]!,
      name: "Flute 1",
      instrument: "flute",
      players: 1,
      playing: words(plain, [1, "unison", 2], [2, "solo", 1]),
    }],
  };
  assertEquals(wind.notes.map(playersOfNotes(wind)), Array(8).fill(1));
});
