import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import { readMidi } from "../../lib/formats/midi/read_midi.ts";
import { readMusicXml } from "../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMidi } from "../../lib/formats/midi/write_midi.ts";
import { writeMusicXml } from "../../lib/formats/musicxml/write/write_musicxml.ts";
import { engrave } from "../setup/engraver.ts";
import { sharedFolder } from "../setup/shared_data.ts";
import { differences } from "./compare_scores.ts";
import { fullScore, partOf, QUARTER, scoreOf } from "./small_scores.ts";
import { musicXmlValidator } from "../setup/music_xml_schema.ts";
import type { Note, Score } from "../../lib/score/model.ts";

Deno.test("the engraver hears a slur that ends and never began, so that silence of its log means something", async () => {
  const xml = writeMusicXml(fullScore());
  const broken = xml.replace("<notations>", '<notations><slur type="stop" number="5"/>');
  assert(broken !== xml);
  assertEquals((await engrave(xml)).log, "");
  assertStringIncludes((await engrave(broken)).log, "slur ending");
});

Deno.test("round trip: a score with one of everything is the same music after writing and reading", () => {
  const small = fullScore();
  assertEquals(differences(small, readMusicXml(writeMusicXml(small))), []);
});

Deno.test("round trip: MIDI movements are the same notes after writing and reading", () => {
  const folder = sharedFolder("s3-symphonies");
  if (!folder) return;
  for (const piece of ["mo1", "mo4", "dv2", "dv3"]) {
    const score = readMidi(Deno.readFileSync(new URL(`${piece}/${piece}.mid`, folder)), { file: piece });
    const back = readMidi(writeMidi(score, { articulate: false }));
    assertEquals(differences(score, back), [], piece);
    const throughXml = readMusicXml(writeMusicXml(score));
    assertEquals(differences(score, throughXml, ["spelling"]), [], `${piece} as MusicXML`);
  }
});

/** One of everything that is kept beside the notes. */
function withDirections(): Score {
  const quarter = 480;
  const score = scoreOf(
    [
      { repeat: { start: true } },
      { repeat: { endings: [1], times: 2 } },
      { repeat: { endings: [2] } },
      { repeat: { segno: true } },
      { repeat: { toCoda: true } },
      { repeat: { jump: "dal segno", jumpWords: "D.S. al Coda" } },
      { repeat: { coda: true } },
      { repeat: { start: true, times: 3 } },
    ],
    {
      notes: Array.from({ length: 8 }, (_, bar) => [
        { at: bar * 4, length: 2, pitch: 72 },
        { at: bar * 4 + 2, length: 2, pitch: 74 },
      ]).flat(),
      tempoBends: [
        { onsetTicks: 4 * quarter, kind: "slower", words: "rit." },
        { onsetTicks: 10 * quarter, endTicks: 12 * quarter, kind: "pause", words: "" },
        { onsetTicks: 12 * quarter, kind: "a tempo", words: "a tempo" },
      ],
    },
  );
  const signs = (i: number): Partial<Note> =>
    i === 1
      ? { technique: "pizzicato", techniques: ["pizzicato", "con sordino"], signs: ["snap-pizzicato"] }
      : i === 2
      ? { technique: "con sordino", signs: ["down-bow", "arpeggiate"] }
      : i === 3
      ? { technique: "harmonic", techniques: ["harmonic", "sul ponticello"], signs: ["mordent", "falloff"] }
      : {};
  return {
    ...score,
    notes: score.notes.map((n, i) => ({ ...n, ...signs(i) })),
    parts: [{
      ...score.parts[0]!,
      playing: [
        { fromTicks: 0, kind: "unison", count: 2, words: "a 2" },
        { fromTicks: 8 * quarter, kind: "solo", count: 1, words: "1. solo" },
      ],
      instrumentChanges: [
        { fromTicks: 12 * quarter, instrument: "piccolo", name: "Piccolo" },
        { fromTicks: 20 * quarter, instrument: "flute", name: "Flute" },
      ],
    }],
  };
}

Deno.test("round trip: repeats, jumps, who plays, changes of instrument, pauses and every sign come back, and the file is valid", async () => {
  const score = withDirections();
  const xml = writeMusicXml(score);
  assertEquals(differences(score, readMusicXml(xml)), []);
  assertEquals(musicXmlValidator()?.(xml) ?? [], []);
  assertEquals((await engrave(xml)).log, "");
});

