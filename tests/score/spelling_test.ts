import { assertEquals } from "@std/assert";
import fc from "fast-check";
import { get as intervalCalled } from "@tonaljs/interval";
import { chroma, midi, transpose, transposeFifths } from "@tonaljs/note";
import {
  enharmonic,
  fifthsOfInterval,
  nameAtFifths,
  pitchClassOfName,
  pitchOfSpelling,
  spell,
  transposeSpelling,
} from "../../lib/score/spelling.ts";
import type { Spelling } from "../../lib/score/model.ts";

const nameOf = (s: Spelling) =>
  s.step + (s.alter < 0 ? "b".repeat(-s.alter) : "#".repeat(s.alter)) + s.octave;
const spellings = fc.record({
  step: fc.constantFrom("C", "D", "E", "F", "G", "A", "B"),
  alter: fc.integer({ min: -2, max: 2 }),
  octave: fc.integer({ min: 2, max: 6 }),
});

Deno.test("a spelling sounds as tonal says", () => {
  fc.assert(
    fc.property(
      spellings,
      (s) => assertEquals(pitchOfSpelling(s), midi(nameOf(s)) ?? pitchOfSpelling(s)),
    ),
    { seed: 1 },
  );
});

Deno.test("names along the line of fifths, and their pitch classes, are those of tonal", () => {
  for (let fifths = -20; fifths <= 20; fifths++) {
    const name = transposeFifths("C", fifths);
    assertEquals(nameAtFifths(fifths), name);
    assertEquals(pitchClassOfName(name), chroma(name));
  }
});

Deno.test("every pitch in every key is spelt as that pitch, with at most one accidental outside the key", () => {
  for (let key = -7; key <= 7; key++) {
    for (let pitch = 21; pitch <= 108; pitch++) {
      for (const next of [undefined, pitch + 1, pitch - 1, pitch + 5]) {
        const s = spell(pitch, { keyFifths: key, next });
        assertEquals(pitchOfSpelling(s), pitch);
        assertEquals(Math.abs(s.alter) <= 1, true, `${nameOf(s)} in ${key}`);
      }
    }
  }
});

Deno.test("the scale of every key takes the key's own accidentals (tonal's majors)", () => {
  for (
    const [key, tonic] of [[0, "C"], [3, "A"], [-3, "Eb"], [6, "F#"], [-6, "Gb"], [7, "C#"], [
      -7,
      "Cb",
    ]] as const
  ) {
    for (const interval of ["1P", "2M", "3M", "4P", "5P", "6M", "7M"]) {
      const name = transpose(`${tonic}4`, interval);
      assertEquals(nameOf(spell(midi(name)!, { keyFifths: key })), name);
    }
  }
});

Deno.test("transposed spellings are tonal's", () => {
  for (const name of ["2M", "-2M", "3m", "-7M", "5P", "-5P", "6M", "-6M", "9M", "-9M", "8P", "-8P"]) {
    const i = intervalCalled(name);
    const interval = { semitones: i.semitones!, steps: Math.sign(i.num!) * (Math.abs(i.num!) - 1) };
    fc.assert(
      fc.property(spellings, (s) => {
        assertEquals(
          nameOf(transposeSpelling(s, interval)),
          transpose(nameOf(s), name),
        );
      }),
      { seed: 2, numRuns: 50 },
    );
    assertEquals(
      fifthsOfInterval(interval),
      intervalCalled(name).coord![0] === undefined ? 0 : i.coord![0],
      name,
    );
  }
});

Deno.test("an enharmonic change keeps the sound", () => {
  fc.assert(
    fc.property(spellings, (s) => {
      assertEquals(pitchOfSpelling(enharmonic(s, 1)), pitchOfSpelling(s));
      assertEquals(enharmonic(enharmonic(s, 1), -1), s);
    }),
    { seed: 3 },
  );
});
