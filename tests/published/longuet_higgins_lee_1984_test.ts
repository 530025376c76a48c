/**
 * Longuet-Higgins and Lee, The rhythmic interpretation of monophonic music, Music Perception 1 (1984) 424-441:
 * strength = weight of the rest or tie - weight of the note before it, where positive; weights 0, -1, -2 ... by
 * metrical level. Rows worked by hand from that rule (confidence: derived), the bar taken as repeating.
 */
import { assertEquals } from "@std/assert";
import { momentum } from "ripieno";
import { metricalWeights, syncopation } from "ripieno/measures";
import { smallScore } from "../measures/small_scores.ts";

const WEIGHTS_4_4 = [0, -4, -3, -4, -2, -4, -3, -4, -1, -4, -3, -4, -2, -4, -3, -4];

const RHYTHMS: readonly (readonly [name: string, onsets: readonly number[], total: number])[] = [
  ["four quarter notes", [0, 4, 8, 12], 0],
  ["beats 1, 2 and 4, beat 3 held", [0, 4, 12], 1],
  ["off-beat eighths only", [2, 6, 10, 14], 7],
  ["son clave 3-2", [0, 3, 6, 10, 12], 4],
  ["bossa-nova clave", [0, 3, 6, 10, 13], 6],
  ["tresillo, two in a bar", [0, 3, 6, 8, 11, 14], 4],
  ["last eighth tied over the bar line, no downbeat", [4, 8, 12, 14], 3],
];

Deno.test("metricalWeights() of 4/4 in sixteenths are the published tree", () => {
  assertEquals(metricalWeights(4, 4), WEIGHTS_4_4);
});

Deno.test("syncopation() of seven rhythms in 4/4 is what the rule gives by hand", () => {
  for (const [name, onsets, total] of RHYTHMS) assertEquals(syncopation(onsets, WEIGHTS_4_4), total, name);
});

Deno.test("momentum() reports the same strengths for these rhythms as written in a bar that is followed by another", () => {
  for (const [name, onsets, total] of RHYTHMS) {
    const notes = [...onsets, ...onsets.map((p) => p + 16)].map((p) => ({
      at: p / 4,
      quarters: 0.25,
      pitch: 72,
    }));
    const score = smallScore([{ instrument: "flute", role: "lead", notes }]);
    assertEquals(momentum(score).perBar[0]!.syncopation, total, name);
  }
});

Deno.test("metricalWeights() of other metres, by the same rule: each division one level further down", () => {
  assertEquals(metricalWeights(3, 4), [0, -3, -2, -3, -1, -3, -2, -3, -1, -3, -2, -3]);
  assertEquals(metricalWeights(2, 4), [0, -3, -2, -3, -1, -3, -2, -3]);
  assertEquals(metricalWeights(6, 8), [0, -3, -2, -3, -2, -3, -1, -3, -2, -3, -2, -3]);
  assertEquals(metricalWeights(9, 8).filter((_, i) => i % 2 === 0), [0, -2, -2, -1, -2, -2, -1, -2, -2]);
  assertEquals(metricalWeights(12, 8).filter((_, i) => i % 6 === 0), [0, -2, -1, -2]);
  assertEquals(metricalWeights(15, 8).filter((_, i) => i % 6 === 0), [0, -1, -1, -1, -1]);
  assertEquals(metricalWeights(3, 8), [0, -2, -1, -2, -1, -2]);
  assertEquals(metricalWeights(5, 8), [0, -2, -1, -2, -1, -2, -1, -2, -1, -2]);
  assertEquals(metricalWeights(2, 2), WEIGHTS_4_4);
});

Deno.test("syncopation() counts positions once and leaves out those beyond the bar; no onsets, none", () => {
  assertEquals(syncopation([], WEIGHTS_4_4), 0);
  assertEquals(syncopation([3, 0, 6, 3, 10, 12], WEIGHTS_4_4), 4);
  assertEquals(syncopation([0, 4, 8, 12, 99, -1], WEIGHTS_4_4), 0);
  assertEquals(syncopation(WEIGHTS_4_4.map((_, i) => i), WEIGHTS_4_4), 0);
});
