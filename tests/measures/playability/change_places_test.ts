import { assertAlmostEquals, assertEquals, assertStringIncludes } from "@std/assert";
import { instrumentById } from "ripieno";
import { changeTimes } from "ripieno/instruments";
import type { PlayingSign, Technique } from "ripieno/score";
import { findingsOf, rulesOf } from "../findings_of.ts";
import { repeatedNotes } from "../small_scores.ts";

const rule = "change of manner";
/** A half note, a gap, and a note in another manner. */
const change = (id: string, from: Technique, to: Technique, gap: number, quarters = 2) =>
  findingsOf(id, [
    { at: 0, quarters, pitch: 60, technique: from },
    { at: quarters + gap, quarters: 1, pitch: 60, technique: to },
  ], { rule });

// data/change_times.csv: common practice, no source.
Deno.test("playability() changes: a mute goes on in two seconds and off in one, and the note before is no help", () => {
  const on = changeTimes(instrumentById("viola")).find((each) => each.change === "mute on")!;
  assertEquals(change("viola", "ordinario", "con sordino", on.leastSeconds), []);
  const [finding] = change("viola", "ordinario", "con sordino", 1);
  assertEquals([finding!.severity, finding!.figure, finding!.limit, finding!.source], [
    "risky",
    1,
    on.leastSeconds,
    on.source,
  ]);
  assertEquals(change("viola", "con sordino", "ordinario", 1), []);
  assertEquals(rulesOf(change("viola", "con sordino", "ordinario", 0.5)), [`risky ${rule}`]);
  assertEquals(change("trumpet in C", "con sordino", "ordinario", 2.5), []);
  assertEquals(rulesOf(change("trumpet in C", "ordinario", "con sordino", 2.5)), [`risky ${rule}`]);
});

Deno.test("playability() changes: bow to fingers after a long note is noted, between quick notes it is risky", () => {
  assertEquals(change("cello", "ordinario", "pizzicato", 0.6), []);
  const [noted] = change("cello", "ordinario", "pizzicato", 0);
  assertEquals(noted!.severity, "note");
  assertStringIncludes(noted!.what, "cut short");
  assertEquals(rulesOf(change("cello", "ordinario", "pizzicato", 0, 0.25)), [`risky ${rule}`]);
  // A plucked note may ring on while the bow is taken up again.
  assertEquals(change("cello", "pizzicato", "ordinario", 0, 2), []);
  assertEquals(rulesOf(change("cello", "pizzicato", "ordinario", 0, 0.25)), [`risky ${rule}`]);
  // It rings for 0.15 s at least; the bow takes 0.7 s.
  assertEquals(change("cello", "pizzicato", "ordinario", 0, 0.875), []);
  assertAlmostEquals(change("cello", "pizzicato", "ordinario", 0, 0.75)[0]!.figure, 0.6, 1e-9);
});

Deno.test("playability() changes: the wood of the bow and the hand in the bell take their time too", () => {
  assertEquals(rulesOf(change("violin", "ordinario", "col legno", 0, 0.2)), [`risky ${rule}`]);
  assertEquals(change("violin", "ordinario", "col legno", 0.6), []);
  assertEquals(rulesOf(change("horn in F", "ordinario", "stopped", 0, 0.1)), [`risky ${rule}`]);
  assertEquals(change("horn in F", "ordinario", "stopped", 0.3), []);
  assertEquals(change("violin", "ordinario", "sul tasto", 0, 0.2), []);
});

Deno.test("playability() changes: divided players change in turn, each voice by itself", () => {
  const voices = [
    { at: 0, quarters: 0.25, pitch: 60, technique: "ordinario" as const, voice: 1 },
    { at: 0.25, quarters: 0.25, pitch: 60, technique: "pizzicato" as const, voice: 2 },
  ];
  assertEquals(findingsOf("viola", voices, { rule, players: 8 }), []);
  assertEquals(rulesOf(findingsOf("viola", voices.map((n) => ({ ...n, voice: 1 })), { rule, players: 8 })), [
    `risky ${rule}`,
  ]);
});

