import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { InputError } from "../../../lib/base/errors.ts";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import type { Note, Score } from "../../../lib/score/model.ts";
import { playingOrder } from "../../../lib/score/playing_order.ts";

// Expected values are worked out by hand from the ABC music standard 2.1 (December 2011), whose sections are
// named beside them; the standard is quoted from memory.

/** A tune with head; by default 4/4, unit length 1/8, C major. */
function tune(
  music: string,
  head: { readonly M?: string; readonly L?: string; readonly K?: string; readonly more?: string } = {},
): Score {
  return readAbc(
    `X:1\nT:Test\nM:${head.M ?? "4/4"}\nL:${head.L ?? "1/8"}\n${head.more ?? ""}K:${
      head.K ?? "C"
    }\n${music}\n`,
    { file: "test.abc" },
  );
}

const pitches = (s: Score) => s.notes.map((n) => n.soundingPitch);
/** Lengths in eighths, whatever the grid. */
const eighths = (s: Score) => s.notes.map((n) => n.durationTicks * 2 / s.ticksPerQuarter);
const onsets = (s: Score) => s.notes.map((n) => n.onsetTicks * 2 / s.ticksPerQuarter);
const pick = <K extends keyof Note>(s: Score, key: K): Note[K][] => s.notes.map((n) => n[key]);
const noticed = (s: Score) => Object.fromEntries(s.notices.map((n) => [n.what, n.count]));

Deno.test("octaves: C is middle C, lower case an octave up, marks move by octaves (4.1)", () => {
  assertEquals(pitches(tune("C c C, c' C,, c'' A a")), [60, 72, 48, 84, 36, 96, 69, 81]);
});

Deno.test("keys and modes alter notes, accidentals override them (3.1.14, 4.2)", () => {
  assertEquals(pitches(tune("FCB E F =F ^^F __B", { K: "D" })), [66, 61, 71, 64, 66, 65, 67, 69]);
  const fifths = (key: string) => tune("C8", { K: key }).bars[0]!.keyFifths;
  assertEquals(
    [
      "C",
      "Am",
      "Dm",
      "F#",
      "Bb",
      "D dorian",
      "Amix",
      "E phrygian",
      "Flyd",
      "Bloc",
      "Ebminor",
      "HP",
      "none",
      "",
    ].map(fifths),
    [0, 0, -1, 6, -2, 0, 2, 0, 0, 0, -6, 2, 0, 0],
  );
  assertEquals(pitches(tune("B f e A", { K: "D exp _b ^f", L: "1/4" })), [70, 78, 76, 69]);
  assertEquals(pitches(tune("B G A F", { K: "Gm ^f", L: "1/4" })), [70, 67, 69, 66]);
});

Deno.test("an accidental lasts to the bar line and in all octaves, unless the tune says otherwise (4.2, 11.3)", () => {
  assertEquals(pitches(tune("^F2 F2 f2 F2 | F8")), [66, 66, 78, 66, 65]);
  assertEquals(pitches(tune("^F2 F2 f2 F2 | F8", { more: "I:propagate-accidentals octave\n" })), [
    66,
    66,
    77,
    66,
    65,
  ]);
  assertEquals(pitches(tune("^F2 F2 f2 F2 | F8", { more: "%%propagate-accidentals not\n" })), [
    66,
    65,
    77,
    65,
    65,
  ]);
});

Deno.test("a tie over the bar line keeps the accidental and makes one note (4.11)", () => {
  const s = tune("^F8- | F4 F4");
  assertEquals(pitches(s), [66, 65]);
  assertEquals(eighths(s), [12, 4]);
  assertEquals(pick(s, "noteheads"), [2, 1]);
});

Deno.test("lengths: whole numbers, fractions and slashes (4.3)", () => {
  assertEquals(eighths(tune("A2 A3/2 A/ A/2 A/4 A// A A A/2 A/2 |]", { M: "none" })), [
    2,
    1.5,
    0.5,
    0.5,
    0.25,
    0.25,
    1,
    1,
    0.5,
    0.5,
  ]);
});

