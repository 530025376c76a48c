/**
 * Glissandi and slides, one family after another. Limits: `data/glissando_limits.csv`, whose rows were carried over
 * from handbook consensus by memory, or are common practice without a source; where a check below has more to go
 * by, it says so.
 */
import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreaterOrEqual,
  assertStringIncludes,
} from "@std/assert";
import {
  allInstruments,
  instrumentById,
  pitchOf,
  playability,
  type Score,
  unfoldRepeats,
  writeMusicXml,
} from "ripieno";
import { readMusicXml } from "ripieno/formats";
import { glissandoLimit, timpaniDrums } from "ripieno/instruments";
import { bendTempo, type Glissando, type Note, refineGrid, type Spelling } from "ripieno/score";
import { glissandiOf } from "../../../lib/measures/playability/glissando_places.ts";
import { slideGlissando, slidePositions } from "../../../lib/measures/playability/slide_places.ts";
import { csvRows, sharedFolder } from "../../setup/shared_data.ts";
import { findingsOf, type FindingsOptions, rulesOf } from "../findings_of.ts";
import { type LineNote, smallScore, TICKS_PER_QUARTER } from "../small_scores.ts";

type Kind = Glissando["kind"];

/** One line from a note to another, for example `Bb3 E3`; quarters are seconds. */
function drawn(kind: Kind, ends: string, quarters = 1, more: Partial<LineNote> = {}): readonly LineNote[] {
  const [from, to] = ends.split(" ").map((name) => pitchOf(name)!) as [number, number];
  const glissandi = [{ kind, semitones: to - from, lengthTicks: quarters * TICKS_PER_QUARTER }];
  return [{ at: 0, quarters, pitch: from, glissandi, ...more }, { at: quarters, quarters: 1, pitch: to }];
}

function found(id: string, notes: readonly LineNote[], options: FindingsOptions = {}) {
  return findingsOf(id, notes, options).filter((f) => f.rule.startsWith("glissando"));
}
const slide = (id: string, ends: string, quarters = 1) => rulesOf(found(id, drawn("slide", ends, quarters)));
const wavy = (id: string, ends: string, quarters = 1) =>
  rulesOf(found(id, drawn("glissando", ends, quarters)));

// Slide chart of the trombone (recalled standard facts): seven positions on each partial of B flat, six with the trigger.
Deno.test("glissando on a trombone: a tritone within one partial is one slide, a semitone more or a change of partial is not", () => {
  for (const ends of ["Bb3 E3", "E3 Bb3", "F3 B2", "Bb2 E2", "D4 Ab3", "F4 B3", "F2 C2", "Bb1 E1"]) {
    assertEquals(slide("tenor trombone", ends), [], ends);
  }
  for (const ends of ["Bb3 Eb3", "B3 F3", "B2 F#3", "C3 Bb3", "A2 D3"]) {
    assertEquals(slide("tenor trombone", ends), ["impossible glissando"], ends);
  }
  assertEquals(wavy("tenor trombone", "B2 F#3"), ["risky glissando"]);
  assertEquals(slide("alto trombone", "Eb4 A3"), []);
  assertEquals(slide("alto trombone", "Eb4 Ab3"), ["impossible glissando"]);
});

// Known among trombonists, from memory: B1 up to F2, as an orchestral score of 1943 has it, lies on no partial of the
// bass trombone in B flat and F; with the trigger only six positions are left, and B1 would be the seventh.
Deno.test("glissando on a bass trombone: from B1 up to F2 there is no slide, from C2 there is", () => {
  assertEquals(slide("bass trombone", "B1 F2"), ["impossible glissando"]);
  assertEquals(slide("bass trombone", "C2 F2"), []);
});

Deno.test("glissando on a trombone: the finding names what the slide reaches", () => {
  const [finding] = found("tenor trombone", drawn("slide", "Bb3 D3", 2));
  assertEquals([finding!.figure, finding!.limit, finding!.unit], [8, 6, "semitones"]);
  assertStringIncludes(finding!.what, "Bb3 down to D3 cannot be one slide");
  assertStringIncludes(finding!.remedy, "from Bb3 to E3");
  assertEquals([finding!.bar, finding!.beat, finding!.partName], ["1", 1, "tenor trombone 1"]);
  assertStringIncludes(finding!.source, "seven positions");
});