// data/techniques.csv: common practice, no source.
Deno.test("playability() manners: what the catalogue lists as usual passes, advanced is noted, anything else risky", () => {
  const manner = (id: string, technique: Technique) =>
    rulesOf(findingsOf(id, [{ at: 0, quarters: 1, pitch: 62, technique }]));
  assertEquals(manner("viola", "col legno"), []);
  assertEquals(manner("flute", "flutter"), []);
  assertEquals(manner("oboe", "flutter"), ["note way of playing"]);
  assertEquals(manner("trumpet in C", "stopped"), ["risky way of playing"]);
  assertEquals(manner("clarinet in Bb", "pizzicato"), ["risky way of playing"]);
  assertEquals(manner("harp", "pizzicato"), []);
});

// Rimsky-Korsakov ch. I B and the rows of data/tonguing.csv.
Deno.test("playability() manners: a sign for double tonguing is noted on an oboe, risky on a viola, usual on a flute", () => {
  const signed = (id: string, sign: PlayingSign) =>
    rulesOf(findingsOf(id, [{ at: 0, quarters: 1, pitch: 64, signs: [sign] }]));
  assertEquals(signed("flute", "double-tongue"), []);
  assertEquals(signed("oboe", "double-tongue"), ["note way of playing"]);
  assertEquals(signed("oboe", "triple-tongue"), ["risky way of playing"]);
  assertEquals(signed("viola", "double-tongue"), ["risky way of playing"]);
  assertEquals(signed("oboe", "turn"), []);
});

Deno.test("playability() changes: where a mute and the bow change together, the slower one decides", () => {
  const both = (gap: number) =>
    findingsOf("viola", [
      { at: 0, quarters: 1, pitch: 60 },
      {
        at: 1 + gap,
        quarters: 1,
        pitch: 60,
        technique: "pizzicato",
        techniques: ["pizzicato", "con sordino"],
      },
    ], { rule });
  assertStringIncludes(both(1)[0]!.what, "mute on in 1 s");
  assertEquals(both(2), []);
  // A horn's hand leaves the bell in 0.3 s, its mute goes in in 3.
  const [horn] = findingsOf("horn in F", [
    { at: 0, quarters: 1, pitch: 60, technique: "stopped" },
    { at: 3.5, quarters: 1, pitch: 60, technique: "con sordino" },
  ], { rule });
  assertStringIncludes(horn!.what, "mute in in 2.5 s");
  // Plucked with the mute left on: nothing but the bow changes.
  const kept = findingsOf("viola", [
    { at: 0, quarters: 1, pitch: 60, technique: "con sordino", techniques: ["con sordino"] },
    { at: 1.6, quarters: 1, pitch: 60, technique: "pizzicato", techniques: ["pizzicato", "con sordino"] },
  ], { rule });
  assertEquals(kept, []);
});

/** Four bars on one instrument, a gap, a note on another. */
const taking = (id: string, other: string, gapSeconds: number, pitch = 72) =>
  findingsOf(id, [
    ...repeatedNotes(pitch, 1, { to: 16 }),
    { at: 16 + gapSeconds, quarters: 1, pitch },
  ], {
    changed: (s) => ({
      ...s,
      parts: s.parts.map((part) => ({
        ...part,
        instrumentChanges: [{ fromTicks: 17 * s.ticksPerQuarter, instrument: other, name: other }],
      })),
    }),
  });

// data/second_instruments.csv and data/change_times.csv: common practice, no source.
Deno.test("playability() takes an instrument taken up on the way for itself, and gives the change its rest", () => {
  assertEquals(rulesOf(taking("oboe", "cor anglais", 10)), []);
  assertEquals(rulesOf(taking("oboe", "cor anglais", 6)), ["note change of instrument"]);
  const [risky] = taking("oboe", "cor anglais", 2);
  assertEquals([risky!.severity, risky!.limit, risky!.unit], ["risky", 5, "seconds"]);
  const [doubling] = taking("flute", "oboe", 20);
  assertEquals([doubling!.severity, doubling!.rule, doubling!.figure, doubling!.limit], [
    "note",
    "doubling",
    0,
    1,
  ]);
  // G5 sounding is a piccolo's, C4 is not.
  assertEquals(rulesOf(taking("flute", "piccolo", 20, 79)), []);
  assertEquals(rulesOf(taking("flute", "piccolo", 20, 60)), ["impossible range"]);
});
