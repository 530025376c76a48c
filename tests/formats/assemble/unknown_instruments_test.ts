/** Instruments nobody knows say so, and something of their family and range stands in. */
import { assert, assertEquals } from "@std/assert";
import { balance, playability } from "ripieno";
import { readMusicXml } from "ripieno/formats";
import { unknownInstruments } from "../../../lib/show/drawing/words.ts";

/** Four quarters of one pitch in a part of a name; `chord` puts a second upon each. */
function part(name: string, octave: number, { chord = false } = {}) {
  const pitch = (step: string) =>
    `<pitch><step>${step}</step><octave>${octave}</octave></pitch><duration>1</duration>`;
  const note = `<note>${pitch("G")}</note>${chord ? `<note><chord/>${pitch("B")}</note>` : ""}`;
  const text = `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>${name}</part-name>` +
    `</score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes>` +
    `${note.repeat(4)}</measure></part></score-partwise>`;
  const score = readMusicXml(new TextEncoder().encode(text));
  return { score, id: score.parts[0]!.instrument, from: score.parts[0]!.instrumentFrom };
}

Deno.test("an unknown line is taken for one of its family, as its name tells it, with its range", () => {
  const cases: readonly (readonly [name: string, octave: number, id: string])[] = [
    ["Gizmo", 5, "flute"],
    ["Gizmo", 2, "bassoon"],
    ["Bass Gizmo", 2, "bassoon"],
    ["Bass Rackett", 2, "bassoon"],
    ["Alpenhorn", 3, "tenor trombone"],
    ["Alpenhorn", 1, "tuba"],
    ["Drone pipe", 5, "flute"],
    ["Zorgeige", 3, "solo cello"],
  ];
  for (const [name, octave, id] of cases) {
    const found = part(name, octave);
    assertEquals([name, found.id], [name, id]);
    if (found.from !== "fallback") continue;
    assertEquals(unknownInstruments(found.score), [
      `${name}: instrument not known, treated as ${id}; its range is not judged.`,
    ]);
    assertEquals(playability(found.score).findings, []);
    assert(balance(found.score).perBar.length === 1);
  }
});

Deno.test("a bass of something unknown is no double bass; a bass, basses and a solo bass are", () => {
  for (const name of ["Bass Gizmo", "Contrabass Rackett", "Kontrabass-Zorgophon"]) {
    assert(part(name, 2).id !== "double bass", name);
  }
  for (const name of ["Bass", "Basses", "Bass solo", "Contrabass 1", "Basses div.", "Bass II"]) {
    assert(part(name, 2).id.endsWith("double bass"), name);
  }
});

Deno.test("chords and parts that name nothing are left to the piano; known stand-ins are said", () => {
  assertEquals(part("Gizmo", 4, { chord: true }).id, "piano");
  for (const name of ["Part 1", "MusicXML Part", "Staff 2"]) {
    const { id, from, score } = part(name, 4);
    assertEquals([id, from, score.notices.filter((n) => n.what.includes("stands in"))], [
      "piano",
      "fallback",
      [],
    ]);
  }
  const { id, score } = part("Bass Sarrusophone", 2);
  assertEquals(id, "bassoon");
  assert(
    score.notices.some((n) =>
      n.what === `The catalogue has no entry for "bass sarrusophone"; bassoon stands in`
    ),
  );
});
