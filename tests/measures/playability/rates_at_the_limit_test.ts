/**
 * Rates, leaps, keys and tunings just at a limit, and a step beyond it; the limits are those of the tables in `data`, or
 * common practice without a source. Quarters are seconds.
 */
import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import { playability, type Score } from "ripieno";
import { defineInstrument } from "ripieno/instruments";
import { makeNote } from "ripieno/score";
import { lineOf } from "../../../lib/measures/playability/judge.ts";
import { slideGlissando } from "../../../lib/measures/playability/slide_places.ts";
import { findingsOf, type FindingsOptions, inTurn, quick, rulesOf } from "../findings_of.ts";
import { type LineNote, repeatedNotes, smallScore, TICKS_PER_QUARTER } from "../small_scores.ts";

const after = (quarters: number, notes: readonly LineNote[]) =>
  notes.map((n) => ({ ...n, at: n.at + quarters }));
const rules = (id: string, rule: string, notes: readonly LineNote[], options: FindingsOptions = {}) =>
  rulesOf(findingsOf(id, notes, { ...options, rule }));

Deno.test("a horn rips over one harmonic at least, on the tubes its valves give and up to the sixteenth", () => {
  const ripped = (from: number, to: number) => {
    const glissandi = [{ kind: "slide" as const, semitones: to - from, lengthTicks: TICKS_PER_QUARTER }];
    return findingsOf("horn in F", [{ at: 0, quarters: 1, pitch: from, glissandi }], { rule: "glissando" })
      .map((f) => [f.severity, f.figure, f.limit]);
  };
  const leap = [["note", 0, 1]];
  // F sharp 2 and B2 are the third and fourth harmonic of B0, all valves down; B1 is the second.
  assertEquals([ripped(42, 47), ripped(35, 42)], [leap, leap]);
  // F2 and B flat 2 would be those of B flat 0, for which there are no valves left.
  assertEquals(ripped(41, 46), []);
  // A5 and B flat 5 are the fifteenth and sixteenth of B flat 1 and of no other tube.
  assertEquals(ripped(81, 82), leap);
  assertEquals([ripped(53, 53), ripped(60, 53)], [leap, [["risky", 7, 0]]]);
});

Deno.test("one hand sweeps over one kind of keys: what is written out between the ends decides", () => {
  const swept = (...between: readonly number[]) => {
    const glissandi = [{ kind: "glissando" as const, semitones: 24, lengthTicks: 2 * TICKS_PER_QUARTER }];
    return findingsOf("piano", [
      { at: 0, quarters: 0.25, pitch: 60, glissandi },
      ...between.map((pitch, i) => ({ at: (i + 1) / 4, quarters: 0.25, pitch })),
      { at: 2, quarters: 1, pitch: 84 },
    ], { rule: "glissando" }).map((f) => [f.severity, f.figure, f.limit]);
  };
  assertEquals([swept(62), swept(62, 64), swept(61, 62), swept(61)], [[], [], [["risky", 2, 1]], []]);
});

Deno.test("of notes that begin together and last as long the first is the line", () => {
  const [a, b, longer] = [[60, 96], [64, 96], [67, 97]].map(([soundingPitch, durationTicks]) =>
    makeNote({ part: 0, onsetTicks: 0, durationTicks: durationTicks!, soundingPitch: soundingPitch! })
  );
  assertEquals([lineOf([a!, b!]), lineOf([a!, longer!, b!])], [[a], [longer]]);
});

