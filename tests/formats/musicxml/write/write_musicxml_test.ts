import { assert, assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { musicXmlValidator } from "../../../setup/music_xml_schema.ts";
import { InputError } from "../../../../lib/base/errors.ts";
import { readMusicXml } from "../../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml, writePart } from "../../../../lib/formats/musicxml/write/write_musicxml.ts";
import { engrave } from "../../../setup/engraver.ts";
import type { Glissando, Note } from "../../../../lib/score/model.ts";
import { differences } from "../../compare_scores.ts";
import { fullScore, line, manyParts, partOf, QUARTER, scoreOf } from "../../small_scores.ts";

/** Text of all elements of one name. */
const texts = (xml: string, name: string) =>
  [...xml.matchAll(new RegExp(`<${name}(?: [^>]*)?>([^<]*)</${name}>`, "g"))].map((m) => m[1]);
/** One `<note>` after another. */
const notesOf = (xml: string) => xml.match(/<note>[\s\S]*?<\/note>/g) ?? [];

Deno.test("MusicXML: a transposing part is written in its own key and spelling, and says how it transposes", () => {
  const clarinet = partOf("Clarinet", {
    instrument: "clarinet in Bb",
    transposeSemitones: -2,
    transposeSteps: -1,
  });
  const xml = writeMusicXml(
    scoreOf([{ keyFifths: -2 }], { parts: [clarinet], notes: line([[1, 58], [1, 63], [2, 66]]) }),
  );
  assertEquals(texts(xml, "step"), ["C", "F", "G"]);
  assertEquals(texts(xml, "alter"), ["1"]);
  assertEquals(texts(xml, "fifths"), ["0"]);
  assertEquals([texts(xml, "diatonic"), texts(xml, "chromatic"), texts(xml, "octave-change")], [["-1"], [
    "-2",
  ], []]);
});

Deno.test("MusicXML: octaves in a transposition stand apart", () => {
  const bass = partOf("Bass clarinet", {
    instrument: "bass clarinet",
    transposeSemitones: -14,
    transposeSteps: -8,
  });
  const xml = writeMusicXml(scoreOf([{}], { parts: [bass], notes: line([[4, 46]]) }));
  assertEquals([texts(xml, "diatonic"), texts(xml, "chromatic"), texts(xml, "octave-change")], [["-1"], [
    "-2",
  ], ["-1"]]);
  assertEquals([texts(xml, "step"), texts(xml, "octave")], [["C"], ["4"]]);
});

Deno.test("MusicXML: beyond seven sharps the enharmonic key is read, and notes follow it", () => {
  const a = partOf("Clarinet", { instrument: "clarinet in Bb", transposeSemitones: -2, transposeSteps: -1 });
  const xml = writeMusicXml(
    scoreOf([{ keyFifths: 6 }], {
      parts: [a],
      notes: [{ at: 0, length: 4, pitch: 66, spelling: { step: "F", alter: 1, octave: 4 } }],
    }),
  );
  assertEquals([texts(xml, "fifths"), texts(xml, "step"), texts(xml, "alter")], [["-4"], ["A"], ["-1"]]);
});

Deno.test("MusicXML: an accidental stands once in a bar, returns after the bar line, and not after a tie", () => {
  const xml = writeMusicXml(
    scoreOf([{}, {}], { notes: line([[1, 66], [1, 66], [1, 65], [2, 66], [1, 66], [2, 67]]) }),
  );
  const signs = notesOf(xml).map((n) => texts(n, "accidental")[0] ?? "-");
  assertEquals(signs, ["flat", "-", "-", "sharp", "-", "sharp", "natural"]);
  assertEquals([...xml.matchAll(/<accidental cautionary="yes">(\w+)/g)].map((m) => m[1]), ["natural"]);
});

Deno.test("MusicXML: notes that overlap are voices, rests of whole bars are measure rests", () => {
  const xml = writeMusicXml(
    scoreOf([{}, {}], { notes: [{ at: 0, length: 4, pitch: 76 }, ...line([[1, 60], [1, 62]])] }),
  );
  assertEquals(notesOf(xml).map((n) => texts(n, "voice")[0]), ["1", "2", "2", "1"]);
  assertEquals(xml.match(/<rest measure="yes"\/>/g)?.length, 1);
});

Deno.test("MusicXML: a harp's run keeps to the stave its beat lies on, its chords are divided at middle C", () => {
  const harp = partOf("Harp", { instrument: "harp" });
  const run = line([36, 43, 48, 52, 55, 60, 64, 67].map((pitch) => [0.25, pitch] as const));
  const chord = [48, 55, 64, 72].map((pitch) => ({ at: 2, length: 2, pitch }));
  const back = readMusicXml(writeMusicXml(scoreOf([{}], { parts: [harp], notes: [...run, ...chord] })));
  assertEquals(back.notes.map((n) => n.staff), [2, 2, 2, 2, 1, 1, 1, 1, 2, 2, 1, 1]);
});

Deno.test("MusicXML: a chord whose inner notes were tied in the source is written as it was, in one voice", () => {
  const xml = writeMusicXml(
    scoreOf([{}], {
      notes: [
        { at: 0, length: 4, pitch: 60, noteheads: 2 },
        { at: 0, length: 2, pitch: 64 },
        { at: 2, length: 2, pitch: 65 },
      ],
    }),
  );
  assertEquals(notesOf(xml).map((n) => texts(n, "voice")[0]), ["1", "1", "1", "1"]);
  assertEquals([...xml.matchAll(/<tie type="(\w+)"/g)].map((m) => m[1]), ["start", "stop"]);
});

Deno.test("MusicXML: families are bracketed, players of one instrument again inside", () => {
  const parts = [
    partOf("Flute"),
    partOf("Horn 1", { instrument: "horn in F", transposeSemitones: -7, transposeSteps: -4 }),
    partOf("Horn 2", { instrument: "horn in F", transposeSemitones: -7, transposeSteps: -4 }),
    partOf("Tuba", { instrument: "tuba" }),
    partOf("Violins", { instrument: "violin", players: 12 }),
    partOf("Cellos", { instrument: "cello", players: 8 }),
  ];
  const xml = writeMusicXml(
    scoreOf([{}], { parts, notes: parts.map((_, part) => ({ part, at: 0, length: 4, pitch: 60 })) }),
  );
  assertEquals(texts(xml, "group-symbol"), ["bracket", "square", "bracket"]);
  assertEquals(texts(xml, "ensemble"), ["12", "8"]);
  assertEquals(xml.match(/<solo\/>/g)?.length, 4);
});

Deno.test("MusicXML: dynamics, slurs, words, tremolos and the like read back as they were written", async () => {
  const score = fullScore();
  const xml = writeMusicXml(score);
  assertEquals(differences(score, readMusicXml(xml)), []);
  assertEquals((await engrave(xml)).log, "");
  const flagged = writeMusicXml(score, { beams: false });
  assert(xml.includes("<beam") && !flagged.includes("<beam"));
  assertEquals((await engrave(flagged)).log, "");
});

Deno.test("MusicXML: pickup, chord symbols, tempos, titles and rehearsal marks come back", () => {
  const score = fullScore();
  const back = readMusicXml(writeMusicXml(score));
  assertEquals([back.title, back.composer], [score.title, score.composer]);
  assertEquals(back.chords.map((c) => c.symbol), score.chords.map((c) => c.symbol));
  assertEquals(back.tempos.map((t) => t.quartersPerMinute), [84, 150]);
  const bars = (s: typeof score) =>
    s.bars.map((
      b,
    ) => [
      b.number,
      b.startTicks / s.ticksPerQuarter,
      b.durationTicks / s.ticksPerQuarter,
      b.beats,
      b.beatUnit,
      b.keyFifths,
      b.rehearsal,
    ]);
  assertEquals(bars(back), bars(score));
  assertEquals(
    back.parts.map((p) => [p.name, p.instrument, p.transposeSemitones]),
    score.parts.map((p) => [p.name, p.instrument, p.transposeSemitones]),
  );
});

Deno.test("MusicXML: chords that the format has no word for come back as they are printed", () => {
  const score = fullScore();
  const [first] = score.chords;
  for (const symbol of ["B7sus4", "G7b9/B", "Cadd9", "F#7#11"]) {
    const back = readMusicXml(writeMusicXml({ ...score, chords: [{ ...first!, symbol }] }));
    assertEquals(back.chords.map((c) => c.symbol), [symbol]);
  }
});

Deno.test("MusicXML: 24 parts take two MIDI ports, and engrave without complaint", async () => {
  const xml = writeMusicXml(manyParts());
  assertEquals(new Set(texts(xml, "midi-channel")).size, 15);
  assertEquals(xml.match(/<midi-device [^>]*port="2"/g)?.length, 9);
  assertEquals((await engrave(xml)).log, "");
});

Deno.test("MusicXML: a player's part stands alone, its empty bars gathered", async () => {
  const score = scoreOf([{}, {}, {}, { rehearsal: "B" }, {}, {}], {
    parts: [partOf("Flute"), partOf("Oboe", { instrument: "oboe" })],
    notes: [...line([[24, 72]]), { part: 1, at: 0, length: 4, pitch: 70 }],
  });
  const xml = writePart(score, 1);
  assertEquals(texts(xml, "part-name"), ["Oboe"]);
  assertEquals(texts(xml, "multiple-rest"), ["2", "3"]);
  assertEquals(readMusicXml(xml).notes.length, 1);
  assertEquals((await engrave(xml)).log, "");
  assertThrows(() => writePart(score, 2), InputError, "there is no part 2");
});

Deno.test("MusicXML: text that is markup, or that XML forbids, does no harm", () => {
  const score = scoreOf([{ rehearsal: "<A> & \u0001B" }], { title: `"&<>\u0000`, notes: line([[4, 60]]) });
  const back = readMusicXml(writeMusicXml(score));
  assertEquals([back.title, back.bars[0]!.rehearsal], [`"&<>`, "<A> & B"]);
});

Deno.test("MusicXML: quarter tones keep their quarter", () => {
  const score = scoreOf([{}], { notes: line([[2, 60.5], [2, 69.5]]) });
  const back = readMusicXml(writeMusicXml(score));
  assertEquals(back.notes.map((n) => n.soundingPitch), [60.5, 69.5]);
});

Deno.test("MusicXML: a grid of odd divisions is kept exact", () => {
  const score = { ...scoreOf([{}], { notes: [] }), ticksPerQuarter: 7 };
  const odd = {
    ...score,
    bars: [{ ...score.bars[0]!, durationTicks: 28 }],
    notes: scoreOf([{}], { notes: line([[1, 60], [1, 62], [2, 64]]) }).notes.map((n, i) => ({
      ...n,
      onsetTicks: [0, 5, 9][i]!,
      durationTicks: [5, 4, 19][i]!,
    })),
  };
  const back = readMusicXml(writeMusicXml(odd));
  assertEquals(back.notes.map((n) => n.onsetTicks * 7 / back.ticksPerQuarter), [0, 5, 9]);
  assertEquals(back.notes.map((n) => n.durationTicks * 7 / back.ticksPerQuarter), [5, 4, 19]);
});

Deno.test("MusicXML: what cannot be written is refused in one sentence", () => {
  const score = scoreOf([{}], { notes: line([[4, 60]]) });
  assertThrows(() => writeMusicXml(score, { beam: true } as never), InputError, `there is no option "beam"`);
  assertThrows(() => writeMusicXml({ ...score, parts: [] }), InputError, "the score has no parts");
  assertThrows(() => writeMusicXml({ ...score, bars: [] }), InputError, "the score has no bars");
  assertThrows(() => writeMusicXml(score, { chordSymbols: 3 }), InputError, "chordSymbols asks for part 3");
});

Deno.test("MusicXML: a note past the last bar is cut, one outside the bars is refused", () => {
  const long = scoreOf([{}], { notes: line([[6, 60]]) });
  const back = readMusicXml(writeMusicXml(long));
  assertEquals(back.notes.map((n) => [n.durationTicks / back.ticksPerQuarter, n.noteheads]), [[4, 1]]);
  assertThrows(
    () => writeMusicXml(scoreOf([{}], { notes: line([[1, 60]], { from: 4 }) })),
    InputError,
    "outside the bars",
  );
  assertThrows(
    () => writeMusicXml(scoreOf([{}], { notes: line([[1, 60]], { part: 3 }) })),
    InputError,
    "part 3",
  );
});

Deno.test("MusicXML: whatever notes are given, in voices, chords and tuplets, with glissandi between any two, the same come back", () => {
  const divisions = fc.constantFrom(1, 2, 3, 4, 5, 6, 8);
  const note = fc.record({
    part: fc.integer({ min: 0, max: 1 }),
    division: divisions,
    start: fc.integer({ min: 0, max: 60 }),
    steps: fc.integer({ min: 1, max: 30 }),
    pitch: fc.integer({ min: 40, max: 90 }),
    voice: fc.integer({ min: 1, max: 2 }),
    dynamic: fc.integer({ min: 1, max: 8 }),
    staccato: fc.boolean(),
  });
  const metre = fc.record({ beats: fc.integer({ min: 2, max: 12 }), beatUnit: fc.constantFrom(2, 4, 8) });
  const drawn = fc.record({
    from: fc.nat({ max: 24 }),
    to: fc.nat({ max: 24 }),
    kind: fc.constantFrom("slide" as const, "glissando" as const),
  });
  const parts = [
    partOf("Oboe", { instrument: "oboe" }),
    partOf("Clarinet", { instrument: "clarinet in A", transposeSemitones: -3, transposeSteps: -2 }),
  ];
  fc.assert(
    fc.property(
      fc.array(note, { minLength: 1, maxLength: 25 }),
      fc.array(metre, { minLength: 1, maxLength: 6 }),
      fc.array(drawn, { maxLength: 6 }),
      (notes, metres, lines) => {
        const bars = metres.map((m, i) => ({ ...m, keyFifths: i % 5 - 2 }));
        const quarters = bars.reduce((sum, b) => sum + b.beats * 4 / b.beatUnit, 0);
        const texts = notes.map(({ division, start, steps, staccato, dynamic: _, ...rest }) => {
          const at = start / division % quarters;
          const length = Math.min(steps / division, quarters - at);
          return { ...rest, at, length, articulations: staccato ? ["staccato" as const] : [] };
        }).filter((n, i, all) =>
          n.length > 1e-6 && Math.round(n.length * QUARTER) > 0 &&
          // One pitch sounds once at a time in a part; otherwise ties cannot tell the notes apart.
          !all.slice(0, i).some((m) =>
            m.part === n.part && m.pitch === n.pitch && m.at < n.at + n.length && n.at < m.at + m.length
          )
        );
        const plain = scoreOf(bars, { parts, notes: texts });
        if (plain.notes.length === 0) return;
        const score = { ...plain, notes: withLines(plain.notes, lines) };
        for (const part of writeMusicXml(score).split("<part id=")) assertEquals(openTwice(part), []);
        assertEquals(differences(score, readMusicXml(writeMusicXml(score)), ["spelling"]), []);
      },
    ),
    { seed: 6, numRuns: 200 },
  );
});

/** Notes with lines between those of one part that follow each other; the places may run past the list. */
function withLines(
  notes: readonly Note[],
  lines: readonly { readonly from: number; readonly to: number; readonly kind: Glissando["kind"] }[],
): readonly Note[] {
  return notes.map((note, i) => {
    const glissandi = lines.filter(({ from }) => from === i).flatMap(({ to, kind }): Glissando[] => {
      const end = notes[to];
      if (!end || end.part !== note.part || end.onsetTicks <= note.onsetTicks) return [];
      return [{
        kind,
        semitones: end.soundingPitch - note.soundingPitch,
        lengthTicks: end.onsetTicks - note.onsetTicks,
      }];
    });
    return glissandi.length > 0 ? { ...note, glissandi } : note;
  });
}

/**
 * Numbers of lines of which more than one is open at once in the text of a part. Where a line leads from a lower
 * voice to an upper one, the file has its end before its beginning; both then stand in one bar.
 */
function openTwice(part: string): readonly string[] {
  const open = new Map<string, number>();
  const wrong: string[] = [];
  for (const bar of part.split("<measure ")) {
    for (const [, kind, type, number] of bar.matchAll(/<(slide|glissando) type="(\w+)" number="(\d+)"/g)) {
      const key = `${kind} ${number}`;
      open.set(key, (open.get(key) ?? 0) + (type === "start" ? 1 : -1));
      if (Math.abs(open.get(key)!) > 1) wrong.push(key);
    }
    for (const [key, count] of open) if (count < 0) wrong.push(key);
  }
  return [...wrong, ...[...open].filter(([, count]) => count !== 0).map(([key]) => key)];
}

Deno.test("MusicXML: a cello high up for some bars changes clef, and not for one note", () => {
  const cello = partOf("Cello", { instrument: "cello" });
  const low = [43, 50, 45, 48];
  const high = [67, 69, 71, 72];
  const bars = [low, low, [43, 50, 64, 48], low, high, high, high, [], low, low, low];
  const notes = bars.flatMap((pitches, bar) =>
    pitches.map((pitch, i) => ({ at: bar * 4 + i, length: 1, pitch }))
  );
  const xml = writeMusicXml(scoreOf(bars.map(() => ({})), { parts: [cello], notes }));
  const clefs = xml.split("<measure ").slice(1).map((m) =>
    `${texts(m, "sign")[0] ?? ""}${texts(m, "line")[0] ?? ""}`
  );
  assertEquals(clefs.slice(0, 4), ["F4", "", "", ""]);
  assert(clefs[4] !== "" && clefs[4] !== "F4");
  assertEquals(clefs.slice(5), ["", "", "", "F4", "", ""]);
});

Deno.test("grace notes of a voice that holds nothing else are written, inside the bar and at its ends", () => {
  for (const at of [0, 1, 2, 3, 4]) {
    const score = scoreOf([{}, {}], {
      notes: [
        { at: 0, length: 2, pitch: 60 },
        { at: 2, length: 2, pitch: 62 },
        { at, length: 0, pitch: 67, grace: true, voice: 2 },
      ],
    });
    const back = readMusicXml(writeMusicXml(score));
    assertEquals([at, back.notes.filter((n) => n.grace).map((n) => n.onsetTicks / back.ticksPerQuarter)], [
      at,
      [at],
    ]);
  }
});

Deno.test("an alteration that is next to nothing is written as none, not with an exponent", () => {
  const xml = writeMusicXml(scoreOf([{}], {
    notes: [{ at: 0, length: 4, pitch: 60.0000001, spelling: { step: "C", alter: 1e-7, octave: 4 } }],
  }));
  assertEquals(musicXmlValidator()?.(xml) ?? [], []);
  assertEquals(readMusicXml(xml).notes.map((n) => n.soundingPitch), [60]);
});

Deno.test("bars of 255/1 and 1024/1 are written in a form that is read again, full and empty", () => {
  for (const beats of [255, 1024]) {
    const metre = { beats, beatUnit: 1 };
    const score = scoreOf([metre, metre], { notes: [{ at: 0, length: 255 * 4, pitch: 60 }] });
    const back = readMusicXml(writeMusicXml(score));
    assertEquals(back.bars.map((b) => [b.beats, b.durationTicks / back.ticksPerQuarter]), [
      [beats, beats * 4],
      [beats, beats * 4],
    ]);
    assertEquals(back.notes.map((n) => n.durationTicks / back.ticksPerQuarter), [255 * 4]);
  }
});

Deno.test("pitches beyond the octaves that MusicXML names are written validly and come back, transposed or not", () => {
  const pitches = [-12, 0, 1, 11, 12, 60, 127, 131, 132, 143];
  for (const part of [partOf("Flute"), partOf("Piccolo", { transposeSemitones: 12, transposeSteps: 7 })]) {
    const score = scoreOf([{}, {}, {}], {
      parts: [part],
      notes: pitches.map((pitch, at) => ({ at, length: 1, pitch })),
    });
    const xml = writeMusicXml(score);
    assertEquals(musicXmlValidator()?.(xml) ?? [], []);
    assertEquals(readMusicXml(xml).notes.map((n) => n.soundingPitch), pitches);
  }
});
