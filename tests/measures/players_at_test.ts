/** Words over a stave say how many play it: a divided section is no louder than a whole one. */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import type { Part, Score } from "ripieno";
import type { Playing } from "ripieno/score";
import { noteSounds } from "../../lib/measures/balance/note_sound.ts";
import { lastAt, playersAt, playersOfNotes } from "../../lib/measures/players_at.ts";
import { type LineNote, smallScore } from "./small_scores.ts";

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

Deno.test("playersAt(): the last words before a place hold from where they stand; a 2 and div. are two at least", () => {
  const at = (ticks: number, name: string, players: number, ...playing: readonly Partial<Playing>[]) =>
    playersAt({
      name,
      players,
      playing: playing.map((one) =>
        ({ fromTicks: 10, kind: "solo", words: one.kind ?? "solo", ...one }) as Playing
      ),
    }, ticks);
  assertEquals([9, 10, 11].map((ticks) => lastAt([{ fromTicks: 10 }], ticks)?.fromTicks), [
    undefined,
    10,
    10,
  ]);
  assertEquals([at(9, "Flutes", 3, {}), at(10, "Flutes", 3, {}), at(10, "Flutes", 3, { count: 2 })], [
    3,
    1,
    2,
  ]);
  assertEquals([at(10, "Flutes", 3, { kind: "all" }), at(10, "Flutes", 3)], [3, 3]);
  const two = { kind: "unison" } as const;
  assertEquals([at(10, "Flutes", 1, two), at(10, "Flute 1", 1, two), at(10, "Flute 1", 2, two)], [2, 1, 2]);
  assertEquals([at(10, "Flutes", 3, two), at(10, "Flutes", 2, { ...two, count: 4 })], [3, 4]);
  // Two numbers at one place divide the line, the same one twice does not, nor one after another.
  const numbered = (...words: readonly string[]) => words.map((one) => ({ words: one, count: 1 }));
  assertEquals(at(10, "Violins", 12, ...numbered("I.", "II.")), 12);
  assertEquals([
    at(10, "Violins", 12, ...numbered("I.", "I.")),
    at(10, "Violins", 1, ...numbered("I.", "II.")),
  ], [1, 2]);
  assertEquals(at(20, "Violins", 12, { words: "I." }, { words: "II.", fromTicks: 20 }), 1);
});

Deno.test("winds who share a stave have a note each where there are two, and one each where a voice rests", () => {
  const shares = (players: number, notes: readonly LineNote[]) => {
    const score = smallScore([{ instrument: "flute", name: "Flutes", role: "pad", notes, players }], {
      bars: 3,
    });
    return score.notes.map(playersOfNotes(score));
  };
  const note = (at: number, quarters: number, pitch: number, voice = 1): LineNote => ({
    at,
    quarters,
    pitch,
    voice,
  });
  assertEquals(shares(2, [note(0, 4, 72), note(4, 4, 72), note(4, 4, 76)]), [2, 1, 1]);
  assertEquals(shares(2, [note(0, 4, 72), note(0, 4, 72)]), [2, 2], "one pitch");
  assertEquals(
    shares(2, [72, 76, 79].map((pitch) => note(0, 4, pitch))),
    [1, 1, 1],
    "nobody is less than one",
  );
  assertEquals(shares(4, [72, 76].map((pitch) => note(0, 4, pitch))), [2, 2]);
  // What is held counts where another begins, to its end.
  assertEquals([shares(2, [note(0, 4, 72), note(2, 2, 76)]), shares(2, [note(0, 2, 72), note(2, 2, 76)])], [[
    2,
    1,
  ], [2, 2]]);
  // Two voices in a bar are two players in all of it; one that ends with the bar is not in the next.
  assertEquals(shares(2, [note(0, 2, 72), note(2, 2, 76, 2), note(4, 4, 74)]), [1, 1, 2]);
  assertEquals(shares(2, [note(0, 5, 72, 2), note(5, 1, 74), note(8, 4, 74)]), [2, 1, 2]);
  assertEquals(shares(2, [note(0, 4 + 1 / 96, 72, 2), note(5, 1, 74)]), [2, 1], "a tick is in it");
  // One player plays all notes, and cues and grace notes are nobody's.
  assertEquals(shares(1, [note(0, 4, 72), note(0, 4, 76)]), [1, 1]);
  assertEquals(shares(2, [note(0, 4, 72), { ...note(0, 4, 76), cue: true }]), [2, 2]);
});
