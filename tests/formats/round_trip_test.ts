import { assert, assertEquals } from "@std/assert";
import { readMidi } from "../../lib/formats/read_midi.ts";
import { readMusicXml } from "../../lib/formats/read_musicxml.ts";
import { readMxl } from "../../lib/formats/mxl.ts";
import { writeMidi } from "../../lib/formats/write_midi.ts";
import { writeMusicXml } from "../../lib/formats/write_musicxml.ts";
import { engrave } from "../setup/engraver.ts";
import { sharedFolder } from "../setup/shared_data.ts";
import { differences } from "./compare_scores.ts";
import { fullScore, scoreOf } from "./small_scores.ts";
import { musicXmlValidator } from "../setup/music_xml_schema.ts";
import type { Note, Score } from "../../lib/score/model.ts";

Deno.test("round trip: MusicXML movements are the same music after writing and reading, and are engraved without a warning", async () => {
  const small = fullScore();
  assertEquals(differences(small, readMusicXml(writeMusicXml(small))), []);
  const folder = sharedFolder("openscore-orchestra");
  if (!folder) return;
  let notes = 0;
  const names = [...Deno.readDirSync(folder)].map((e) => e.name).filter((n) => n.endsWith(".mxl")).sort();
  assertEquals(names.length, 8);
  for (const file of names) {
    const name = file.replace(".mxl", "");
    const score = readMxl(Deno.readFileSync(new URL(`${name}.mxl`, folder)), { file: name });
    const xml = writeMusicXml(score);
    notes += score.notes.length;
    assertEquals(differences(score, readMusicXml(xml)), [], name);
    assertEquals((await engrave(xml)).log, "", name);
  }
  assert(notes > 90_000);
});

Deno.test("round trip: MIDI movements are the same notes after writing and reading", () => {
  const folder = sharedFolder("s3-symphonies");
  if (!folder) return;
  for (const piece of ["mo1", "mo2", "mo3", "mo4", "dv1", "dv2", "dv3", "dv4"]) {
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
