import {
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertStringIncludes,
} from "@std/assert";
import { instrumentById, type Note, playability } from "ripieno";
import { breathSeconds, registersOf, staminaRules } from "ripieno/instruments";
import { gatherFindings } from "ripieno/measures";
import { findingsOf, type FindingsOptions, rulesOf } from "../findings_of.ts";
import { type LineNote, repeatedNotes, smallScore } from "../small_scores.ts";

const flute = instrumentById("flute");
/** One breath of a flute in its best register at mf. */
const limit = breathSeconds(flute, 5)!;
/** Slurred quarters at 60 for some seconds. */
const slurred = (pitch: number, seconds: number, more: Partial<Note> = {}) =>
  repeatedNotes(pitch, 1, { to: Math.round(seconds), ...more }).map((n, i) => ({ ...n, slurred: i > 0 }));
const breath = (id: string, notes: readonly LineNote[], options: FindingsOptions = {}) =>
  findingsOf(id, notes, { rule: "breath", ...options });

Deno.test("playability() breath: under a slur, longer than one breath tires, twice as long is risky", () => {
  assertEquals(breath("flute", slurred(79, Math.floor(limit))), []);
  const [tiring] = breath("flute", slurred(79, limit + 2));
  assertEquals(tiring!.severity, "tiring");
  assertAlmostEquals(tiring!.limit, limit, 1e-9);
  assertEquals(tiring!.figure, Math.round(limit + 2));
  assertEquals(rulesOf(breath("flute", slurred(79, 2 * limit + 2))), ["risky breath"]);
  assertEquals(breath("violin", slurred(79, 60)), []);
  assertEquals(breath("organ", slurred(79, 60)), []);
});

Deno.test("playability() breath: a rest or a breath mark frees it, a hairline between two notes does not", () => {
  const middle = Math.round(limit / 2) + 1;
  const changed = (change: Partial<LineNote>) =>
    slurred(79, limit + 2).map((n, i) => i === middle ? { ...n, ...change } : n);
  assertEquals(breath("flute", changed({ articulations: ["breath"] })), []);
  assertEquals(breath("flute", changed({ quarters: 0.5 })), []);
  assertEquals(rulesOf(breath("flute", changed({ quarters: 0.95 }))), ["tiring breath"]);
});

Deno.test("playability() breath: from the end of a long unslurred note one is stolen, and mentioned from two on", () => {
  const separate = (seconds: number, every = 1) => repeatedNotes(79, every, { to: Math.round(seconds) });
  assertEquals(breath("flute", separate(limit + 2)), []);
  const [stolen] = breath("flute", separate(3 * limit));
  assertEquals(stolen!.severity, "note");
  assertStringIncludes(stolen!.what, "steal");
  assertStringIncludes(stolen!.remedy, "breath mark");
  // From notes of a quarter of a second nothing can be stolen.
  assertEquals(rulesOf(breath("flute", separate(limit + 2, 0.25))), ["tiring breath"]);
});

Deno.test("playability() breath: low flute notes take more air, loud ones too, by the catalogue's factors", () => {
  const low = registersOf(flute)[0]!;
  assertGreater(low.airFactor, 1);
  const seconds = limit / low.airFactor + 1;
  assertLess(seconds, limit);
  assertEquals(breath("flute", slurred(79, Math.floor(seconds))), []);
  const [finding] = breath("flute", slurred(64, seconds));
  assertAlmostEquals(finding!.limit, limit / low.airFactor, 1e-9);
  assertGreater(breathSeconds(flute, 3)!, 15);
  assertEquals(breath("flute", slurred(79, 15, { dynamic: 3 })), []);
  assertEquals(rulesOf(breath("flute", slurred(79, 15, { dynamic: 6 }))), ["tiring breath"]);
});

Deno.test("playability() breath: two players on a line and a choir take turns", () => {
  assertEquals(rulesOf(breath("flute", slurred(79, 60))), ["risky breath"]);
  assertEquals(breath("flute", slurred(79, 60), { players: 2 }), []);
  assertEquals(breath("soprano", slurred(72, 60), { players: 12 }), []);
});

Deno.test("playability() breath: a long bar with a fermata written out counts as long as it lasts", () => {
  assertEquals(breath("oboe", [{ at: 0, quarters: 10, pitch: 72 }]), []);
  assertEquals(rulesOf(breath("oboe", [{ at: 0, quarters: 100, pitch: 72 }])), ["risky breath"]);
});

/** Quarters with an eighth of rest in every bar. */
const phrased = (pitch: number, seconds: number, more: Partial<Note> = {}) =>
  repeatedNotes(pitch, 1, { to: seconds, ...more }).map((n, i) => i % 4 === 3 ? { ...n, quarters: 0.5 } : n);
const stamina = (id: string, notes: readonly LineNote[], options: FindingsOptions = {}) =>
  rulesOf(findingsOf(id, notes, options));

// data/stamina.csv: common practice, no source.
Deno.test("playability() stamina: a minute of loud brass without two seconds of rest tires; rests and p do not", () => {
  const rule = "loud without rest";
  const given = staminaRules(instrumentById("horn in F")).find((each) => each.rule === rule)!;
  assertEquals([given.value, given.unit], [60, "seconds"]);
  const loud = phrased(60, 80, { dynamic: 6 });
  assertEquals(stamina("horn in F", loud, { rule }), [`tiring ${rule}`]);
  assertEquals(stamina("horn in F", phrased(60, 80, { dynamic: 4 }), { rule }), []);
  const held = (seconds: number) => repeatedNotes(60, 4, { to: seconds, dynamic: 6 });
  assertEquals([
    stamina("horn in F", held(60), { rule }).length,
    stamina("horn in F", held(64), { rule }).length,
  ], [
    0,
    1,
  ]);
  assertEquals(stamina("horn in F", loud.filter((_, i) => i % 40 < 37), { rule }), []);
  assertEquals(stamina("clarinet in Bb", loud, { rule }), []);
  assertEquals(stamina("horn in F", loud, { rule, constants: { staminaFactor: 2 } }), []);
});