Deno.test("key signatures are those of the page where it prints its own, over the notes that stand in them", () => {
  const found = (keyFifths: number, keys: readonly (readonly [bar: number, fifths: number])[]) => {
    const score = smallScore([{
      instrument: "clarinet in Bb",
      role: "lead",
      notes: repeatedNotes(67, 4, { to: 12 }),
    }], {
      bars: 3,
    });
    const notation = {
      keys: keys.map(([bar, fifths]) => ({ fromTicks: bar * 4 * TICKS_PER_QUARTER, fifths })),
    } as unknown as NonNullable<Score["parts"][number]["notation"]>;
    const parts = score.parts.map((part) => ({
      ...part,
      transposeSemitones: -2,
      transposeSteps: -1,
      ...keys.length > 0 ? { notation } : {},
    }));
    const bars = score.bars.map((bar) => ({ ...bar, keyFifths }));
    return playability({ ...score, bars, parts }).findings.filter((f) => f.rule === "key signature");
  };
  assertEquals(found(4, []).map((f) => [f.figure, f.fromBarIndex, f.toBarIndex]), [[6, 0, 2]]);
  assertEquals([found(4, [[0, 2]]).length, found(0, [[0, 6]]).length], [0, 1]);
  assertEquals(
    [found(0, [[0, 6], [1, 0]]).length, found(0, [[0, 0], [1, 6]]).length],
    [1, 0],
    "by the first note",
  );
  // Five flats would be no kinder on the clarinet in C than the enharmonic key on this one.
  assertStringIncludes(found(-5, [[0, 7]])[0]!.remedy, "Write the part in the enharmonic key, 5 flats");
});

Deno.test("leaps just as quick as is risky, with a harmonic, and out of range", () => {
  const leaps = (id: string, pitches: readonly number[], seconds: number, more: Partial<LineNote> = {}) =>
    rules(id, "leaps", inTurn(pitches, seconds).map((n, i) => i === 1 ? { ...n, ...more } : n));
  // A horn's lip takes a quarter of a second, three quarters of which are 18 ticks.
  const wide = [53, 65, 53, 65];
  assertEquals([leaps("horn in F", wide, 18 / 96), leaps("horn in F", wide, 17 / 96)], [
    ["note leaps"],
    ["risky leaps"],
  ]);
  assertEquals(leaps("violin", [57, 93, 57], 0.1), ["risky leaps"]);
  assertEquals(leaps("violin", [57, 93, 57], 0.1, { technique: "harmonic" }), []);
  assertEquals(leaps("violin", [93, 54, 93, 54], 0.1), [], "below the G string no hand is to be placed");
  const [sung] = findingsOf("soprano", inTurn([62, 76, 62], 0.3125), { rule: "leaps" });
  assertStringIncludes(sung!.what, "in 0.31 s; the voice takes about 0.35 s");
});

Deno.test("tremolos between two notes: both must be slashed, two players share them, a guitar's are left alone", () => {
  const alternating = { tremoloSlashes: 3, tremoloAlternates: true };
  const tremolo = (id: string, players = 1, second: Partial<LineNote> = alternating) =>
    rules(id, "wide tremolo", [
      { at: 0, quarters: 2, pitch: 62, ...alternating },
      { at: 2, quarters: 2, pitch: 62 + 25, ...second },
    ], { players });
  assertEquals([tremolo("flute"), tremolo("flute", 2), tremolo("flute", 1, {}), tremolo("guitar")], [
    ["risky wide tremolo"],
    [],
    [],
    [],
  ]);
  const strings = inTurn([56, 80], 2, alternating);
  assertEquals(rules("violin", "wide tremolo", strings), ["risky wide tremolo"]);
});

Deno.test("bow strokes and measured tremolos are told to the end of their last stroke", () => {
  const bars = (id: string, rule: string, notes: readonly LineNote[]) =>
    findingsOf(id, notes, { rule }).map((f) => [f.fromBarIndex, f.toBarIndex]);
  // Sixteen strokes, the last of which begins with the second bar.
  const spiccato = quick(50, 8, 2, { articulations: ["spiccato"] });
  assertEquals(bars("cello", "bow stroke", after(4 - 15 / 8, spiccato)), [[0, 1]]);
  assertEquals(bars("cello", "bow stroke", after(2, spiccato)), [[0, 0]]);
  assertEquals(rules("cello", "bow stroke", quick(50, 6, 2, { articulations: ["spiccato"] })), []);
  const measured = { tremoloSlashes: 4, tremolo: "measured" } as const;
  assertEquals(
    bars("oboe", "repeated-note rate", [{ at: 2, quarters: 2 + 1 / 16, pitch: 67, ...measured }]),
    [[
      0,
      1,
    ]],
  );
  assertEquals(bars("oboe", "repeated-note rate", [{ at: 2, quarters: 2, pitch: 67, ...measured }]), [[
    0,
    0,
  ]]);
});

