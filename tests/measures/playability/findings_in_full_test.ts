/**
 * One finding of each rule in full: where it lies, its figure and limit, and what it says, worked out by hand. Limits are those
 * of the tables in `data`, or common practice without a source.
 */
import { assertEquals, assertMatch, assertStringIncludes } from "@std/assert";
import { playability } from "ripieno";
import { withFileDoubts } from "../../../lib/measures/playability/file_doubts.ts";
import type { FindingPlace } from "../../../lib/measures/playability/judge.ts";
import { findingsOf, type FindingsOptions, inTurn, quick } from "../findings_of.ts";
import { type LineNote, smallScore, TICKS_PER_QUARTER } from "../small_scores.ts";

/** All later by so many quarters, which are seconds; bar 2 begins after four. */
const after = (quarters: number, notes: readonly LineNote[]) =>
  notes.map((n) => ({ ...n, at: n.at + quarters }));

/** Findings as `severity rule, place, bars: figure against limit`, and what each says. */
function said(id: string, rule: string, notes: readonly LineNote[], options: FindingsOptions = {}) {
  return findingsOf(id, notes, { ...options, rule }).map((f) => [
    `${f.severity}, ${f.bar}:${f.beat}, bars ${f.fromBarIndex} to ${f.toBarIndex}: ` +
    `${Number(f.figure.toPrecision(3))} against ${Number(f.limit.toPrecision(3))}`,
    f.what,
  ]);
}

/** A line from a note to another. */
function glide(
  from: number,
  to: number,
  quarters: number,
  more: Partial<LineNote> = {},
): readonly LineNote[] {
  const glissandi = [{
    kind: "slide" as const,
    semitones: to - from,
    lengthTicks: quarters * TICKS_PER_QUARTER,
  }];
  return [{ at: 0, quarters, pitch: from, glissandi, ...more }, { at: quarters, quarters: 1, pitch: to }];
}

Deno.test("leaps are told from the note before the first to the end of the last, by the quickest", () => {
  const leaps = [[0, 0.5, 53], [0.5, 0.25, 65], [0.75, 0.125, 53], [0.875, 2, 65]] as const;
  const notes = leaps.map(([at, quarters, pitch]) => ({ at, quarters, pitch }));
  // Three octaves, of which that after half a second is safe; a quarter of a second, not quicker, is safe too.
  assertEquals(said("horn in F", "leaps", after(7, notes)), []);
  assertEquals(said("horn in F", "leaps", after(7, inTurn([53, 65, 53, 65], 0.125))), [[
    "risky, 2:4, bars 1 to 1: 0.125 against 0.25",
    "3 wide leaps in turn, F3 to F4 in 0.13 s; the lip, among close partials takes about 0.25 s",
  ]]);
  const [late] = said("horn in F", "leaps", after(7.75, inTurn([53, 65, 53, 65], 0.125)));
  assertEquals(late![0], "risky, 2:4.75, bars 1 to 2: 0.125 against 0.25");
  assertEquals(said("horn in F", "leaps", inTurn([53, 65], 0.125)), [], "one is prepared");
  const [two] = said("horn in F", "leaps", inTurn([53, 65, 54], 0.125));
  assertEquals(two![1]!.slice(0, 37), "2 wide leaps in turn, F3 to F4 in 0.1", "of equal ones the first");
  // On the violin from the G string to the E string; A3 to E4 and G4 lie on neighbours.
  const strings = (high: number, low = 56) => said("violin", "leaps", inTurn([low, high, low, high], 0.125));
  assertEquals(strings(83).map(([where]) => where), ["note, 1:1, bars 0 to 0: 0.125 against 0.15"]);
  assertEquals([strings(64), strings(74, 55)], [[], []], "the hand need not leave an open string");
  assertEquals(strings(88, 55).length, 1, "but the bow crosses two");
  const many = Array.from({ length: 16 }, (_, i) => 53 + 12 * (i % 2));
  const [long] = said("horn in F", "leaps", after(7, inTurn(many, 0.125)));
  assertEquals(long![0], "risky, 2:4, bars 1 to 2: 0.125 against 0.25", "to the last of fifteen");
});

