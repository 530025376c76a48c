/**
 * What a conductor would send back, counted over generated settings: tunes in all keys and metres, plans with several layers
 * for whoever is there. Nothing was chosen on these seeds.
 */
import { assertEquals, assertGreater, assertLess } from "@std/assert";
import { playability } from "../../../lib/measures/playability/playability.ts";
import { addCraftCounts, craftInWords, noCounts } from "../../setup/craft_counts.ts";
import { generatedSetting, PLAIN_FIGURES } from "../../setup/generated_settings.ts";
import { padSetting } from "../../setup/pad_settings.ts";

const FIRST = 90_000;
const SETTINGS = 600;

const counts = noCounts();
let breathless = 0;
for (let seed = FIRST; seed < FIRST + SETTINGS; seed++) {
  const { score, sketch } = generatedSetting(seed, { figures: PLAIN_FIGURES });
  addCraftCounts(counts, score, sketch);
  breathless += playability(score).findings.filter((f) => f.rule === "breath").length;
}
console.log(craftInWords(counts));

/** Pads over progressions with sevenths, for choirs and mixed groups. */
const pads = noCounts();
for (let seed = FIRST; seed < FIRST + SETTINGS; seed++) {
  const { score, sketch } = padSetting(seed);
  addCraftCounts(pads, score, sketch);
}
console.log(`\nover sevenths:\n${craftInWords(pads)}`);

/** The same over basses that walk, which have a note on every beat to go in parallel with. */
const walking = noCounts();
for (let seed = FIRST; seed < FIRST + SETTINGS / 4; seed++) {
  const { score, sketch } = padSetting(seed, { bassFigure: "walking bass" });
  addCraftCounts(walking, score, sketch);
}
console.log(`\nover walking basses:\n${craftInWords(walking)}`);

Deno.test("the top of a pad stays below the lead where a tone of the chord lies there", () => {
  assertLess(counts.padAboveLead, 0.02 * counts.padMoments);
});

// Of pairs of moving voices in Bach's chorales 0.66 and 0.29 in 1,000 go in parallel fifths and octaves (counted with music21 10.5.0).
Deno.test("fifths and octaves in parallel are rare in pads", () => {
  assertLess(counts.parallels, 0.002 * counts.moves);
  assertLess(pads.parallels, 0.002 * pads.moves);
  assertLess(walking.parallels, 0.002 * walking.moves);
});

Deno.test("a pad leaves no hole that one of its parts could fill, over the bass or within it", () => {
  assertLess(counts.avoidableHoles, 0.01 * counts.holeMoments);
  assertLess(pads.avoidableHoles, 0.01 * pads.holeMoments);
  assertLess(walking.avoidableHoles, 0.02 * walking.holeMoments);
});

Deno.test("leading notes and sevenths go where they lead, and are not doubled within a choir", () => {
  assertLess(pads.dangling, 0.01 * pads.tendencies);
  assertLess(walking.dangling, 0.03 * walking.tendencies);
  assertLess(pads.doubledTendencies, 0.05 * pads.dominants);
  assertLess(walking.doubledTendencies, 0.05 * walking.dominants);
});

Deno.test("what leads on is left to a lead that holds it: a pad has it too in every second such chord at most", () => {
  assertLess(pads.ledDoubled, 0.5 * pads.ledDominants);
});

Deno.test("no held note is struck again for nothing", () => {
  assertEquals(counts.restrikes, 0);
});

Deno.test("a layer does not fall silent at the end of a bar, nor do two neighbours breathe together", () => {
  for (const { layerSilences, neighbourSilences, barEnds } of [counts, pads, walking]) {
    assertGreater(barEnds, 1000);
    assertEquals([layerSilences, neighbourSilences], [0, 0]);
  }
});

Deno.test("nobody is left without a breath", () => {
  assertEquals(breathless, 0);
});

Deno.test("chords have their third", () => {
  assertGreater(counts.thirds, 0.98 * counts.thirdMoments);
  assertGreater(pads.thirds, 0.98 * pads.thirdMoments);
  assertGreater(walking.thirds, 0.98 * walking.thirdMoments);
});

Deno.test("a second line sings: mostly by step, seldom on one pitch", () => {
  assertLess(counts.lineRepeats, 0.15 * counts.lineMoves);
  assertGreater(counts.lineSteps, 0.5 * counts.lineMoves);
});