Deno.test("unit length without L: a sixteenth below 3/4, else an eighth (3.1.7)", () => {
  const first = (metre: string) => readAbc(`X:1\nM:${metre}\nK:C\nA |]`).notes[0]!;
  const length = (metre: string) => {
    const s = readAbc(`X:1\nM:${metre}\nK:C\nA |]`);
    return first(metre).durationTicks / s.ticksPerQuarter;
  };
  assertEquals([length("2/4"), length("3/4"), length("6/8"), length("C|")], [0.25, 0.5, 0.5, 0.5]);
});

Deno.test("broken rhythm: dotted and double-dotted, both ways, rests too (4.4)", () => {
  assertEquals(eighths(tune("A>B A<B A>>B A<<B")), [1.5, 0.5, 0.5, 1.5, 1.75, 0.25, 0.25, 1.75]);
  assertEquals(onsets(tune("A2>B2 z>c A2")), [0, 3, 5.5, 6]);
  assertEquals(eighths(tune("[AC]>[BD] z6")), [1.5, 1.5, 0.5, 0.5]);
});

Deno.test("triplets and other tuplets, with p:q:r, are exact (4.13)", () => {
  const s = tune("(3ABC (3:2:2A2B (5ABCDE A2");
  // (3 = 3 in the time of 2; (3:2:2 two notes; (5 in 4/4 = 5 in the time of 2.
  assertEquals(onsets(s).slice(0, 4).map((n) => Math.round(n * 3)), [0, 2, 4, 6]);
  assertEquals(s.bars[0]!.durationTicks, s.ticksPerQuarter * 4);
  assert(s.notes.every((n) => Number.isInteger(n.onsetTicks)));
  assertEquals(eighths(tune("(2AB (4ABCD", { M: "6/8" })), [1.5, 1.5, 0.75, 0.75, 0.75, 0.75]);
});

Deno.test("rests, invisible rests, bars of rest (4.5)", () => {
  const s = tune("A2 z2 x4 | Z2 | A8");
  assertEquals(onsets(s), [0, 32 - 8]);
  assertEquals(s.bars.map((b) => b.number), ["1", "2", "3", "4"]);
});

Deno.test("chords are held for their first note's length, with a length outside multiplied in (4.17)", () => {
  const s = tune("[CEG]4 [C2E4]2");
  assertEquals(pitches(s), [60, 64, 67, 60, 64]);
  assertEquals(eighths(s), [4, 4, 4, 4, 4]);
  assertEquals(pick(tune("[C-E]4 [CE]4"), "noteheads"), [2, 1, 1]);
  assertEquals(eighths(tune("[CE]4- [CE]4")), [8, 8]);
});

Deno.test("chord symbols go to score.chords where they stand; words above the line are not chords (4.18, 4.19)", () => {
  const s = tune(`"Dm7"A2 "^hum"A2 "G7/B"A4 | "Cmaj7"A8`);
  assertEquals(s.chords.map((c) => [c.onsetTicks * 2 / s.ticksPerQuarter, c.symbol]), [[0, "Dm7"], [
    4,
    "G7/B",
  ], [8, "Cmaj7"]]);
  assertEquals(noticed(s)['words over the music ("^…"): not used'], 1);
});

Deno.test("annotations that name a way of playing are used", () => {
  assertEquals(pick(tune(`"^pizz."A4 "^arco"A4`), "technique"), ["pizzicato", "ordinario"]);
});

Deno.test("decorations: dynamics, hairpins, accents, staccato, trill (4.14)", () => {
  const s = tune("!p! !<(! A2 A2 A2 !<)! A2 | !f! .A2 !accent!A2 TA2 !tenuto!!marcato!A2");
  // The hairpin ends on the last note of the bar; the forte one quarter later is where it leads.
  assertEquals(pick(s, "dynamic"), [3, 3.75, 4.5, 5.25, 6, 6, 6, 6]);
  assertEquals(pick(s, "articulations").slice(4), [["staccato"], ["accent"], [], ["tenuto", "marcato"]]);
  assertEquals(pick(s, "trill").slice(4), [false, false, true, false]);
  const reached = tune("!p! !<(! A2 A2 A2 A2 | !<)! !f! A8");
  assertEquals(pick(reached, "dynamic"), [3, 3.75, 4.5, 5.25, 6]);
});

