import { assertEquals } from "@std/assert";
import { pitchOf } from "ripieno/score";
import { octavesAway, spelledName } from "../../lib/score/spelled_name.ts";
import { smallScore } from "../measures/small_scores.ts";

const inKey = (keyFifths: number) => {
  const score = smallScore([]);
  return { ...score, bars: score.bars.map((bar) => ({ ...bar, keyFifths })) };
};
const at = (soundingPitch: number) => ({ onsetTicks: 0, soundingPitch });

Deno.test("spelledName(): as the file spells it, else in the key of the bar, never another pitch's name", () => {
  const sharp = { ...at(44), spelling: { step: "G", alter: 1, octave: 2 } };
  assertEquals(spelledName(inKey(-3), sharp), "G#2");
  assertEquals(spelledName(inKey(-3), octavesAway(sharp, 2)), "G#4");
  assertEquals([4, -3].map((key) => spelledName(inKey(key), at(44))), ["G#2", "Ab2"]);
  assertEquals(spelledName(inKey(4), { ...sharp, soundingPitch: 45 }), "A2");
  // B sharp and C flat keep the octave of their letter.
  assertEquals(spelledName(inKey(0), { ...at(60), spelling: { step: "B", alter: 1, octave: 3 } }), "B#3");
  assertEquals(spelledName(inKey(0), { ...at(59), spelling: { step: "C", alter: -1, octave: 4 } }), "Cb4");
  assertEquals(spelledName(inKey(0), { ...at(67), spelling: { step: "F", alter: 2, octave: 4 } }), "Fx4");
});

Deno.test("spelledName(): pitchOf reads every name back, in every key", () => {
  for (let key = -7; key <= 7; key++) {
    for (let pitch = 0; pitch < 128; pitch++) {
      assertEquals(pitchOf(spelledName(inKey(key), at(pitch))), pitch, `${pitch} in ${key}`);
    }
  }
});
