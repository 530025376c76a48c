/**
 * Published metronome marks for sixteenths, held against what playability says of a run of them. The sources are
 * rows of data/rates.csv kept beside the planning figures; see there.
 */
import { assertEquals, assertStringIncludes } from "@std/assert";
import { playability, type PlayabilityFinding } from "ripieno";
import type { Articulation } from "ripieno/score";
import { repeatedNotes, smallScore } from "../measures/small_scores.ts";

/** Findings of four beats of repeated sixteenths. */
function sixteenths(
  instrument: string,
  soundingPitch: number,
  quartersPerMinute: number,
  articulations: readonly Articulation[] = [],
): readonly PlayabilityFinding[] {
  const notes = repeatedNotes(soundingPitch, 0.25, { to: 4, articulations });
  return playability(smallScore([{ instrument, role: "pulse", notes }], { bars: 1, quartersPerMinute }))
    .findings;
}
const severities = (findings: readonly PlayabilityFinding[]) =>
  findings.map((f) => `${f.severity} ${f.rule}`);

// Fobes, Synthetic Speed Tonguing (2000): sixteenths at 144 to 152 are beyond most clarinettists.
Deno.test("Fobes 2000: sixteenths at 144 and 152 are risky on the clarinet, but not impossible; at 132 they pass", () => {
  for (const tempo of [144, 152]) {
    const found = sixteenths("clarinet in Bb", 70, tempo);
    assertEquals(severities(found), ["risky repeated-note rate"], String(tempo));
    assertStringIncludes(found[0]!.what, "double tonguing, which only some players have");
  }
  assertEquals(sixteenths("clarinet in Bb", 70, 132), []);
});

// IDRS forum, Double Tonguing: a fast bassoonist tongues four strokes singly up to 138.
Deno.test("IDRS forum: what a fast bassoonist tongues singly, up to 138, is never impossible; 120 passes", () => {
  assertEquals(sixteenths("bassoon", 55, 120), []);
  for (const tempo of [138, 150]) {
    assertEquals(sixteenths("bassoon", 55, tempo).filter((f) => f.severity === "impossible"), []);
  }
});

// hsutrumpets.com, Multiple tonguing: between 121 and 131 both ways of tonguing should do. contemporarytuba.com:
// a tuba tongues 12 notes a second and more with the double tongue.
Deno.test("trumpet and tuba: multiple tonguing carries sixteenths on from the singly tongued zone", () => {
  for (const tempo of [121, 131, 144, 160]) assertEquals(sixteenths("trumpet in Bb", 65, tempo), []);
  assertEquals(sixteenths("tuba", 45, 150), []);
});

// Klopcic 2021 after Dounis, Journal of the American Viola Society, Fall 2023, p. 52: at 100 to the quarter
// spiccato sixteenths go over into sautillé.
Deno.test("Dounis: spiccato sixteenths at 96 stay spiccato on the violin, at 108 the change into sautillé is noted", () => {
  assertEquals(sixteenths("violin", 69, 96, ["spiccato"]), []);
  const [changed] = sixteenths("violin", 69, 108, ["spiccato"]);
  assertEquals([changed!.severity, changed!.rule], ["note", "bow stroke"]);
  assertStringIncludes(changed!.what, "sautillé");
});

// Fitzgibbon, The Story of the Flute (1914) p. 96, and Rimsky-Korsakov ch. I B: of the woodwinds the flute alone
// tongues double. At 160 only it passes.
Deno.test("Fitzgibbon 1914, Rimsky-Korsakov 1922: sixteenths at 160 pass on the flute and on no reed", () => {
  assertEquals(sixteenths("flute", 76, 160), []);
  for (const [reed, pitch] of [["oboe", 72], ["clarinet in Bb", 70], ["bassoon", 55]] as const) {
    assertEquals(severities(sixteenths(reed, pitch, 160)), ["risky repeated-note rate"], reed);
  }
});