Deno.test("registers: a shade too loud is too loud, and the way out leads down as well as up", () => {
  const found = (pitch: number, dynamic: number) =>
    findingsOf("flute", [{ at: 0, quarters: 1, pitch, dynamic }]).filter((f) => f.rule.includes("register"));
  // Low on the flute, mf is most, a step more is let pass, half of one more is not.
  assertEquals([6.4, 6.6].map((dynamic) => found(62, dynamic).map((f) => f.rule)), [[], [
    "too loud for the register",
  ]]);
  assertStringIncludes(found(62, 7)[0]!.remedy, "move it up an octave (D5)");
  assertStringIncludes(found(96, 3)[0]!.remedy, "move it down an octave (C6)");
});

Deno.test("bars with findings stand in order, whatever is worst", () => {
  const { perBar } = playability(smallScore([{
    instrument: "flute",
    role: "lead",
    notes: [{ at: 0, quarters: 4, pitch: 62, dynamic: 7 }, { at: 8, quarters: 4, pitch: 50 }, {
      at: 4,
      quarters: 4,
      pitch: 62,
      dynamic: 8,
    }],
  }], { bars: 3 }));
  assertEquals(perBar.map((b) => [b.barIndex, b.severity]), [[0, "risky"], [1, "risky"], [2, "impossible"]]);
});

Deno.test("where no octave fits, a note that the chord has in another is left out", () => {
  const { id } = defineInstrument({
    id: "row of four handbells",
    like: "glockenspiel",
    rangeExtreme: { low: 72, high: 76 },
    rangeComfortable: { low: 72, high: 76 },
  });
  const remedy = (other: number) =>
    findingsOf(id, [70, other].map((pitch) => ({ at: 0, quarters: 1, pitch })), { rule: "range" })[0]!.remedy;
  assertEquals([82, 94, 81, 83].map((other) => remedy(other).startsWith("Leave it out: the chord has it")), [
    true,
    true,
    false,
    false,
  ]);
});

Deno.test("a run is slurred where one of its steps is, from the second note on", () => {
  const ruled = (...slurred: readonly number[]) =>
    [
      ...new Set(
        findingsOf(
          "violin",
          quick(74, 24, 1, { moving: true }).map((n, i) => ({ ...n, slurred: slurred.includes(i) })),
        )
          .map((f) => f.rule),
      ),
    ].toSorted();
  assertEquals(ruled(0), ["repeated-note rate"]);
  assertEquals(ruled(1), ["legato rate", "repeated-note rate"]);
});

Deno.test("ways out of a rate suit what is struck, and a tremolo of one slash", () => {
  const remedy = (id: string, notes: readonly LineNote[]) =>
    findingsOf(id, notes, { rule: "repeated-note rate" })[0]!.remedy;
  assertStringIncludes(remedy("marimba", quick(60, 16, 2)), "Halve the rate, write it as a roll or tremolo");
  const slashed = repeatedNotes(60, 1 / 8, { to: 3, tremoloSlashes: 1, tremolo: "measured" });
  assertStringIncludes(remedy("viola", slashed), "leave the tremolo unmeasured");
});

Deno.test("pizzicato that bow marks contradict has lost its arco; marks after the arco say nothing", () => {
  const said = (mark: Partial<LineNote>, at: number) => {
    const line = [
      { at: 0, quarters: 1, pitch: 50 },
      ...after(1, quick(50, 12, 2, { technique: "pizzicato" })),
      { at: 3, quarters: 1, pitch: 50 },
      { at: 4, quarters: 1, pitch: 52 },
    ].map((n, i) => i === at ? { ...n, ...mark } : n);
    return findingsOf("cello", line, { rule: "repeated-note rate" }).map((f) =>
      [f.severity, f.what.includes("over slurs or bow marks")].join(" ")
    );
  };
  for (const mark of [{ slurred: true }, { signs: ["up-bow"] }, { signs: ["down-bow"] }] as const) {
    assertEquals([0, 1, 20, 24, 25, 26].map((at) => said(mark as Partial<LineNote>, at)[0]), [
      "impossible false",
      // A note that is slurred to is no stroke, and no run begins with it.
      ...["slurred" in mark ? said(mark, 1)[0]! : "risky true", "risky true", "risky true"],
      "impossible false",
      "impossible false",
    ]);
  }
});