Deno.test("slideGlissando(): never further than the shared reference says, and agrees with the positions of plain notes", () => {
  const folder = sharedFolder("../reference");
  const most = folder
    ? Number(
      csvRows(new URL("glissando-limits.csv", folder)).find((row) => row.instrument === "tenor trombone")!
        .value,
    )
    : 6;
  for (const kind of ["tenor trombone", "bass trombone", "alto trombone"]) {
    let widest = 0;
    for (let from = 28; from <= 77; from++) {
      for (let to = 28; to <= 77; to++) {
        const { possible, travel } = slideGlissando(kind, from, to)!;
        if (!possible) continue;
        widest = Math.max(widest, Math.abs(to - from));
        assertAlmostEquals(travel, Math.abs(to - from));
        // A slide that is possible lies between positions in which both notes speak, or on the corrected seventh partial.
        const [a, b] = [slidePositions(kind, from), slidePositions(kind, to)];
        assert(a.some((p) => b.includes(p + from - to)) || travel <= 5, `${kind} ${from} ${to}`);
      }
    }
    assertEquals(widest, most);
  }
  assertEquals(slideGlissando("tuba", 40, 42), null);
});

Deno.test("glissando on a trombone: a quick one is held to the speed of the slide, and not twice", () => {
  const quick = findingsOf("alto trombone", drawn("slide", "Eb4 A3", 0.125));
  assertEquals(rulesOf(quick.filter((f) => /slide|glissando|leaps/.test(f.rule))), ["note glissando speed"]);
  assertEquals(rulesOf(found("alto trombone", drawn("slide", "Eb4 A3", 0.0625))), ["risky glissando speed"]);
  assertEquals(slide("alto trombone", "Eb4 A3", 0.25), []);
});

// Drums: data/timpani_drums.csv (freepercussionlessons.com), C2 to A2, F2 to D3, B flat 2 to F3, C3 to A3.
Deno.test("glissando on a trombone: just as long as the slide takes is slow enough, less than half of it risky", () => {
  const inSeconds = (quarters: number) =>
    rulesOf(found("tenor trombone", drawn("slide", "F3 B2", quarters), { constants: { slideSeconds: 0.5 } }));
  assertEquals([inSeconds(0.5), inSeconds(0.25), inSeconds(0.125)], [
    [],
    ["note glissando speed"],
    ["risky glissando speed"],
  ]);
});

Deno.test("glissando on timpani: within one drum, at the pedal's pace, with a roll when it is long", () => {
  const roll = { tremoloSlashes: 3 };
  assertEquals(slide("timpani", "Bb2 F3"), []);
  assertEquals(slide("timpani", "F2 D3"), []);
  assertEquals(slide("timpani", "F2 Eb3"), ["impossible glissando"]);
  const [finding] = found("timpani", drawn("slide", "C2 C3"));
  assertEquals([finding!.figure, finding!.limit], [12, 9]);
  assertStringIncludes(finding!.remedy, "as far as A2");
  assertEquals(slide("timpani", "Bb2 F3", 0.25), ["risky glissando speed"]);
  assertEquals(slide("timpani", "Bb2 F3", 4), ["note glissando speed"]);
  assertEquals(rulesOf(found("timpani", drawn("slide", "Bb2 F3", 4, roll))), []);
});

Deno.test("glissando on timpani: the pedal that slides is not counted as a hurried retuning", () => {
  const notes = [...drawn("slide", "Bb2 F3", 0.5), { at: 0.6, quarters: 0.4, pitch: pitchOf("F3")! }];
  assertEquals(findingsOf("timpani", notes, { rule: "timpani retuning" }), []);
  // Back on B flat at once, while the other drums that have it are in use.
  const back = [46, 41, 50, 53].map((pitch, i) => ({ at: i * 0.2, quarters: 0.2, pitch }));
  const sliding = [...back, ...drawn("slide", "Bb2 F3", 0.5).map((n) => ({ ...n, at: n.at + 0.8 }))];
  const again = [...sliding, { at: 1.4, quarters: 0.2, pitch: 46 }];
  assertEquals(rulesOf(findingsOf("timpani", again, { rule: "timpani retuning" })).length, 1);
});