/** Lines of every sort: over a tie, from a chord, crossing, past notes in between, out of a grace note, in two voices. */
function withGlissandi(): Score {
  const slide = (semitones: number, quarters: number) =>
    ({ kind: "slide", semitones, lengthTicks: quarters * QUARTER }) as const;
  const over = (semitones: number, quarters: number) =>
    ({ ...slide(semitones, quarters), kind: "glissando" }) as const;
  return scoreOf([{}, {}, {}], {
    parts: [
      partOf("Bass trombone", { instrument: "bass trombone" }),
      partOf("Harp", { instrument: "harp" }),
      partOf("Violins I", { instrument: "violin", players: 12 }),
      partOf("Clarinet in B♭", { instrument: "clarinet in Bb", transposeSemitones: -2, transposeSteps: -1 }),
    ],
    notes: [
      { at: 0, length: 2, pitch: 58, glissandi: [slide(-6, 2)] },
      { at: 2, length: 2, pitch: 52, glissandi: [slide(6, 2)] },
      { at: 4, length: 2, pitch: 58 },
      { at: 6, length: 3, pitch: 53, noteheads: 2, glissandi: [slide(-1, 3)] },
      { at: 9, length: 3, pitch: 52 },
      ...[48, 52].flatMap((pitch) => [
        { part: 1, at: 0, length: 4, pitch, glissandi: [over(48, 4)] },
        { part: 1, at: 4, length: 4, pitch: pitch + 48 },
      ]),
      ...[60, 62, 64, 65].map((pitch, i) => ({
        part: 1,
        at: 8 + i / 4,
        length: 0.25,
        pitch,
        ...(i === 0 ? { glissandi: [over(24, 2)] } : {}),
      })),
      { part: 1, at: 10, length: 2, pitch: 84 },
      { part: 2, at: 0, length: 0, grace: true, pitch: 67, glissandi: [slide(7, 0)] },
      { part: 2, at: 0, length: 4, pitch: 74 },
      { part: 2, at: 4, length: 1, pitch: 79, glissandi: [slide(5, 1), slide(-5, 1)] },
      { part: 2, at: 5, length: 3, pitch: 84 },
      { part: 2, at: 5, length: 3, pitch: 74 },
      { part: 2, at: 8, length: 2, pitch: 79, voice: 1, glissandi: [slide(2, 2)] },
      { part: 2, at: 10, length: 2, pitch: 81, voice: 1 },
      { part: 2, at: 8, length: 1, pitch: 62, voice: 2, glissandi: [over(5, 3)] },
      { part: 2, at: 9, length: 2, pitch: 64, voice: 2 },
      { part: 2, at: 11, length: 1, pitch: 67, voice: 2 },
      { part: 3, at: 0, length: 1, pitch: 72, glissandi: [slide(17, 1)] },
      { part: 3, at: 1, length: 3, pitch: 89 },
    ],
  });
}

Deno.test("round trip: glissandi and slides of every sort come back, and the file is valid and engraved with a line for each", async () => {
  const score = withGlissandi();
  const xml = writeMusicXml(score);
  assertEquals(differences(score, readMusicXml(xml)), []);
  assertEquals(musicXmlValidator()?.(xml) ?? [], []);
  const { log, svg } = await engrave(xml, { draw: true });
  assertEquals(log, "");
  assertEquals(svg.match(/class="gliss /g)?.length, score.notes.flatMap((n) => n.glissandi ?? []).length);
  // One number is never used for two lines that are open at once.
  for (const part of xml.split("<part id=")) {
    const open = new Set<string>();
    for (const [, kind, type, number] of part.matchAll(/<(slide|glissando) type="(\w+)" number="(\d+)"/g)) {
      const key = `${kind} ${number}`;
      assertEquals(open.has(key), type === "stop", key);
      if (type === "start") open.add(key);
      else open.delete(key);
    }
    assertEquals(open.size, 0);
  }
});

Deno.test("round trip: a glissando to a note that is not there is left out of the file, not half written", () => {
  const glissandi = [{ kind: "slide", semitones: 5, lengthTicks: QUARTER }] as const;
  const score = scoreOf([{}], {
    notes: [{ at: 0, length: 1, pitch: 60, glissandi }, { at: 1, length: 3, pitch: 64 }],
  });
  assertEquals(writeMusicXml(score).includes("<slide"), false);
});

Deno.test("round trip: dynamics are written as the source has them, until the notes are changed", () => {
  const bar = (inner: string) => `<measure>${inner}</measure>`;
  const note = (octave: number) =>
    `<note><pitch><step>C</step><octave>${octave}</octave></pitch><duration>1</duration></note>`;
  const direction = (inner: string) => `<direction><direction-type>${inner}</direction-type></direction>`;
  const score = readMusicXml(
    `<score-partwise><part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list><part id="P1">${
      bar(
        `<attributes><divisions>1</divisions></attributes>${direction("<dynamics><p/></dynamics>")}${
          note(5)
        }${direction("<words>cresc.</words>")}${note(5)}${direction("<dynamics><sfz/></dynamics>")}${
          note(5)
        }${direction("<words>più f</words>")}${note(5)}`,
      )
    }</part></score-partwise>`,
  );
  const again = readMusicXml(writeMusicXml(score));
  assertEquals(again.parts[0]!.writtenDynamics!.map((d) => [d.kind, d.mark]), [
    ["mark", "p"],
    ["growing", undefined],
    ["mark", "sfz"],
    ["mark", "more"],
  ]);
  assertEquals(differences(score, again), []);
  const louder = { ...score, notes: score.notes.map((n) => ({ ...n, dynamic: 7 })) };
  assertEquals(readMusicXml(writeMusicXml(louder)).notes.map((n) => n.dynamic), [7, 7, 7, 7]);
});