Deno.test("slides take just their time; a note that is not on the slide is none of its business", () => {
  const slide = (to: number, seconds: number, slideSeconds: number) =>
    rules("alto trombone", "slide", inTurn([51, to], seconds), { constants: { slideSeconds } });
  const [quarter, half, whole] = [18 / 96, 36 / 96, 72 / 96];
  assertEquals([slide(45, quarter, quarter), slide(45, quarter, half), slide(45, quarter, whole)], [
    [],
    ["note slide"],
    ["risky slide"],
  ]);
  assertEquals([slide(20, quarter, half), rules("alto trombone", "slide", inTurn([20, 51], 0.1))], [[], []]);
  assertEquals(slideGlissando("tenor trombone", 120, 120)!.possible, false);
});

Deno.test("what is loud and high is moved down an octave where the instrument has one", () => {
  const isMovedDown = (name: string, low: number) => {
    const { id } = defineInstrument({
      id: name,
      like: "trumpet in C",
      rangeExtreme: { low, high: 82 },
      rangeComfortable: { low: 70, high: 81 },
    });
    return [80, 81].map((pitch) =>
      findingsOf(id, Array.from({ length: 60 }, (_, i) => ({ at: i, quarters: 1, pitch, dynamic: 7 })), {
        rule: "loud and high without rest",
      })[0]!.remedy.endsWith("; or move it down an octave")
    );
  };
  assertEquals(isMovedDown("octave bugle", 68), [true, true]);
  assertEquals(isMovedDown("short bugle", 69), [false, true]);
  const tremolo = (more: Partial<LineNote>) =>
    rules("violin", "unmeasured tremolo, loud", repeatedNotes(69, 8, { to: 80, dynamic: 6, ...more }));
  assertEquals([tremolo({ tremoloSlashes: 1 }), tremolo({ tremoloSlashes: 1, tremolo: "unmeasured" })], [[], [
    "tiring unmeasured tremolo, loud",
  ]]);
});

Deno.test("harp pedals: one form at a time, and the pedal that was free last decides for its foot", () => {
  const spelt = (step: string, alter: number, at: number): LineNote => ({
    at,
    quarters: 0.25,
    pitch: { C: 60, D: 62, E: 64 }[step]! + alter,
    spelling: { step, alter, octave: 4 },
  });
  const pedals = (notes: readonly LineNote[], options: FindingsOptions = {}) =>
    findingsOf("harp", notes, { ...options, rule: "harp pedals" }).map((f) => [f.figure, f.limit]);
  assertEquals(pedals([spelt("C", 0, 0), { ...spelt("C", 1, 0) }]), [[0, 0.3]]);
  const [late] = pedals([
    spelt("D", 0, 0),
    spelt("C", 0, 0.25),
    spelt("D", -1, 0.4375),
    spelt("C", 1, 0.4375),
  ]);
  assertEquals(late, [0.1875, 0.3]);
  // At 100 quarters a minute an eighth is just the 0.3 s that a pedal takes.
  const changed = (s: Score): Score => ({ ...s, tempos: [{ ...s.tempos[0]!, quartersPerMinute: 100 }] });
  assertEquals(pedals([spelt("C", 0, 0), spelt("C", 1, 0.5)], { changed }), []);
  assertEquals(pedals([spelt("C", 0, 0), spelt("C", 1, 0.5 - 1 / 96)], { changed }).length, 1);
  const glissandi = [{ kind: "glissando" as const, semitones: 24, lengthTicks: 2 * TICKS_PER_QUARTER }];
  const [swept] = findingsOf("harp", [
    { ...spelt("E", 0, 3), glissandi },
    spelt("E", -1, 3.25),
    { ...spelt("E", 0, 5), pitch: 88 },
  ], { rule: "glissando pedals" });
  assertStringIncludes(swept!.what, "E natural and E flat");
  assertEquals([swept!.fromBarIndex, swept!.toBarIndex], [0, 1]);
  assert(swept!.remedy.includes("Respell"));
});