/** A harp glissando that begins with some notes written out, by names such as `C#4`. */
function harp(names: string, end: string, more: readonly LineNote[] = []) {
  const spelt = (name: string): Spelling & { readonly pitch: number } => ({
    step: name[0]!,
    alter: name.includes("#") ? 1 : name.includes("b") ? -1 : 0,
    octave: Number(name.at(-1)),
    pitch: pitchOf(name)!,
  });
  const first = names.split(" ").map(spelt);
  const last = spelt(end);
  const at = 4;
  const notes = first.map(({ pitch, ...spelling }, i): LineNote => ({
    at: at + i / 8,
    quarters: 1 / 8,
    pitch,
    spelling,
  }));
  const glissandi = [{
    kind: "glissando" as const,
    semitones: last.pitch - first[0]!.pitch,
    lengthTicks: 2 * TICKS_PER_QUARTER,
  }];
  const { pitch, ...spelling } = last;
  return findingsOf("harp", [
    ...more,
    { ...notes[0]!, glissandi },
    ...notes.slice(1),
    { at: at + 2, quarters: 1, pitch, spelling },
  ]).filter((f) => f.rule === "glissando pedals" || f.rule === "harp pedals" || f.rule === "glissando");
}

// Common practice, no source: a hand on the bars sweeps one line, two hands on the harp two each.
Deno.test("glissandi at once: as many as the hands of all players sweep", () => {
  const atOnce = (id: string, count: number, players: number) => {
    const lines = Array.from(
      { length: count },
      (_, i) =>
        drawn("glissando", "C4 C5").slice(0, 1).map((n) => ({
          ...n,
          pitch: n.pitch + 2 * i,
        })),
    ).flat();
    return found(id, lines, { players }).filter((f) => f.unit === "glissandi at once");
  };
  const counts = (id: string, players: number) =>
    [1, 2, 3, 4, 5, 8, 9].filter((count) => atOnce(id, count, players).length === 0);
  assertEquals([counts("marimba", 1), counts("marimba", 2)], [[1, 2], [1, 2, 3, 4]]);
  assertEquals([counts("harp", 1), counts("harp", 2)], [[1, 2, 3, 4], [1, 2, 3, 4, 5, 8]]);
  const [one] = atOnce("marimba", 3, 1), [two] = atOnce("marimba", 5, 2);
  assertEquals([one!.what, one!.remedy], [
    "3 glissandi at once for two hands on a marimba",
    "Leave 2 of them, or use a second player",
  ]);
  assertEquals([two!.what, two!.limit, two!.remedy], [
    "5 glissandi at once for 2 players on a marimba",
    4,
    "Leave 4 of them, or use another player",
  ]);
});

// Seven pedals, each with three positions for all octaves: the build of the instrument.
Deno.test("glissando on a harp: any seven letters with one form each, such as a major, a pentatonic or a diminished setting", () => {
  assertEquals(harp("C3 D3 E3 F3 G3 A3 B3", "C6"), []);
  assertEquals(harp("Cb3 Db3 Eb3 Fb3 Gb3 Ab3 Bb3", "Cb6"), []);
  // B sharp and C are two strings of one pitch.
  assertEquals(harp("C3 D#3 Eb3 F#3 Gb3 A3 B#3", "C6"), []);
  assertEquals(harp("C3 D#3 Eb3 F#3 Gb3 A3 B#3", "A5"), []);
  assertEquals(harp("Cb3 D3 E#3 Fb3 G#3 Ab3 B3", "D6"), []);
});

Deno.test("glissando on a harp: a letter in two forms, a chromatic line or a double sharp has no setting", () => {
  const [finding] = harp("C3 D3 E3 F3 F#3 G3 A3", "C6");
  assertEquals([finding!.severity, finding!.rule, finding!.figure, finding!.limit], [
    "impossible",
    "glissando pedals",
    2,
    1,
  ]);
  assertStringIncludes(finding!.what, "asks for F natural and F sharp");
  assertEquals([finding!.fromBarIndex, finding!.toBarIndex], [1, 1], "the second bar alone");
  assertEquals(rulesOf(harp("C3 C#3 D3 D#3", "C5"))[0], "impossible glissando pedals");
  assertEquals(rulesOf(harp("C3 D3 E3", "C#6"))[0], "impossible glissando pedals");
});

