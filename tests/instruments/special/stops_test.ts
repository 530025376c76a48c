import { assertEquals } from "@std/assert";
import { instrumentById, pitchOf } from "ripieno";
import { harpPedals, stopOn } from "ripieno/instruments";

const stop = (id: string, ...names: string[]) =>
  stopOn(instrumentById(id), names.map((name) => pitchOf(name)!));

// Common practice, no source: chords every orchestration class knows.
for (
  const [id, notes, possible] of [
    ["violin", "G3 D4 A4 E5", true],
    ["violin", "G3 E4 C5 A5", true],
    ["violin", "A4 A5", true],
    ["violin", "G3 A3", false],
    ["violin", "Ab3 Ab5", false],
    ["violin", "F#3 D4", false],
    ["viola", "C3 G3 E4 C5", true],
    ["cello", "C2 G2 E3 C4", true],
    ["cello", "C2 C3", true],
    ["cello", "D2 D3", false],
    ["double bass", "E1 A1", true],
    ["double bass", "F1 C2", true],
    ["double bass", "F1 F2", false],
    ["guitar", "E2 B2 E3 G3 B3 E4", true],
    ["guitar", "C3 E3 G3 C4 E4", true],
    ["guitar", "E2 G3 E4", true],
    ["flute", "C5 E5", false],
  ] as const
) {
  Deno.test(`${notes} on the ${id}: ${possible ? "can" : "cannot"} be held`, () => {
    const answer = stop(id, ...notes.split(" "));
    assertEquals(answer.possible, possible, answer.reason);
    assertEquals(answer.reason === "", possible);
    if (possible) assertEquals(answer.strings.length, notes.split(" ").length);
  });
}

Deno.test("an octave on two strings of the violin spans five semitones, a sixth less", () => {
  // Strings a fifth (7 semitones) apart: the upper finger of an octave stands 12 - 7 semitones higher.
  assertEquals(stop("violin", "F4", "F5").stretchSemitones, 5);
  assertEquals(stop("violin", "F4", "D5").stretchSemitones, 2);
  assertEquals(stop("violin", "D4", "D5"), {
    possible: true,
    strings: [2, 3],
    stretchSemitones: 0,
    openStrings: 1,
    reason: "",
  });
});

Deno.test("harp: a change of key moves the pedals that key asks for, one foot at a time", () => {
  const flat = (letters: string) =>
    [..."CDEFGAB"].map((step) => ({ step, alter: letters.includes(step) ? -1 : 0 }));
  const toEFlat = harpPedals(flat("BEA"));
  assertEquals([toEFlat.moved, toEFlat.movesInTurn], [["B", "E", "A"], 2]);
  const toDFlat = harpPedals(flat("BEADG"), toEFlat.setting);
  assertEquals([toDFlat.moved, toDFlat.movesInTurn], [["D", "G"], 1]);
  assertEquals(harpPedals([{ step: "F", alter: 2 }]).possible, false);
});
