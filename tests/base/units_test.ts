import fc from "fast-check";
import { assertEquals } from "@std/assert";
import { pitchName, pitchOf } from "ripieno";
import { noteName } from "../../lib/show/drawing/note_name.ts";

/** Every way to write an alteration, as typed and as printed. */
const ACCIDENTALS: Readonly<Record<number, readonly string[]>> = {
  [-3]: ["bbb", "♭♭♭", "♭𝄫", "𝄫♭"],
  [-2]: ["bb", "♭♭", "𝄫", "♭b"],
  [-1]: ["b", "♭"],
  0: ["", "♮"],
  1: ["#", "♯"],
  2: ["##", "♯♯", "x", "𝄪"],
  3: ["###", "#x", "x#", "♯𝄪"],
};

Deno.test("pitchOf() reads every name that pitchName() writes and that charts print", () => {
  for (let pitch = -24; pitch <= 151; pitch++) {
    assertEquals([pitchOf(pitchName(pitch)), pitchOf(noteName(pitch))], [pitch, pitch], pitchName(pitch));
  }
});

Deno.test("pitchOf() takes an alteration for what it is, however it is written, from any letter in any octave", () => {
  const alterations = Object.entries(ACCIDENTALS).flatMap(([semitones, all]) =>
    all.map((sign) => ({ sign, semitones: Number(semitones) }))
  );
  fc.assert(fc.property(
    fc.constantFrom("C", "D", "E", "F", "G", "A", "B", "c", "b"),
    fc.constantFrom(...alterations),
    fc.integer({ min: -3, max: 10 }),
    (letter, { sign, semitones }, octave) => {
      assertEquals(pitchOf(` ${letter}${sign}${octave} `), pitchOf(`${letter}${octave}`)! + semitones);
    },
  ));
  // Written out from the keys of a piano, so that not only their distances are right.
  const expected = {
    "B♭3": 58,
    Bb3: 58,
    Fx4: 67,
    "F𝄪4": 67,
    "C♭4": 59,
    "B♯3": 60,
    "E𝄫5": 74,
    "C-1": 0,
    "C−1": 0,
    G9: 127,
  };
  for (const [name, pitch] of Object.entries(expected)) assertEquals(pitchOf(name), pitch, name);
});

Deno.test("pitchOf() gives nothing for what is no pitch", () => {
  for (
    const name of ["", "H2", "C", "4", "C#b4", "♭B3", "Cx♭4", "C♮♯4", "C4.5", "C 4", "BB3", "Flute 1", "C--1"]
  ) {
    assertEquals(pitchOf(name), undefined, name);
  }
});