Deno.test("a slide up to a note is a scoop: it starts from no note, so it is no line between two (4.14, from memory)", () => {
  const s = tune("!slide!A4 ~B4");
  assertEquals(s.notes[0]!.signs, ["scoop"]);
  assertEquals(s.notes.flatMap((n) => n.glissandi ?? []), []);
  assertEquals(noticed(s)["decoration !roll!: not used"], 1);
});

Deno.test("pauses, rit. and words about players are kept (4.14, 4.19)", () => {
  const s = tune('"^a 2"A4 "^rit."B4 | HA6 !fermata!!upbow!B2');
  const eighth = s.ticksPerQuarter / 2;
  assertEquals(
    s.tempoBends!.map((b) => [b.kind, b.onsetTicks / eighth, (b.endTicks ?? 0) / eighth, b.words]),
    [
      ["slower", 4, 0, "rit."],
      ["pause", 8, 14, ""],
      ["pause", 14, 16, ""],
    ],
  );
  assertEquals(s.parts[0]!.playing, [{ fromTicks: 0, kind: "unison", count: 2, words: "a 2" }]);
  assertEquals(s.notes.at(-1)!.signs, ["up-bow"]);
});

Deno.test("slurs nest, cover all notes after the first, and end on the note before the bracket (4.11)", () => {
  const s = tune("(A B c) d (A (B c) d)");
  assertEquals(pick(s, "slurred"), [false, true, true, false, false, true, true, true]);
  assertEquals(pick(s, "slurStart"), [true, false, false, false, true, true, false, false]);
  assertEquals(pick(s, "slurStop"), [false, false, true, false, false, false, true, true]);
});

Deno.test("grace notes have no length and take none (4.12)", () => {
  const s = tune("{ag}A4 {/c}B4");
  assertEquals(s.notes.filter((n) => n.grace).map((n) => n.soundingPitch), [81, 79, 72]);
  assertEquals(s.notes.filter((n) => !n.grace).map((n) => [n.soundingPitch, n.onsetTicks]), [[69, 0], [
    71,
    2 * s.ticksPerQuarter,
  ]]);
});

Deno.test("all spellings of bar lines end a bar once; repeats and endings are kept with their bars (4.8, 4.9)", () => {
  const s = tune("|: A8 | B8 |1 c8 :|2 d8 || [| e8 :: f8 :||: g8 .| a8 |]");
  assertEquals(pitches(s), [69, 71, 72, 74, 76, 77, 79, 81]);
  assertEquals(s.bars.map((b) => b.number), ["1", "2", "3", "4", "5", "6", "7", "8"]);
  assertEquals(s.bars.map((b) => b.repeat), [
    { start: true },
    undefined,
    { times: 2, endings: [1] },
    { endings: [2] },
    { times: 2 },
    { start: true, times: 2 },
    { start: true },
    undefined,
  ]);
  assertEquals(pitches(tune("A8 | [1 B8 :| [2 c8 |]")), [69, 71, 72]);
});

Deno.test("bars are played as often as dots, brackets and jumps say (4.8, 4.9, 4.14)", () => {
  const played = (music: string) => playingOrder(tune(music)).map((bar) => bar + 1).join(" ");
  assertEquals(played("|: A8 | B8 |1 c8 :|2 d8 || e8 :: f8 :| g8 |]"), "1 2 3 1 2 4 5 5 6 6 7");
  assertEquals(played("|: A8 | [1,3 B8 :| [2 c8 :| [4 d8 |]"), "1 2 1 3 1 2 1 4");
  assertEquals(played("A8 |:: B8 ::| c8 |]"), "1 2 2 2 3");
  assertEquals(played("A8 | !segno!B8 | c8 !fine!| d8 !D.S.alfine! |]"), "1 2 3 4 2 3");
  assertEquals(played("A8 | B8 !dacoda! | c8 !D.C.alcoda! || !coda!d8 |]"), "1 2 3 1 2 4");
});