Deno.test("a slide is told from note to note; its positions are the nearest that both notes have", () => {
  // On the alto trombone Eb3 is in first position, A2 in seventh.
  const slide = (to: number, quarters: number) =>
    said("alto trombone", "slide", after(7.5, inTurn([51, to], quarters)));
  assertEquals(slide(45, 0.125), [[
    "note, 2:4.5, bars 1 to 1: 0.125 against 0.18",
    "Eb3 to A2 moves the slide 6 positions in 0.13 s; it takes about 0.18 s",
  ]]);
  assertEquals(slide(45, 0.0625)[0]![0], "risky, 2:4.5, bars 1 to 1: 0.0625 against 0.18");
  assertEquals(
    [slide(47, 0.125).length, slide(48, 0.125).length],
    [1, 0],
    "four positions count, three do not",
  );
  assertEquals(slide(45, 0.1875), []);
  const intoNext: readonly LineNote[] = [{ at: 7.5, quarters: 0.125, pitch: 51 }, {
    at: 7.625,
    quarters: 1,
    pitch: 45,
  }];
  assertEquals(
    said("alto trombone", "slide", intoNext)[0]![0],
    "note, 2:4.5, bars 1 to 2: 0.125 against 0.18",
  );
});

Deno.test("trills, tremolos and bow strokes lie where they are written, and are told in notes and figures", () => {
  const trill = (pitch: number): LineNote => ({ at: 0, quarters: 3, pitch, trill: true });
  assertEquals(said("tenor trombone", "trill", after(6, [trill(57)])), [[
    "risky, 2:3, bars 1 to 2: 57 against 58",
    "a trill on A3; lip trills speak from Bb3 up",
  ]]);
  assertEquals(said("tenor trombone", "trill", after(6, [trill(58)])), []);
  const tremolo = (wide: number) =>
    inTurn([62, 62 + wide], 2, { tremoloSlashes: 3, tremoloAlternates: true });
  assertEquals(said("flute", "wide tremolo", after(6, tremolo(13))), [[
    "risky, 2:3, bars 1 to 2: 13 against 12",
    "a tremolo between D4 and Eb5, 13 semitones",
  ]]);
  assertEquals(said("flute", "wide tremolo", after(6, tremolo(12))), []);
  assertEquals(said("flute", "wide tremolo", tremolo(13).slice(0, 1)), [], "the second note is missing");
  assertEquals(said("violin", "bow stroke", after(6, quick(69, 16, 3, { articulations: ["spiccato"] }))), [[
    "note, 2:3, bars 1 to 2: 16 against 6.7",
    "spiccato at 16 per second; it goes up to 6.7, then the bow goes over into sautillé",
  ]]);
  const written = quick(70, 16, 4, { slurred: true }).map((n, i) => ({ ...n, pitch: 70 + 2 * (i % 2) }));
  assertEquals(said("clarinet in Bb", "trill rate", after(6, written)), [[
    "risky, 2:3, bars 1 to 2: 16 against 15",
    "a written-out trill at 16 per second; trill reaches 15",
  ]]);
});

Deno.test("rates are told with what the players reach, and with what some of them have", () => {
  assertEquals(said("oboe", "repeated-note rate", after(6, quick(67, 96 / 9, 2))), [[
    "risky, 2:3, bars 1 to 1: 10.7 against 8.7",
    "fast repeated or separate notes at 10.7 per second; single tonguing reaches 8.7, double tonguing, which only some players have, 11.7",
  ]]);
  const [beyond] = said("oboe", "repeated-note rate", after(6, quick(67, 12, 2)));
  assertEquals(beyond![0], "impossible, 2:3, bars 1 to 1: 12 against 8.7", "beyond double tonguing too");
  // Forty-eight strokes of a measured tremolo, to the end of the note in the second bar.
  assertEquals(said("oboe", "repeated-note rate", [{ at: 2, quarters: 6, pitch: 67, tremoloSlashes: 3 }]), [[
    "tiring, 1:3, bars 0 to 1: 8 against 7.61",
    "fast repeated or separate notes at 8 per second for 5.9 s; single tonguing keeps up 7.6 that long",
  ]]);
  const shared = (players: number) =>
    findingsOf("oboe", quick(67, 12, 2), { rule: "repeated-note rate", players })[0]!.remedy;
  assertStringIncludes(shared(1), "or share it between two players in turn");
  assertStringIncludes(shared(2), "or divide the players and let them take turns");
  // Fifteen of thirty steps to another note are a run, fourteen of twenty-nine are repeated notes.
  const pairs = Array.from({ length: 31 }, (_, i) => 60 + Math.ceil(i / 2) % 2 * 2);
  const inPairs = (from: number) =>
    said("tenor trombone", "repeated-note rate", inTurn(pairs.slice(from), 0.1));
  assertEquals(inPairs(0).map(([where]) => where), ["risky, 1:1, bars 0 to 0: 10 against 9"]);
  assertEquals(inPairs(1), []);
  // One in the bass at 16 a second has two or three periods to a note.
  const low = after(6, quick(28, 16, 2, { moving: true, slurred: true }));
  assertStringIncludes(
    said("double bass", "legato rate", low)[0]![1]!,
    "fast slurred notes at 16 per second",
  );
  assertStringIncludes(said("double bass", "legato rate", low)[0]![1]!, "heard as a rumble");
  const slurred = inTurn(pairs.map((pitch) => pitch - 32), 1 / 16, { slurred: true });
  assertStringIncludes(said("double bass", "legato rate", slurred)[0]![1]!, "rumble", "half of it moves");
  const [rumble] = findingsOf("double bass", low, { rule: "legato rate" });
  assertMatch(rumble!.remedy, /^Leave it as an effect, .*: leave out every second note, slow it down/);
  // Eight periods are enough to tell a pitch: of A2, 110 Hz, at 13.75 a second.
  const rumbles = (pitch: number) =>
    said("cello", "legato rate", quick(pitch, 16, 4, { moving: true, slurred: true }))[0]?.[1]?.includes(
      "rumble",
    );
  assertEquals([rumbles(45), rumbles(50)], [true, false]);
});

