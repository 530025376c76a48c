import { assert, assertEquals } from "@std/assert";
import { readMidi } from "../../lib/formats/read_midi.ts";
import { readMusicXml } from "../../lib/formats/read_musicxml.ts";
import { readMxl } from "../../lib/formats/mxl.ts";
import { writeMidi } from "../../lib/formats/write_midi.ts";
import { writeMusicXml } from "../../lib/formats/write_musicxml.ts";
import { engrave } from "../setup/engraver.ts";
import { sharedFolder } from "../setup/shared_data.ts";
import { differences } from "./compare_scores.ts";
import { fullScore } from "./small_scores.ts";

/**
 * The most that may differ after read, write, read, of about 12,000 notes a movement. Dynamics: hairpins that
 * hold one note, or that a sforzato interrupts, can't always be told from the notes alone. Slurs: one drawn
 * from a note to itself over its ties is not written when the note needs no tie.
 */
const MAY_DIFFER: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  "Bach_BWV.1048_1": {},
  "Beach_Op.32_2": { dynamic: 5, slurStart: 3, slurStop: 3, slurred: 1 },
  "Beethoven_Op.21_1": {},
  "Beethoven_Op.55_1": { dynamic: 30 },
  "Beethoven_Op.67_1": {},
  "Beethoven_Op.92_1": { slurred: 1 },
  "Brahms_Op.90_3": { dynamic: 4 },
  "Bruckner_WAB.105_2": { slurStart: 1, slurred: 5 },
};

/** Movements that are engraved as well; engraving takes most of the time. */
const ENGRAVED = ["Bach_BWV.1048_1", "Brahms_Op.90_3", "Beach_Op.32_2"];

Deno.test("round trip: MusicXML movements are the same music after writing and reading", async () => {
  const small = fullScore();
  assertEquals(differences(small, readMusicXml(writeMusicXml(small))), []);
  const folder = sharedFolder("openscore-orchestra");
  if (!folder) return;
  let notes = 0;
  for (const [name, most] of Object.entries(MAY_DIFFER)) {
    const score = readMxl(Deno.readFileSync(new URL(`${name}.mxl`, folder)), { file: name });
    const xml = writeMusicXml(score);
    notes += score.notes.length;
    const tooMany = differences(score, readMusicXml(xml)).filter((text) => {
      const [fact, count] = text.split(": ");
      return Number(count) > (most[fact!] ?? 0);
    });
    assertEquals(tooMany, [], name);
    if (ENGRAVED.includes(name)) assertEquals((await engrave(xml)).log, "", name);
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