Deno.test("metre: C, C|, sums; changes in the body and in brackets; 3/4 after 4/4 (3.1.6)", () => {
  assertEquals(
    [tune("A8", { M: "C" }).bars[0], tune("A8", { M: "C|" }).bars[0]].map((b) => [b!.beats, b!.beatUnit]),
    [[4, 4], [2, 2]],
  );
  const s = tune("A8 | [M:3/4] A6 | A6 |\nM:2+3/8\nA5 |]");
  assertEquals(s.bars.map((b) => [b.beats, b.beatUnit]), [[4, 4], [3, 4], [3, 4], [5, 8]]);
  assertEquals(s.bars.map((b) => b.startTicks * 2 / s.ticksPerQuarter), [0, 8, 14, 20]);
});

Deno.test("tempo: beats, words, the old bare form, and changes inside the music (3.1.8)", () => {
  const tempo = (q: string) => tune("A8", { more: `Q:${q}\n` }).tempos[0]!;
  assertEquals(tempo("1/4=132").quartersPerMinute, 132);
  assertEquals(tempo('"Andante" 3/8=40').quartersPerMinute, 60);
  assertEquals(tempo("1/4 1/8=80").quartersPerMinute, 120);
  assertEquals(tempo("120").quartersPerMinute, 60);
  assertEquals(tempo('"Adagio"'), {
    onsetTicks: 0,
    quartersPerMinute: 66,
    origin: "assumed",
    words: "Adagio",
  });
  assertEquals(tempo('"Allegretto" 1/4=104').words, "Allegretto");
  const s = tune("A8 | A4 [Q:1/4=90] A4", { more: "Q:1/4=60\n" });
  assertEquals(s.tempos.map((t) => [t.onsetTicks * 2 / s.ticksPerQuarter, t.quartersPerMinute]), [[0, 60], [
    12,
    90,
  ]]);
});

Deno.test("voices become parts, by id or by name; an instrument's name is recognised (7)", () => {
  const s = tune('V:tune\n"C"c8 | d8 |]\nV:bass\nC,8 | D,8 |]', {
    more: 'V:tune name="Flute"\nV:bass clef=bass octave=-1\n',
  });
  assertEquals(s.parts.map((p) => [p.id, p.name, p.instrument, p.instrumentFrom]), [
    ["tune", "Flute", "flute", "name"],
    ["bass", "bass", "piano", "given"],
  ]);
  assertEquals(s.notes.map((n) => [n.part, n.onsetTicks * 2 / s.ticksPerQuarter, n.soundingPitch]), [
    [0, 0, 72],
    [1, 0, 36],
    [0, 8, 74],
    [1, 8, 38],
  ]);
  assertEquals(tune("[V:1] A8 | A8 |\n[V:2] C8 | C8 |").parts.map((p) => p.name), ["1", "2"]);
  assertEquals(tune("A8").parts.map((p) => p.name), ["tune"]);
});

Deno.test("an overlay starts its bar again (7.4)", () => {
  const s = tune("A8 & C4 E4 | A8");
  assertEquals(s.notes.map((n) => [n.soundingPitch, n.onsetTicks * 2 / s.ticksPerQuarter, n.voice]), [
    [60, 0, 2],
    [69, 0, 1],
    [64, 4, 2],
    [69, 8, 1],
  ]);
});

Deno.test("a pickup is bar 0, the last bar and bars cut by a repeat may be short", () => {
  const s = tune("A2 | B8 | c6 :| d2 | e8 | f4 |]");
  assertEquals(s.bars.map((b) => b.number), ["0", "1", "2", "3", "4", "5"]);
  assertEquals(s.bars.map((b) => b.durationTicks * 2 / s.ticksPerQuarter), [2, 8, 6, 2, 8, 4]);
});

Deno.test("sections are named, key changes stand at their bar, remarks and words to sing are passed over", () => {
  const s = tune("P:Calm\nA8 | % a remark | B8 |\nw: la la\nA8 |\nP:Storm\n[K:A] c8 |]");
  assertEquals(s.bars.map((b) => [b.rehearsal ?? "", b.keyFifths]), [["Calm", 0], ["", 0], ["Storm", 3]]);
  assertEquals(pitches(s), [69, 69, 73]);
  assertEquals(noticed(s)["words to sing (w:): not used"], 1);
});