Deno.test("glissando on a harp: two hands that sweep together share one setting", () => {
  const line = (step: string, alter: number, octave: number, staff: number): readonly LineNote[] => {
    const pitch = pitchOf(`${step}${octave}`)! + alter;
    const glissandi = [{ kind: "glissando" as const, semitones: 24, lengthTicks: 2 * TICKS_PER_QUARTER }];
    return [
      { at: 0, quarters: 2, pitch, staff, glissandi, spelling: { step, alter, octave } },
      { at: 2, quarters: 1, pitch: pitch + 24, staff, spelling: { step, alter, octave: octave + 2 } },
    ];
  };
  const [finding] = found("harp", [...line("C", 0, 4, 1), ...line("C", 1, 2, 2)]);
  assertEquals([finding!.severity, finding!.rule], ["impossible", "glissando pedals"]);
  assertStringIncludes(finding!.what, "2 glissandi together ask for C sharp and C natural");
  assertEquals(found("harp", [...line("C", 1, 4, 1), ...line("E", 0, 2, 2)]), []);
});

Deno.test("glissando on a harp: the setting stands before it begins, and stays to its end", () => {
  const before = (at: number): LineNote => ({
    at,
    quarters: 0.25,
    pitch: 65,
    spelling: { step: "F", alter: 0, octave: 4 },
  });
  // F sharp comes at the end, and its string is swept from the start on.
  assertEquals(rulesOf(harp("C3 D3 E3", "F#5", [before(3.9)])), ["risky harp pedals"]);
  assertEquals(harp("C3 D3 E3", "F#5", [before(3)]), []);
  const during: LineNote = {
    at: 5,
    quarters: 0.5,
    pitch: 42,
    spelling: { step: "G", alter: -1, octave: 2 },
    staff: 2,
  };
  assertEquals(rulesOf(harp("C3 D3 G3", "C6", [during])), ["risky harp pedals"]);
});

Deno.test("glissando on a harp: a straight line is read as over the strings; MIDI's notes without spelling say nothing", () => {
  assertEquals(slide("harp", "C3 C6"), []);
  assertEquals(wavy("harp", "C3 C#6"), []);
  assertEquals(wavy("harp", "C1 C7", 0.25), ["risky glissando speed"]);
  const five = [36, 40, 43, 48, 52].flatMap((pitch) =>
    drawn("glissando", "C3 C5", 2).map((n) => ({ ...n, pitch: n.pitch - 48 + pitch }))
  );
  assertEquals(rulesOf(found("harp", five)), ["risky glissando"]);
});

// data/strings.csv: two octaves are commonly asked for on each string; the excess at which nobody goes on is assumed.
Deno.test("glissando on strings: one string from end to end, whatever the section's size", () => {
  assertEquals(slide("violin", "G3 G5"), []);
  assertEquals(slide("violin", "E5 E7"), []);
  assertEquals(slide("violin", "A3 C6"), ["risky glissando"]);
  assertEquals(slide("violin", "A3 E6"), ["impossible glissando"]);
  assertEquals(slide("violin", "E6 A3"), ["impossible glissando"]);
  assertEquals(wavy("violin", "A3 E6"), ["note glissando"]);
  assertEquals(slide("cello", "C2 C4"), []);
  assertEquals(slide("double bass", "E1 A3"), ["risky glissando"]);
  const harmonics = drawn("slide", "G3 E6", 1, { technique: "harmonic" });
  assertEquals(found("violin", harmonics), []);
  assertEquals(rulesOf(found("cello", drawn("slide", "C3 G3", 3, { technique: "pizzicato" }))), [
    "note glissando speed",
  ]);
  assertEquals(rulesOf(found("violin", drawn("slide", "A3 E6"), { players: 14 })), ["impossible glissando"]);
});

