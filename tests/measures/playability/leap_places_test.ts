import { assertEquals, assertGreater, assertStringIncludes } from "@std/assert";
import { slidePositions } from "../../../lib/measures/playability/slide_places.ts";
import { findingsOf, inTurn, rulesOf } from "../findings_of.ts";

const leaps = (id: string, pitches: readonly number[], seconds: number, slurred = false) =>
  rulesOf(
    findingsOf(
      id,
      inTurn(pitches, seconds).map((n, i) => ({ ...n, slurred: slurred && i > 0 })),
      { rule: "leaps" },
    ),
  );

// Direction: Rimsky-Korsakov, Principles of Orchestration, vol. I ch. I B; sizes common practice, no source.
Deno.test("playability() leaps: clarinets jump octaves badly when tongued fast, double reeds when slurred", () => {
  const octaves = [60, 72, 60, 72];
  assertEquals(leaps("clarinet in Bb", octaves, 0.14), ["note leaps"]);
  assertEquals(leaps("oboe", octaves, 0.14), []);
  assertEquals(leaps("flute", octaves, 0.14), []);
  assertEquals(leaps("oboe", octaves, 0.22, true), ["note leaps"]);
  assertEquals(leaps("bassoon", [48, 60, 48, 60], 0.15, true), ["risky leaps"]);
  assertEquals(leaps("clarinet in Bb", octaves, 0.22, true), []);
});

Deno.test("playability() leaps: a horn and a trombone need time for the lip, steps do not count", () => {
  assertEquals(leaps("horn in F", [53, 65, 53, 65], 0.15), ["risky leaps"]);
  assertEquals(leaps("horn in F", [53, 65, 53, 65], 0.3), []);
  assertEquals(leaps("horn in F", [53, 55, 53, 55], 0.15), []);
  assertEquals(leaps("tenor trombone", [46, 58, 46, 58], 0.14), ["risky leaps"]);
});

Deno.test("playability() leaps: one leap is prepared, two in turn are reported, at the worst one's figures", () => {
  assertEquals(leaps("horn in F", [53, 65, 64, 62], 0.15), []);
  const [finding] = findingsOf("horn in F", [
    ...inTurn([53, 65], 0.2),
    { at: 0.4, quarters: 0.1, pitch: 53 },
    { at: 0.5, quarters: 0.4, pitch: 65 },
  ], { rule: "leaps" });
  assertEquals([finding!.limit, finding!.unit], [0.25, "seconds"]);
  assertGreater(0.11, finding!.figure);
  assertStringIncludes(finding!.what, "3 wide leaps in turn, F3 to F4");
});

Deno.test("playability() leaps: on strings only what no position and no neighbouring strings give", () => {
  // D4 and B4 lie on neighbouring strings, G3 open and E5 open two strings apart, G3 to E6 asks for both.
  assertEquals(leaps("violin", [62, 71, 62, 71], 0.1), []);
  assertEquals(leaps("violin", [57, 93, 57, 93], 0.1), ["risky leaps"]);
  assertEquals(leaps("violin", [57, 93, 57, 93], 0.3), []);
  assertEquals(leaps("cello", [38, 74, 38, 74], 0.12), ["note leaps"]);
});

Deno.test("playability() leaps: one hand over two octaves of keys, two voices for two hands", () => {
  assertEquals(leaps("piano", [40, 66, 40, 66], 0.12), ["risky leaps"]);
  assertEquals(leaps("piano", [40, 52, 40, 52], 0.12), []);
  const hands = inTurn([40, 66, 40, 66], 0.12).map((n, i) => ({ ...n, staff: 1 + i % 2 }));
  assertEquals(findingsOf("piano", hands, { rule: "leaps" }), []);
});

// Positions of the B flat tenor trombone as method books print them (recalled standard facts).
Deno.test("slidePositions(): B flat 1 to F4 in first position, E2 in seventh, D4 in first and fourth", () => {
  const positions = (pitch: number) => slidePositions("tenor trombone", pitch);
  for (const first of [34, 46, 53, 58, 62, 65]) assertEquals(positions(first)[0], 1, String(first));
  assertEquals(positions(40), [2, 7]); // E2: seventh, or second with the trigger
  assertEquals(positions(62).slice(0, 2), [1, 4]); // D4: fifth partial, or sixth partial in fourth
  assertEquals(positions(47), [2, 7]); // B2: trigger in second, or seventh
  assertEquals(slidePositions("alto trombone", 39), [1]);
  assertEquals(slidePositions("tuba", 40), []);
});

Deno.test("playability() slide: first to sixth position fast is mentioned, a neighbouring position never", () => {
  const slide = (pitches: readonly number[], seconds: number) =>
    rulesOf(findingsOf("alto trombone", inTurn(pitches, seconds), { rule: "slide" }));
  // Alto trombone: E flat 3 in first, A2 in seventh.
  assertEquals(slide([51, 45, 51, 45], 0.15), ["note slide"]);
  assertEquals(slide([51, 45, 51, 45], 0.08), ["risky slide"]);
  assertEquals(slide([51, 45, 51, 45], 0.3), []);
  assertEquals(slide([51, 50, 51, 50], 0.1), []);
});

Deno.test("playability() leaps: from the end of a violin's highest string, a shift of seven semitones beyond the hand", () => {
  // E7 is 24 semitones up the E string, its end. A5, 12 up the A string, is 7 more than the hand's 5 away; Bb5 is 6.
  assertEquals(leaps("violin", [100, 81, 100, 81], 0.1), ["risky leaps"]);
  assertEquals(leaps("violin", [100, 82, 100, 82], 0.1), []);
});