Deno.test("title, composer, line continuation and Windows line ends", () => {
  const s = readAbc("X:1\r\nT:One\r\nT:Two\r\nC:N. N.\r\nM:4/4\r\nL:1/4\r\nK:C\r\nA A \\\r\nA A |]\r\n");
  assertEquals([s.title, s.composer, s.notes.length, s.bars.length], ["One", "N. N.", 4, 1]);
  assertEquals(noticed(s)["further titles (T:): not used"], 1);
});

Deno.test("only the first of several tunes is read, and that is said", () => {
  const s = readAbc("X:1\nT:One\nK:C\nA8 |]\n\nX:2\nT:Two\nK:C\nB8 |]\n");
  assertEquals(pitches(s), [69]);
  assertEquals(noticed(s)["further tunes in the file: not read"], 1);
});

Deno.test("a bar that does not fill its metre is refused with bar, line and column", () => {
  const error = assertThrows(() => tune("A8 | A4 A3 | A8 |]"), InputError) as InputError;
  assertEquals(
    error.message,
    "Cannot read the ABC tune: the bar is too short: it lasts 7/8, not 4/4 (test.abc, bar 2, row 6, column 12). Correct its note lengths, or the time signature.",
  );
  assertThrows(() => tune("A8 | A8 A | A8"), InputError, "too long: it lasts 9/8, not 4/4");
  assertThrows(() => tune("V:a\nA8 | A8 | A8\nV:b\nA8 | A4 A2 | A8"), InputError, "b, bar 2");
});

Deno.test("what is not ABC is refused with line and column", () => {
  const cases: [string, string, number, number][] = [
    ["A4 ? A4", `"? A4" is not ABC`, 6, 4],
    ["A4 h A4", `"h A4" is not ABC`, 6, 4],
    ['A4 "Dm A4', "a quotation mark is not closed", 6, 4],
    ["A4 !p A4", "a decoration is not closed", 6, 4],
    ["[CEG", "a chord is not closed", 6, 1],
    ["[] A4", "a chord holds no notes", 6, 1],
    ["{ag", "grace notes are not closed", 6, 1],
    ["A4) A4", "a slur ends that has not begun", 6, 3],
    ["- A8", "a tie follows no note", 6, 1],
    ["> A8", "needs a note or rest on both sides", 6, 1],
    ["A4 [M:x] A4", `"M:x" cannot be read`, 6, 4],
    ["A4/0 A4", `"4/0" is not a length`, 6, 1],
    ["A4 Z A4", `"Z" cannot stand here`, 6, 4],
    ["c'''''' A4", "outside all instruments", 6, 1],
    ["m:~n2 = n", "macro", 6, 1],
    ["j:x", `"j:x" cannot be read`, 6, 1],
  ];
  for (const [music, problem, row, column] of cases) {
    const error = assertThrows(() => tune(music), InputError, problem) as InputError;
    assertEquals([music, error.where.row, error.where.column], [music, row, column]);
    assertEquals(error.where.file, "test.abc");
  }
  assertThrows(() => readAbc("X:1\nT:No key\n"), InputError, "no key field");
  assertThrows(() => readAbc("X:1\nA8 |]\n"), InputError, "music begins before the key");
  assertThrows(() => tune("z8"), InputError, "holds no notes");
  assertThrows(() => readAbc("X:1\nK:H\nA8"), InputError, `"K:H" cannot be read`);
});

Deno.test("an eight-bar tune comes out as written, second by second", () => {
  const s = tune(
    `"Dm"D2 F2 | "Bb"d2 ^c2 | "Gm7"B>A G2 | "A7"(3A^cA e2 |`,
    { M: "4/4", L: "1/4", K: "Dm", more: "Q:1/4=60\n" },
  );
  assertEquals(pitches(s), [62, 65, 74, 73, 70, 69, 67, 69, 73, 69, 76]);
  const quarters = s.notes.map((n) => n.onsetTicks / s.ticksPerQuarter);
  const expected = [0, 2, 4, 6, 8, 9.5, 10, 12, 12 + 2 / 3, 12 + 4 / 3, 14];
  quarters.forEach((q, i) => assertAlmostEquals(q, expected[i]!, 1e-9));
});