Deno.test("changes of manner are told with the seconds there are and those they take", () => {
  const change = (gap: number, quarters = 2) =>
    said(
      "cello",
      "change of manner",
      after(3, [
        { at: 0, quarters, pitch: 50 },
        { at: quarters + gap, quarters: 4, pitch: 50, technique: "pizzicato" },
      ]),
    );
  assertEquals(change(0.25), [[
    "note, 2:2.25, bars 1 to 2: 0.25 against 0.5",
    "bowed to plucked in 0.3 s; it takes 0.5 s, 1.5 s to do it calmly, so the note before will be cut short",
  ]]);
  assertEquals(change(0.5), []);
  const [solo, section] = [1, 8].map((players) =>
    findingsOf("cello", [{ at: 0, quarters: 2, pitch: 50 }, {
      at: 2.25,
      quarters: 2,
      pitch: 50,
      technique: "pizzicato",
    }], { rule: "change of manner", players })[0]!.remedy
  );
  assertEquals(
    [solo, section],
    [
      "give the notes after it to a second player",
      "let half the players change early while the others play on",
    ]
      .map((way) => `Leave a rest before the change, or ${way}`),
  );
  // Hurried, it comes off in three fifths of its half second: with the note before cut off, from 0.3 s.
  assertEquals(change(0, 0.25).map(([where]) => where), ["risky, 1:4.25, bars 0 to 1: 0 against 0.5"]);
  assertEquals(change(0, 0.3125).map(([where]) => where), ["note, 1:4.3125, bars 0 to 1: 0 against 0.5"]);
});

Deno.test("glissandi are told from note to note, with their speed or how long they last", () => {
  const speed = (id: string, notes: readonly LineNote[]) => said(id, "glissando speed", after(7, notes));
  assertEquals(speed("timpani", glide(43, 48, 0.25)), [[
    "risky, 2:4, bars 1 to 1: 20 against 14",
    "G2 up to C3 in 0.25 s is 20 semitones a second; a drum's pedal makes about 14",
  ]]);
  assertEquals(speed("timpani", glide(43, 48, 4)), [[
    "note, 2:4, bars 1 to 2: 4 against 1.5",
    "G2 up to C3 over 4 s on one stroke dies away on the way; it is heard for about 1.5 s",
  ]]);
  assertEquals(speed("timpani", glide(43, 48, 4, { tremoloSlashes: 3 })), [], "rolled");
  assertEquals(speed("timpani", glide(43, 48, 1.5)), [], "just heard");
  assertEquals(speed("cello", glide(50, 54, 4, { technique: "pizzicato" })), [[
    "note, 2:4, bars 1 to 2: 4 against 1.5",
    "D3 up to F#3 over 4 s on one pluck dies away on the way; it is heard for about 1.5 s",
  ]]);
  assertEquals(speed("cello", glide(50, 54, 4)), [], "bowed");
  // Four positions count, in less than 0.18 s; in less than half of that they are risky.
  const slide = (to: number, quarters: number) => speed("tenor trombone", glide(58, to, quarters))[0]?.[0];
  assertEquals(slide(54, 0.125), "note, 2:4, bars 1 to 1: 0.125 against 0.18");
  assertEquals(slide(55, 0.125), undefined);
  assertEquals(slide(54, 0.1875), undefined);
  assertEquals(slide(54, 0.0625), "risky, 2:4, bars 1 to 1: 0.0625 against 0.18");
});

