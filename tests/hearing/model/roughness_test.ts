import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { InputError } from "ripieno";
import { roughness } from "ripieno/hearing";
import { ROUGHNESS_MODELS } from "../../../lib/hearing/model/roughness.ts";

const CHECK = { seed: 21, numRuns: 300 };
const partials = fc.array(
  fc.tuple(fc.double({ min: 20, max: 12000, noNaN: true }), fc.double({ min: 0, max: 2, noNaN: true })),
  { maxLength: 20 },
);

Deno.test("roughness is 0 or more, never NaN, and the order of partials does not matter", () => {
  fc.assert(
    fc.property(partials, fc.constantFrom(...ROUGHNESS_MODELS), (rows, model) => {
      const value = roughness(rows.map((r) => r[0]), rows.map((r) => r[1]), { model });
      const turned = [...rows].reverse();
      const again = roughness(turned.map((r) => r[0]), turned.map((r) => r[1]), { model });
      assert(Number.isFinite(value) && value >= 0);
      assertAlmostEquals(value, again, 1e-12 * Math.max(1, value));
    }),
    CHECK,
  );
});

Deno.test("leaving out pairs that are far apart changes nothing", () => {
  // Every pair on its own against all at once, for the models that add pairs and nothing else.
  fc.assert(
    fc.property(
      partials,
      fc.constantFrom("sethares_1993", "sethares_program", "vassilakis_2001"),
      (rows, model) => {
        let pairs = 0;
        for (let i = 0; i < rows.length; i++) {
          for (let j = 0; j < i; j++) {
            pairs += roughness([rows[i]![0], rows[j]![0]], [rows[i]![1], rows[j]![1]], { model });
          }
        }
        const whole = roughness(rows.map((r) => r[0]), rows.map((r) => r[1]), { model });
        assertAlmostEquals(whole, pairs, 1e-9 * Math.max(1, pairs));
      },
    ),
    CHECK,
  );
});

Deno.test("silence, one partial, silent partials and equal partials are smooth", () => {
  for (const model of ROUGHNESS_MODELS) {
    assertEquals(roughness([], [], { model }), 0);
    assertEquals(roughness([440], [1], { model }), 0);
    assertEquals(roughness([440, 450], [1, 0], { model }), 0);
    assertEquals(roughness([440, 450], [0, 0], { model }), 0);
    assertEquals(roughness([440, 440], [1, 1], { model }), 0);
  }
});

Deno.test("low close chords are rougher than the same chord two octaves up", () => {
  const chord = (lowest: number) => {
    const notes = [lowest, lowest * 1.25, lowest * 1.5];
    const hz = notes.flatMap((f) => Array.from({ length: 8 }, (_, n) => f * (n + 1)));
    return { hz, amplitudes: notes.flatMap(() => Array.from({ length: 8 }, (_, n) => 1 / (n + 1))) };
  };
  const low = chord(82.4), high = chord(329.6);
  assert(roughness(low.hz, low.amplitudes) > 1.5 * roughness(high.hz, high.amplitudes));
});

Deno.test("wrong input is refused with a sentence", () => {
  assertThrows(() => roughness([440], []), InputError, "one each");
  assertThrows(() => roughness([0], [1]), InputError, "0 Hz");
  assertThrows(() => roughness([440], [-1]), InputError, "-1");
  assertThrows(() => roughness([440], [NaN]), InputError);
  assertThrows(() => roughness([440], [1], { model: "plomp" as never }), InputError, "vassilakis_2001");
});
