/**
 * The fastest passages that scores ask of bowed strings, counted on 29 movements of OpenScore Orchestra (CC0 1.0).
 * They are played every week, so none may be called impossible; but print is what was asked, not what was played, so
 * they may well be risky. And Rimsky-Korsakov, Principles of Orchestration (1922), ch. I, Pizzicato.
 */
import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import { instrumentById } from "ripieno";
import { legatoLimit, repeatedNoteLimit } from "ripieno/instruments";
import { findingsOf, quick } from "../measures/findings_of.ts";

type Way = "separate" | "slurred" | "plucked";

/** Instrument, way of playing, notes, notes a second, a pitch it lies about, where printed. */
const ROWS: readonly (readonly [string, Way, number, number, number, string])[] = [
  ["violin", "separate", 16, 14.93, 76, "Beethoven op. 21 i bar 73, minim = 112, the composer's"],
  ["viola", "separate", 8, 12, 60, "Beethoven op. 55 i bar 35, dotted minim = 60, the composer's"],
  ["cello", "separate", 16, 10.67, 48, "Beethoven op. 60 iv, op. 68 iv bar 41, minim = 80, the composer's"],
  ["double bass", "separate", 16, 10.67, 36, "Beethoven op. 60 iv bar 21, op. 68 iv bar 41, minim = 80"],
  ["violin", "slurred", 8, 11.73, 76, "Beethoven op. 21 iv bar 243, minim = 88, the composer's"],
  ["viola", "slurred", 16, 10.67, 60, "Beethoven op. 60 iv bar 12"],
  ["cello", "slurred", 16, 13.33, 41, "Beethoven op. 68 iv bar 21, the storm"],
  ["double bass", "slurred", 16, 10.67, 29, "Beethoven op. 68 iv bar 21, the storm"],
  ["double bass", "slurred", 16, 7.5, 40, "Beethoven op. 21 i bar 206"],
  ["double bass", "slurred", 4, 14.9, 40, "Beethoven op. 21 i bar 18"],
  ["violin", "plucked", 8, 4.4, 67, "Beach op. 32 ii, tempo the composer's"],
  ["viola", "plucked", 16, 4.8, 60, "Brahms op. 68 i bar 392"],
  ["cello", "plucked", 8, 4.4, 48, "Beach op. 32 ii bar 26"],
  ["double bass", "plucked", 8, 4.4, 40, "Beach op. 32 ii bar 28"],
  ["violin", "plucked", 4, 6, 67, "Beach op. 32 i bar 120"],
  ["viola", "plucked", 16, 8, 48, "semiquavers at crotchet = 120 for some twenty bars, on an open string"],
];

Deno.test("printed string passages: none is impossible", () => {
  for (const [id, way, notes, perSecond, pitch, where] of ROWS) {
    const line = quick(pitch, perSecond, notes / perSecond, {
      moving: way !== "plucked",
      slurred: way === "slurred",
      ...(way === "plucked" ? { technique: "pizzicato" as const } : {}),
    });
    assertEquals(line.length, notes);
    const findings = findingsOf(id, line, { players: 6 });
    assertEquals(
      findings.filter((f) => f.severity === "impossible").map((f) => f.what),
      [],
      `${id}: ${where}`,
    );
  }
});

Deno.test("printed string passages: the storm's basses are called an effect", () => {
  const storm = findingsOf("double bass", quick(29, 10.67, 1.5, { moving: true, slurred: true }), {
    players: 6,
  });
  assertStringIncludes(storm[0]!.what, "an effect");
});

// The record on the violin is over 13 notes a second for a minute, by a soloist.
Deno.test("the violin's sautillé stands at the record, its runs under a slur above", () => {
  const violin = instrumentById("violin");
  assertEquals(repeatedNoteLimit(violin, { technique: "sautillé" })!.burstPerSecond, 13);
  assert(legatoLimit(violin)!.burstPerSecond > 13);
});

Deno.test("Rimsky-Korsakov: plucked is always slower than bowed, and much slower on the basses than on the violins", () => {
  const plucked = (id: string) => repeatedNoteLimit(instrumentById(id), { technique: "pizzicato" })!;
  for (const id of ["violin", "viola", "cello", "double bass"]) {
    assert(plucked(id).burstPerSecond < repeatedNoteLimit(instrumentById(id))!.burstPerSecond, id);
    assert(plucked(id).burstPerSecond <= 6, "one finger of an adult taps 6 to 8 times a second");
  }
  assert(plucked("double bass").burstPerSecond <= 0.8 * plucked("violin").burstPerSecond);
});