Deno.test("playability() stamina: half a minute loud and high tires brass, a third of one the voice", () => {
  const high = phrased(75, 45, { dynamic: 6 });
  assertEquals(stamina("horn in F", high, { rule: "loud and high without rest" }), [
    "tiring loud and high without rest",
  ]);
  assertEquals(
    stamina("horn in F", phrased(65, 45, { dynamic: 6 }), { rule: "loud and high without rest" }),
    [],
  );
  const [tiring] = findingsOf("horn in F", high, { rule: "loud and high without rest" });
  assertStringIncludes(tiring!.remedy, "; or move it down an octave");
  assertEquals(stamina("soprano", phrased(79, 28, { dynamic: 6 }), { rule: "high and loud without rest" }), [
    "tiring high and loud without rest",
  ]);
});

Deno.test("playability() stamina: an oboe plays on for 90 seconds, other winds for three minutes", () => {
  const rule = "playing without rest";
  assertEquals(stamina("oboe", phrased(72, 80), { rule }), []);
  assertEquals(stamina("oboe", phrased(72, 110), { rule }), [`tiring ${rule}`]);
  assertEquals(stamina("oboe", phrased(72, 110), { rule, players: 2 }), [], "two can take turns");
  assertEquals(stamina("flute", phrased(79, 110), { rule }), []);
  assertEquals(stamina("flute", phrased(79, 220), { rule, bars: 60 }), [`tiring ${rule}`]);
  assertEquals(stamina("violin", phrased(79, 220), { rule, bars: 60 }), []);
});

Deno.test("playability() stamina: a loud tremolo of more than a minute tires the arm, a soft one does not", () => {
  const rule = "unmeasured tremolo, loud";
  const tremolo = (dynamic: number) => repeatedNotes(67, 4, { to: 80, dynamic, tremoloSlashes: 4 });
  assertEquals(stamina("violin", tremolo(7), { rule, players: 12 }), [`tiring ${rule}`]);
  assertEquals(stamina("violin", tremolo(3), { rule, players: 12 }), []);
  assertEquals(stamina("violin", repeatedNotes(67, 4, { to: 80, dynamic: 7 }), { rule, players: 12 }), []);
});

Deno.test("playability() rest: a loud trumpet part wants two bars in five free, over a piece long enough to matter", () => {
  const rule = "rest in a demanding part";
  const part = (restBars: number) =>
    phrased(67, 120, { dynamic: 6 }).filter((n) => Math.floor(n.at / 4) % 10 >= restBars);
  const [finding] = findingsOf("trumpet in C", part(2), { rule });
  assertEquals([finding!.severity, finding!.limit, finding!.unit], ["note", 0.4, "share of the bars"]);
  assertAlmostEquals(finding!.figure, 0.2, 1e-9);
  assertEquals(stamina("trumpet in C", part(5), { rule }), []);
  assertEquals(stamina("trumpet in C", part(4), { rule }), [], "just as many as are a good plan");
  // Notes that fill their bars: a bar is free where none sounds.
  const full = repeatedNotes(67, 4, { to: 120, dynamic: 6 }).filter((_, i) => i % 10 > 2);
  assertAlmostEquals(findingsOf("trumpet in C", full, { rule })[0]!.figure, 0.3, 1e-9);
  assertEquals(stamina("trumpet in C", part(2), { rule, bars: 20 }), []);
});

Deno.test("playability() exposure: a minute and more of fortissimo is reported, with the caution about noise", () => {
  const rule = "loud exposure";
  const [finding] = findingsOf("violin", repeatedNotes(79, 1, { to: 75, dynamic: 7 }), { rule, players: 12 });
  assertEquals([finding!.severity, finding!.figure, finding!.source], [
    "tiring",
    75,
    "common practice, no source",
  ]);
  assertStringIncludes(finding!.what, "Local rules on noise");
  assertEquals(stamina("violin", repeatedNotes(79, 1, { to: 75, dynamic: 6 }), { rule }), []);
  const from = (exposureFrom: number) =>
    stamina("violin", repeatedNotes(79, 1, { to: 75, dynamic: 6 }), { rule, constants: { exposureFrom } })
      .length;
  assertEquals([from(6), from(6.25)], [1, 0]);
  const paused = [
    ...repeatedNotes(79, 1, { to: 40, dynamic: 7 }),
    ...repeatedNotes(79, 1, { from: 55, to: 95, dynamic: 7 }),
  ];
  assertEquals(stamina("violin", paused, { rule }), []);
});

Deno.test("playability() exposure: a forte counts half while three quarters of the parts are loud, else nothing", () => {
  const rule = "loud exposure";
  const found = (loud: number) =>
    playability(smallScore(
      Array.from({ length: 4 }, (_, p) => ({
        instrument: "violin",
        role: "pad" as const,
        players: 12,
        notes: repeatedNotes(70 + p, 1, { to: 130, dynamic: p < loud ? 6 : 3 }),
      })),
      { bars: 40, quartersPerMinute: 60 },
    )).findings.filter((f) => f.rule === rule);
  assertEquals(found(2), []);
  const tutti = found(3);
  assertEquals(tutti.map((f) => [f.part, f.figure]), [[0, 65], [1, 65], [2, 65]]);
  assertEquals(gatherFindings(tutti).map((row) => row.partNames.length), [3]);
});
