/** What a sketch takes from a small score: the tune, and harmony bar by bar. */
import { assert, assertEquals, assertThrows } from "@std/assert";
import { InputError } from "../../../lib/base/errors.ts";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { sketchOf } from "../../../lib/orchestrate/plan/sketch.ts";
import { SKETCHES } from "../sketches.ts";

function sketch(body: string) {
  return sketchOf(readAbc(`X:1\nT:t\nM:4/4\nL:1/4\nQ:1/4=90\nK:C\n${body}\n`, { file: "t.abc" }));
}

Deno.test("a chord lasts to the next one, cut at bar lines; N.C. ends it; what comes before the first has none", () => {
  const { harmonies, score } = sketch(`c4 | "C" c2 "F" f2 | f4 | "N.C." f4 | "G/B" g4 |]`);
  const quarters = (ticks: number) => ticks / score.ticksPerQuarter;
  assertEquals(
    harmonies.map((h) => [h.barIndex, h.symbol, quarters(h.onsetTicks), quarters(h.durationTicks)]),
    [
      [1, "C", 4, 2],
      [1, "F", 6, 2],
      [2, "F", 8, 4],
      [4, "G/B", 16, 4],
    ],
  );
});

// Chord tones as every harmony book has them.
Deno.test("chord symbols give the tones harmony books give, root first, and the bass after the slash", () => {
  const cases: Readonly<Record<string, readonly [string, string]>> = {
    "C": ["C E G", "C"],
    "Dm": ["D F A", "D"],
    "Bb": ["Bb D F", "Bb"],
    "F#m": ["F# A C#", "F#"],
    "A7": ["A C# E G", "A"],
    "Dm7": ["D F A C", "D"],
    "Bbmaj7": ["Bb D F A", "Bb"],
    "Em7b5": ["E G Bb D", "E"],
    "Asus4": ["A D E", "A"],
    "Bdim": ["B D F", "B"],
    "Caug": ["C E G#", "C"],
    "F/A": ["F A C", "A"],
    "C/Bb": ["C E G", "Bb"],
  };
  for (const [symbol, [tones, bass]] of Object.entries(cases)) {
    const [harmony] = sketch(`"${symbol}" c4 |]`).harmonies;
    assertEquals([harmony!.tones.map((t) => t.name).join(" "), harmony!.bass.name], [tones, bass], symbol);
  }
});

Deno.test("where the tune has chords, the top note is the tune", () => {
  assertEquals(sketch(`"C" [ceg]2 [eg]2 |]`).tune.map((n) => n.soundingPitch), [79, 79]);
});

Deno.test("without a tune, without chords, or with a word for a chord, the sketch is refused with place and remedy", () => {
  const refusals: readonly (readonly [() => unknown, RegExp])[] = [
    [() => sketch("c4 |]"), /it has no chord symbols, .* \(t\.abc\)\. Write chord symbols/],
    [
      () => sketch(`"C" c4 | c2 "Xyz9" c2 |]`),
      /"Xyz9" is not a chord symbol \(t\.abc, bar 2, beat 3\)\. Write it as/,
    ],
    [
      () => {
        const { score } = sketch(`"C" c4 |]`);
        return sketchOf({ ...score, notes: score.notes.map((n) => ({ ...n, part: 1 })) });
      },
      /its first part holds no notes/,
    ],
  ];
  for (const [call, message] of refusals) {
    const error = assertThrows(call, InputError);
    assert(message.test(error.message), error.message);
  }
});

Deno.test("a pickup and a change of key are kept", () => {
  const { score, harmonies } = SKETCHES["pickup, change of key"]!;
  assertEquals(score.bars.slice(0, 2).map((b) => b.number), ["0", "1"]);
  assertEquals(score.bars.map((b) => b.keyFifths), [1, 1, 1, 1, 1, 4, 4, 4, 4]);
  assertEquals(harmonies[0]!.barIndex, 1);
});