Deno.test("glissando on keys and bars: steps over one kind; a continuous slide is none", () => {
  for (const id of ["piano", "celesta", "xylophone", "marimba", "glockenspiel", "vibraphone", "organ"]) {
    assertEquals(wavy(id, "C5 C6"), [], id);
    assertEquals(wavy(id, "F#5 Eb6"), [], id);
    assertEquals(wavy(id, "C5 Eb6"), ["note glissando"], id);
    assertEquals(slide(id, "C5 C6"), ["impossible glissando"], id);
  }
  assertEquals([wavy("piano", "C5 B5"), wavy("piano", "B4 F#5")], [[], ["note glissando"]]);
  // From a white key to the black one a tone away; a semitone is no sweep.
  assertEquals([wavy("piano", "E4 F#4"), wavy("piano", "C4 C#4")], [["note glissando"], []]);
  const [finding] = found("xylophone", drawn("slide", "C5 C6"));
  assertEquals([finding!.figure, finding!.limit, finding!.unit], [12, 0, "semitones without steps"]);
  assertStringIncludes(finding!.what, "a xylophone has steps only");
  assertStringIncludes(finding!.remedy, "natural bars");
  const writtenOut = [
    ...drawn("glissando", "C4 C6", 2),
    ...[61, 62, 63].map((pitch, i) => ({ at: (i + 1) / 4, quarters: 0.25, pitch })),
  ];
  assertEquals(rulesOf(found("piano", writtenOut)), ["risky glissando"]);
  assertEquals(wavy("piano", "C2 C7", 0.5), ["risky glissando speed"]);
});

// A glissando up from written D5, above the break, as jazz and one famous opening have it (handbook consensus, recalled).
Deno.test("glissando on a clarinet: smooth upwards above the break, in written pitch", () => {
  assertEquals(slide("clarinet in Bb", "C5 Bb5"), ["note glissando"]); // written D5 to C6
  assertEquals(slide("clarinet in Bb", "F4 Bb5"), ["risky glissando"]);
  assertEquals(slide("clarinet in Bb", "Bb5 C5"), ["risky glissando"]);
  assertEquals(slide("clarinet in A", "B4 A5"), ["note glissando"]); // written D5 again
  assertEquals(wavy("clarinet in Bb", "F4 Bb5", 1.5), []);
});

Deno.test("glissando on other winds: a little is bent or half-valved, wavy lines are fingered runs, a horn rips upwards", () => {
  assertEquals(slide("flute", "A5 B5"), ["note glissando"]);
  assertEquals(slide("oboe", "A4 A5"), ["risky glissando"]);
  assertEquals(slide("trumpet in C", "C5 G5"), ["note glissando"]);
  assertEquals(slide("tuba", "C2 C3"), ["risky glissando"]);
  assertEquals(slide("bass trumpet in Bb", "F3 B3"), ["note glissando"]); // valves, though its rates are a trombone's
  assertEquals(wavy("flute", "C5 C6", 1), []);
  assertEquals(wavy("flute", "C5 C6", 0.5), ["note glissando speed"]); // 24 notes a second
  assertEquals(wavy("horn in F", "C4 C5", 0.5), []);
  assertEquals(slide("horn in F", "C4 C5", 0.5), []);
  assertEquals(wavy("horn in F", "C5 C4", 0.5), ["risky glissando"]);
  assertEquals(wavy("horn in F", "F4 G4", 0.5), ["note glissando"]);
  assertEquals(slide("soprano", "C5 G5"), []);
  assertEquals(slide("soprano", "C4 G5"), ["risky glissando"]);
});

Deno.test("glissando out of a grace note: judged for its span, never for its speed", () => {
  const scoop = (from: number): readonly LineNote[] => [
    {
      at: 0,
      quarters: 0,
      pitch: from,
      grace: true,
      glissandi: [{ kind: "slide", semitones: 58 - from, lengthTicks: 0 }],
    },
    { at: 0, quarters: 2, pitch: 58 },
  ];
  assertEquals(found("tenor trombone", scoop(52)), []);
  assertEquals(rulesOf(found("tenor trombone", scoop(50))), ["impossible glissando"]);
});

