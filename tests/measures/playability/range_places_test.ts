import { assert, assertEquals, assertGreater, assertStringIncludes } from "@std/assert";
import { allInstruments, instrumentById, pitchOf, playability, type Score } from "ripieno";
import { defineInstrument, registerOf, registersOf } from "ripieno/instruments";
import { dynamicOf, makeNote, pitchName } from "ripieno/score";
import { allPitches } from "../../../lib/instruments/all_pitches.ts";
import { octavesInRange } from "../../../lib/measures/playability/range_ways.ts";
import { chord, findingsOf, inTurn, rulesOf } from "../findings_of.ts";
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
  const [low] = findingsOf("oboe", [{
    at: 0,
    quarters: 2,
    pitch: pitchOf("Bb3")!,
    dynamic: dynamicOf("pp")!,
  }]);
  assertEquals(low!.remedy, "Mark it mp, move it up an octave (Bb4), or give it to another instrument");
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

Deno.test("a note of a double stop moves only by octaves that one player can stop with the other", () => {
  const ways = (low: number, other: number, players: number) => {
    const notes = [low, other].map((soundingPitch) =>
      makeNote({ part: 0, onsetTicks: 0, durationTicks: 96, soundingPitch })
    );
    const judge = { instrument: instrumentById("violin"), players };
    return octavesInRange(notes[0]!, judge, { chord: notes, direction: 1 }).map((way) => way.octaves);
  };
  // C#4 and A3 lie on the G string alone; E4 and C4 on neighbours.
  assertEquals([ways(49, 57, 1).includes(1), ways(49, 57, 2).includes(1)], [false, true]);
  assertEquals(ways(52, 60, 1).includes(1), true);
  assertEquals(ways(48, 60, 2).includes(1), false, "the other has it");
});

Deno.test("playability() registers: passing notes, harpsichords and parts without dynamics are left alone", () => {
  assertEquals(findingsOf("oboe", inTurn([60, 62, 60, 62], 0.2, { dynamic: 2 })), []);
  const lasting = (quarters: number) =>
    findingsOf("oboe", [{ at: 0, quarters, pitch: 60, dynamic: 2 }], {
      constants: { registerFromSeconds: 0.5 },
    }).length;
  assertEquals([lasting(0.5), lasting(0.375)], [1, 0]);
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
  assertEquals([finding!.figure, finding!.limit, finding!.source, finding!.bar], [
    2,
    low.softestDynamic,
    low.source,
    "2",
  ]);
  assertStringIncludes(finding!.remedy, "Mark it mp");
});

/** The part written as its instrument is, not at concert pitch. */
const transposed = (score: Score): Score => ({
  ...score,
  parts: score.parts.map((part) => {
    const { transposeSemitones, transposeSteps } = instrumentById(part.instrument);
    return { ...part, transposeSemitones, transposeSteps };
  }),
});

/** The finding of one note. */
const outside = (id: string, name: string, mark = "mf") =>
  findingsOf(id, [{ at: 0, quarters: 2, pitch: pitchOf(name)!, dynamic: dynamicOf(mark)! }], {
    rule: "range",
    changed: transposed,
  })[0]!;

Deno.test("playability() range: a piccolo's C4 goes up by the octaves it takes, sounding and written", () => {
  const finding = outside("piccolo", "C4");
  assertStringIncludes(finding.what, "C4 (sounding, written C3) lies below the piccolo's D5");
  assertStringIncludes(finding.remedy, "Move it up two octaves (C6, written C5)");
  assertStringIncludes(outside("violin", "C2").remedy, "up two octaves (C4");
  assertStringIncludes(outside("cello", "A6").remedy, "Move it down an octave (A5");
  assertStringIncludes(outside("tuba", "A7").remedy, "Move it down three octaves (A4");
});

Deno.test("playability() range: of the octaves, the nearest that gives the dynamic is named, with the reason", () => {
  // Low piccolos give mf at most (data/registers.csv).
  const finding = outside("piccolo", "C4", "ff");
  assertStringIncludes(
    finding.remedy,
    "Move it up three octaves (C7, written C6), as C6 does not give ff, or",
  );
  assertStringIncludes(outside("piccolo", "C4", "f").remedy, "two octaves (C6");
});

