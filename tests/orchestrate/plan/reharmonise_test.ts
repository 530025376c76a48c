/** Changing the chords under a tune: nothing else changes, and momentum hardly does. */
import { assert, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import { demoPlans, demoSketch, InputError, momentum, realise, reharmonise, vary } from "ripieno";
import { SKETCHES } from "../sketches.ts";

Deno.test("reharmonise() keeps tune, bars and tempo, and what is not named", () => {
  for (const sketch of Object.values(SKETCHES)) {
    const before = JSON.stringify(sketch);
    const [first] = sketch.harmonies;
    const other = reharmonise(sketch, { [first!.symbol]: "Bbmaj7" });
    assertEquals(other.tune, sketch.tune);
    assertEquals([other.score.bars, other.score.tempos], [sketch.score.bars, sketch.score.tempos]);
    assertEquals(
      other.harmonies.map((h) => h.symbol),
      sketch.harmonies.map((h) => h.symbol === first!.symbol ? "Bbmaj7" : h.symbol),
    );
    assertEquals(JSON.stringify(sketch), before);
  }
});

Deno.test("other chords under the same textures change momentum by at most a tenth of what the pulse adds (common practice, no source)", () => {
  const plan = demoPlans().moving;
  const of = (sketch = demoSketch(), p = plan) => momentum(realise(sketch, p)).whole.momentum;
  const pulse = of() - of(demoSketch(), vary(plan, { remove: true }, { role: "pulse" }));
  assert(pulse > 0);
  const others = [
    reharmonise(demoSketch(), "Dm"),
    reharmonise(demoSketch(), { Bb: "Gm7", F: "Dm7", C: "Am", Gm: "Bbmaj7" }),
  ];
  for (const other of others) assert(Math.abs(of(other) - of()) <= 0.1 * pulse);
});

Deno.test("reharmonise() refuses a chord that is not there and one that is none", () => {
  const refused = (run: () => unknown, words: string) =>
    assertStringIncludes((assertThrows(run, InputError) as InputError).message, words);
  refused(() => reharmonise(demoSketch(), { "C#9": "Dm" }), 'no chord "C#9"');
  refused(() => reharmonise(demoSketch(), { Dm: "H dur" }), '"H dur" is not a chord symbol');
});