Deno.test("notes at once are told with their count or span", () => {
  const at = (id: string, rule: string, pitches: readonly number[], players = 1) =>
    said(id, rule, after(7, pitches.map((pitch) => ({ at: 0, quarters: 2, pitch }))), { players });
  assertEquals(at("violin", "stops", [55, 57]), [[
    "impossible, 2:4, bars 1 to 2: 2 against 1",
    "G3, A3 together: the notes do not lie on neighbouring strings",
  ]]);
  assertEquals(at("viola", "notes at once", [60, 64, 67, 71, 74], 8), [[
    "note, 2:4, bars 1 to 2: 5 against 4",
    "5 notes at once for 8 players",
  ]]);
  assertEquals(at("piano", "hands", [40, 66, 90]), [[
    "note, 2:4, bars 1 to 2: 24 against 16",
    "E2, F#4, F#6 asks one hand to span 24 semitones; two hands on a piano reach 16 each",
  ]]);
});

Deno.test("timpani are retuned on the drum that is not needed for longest, once the player is free", () => {
  const quickly = (pitches: readonly number[], from: number) => after(from, inTurn(pitches, 0.25));
  const retuned = (after: number, later: readonly number[], set = [48, 43, 41, 46]) =>
    said("timpani", "timpani retuning", [
      ...quickly(set, 0),
      ...quickly([44], after),
      ...quickly(later, after + 0.25),
    ]);
  // Ab2 is on the two larger drums, which have F2 and G2; that of G2 was struck first.
  assertEquals(retuned(1, [48]), [[
    "risky, 1:2, bars 0 to 0: 0.75 against 1",
    "Ab2 needs a drum retuned in 0.8 s; it takes 1 s, 3 s to do it calmly",
  ]]);
  assertEquals(retuned(1.25, [48]), []);
  // Then it takes the drum of the note that does not come back.
  assertEquals(retuned(4, [48, 46, 43]), []);
  assertEquals(retuned(4, [48, 46, 41]), []);
  // D2 is on the largest drum alone, which has to stay as it is.
  assertEquals(retuned(4, [38], [48, 43, 38, 46]), []);
  assertEquals(retuned(4, [43, 41]).map(([, what]) => what!.slice(0, 32)), [
    "F2 needs a drum retuned in 0.5 s",
  ]);
});

Deno.test("a part in another key is told by whose range it is judged; other octaves are the same key", () => {
  const of = (transposeSemitones: number) => {
    const score = smallScore([{
      instrument: "trumpet in C",
      role: "lead",
      notes: [{ at: 0, quarters: 4, pitch: 100 }],
    }]);
    const parts = score.parts.map((p) => ({ ...p, name: "Trumpet", transposeSemitones }));
    const { findings } = playability({ ...score, parts });
    return findings.find((f) => f.rule === "range")!.what.includes("by which Trumpet is judged");
  };
  assertEquals([0, 5, 12, -12].map(of), [false, true, false, false]);
});

Deno.test("a doubtful tempo is named where the first of its places is, with the words of the worst", () => {
  const score = smallScore(
    ["oboe", "violin", "clarinet in Bb"].map((instrument) => ({ instrument, role: "lead", notes: [] })),
  );
  const place = (part: number, onsetTicks: number, figure: number): FindingPlace => ({
    part,
    partName: score.parts[part]!.name,
    onsetTicks,
    endTicks: onsetTicks + 10,
    severity: "impossible",
    rule: "repeated-note rate",
    what: "too fast",
    figure,
    limit: 10,
    unit: "notes per second",
    source: "test",
    remedy: "none",
  });
  const found = withFileDoubts([place(0, 300, 12), place(1, 100, 13), place(2, 200, 20)], score);
  assertEquals(found.map((f) => [f.rule, f.severity, f.onsetTicks]), [
    ["repeated-note rate", "risky", 300],
    ["repeated-note rate", "risky", 100],
    ["repeated-note rate", "risky", 200],
    ["tempo", "impossible", 100],
  ]);
  assertEquals(
    found[3]!.what,
    "3 places in 3 instruments go faster than anybody plays at 120 quarters a minute (clarinet in Bb 3 at 20.0 notes per second), and none at half of it",
  );
  const unmoved = [place(0, 300, 12), place(1, 100, 13), place(2, 200, 20.1)];
  assertEquals(withFileDoubts(unmoved, score), unmoved, "too fast at half the tempo too");
  const slip = (figure: number) => withFileDoubts([place(0, 0, figure)], score).map((f) => f.rule);
  assertEquals([slip(39.9), slip(40)], [["repeated-note rate"], ["check the file"]]);
});