Deno.test("glissandi that follow each other are one finding; every instrument of the catalogue is judged or left alone without a crash", () => {
  const chain = Array.from(
    { length: 8 },
    (_, i) => drawn("slide", "Bb3 D3").map((n) => ({ ...n, at: n.at + 2 * i })),
  ).flat();
  const [finding, ...rest] = found("tenor trombone", chain);
  assertEquals([finding!.places, rest.length], [8, 0]);
  let limited = 0;
  for (const instrument of allInstruments()) {
    const { low, high } = instrument.rangeComfortable;
    const notes = drawn("slide", "C4 C5").map((n, i) => ({
      ...n,
      pitch: i === 0 ? low : high,
      unpitched: instrument.unpitched,
      ...(i === 0
        ? { glissandi: [{ kind: "slide" as const, semitones: high - low, lengthTicks: TICKS_PER_QUARTER }] }
        : {}),
    }));
    const limit = glissandoLimit(instrument);
    if (limit) limited++;
    for (const f of found(instrument.id, notes)) {
      assert(limit !== null && !instrument.unpitched, instrument.id);
      assert(f.what !== "" && f.remedy !== "" && f.source !== "" && Number.isFinite(f.figure), instrument.id);
    }
  }
  // Everything but unpitched percussion.
  assertEquals(limited, allInstruments().filter((each) => !each.unpitched).length);
});

/** Something every family can play, and how far to widen it until it cannot. */
const WIDENED: readonly (readonly [string, Kind, string, number, string])[] = [
  ["tenor trombone", "slide", "Bb3 E3", -1, "impossible glissando"],
  ["bass trombone", "slide", "F2 C2", -1, "impossible glissando"],
  ["alto trombone", "slide", "A3 Eb4", 1, "impossible glissando"],
  ["timpani", "slide", "F2 D3", 1, "impossible glissando"],
  ["violin", "slide", "G3 G5", 7, "impossible glissando"],
  ["viola", "slide", "C3 G4", 9, "impossible glissando"],
  ["cello", "slide", "C2 C4", 7, "impossible glissando"],
  ["double bass", "slide", "E1 E3", 7, "impossible glissando"],
  ["guitar", "slide", "E2 B3", 6, "impossible glissando"],
  ["soprano", "slide", "C4 C5", 1, "risky glissando"],
  ["flute", "slide", "A5 B5", 1, "risky glissando"],
  ["trumpet in C", "slide", "G4 G5", 1, "risky glissando"],
  ["clarinet in Bb", "slide", "C5 F6", 1, "risky glissando"],
  ["piano", "glissando", "C3 C6", 1, "note glissando"],
  ["marimba", "glissando", "C3 C6", -2, "note glissando"],
];

Deno.test("mutation: a glissando widened beyond its limit is caught, by the rule of glissandi, and was not before", () => {
  let caught = 0;
  for (const [id, kind, ends, wider, expected] of WIDENED) {
    const plain = drawn(kind, ends);
    const before = rulesOf(found(id, plain)).filter((rule) => !rule.startsWith("note"));
    const wide = plain.map((n, i) =>
      i === 1 ? { ...n, pitch: n.pitch + wider } : {
        ...n,
        glissandi: n.glissandi!.map((g) => ({ ...g, semitones: g.semitones + wider })),
      }
    );
    const after = rulesOf(found(id, wide));
    assertEquals([id, before, after], [id, [], [expected]]);
    caught++;
  }
  assertGreaterOrEqual(caught, 15);
});

Deno.test("mutation: a piece of slides made for trombones fails on instruments with steps, and a drawn line changes no other finding", () => {
  const ends = ["Bb3 E3", "F3 B2", "D4 Ab3", "F4 B3"];
  const notes = ends.flatMap((each, i) => drawn("slide", each).map((n) => ({ ...n, at: n.at + 2 * i })));
  const of = (id: string, plain: boolean): Score =>
    smallScore([{
      instrument: id,
      role: "lead",
      notes: plain ? notes.map(({ glissandi: _, ...n }) => n) : notes,
    }], { bars: 4, quartersPerMinute: 60 });
  const rules = (score: Score) => rulesOf(playability(score).findings);
  assertEquals(rules(of("tenor trombone", false)), rules(of("tenor trombone", true)));
  for (const id of ["piano", "marimba", "vibraphone"]) {
    assertEquals(rules(of(id, false)).filter((r) => !rules(of(id, true)).includes(r)), [
      "impossible glissando",
    ]);
  }
});

Deno.test("from a file to a finding: a slide is judged after writing, reading, unfolding, bending and refining", () => {
  const written = smallScore([{
    instrument: "tenor trombone",
    role: "lead",
    notes: drawn("slide", "Bb3 D3", 2),
  }], { bars: 2, quartersPerMinute: 60 });
  const twice: Score = {
    ...written,
    bars: written.bars.map((bar, i) => i === 1 ? { ...bar, repeat: { times: 2 } } : bar),
  };
  const read = readMusicXml(writeMusicXml(twice));
  const played = refineGrid(bendTempo(unfoldRepeats(read)), 7);
  assertEquals(played.bars.length, 4);
  const findings = playability(played).findings.filter((f) => f.rule === "glissando");
  assertEquals(findings.map((f) => [f.severity, f.figure, f.places]), [["impossible", 8, 2]]);
});