const COUNTS = ["an octave", "two octaves", "three octaves", "four octaves"];

/** Octaves and pitch that a remedy names. */
function named(remedy: string): { readonly octaves: number; readonly pitch: number } | null {
  const found = /ove it (up|down) ([a-z]+ octaves?|\d+ octaves) \(([A-G][#b]?-?\d+)/.exec(remedy);
  if (!found) return null;
  const octaves = COUNTS.indexOf(found[2]!) + 1 || Number.parseInt(found[2]!);
  return { octaves: (found[1] === "up" ? 1 : -1) * octaves, pitch: pitchOf(found[3]!)! };
}

Deno.test("playability() range: what a remedy names is in range, for every instrument, pitch and dynamic", () => {
  let moved = 0;
  for (const instrument of allInstruments().filter((each) => !each.unpitched)) {
    const { low, high } = instrument.rangeExtreme;
    const pitches = Array.from({ length: 128 }, (_, pitch) => pitch).filter((pitch) =>
      pitch < low || pitch > high
    );
    for (const dynamic of [2, 5, 8]) {
      // A bar apart, so that every place is a finding of its own.
      pitches.forEach((pitch) => {
        const [finding] = findingsOf(instrument.id, [{ at: 0, quarters: 2, pitch, dynamic }], {
          rule: "range",
          bars: 1,
        });
        const way = named(finding!.remedy);
        const where = `${instrument.id}, ${pitchName(pitch)}: ${finding!.remedy}`;
        assert(finding!.remedy.length <= 300, where);
        // An instrument of an octave and more has every letter.
        assert(way !== null || high - low < 11, where);
        if (way === null) return;
        moved++;
        assertEquals(way.pitch, pitch + 12 * way.octaves, where);
        assert(registerOf(instrument, way.pitch).inRange, where);
        assertEquals(Math.sign(way.octaves), pitch < low ? 1 : -1, where);
        const given = /or give it to the (.+)$/.exec(finding!.remedy)?.[1];
        if (given) assert(registerOf(instrumentById(given), pitch).comfortable, where);
      });
    }
  }
  console.log(`notes outside a range that are moved into it: ${moved}`);
  assertGreater(moved, 10_000);
});

Deno.test("playability() registers: where a remedy names an octave, the register gives the dynamic there", () => {
  let moved = 0;
  for (const instrument of allInstruments().filter((each) => !each.unpitched)) {
    for (const { low, high } of registersOf(instrument)) {
      for (const dynamic of [1, 8]) {
        for (const pitch of new Set([low, high])) {
          const [finding] = findingsOf(instrument.id, [{ at: 0, quarters: 2, pitch, dynamic }])
            .filter((f) => f.rule.includes("register"));
          const way = finding && named(finding.remedy);
          if (!way) continue;
          moved++;
          const { inRange, register } = registerOf(instrument, way.pitch);
          assert(inRange, finding.remedy);
          assert(dynamic >= register!.softestDynamic - 0.5, finding.remedy);
          assert(dynamic < register!.loudestDynamic + 1.5, finding.remedy);
        }
      }
    }
  }
  assertGreater(moved, 50);
});

Deno.test("playability() range: a note that its chord has in the octave already is not doubled there", () => {
  // Of G3, G4 and G5 on a cello-like line, the G2 below a violin goes where none of them stands.
  const remedy = (pitches: readonly number[]) =>
    findingsOf("violin", chord(pitches), { rule: "range", players: 12 })[0]!.remedy;
  assertStringIncludes(remedy([43, 62]), "Move it up an octave (G3");
  assertStringIncludes(remedy([43, 55]), "Move it up two octaves (G4");
  // One player holds what can be stopped: G3 and B3 lie on one string, G4 over B3 is played.
  const alone = findingsOf("violin", chord([43, 59]), { rule: "range" })[0]!.remedy;
  assertStringIncludes(alone, "Move it up two octaves (G4");
});

Deno.test("playability() range: where no octave fits, another instrument is named, and no octave", () => {
  const bell = defineInstrument({
    id: "row of three handbells",
    like: "glockenspiel",
    rangeExtreme: { low: 72, high: 76 },
    rangeComfortable: { low: 72, high: 76 },
  });
  const [finding] = findingsOf(bell.id, [{ at: 0, quarters: 1, pitch: 70 }], { rule: "range" });
  assertEquals(named(finding!.remedy), null);
  assertStringIncludes(finding!.remedy, "Give it to the ");
});

Deno.test("playability() range: B3 of a C flute is sent to a B foot, which has it where the part says so", () => {
  const finding = outside("flute", "B3");
  assertEquals(finding.severity, "impossible");
  assertStringIncludes(finding.what, "a flute with B foot has it");
  assertStringIncludes(finding.remedy, "Ask for a flute with B foot, or move it up an octave (B4");
  assertEquals(outside("flute with B foot", "B3"), undefined);
  assertStringIncludes(outside("flute with B foot", "Bb3").what, "below the flute with B foot's B3");
  assert(!outside("flute", "Bb3").remedy.includes("B foot"));
});

Deno.test("playability() range: a horn an octave too low may stand in the old bass clef, a trumpet not", () => {
  const horn = outside("horn in F", "E1").remedy;
  assertStringIncludes(
    horn,
    "Check the file: in the old bass clef horns sound an octave higher than read here",
  );
  assertStringIncludes(horn, "Else move it up an octave (E2, written B2)");
  assert(!outside("horn in F", "E0").remedy.includes("old bass clef"));
  assert(!outside("trumpet in C", "E3").remedy.includes("bass clef"));
});

Deno.test("playability() ranges: notes are called as the file spells them, written ones a step and a third away", () => {
  const spelling = { step: "A", alter: 1, octave: 2 };
  const notes = [{ at: 0, quarters: 2, pitch: 46, spelling }];
  const score = smallScore([{ instrument: "clarinet in A", role: "lead", notes }]);
  const parts = score.parts.map((part) => ({ ...part, transposeSemitones: -3, transposeSteps: -2 }));
  const [finding] = playability({ ...score, parts }).findings;
  assertStringIncludes(finding!.what, "A#2 (sounding, written C#3)");
  assertStringIncludes(finding!.remedy, "A#3, written C#4");
});

Deno.test("playability() range: a trumpet in F is told that it is judged by the trumpet in C, one in C is not", () => {
  const notes = [{ at: 0, quarters: 2, pitch: 53 }];
  const score = smallScore([{ instrument: "trumpet in C", role: "lead", notes, name: "F Trumpet 2" }]);
  const said = (transposeSemitones: number, transposeSteps: number) =>
    playability({
      ...score,
      parts: score.parts.map((part) => ({ ...part, transposeSemitones, transposeSteps })),
    }).findings[0]!.what;
  assertEquals(
    said(5, 3),
    "F3 (sounding, written C3) lies below the trumpet in C's F#3, by which F Trumpet 2 is judged",
  );
  assertEquals(said(0, 0), "F3 (sounding) lies below the trumpet in C's F#3");
});

Deno.test("playability() range: where no octave gives the dynamic the nearest is named, and said not to, once", () => {
  assertEquals(
    outside("flute", "A3", "ppp").remedy,
    "Move it up an octave (A4), which does not give ppp, or give it to the clarinet in Bb",
  );
});

Deno.test("playability() range: of those in the score one of the same kind is asked first, wherever it stands", () => {
  const parts = (others: readonly string[]) =>
    ["trumpet in D", ...others].map((instrument, p) => ({
      instrument,
      role: "lead" as const,
      notes: p === 0 ? [{ at: 0, quarters: 2, pitch: pitchOf("F3")! }] : [],
    }));
  for (const others of [["horn in F", "trumpet in Bb"], ["trumpet in Bb", "horn in F"]]) {
    const [finding] = playability(smallScore(parts(others))).findings;
    assertStringIncludes(finding!.remedy, "or give it to the trumpet in Bb");
  }
});

Deno.test("playability() range: two octaves beyond all instruments are asked of the player, a semitone more of the file", () => {
  const { low, high } = allPitches();
  const asked = (pitch: number) =>
    findingsOf("tuba", [{ at: 0, quarters: 2, pitch }]).map((f) => f.rule).find((rule) =>
      rule === "range" || rule === "check the file"
    );
  assertEquals([low - 24, low - 25, high + 24, high + 25].map(asked), [
    "range",
    "check the file",
    "range",
    "check the file",
  ]);
});
