/** Slashes read as strokes, by hand: which are counted, which are a roll or a tremolo. Common practice, no source. */
import { assertEquals } from "@std/assert";
import { instrumentById } from "ripieno";
import { repeatedNoteLimit } from "ripieno/instruments";
import { makeNote, type Note } from "ripieno/score";
import { isBlurred } from "../../../lib/measures/playability/strokes.ts";
import { TREMOLO_RATES } from "../../../lib/score/tremolo.ts";

/** Whether slashes are a roll or a tremolo at a rate of strokes. */
const isRolled = (id: string, tremoloSlashes: number, perSecond: number, more: Partial<Note> = {}) => {
  const note = makeNote({
    part: 0,
    onsetTicks: 0,
    durationTicks: 96,
    soundingPitch: 60,
    tremoloSlashes,
    ...more,
  });
  return isBlurred(note, perSecond, { settings: TREMOLO_RATES, instrument: instrumentById(id) });
};
const keptUp = (id: string) => repeatedNoteLimit(instrumentById(id))!.sustainedPerSecond;

Deno.test("three slashes on what is struck are a roll at any tempo, one and two are counted", () => {
  for (const id of ["timpani", "snare drum", "xylophone", "wood block"]) {
    assertEquals([1, 2, 3, 4].map((slashes) => isRolled(id, slashes, 2)), [false, false, true, true], id);
    assertEquals(isRolled(id, 3, 2, { tremolo: "measured" }), true, id);
  }
  assertEquals(isRolled("flute", 3, 2), false, "a flute counts them");
});

Deno.test("fewer slashes are a roll where they are faster than single strokes are kept up, on what can roll", () => {
  const beyond = (id: string, more: Partial<Note> = {}) => isRolled(id, 2, keptUp(id) + 0.5, more);
  for (const id of ["timpani", "triangle"]) {
    assertEquals([beyond(id), isRolled(id, 2, keptUp(id))], [true, false], id);
  }
  // The catalogue has no roll of wood blocks, castanets and claves.
  for (const id of ["wood block", "castanets", "claves"]) assertEquals(beyond(id), false, id);
  assertEquals(beyond("timpani", { tremolo: "measured" }), false);
  assertEquals([beyond("violin"), beyond("violin", { technique: "pizzicato" })], [true, false]);
  assertEquals(beyond("oboe"), false);
});

Deno.test("a tremolo between two notes counts no strokes, nor does one that is called unmeasured", () => {
  assertEquals([isRolled("oboe", 1, 2, { tremoloAlternates: true }), isRolled("oboe", 1, 2)], [true, false]);
  assertEquals(isRolled("oboe", 1, 2, { tremolo: "unmeasured" }), true);
});
