/** Slashes read as strokes, by hand: which are counted, which are a roll or a tremolo. Common practice, no source. */
import { assertEquals } from "@std/assert";
import { instrumentById } from "ripieno";
import { repeatedNoteLimit } from "ripieno/instruments";
import { makeNote, type Note } from "ripieno/score";
import {
  alternationOf,
  isBlurred,
  isRumble,
  movingShare,
  quickRuns,
  type StrokeRun,
} from "../../../lib/measures/playability/strokes.ts";
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

type Stroke = StrokeRun[number];

/** Strokes as [second, pitch]. */
const strokesAt = (...list: readonly (readonly [second: number, pitch?: number])[]): readonly Stroke[] =>
  list.map(([ticks, pitch = 60]) => ({
    ticks,
    end: ticks + 0.1,
    pitch,
    slurred: false,
    manner: "ordinary",
    blurred: false,
    note: makeNote({ part: 0, onsetTicks: 0, durationTicks: 96, soundingPitch: pitch }),
  }));
/** Eight a second from a second on, in pitches one after another. */
const eights = (from: number, ...pitches: readonly number[]) =>
  strokesAt(...pitches.map((pitch, i) => [from + i / 8, pitch] as const));
const SIX = [60, 60, 60, 60, 60, 60];
const runsIn = (strokes: readonly Stroke[], joins?: (a: Stroke, b: Stroke) => boolean) =>
  quickRuns(strokes, { clock: Number }, {
    sustainedPerSecond: 6,
    ...joins ? { joins } : {},
  }).map((run) => run.length);

Deno.test("a run has six strokes and more, each no longer after the last than one and a half at the rate kept up", () => {
  assertEquals([runsIn(eights(0, ...SIX)), runsIn(eights(0, ...SIX.slice(1)))], [[6], []]);
  // At six a second a quarter of a second is no rest, more is.
  assertEquals(runsIn([...eights(0, ...SIX), ...eights(5 / 8 + 0.25, ...SIX)]), [12]);
  assertEquals(runsIn([...eights(0, ...SIX), ...eights(5 / 8 + 0.375, ...SIX)]), [6, 6]);
  assertEquals(runsIn([...eights(0, ...SIX), ...eights(5 / 8, ...SIX)]), [6, 6], "two at once are no step");
  assertEquals(runsIn(eights(0, ...SIX, 62, ...SIX), (a, b) => a.pitch === b.pitch), [6, 6]);
  const rolled = eights(0, ...SIX, ...SIX, ...SIX).map((s, i) => i === 6 ? { ...s, blurred: true } : s);
  assertEquals(runsIn(rolled), [6, 11], "a roll in between ends the run");
});

Deno.test("a run moves by its steps, alternates between two notes, and rumbles below eight periods to a note", () => {
  assertEquals([[60, 60, 60], [60, 62, 62], [60, 62, 60]].map((p) => movingShare(eights(0, ...p))), [
    0,
    0.5,
    1,
  ]);
  assertEquals(alternationOf(eights(0, 60, 63, 60, 63)), 3);
  assertEquals(alternationOf(eights(0, 60, 63, 63, 60)), null, "one is repeated");
  assertEquals(alternationOf(eights(0, 60, 63, 65)), null, "three notes");
  // The A below the bass stave, 110 Hz, at 13.75 a second.
  const low = eights(0, 45, 45, 45);
  assertEquals([isRumble(low, 13.75), isRumble(low, 13.76)], [false, true]);
  assertEquals(
    [isRumble(eights(0, 33, 57), 13.76), isRumble(eights(0, 35, 57), 13.76)],
    [true, false],
    "their mean",
  );
});