Deno.test("a speed that hangs on an assumed tempo says so", () => {
  const [finding] = found("timpani", drawn("slide", "Bb2 F3", 0.25), {
    changed: (score) => ({ ...score, tempos: score.tempos.map((t) => ({ ...t, origin: "assumed" })) }),
  });
  assertStringIncludes(finding!.what, "is assumed");
});

/** Rows of the shared reference, and the instrument and figure they must come out as; drums by their own spans. */
const REFERENCE: Readonly<Record<string, readonly (readonly [string, number])[]>> = {
  "tenor trombone": [["tenor trombone", 6]],
  "bass trombone": [["bass trombone", 6]],
  "timpani": [["timpani", 7]],
  "harp": [["harp", 7]],
};

Deno.test("glissando limits: the figures of the shared reference (recalled or derived there) stand in the catalogue", () => {
  const spans = timpaniDrums().map((drum) => drum.high - drum.low);
  assertEquals([Math.min(...spans), Math.max(...spans)], [7, 9]);
  const folder = sharedFolder("../reference");
  if (!folder) return;
  let held = 0;
  for (const row of csvRows(new URL("glissando-limits.csv", folder))) {
    for (const [id, most] of REFERENCE[row.instrument!] ?? []) {
      assertEquals([id, glissandoLimit(instrumentById(id))!.most], [id, most]);
      assertEquals(parseFloat(row.value!), most, row.instrument);
      held++;
    }
  }
  assertEquals(held, Object.keys(REFERENCE).length);
});

Deno.test("glissando limits: one row for each way, the drum's the span of its drum, the harp's its pedals", () => {
  assertEquals(glissandoLimit(instrumentById("harp"))!.most, 7);
  const drum = timpaniDrums().find((each) => each.drum.startsWith("26"))!;
  assertEquals(glissandoLimit(instrumentById("timpani"))!.most, drum.high - drum.low);
  assertEquals(glissandoLimit(instrumentById("bass trumpet in Bb"))!.way, "half-valve");
  assertEquals(glissandoLimit(instrumentById("contrabass trombone"))!.way, "slide");
  assertEquals(glissandoLimit(instrumentById("snare drum")), null);
});

// Harmonics of the open horn in F, sounding: F3 is the fourth, A3 the fifth, C4 the sixth.
Deno.test("glissando on a horn: one harmonic in between makes a rip, none a leap", () => {
  assertEquals(slide("horn in F", "F3 C4"), []);
  assertEquals(slide("horn in F", "F3 A3"), ["note glissando"]);
  assertEquals(found("horn in F", drawn("slide", "F3 F3")).map((f) => f.figure), [0], "to itself");
});

Deno.test("glissando on timpani: a semitone too has its pace", () => {
  // The pedal makes 14 semitones a second (data/glissando_limits.csv): one takes a fourteenth.
  assertEquals(slide("timpani", "C3 C#3", 1 / 12), []);
  assertEquals(slide("timpani", "C3 C#3", 1 / 16), ["risky glissando speed"]);
});

Deno.test("glissandiOf() takes grace notes from the start on for written out, none from before", () => {
  const [start, end] = smallScore([{
    instrument: "harp",
    role: "lead",
    notes: drawn("glissando", "C4 C5", 4).map((n) => ({ ...n, at: n.at + 4 })),
  }], { bars: 3 }).notes;
  const grace = (at: number, soundingPitch: number) => ({
    ...end!,
    onsetTicks: at * TICKS_PER_QUARTER,
    durationTicks: 0,
    soundingPitch,
    grace: true,
  });
  const written = (...graces: readonly Note[]) =>
    glissandiOf([start!, end!], { graces })[0]!.written.map((n) => n.soundingPitch);
  assertEquals(written(grace(0, 59), grace(4, 62), grace(4, 64), grace(8, 71)), [60, 62, 64, 72]);
});
