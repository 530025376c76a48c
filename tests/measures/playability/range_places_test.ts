import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import { allInstruments, instrumentById, pitchOf, playability } from "ripieno";
import { registersOf } from "ripieno/instruments";
import { dynamicOf } from "ripieno/score";
import { findingsOf, inTurn, rulesOf } from "../findings_of.ts";
import { smallScore } from "../small_scores.ts";

/** One long note at a dynamic. */
const at = (id: string, name: string, mark: string) =>
  rulesOf(findingsOf(id, [{ at: 0, quarters: 2, pitch: pitchOf(name)!, dynamic: dynamicOf(mark)! }]));

// Rows of data/registers.csv (Adler, Blatter and Piston, recalled consensus: confidence memory).
Deno.test("playability() registers: an oboe at the bottom, a horn and a flute at the top do not speak at pp", () => {
  assertEquals(at("oboe", "C4", "mp"), []);
  assertEquals(at("oboe", "C4", "p"), ["note too soft for the register"]);
  assertEquals(at("oboe", "C4", "pp"), ["risky too soft for the register"]);
  assertEquals(at("horn in F", "E5", "pp"), ["risky too soft for the register"]);
  assertEquals(at("horn in F", "A4", "pp"), []);
  assertEquals(at("flute", "C7", "p"), ["risky too soft for the register"]);
  assertEquals(at("clarinet in Bb", "D3", "ppp"), []);
});

Deno.test("playability() registers: a flute at the bottom is covered at ff, a step too loud is let pass", () => {
  assertEquals(at("flute", "D4", "mf"), []);
  assertEquals(at("flute", "D4", "f"), []);
  assertEquals(at("flute", "D4", "ff"), ["note too loud for the register"]);
  assertEquals(at("clarinet in Bb", "F4", "fff"), ["risky too loud for the register"]);
  assertEquals(at("trumpet in C", "C5", "ff"), []);
});

Deno.test("playability() registers: every register of every instrument takes the dynamics of its own row", () => {
  for (const { id } of allInstruments()) {
    for (const { name, low, high, softestDynamic, loudestDynamic } of registersOf(instrumentById(id))) {
      for (const dynamic of [softestDynamic, loudestDynamic]) {
        const found = findingsOf(
          id,
          [low, high].map((pitch, i) => ({ at: 2 * i, quarters: 2, pitch, dynamic })),
        );
        assertEquals(found.filter((f) => f.rule.includes("register")), [], `${id}, ${name}`);
      }
    }
  }
});

Deno.test("playability() registers: passing notes, harpsichords and parts without dynamics are left alone", () => {
  assertEquals(findingsOf("oboe", inTurn([60, 62, 60, 62], 0.2, { dynamic: 2 })), []);
  assertEquals(at("harpsichord", "C4", "ff"), []);
  assertEquals(findingsOf("flute", [{ at: 0, quarters: 2, pitch: 96 }]), []);
});

Deno.test("playability() registers: the finding gives both dynamics, the source of the row and a dynamic to write", () => {
  const [finding] = playability(
    smallScore([{
      instrument: "bassoon",
      role: "lead",
      notes: [{ at: 4, quarters: 4, pitch: pitchOf("C2")!, dynamic: 2 }],
    }], { quartersPerMinute: 60 }),
  ).findings;
  const low = registersOf(instrumentById("bassoon"))[0]!;
  assertEquals([finding!.figure, finding!.limit, finding!.source, finding!.barNumber], [
    2,
    low.softestDynamic,
    low.source,
    "2",
  ]);
  assertStringIncludes(finding!.remedy, "Mark it mp");
});

Deno.test("playability() range: the way out names a note in as many octaves as it takes, and the instrument has it", () => {
  for (const { id, rangeExtreme: { low, high }, unpitched } of allInstruments()) {
    if (unpitched) continue;
    for (const beyond of [1, 11, 12, 13, 25]) {
      for (const pitch of [low - beyond, high + beyond]) {
        const [finding] = findingsOf(id, [{ at: 0, quarters: 2, pitch }]).filter((f) => f.rule === "range");
        const named = /^Move it (up|down) (an octave|two octaves|three octaves) \((.+)\), or give/.exec(
          finding!.remedy,
        );
        if (named === null) {
          // Timpani and the like: less than an octave wide, the note may lie in none.
          assert(high - low < 12, `${id}: ${finding!.remedy}`);
          continue;
        }
        const there = pitchOf(named[3]!)!;
        assert(there >= low && there <= high, `${id}, ${pitch}: ${finding!.remedy}`);
        const octaves = ["an octave", "two octaves", "three octaves"].indexOf(named[2]!) + 1;
        assertEquals(there - pitch, 12 * octaves * (named[1] === "up" ? 1 : -1));
      }
    }
  }
});
