import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { InputError } from "ripieno";
import {
  componentExcitation,
  erbGrid,
  layerLoudness,
  loudnessSones,
  partialLoudnessSones,
} from "ripieno/hearing";
import { addUp, harmonicNote } from "../orchestral_sounds.ts";

const grid = erbGrid({ stepCam: 0.5 });
const filters = grid.centresHz.length;
const silence = new Float64Array(filters);
const CHECK = { seed: 20, numRuns: 300 };

/** A note's excitation: any pitch, softest to very loud, dull or bright. */
const note = fc.tuple(
  fc.double({ min: 30, max: 4000, noNaN: true }),
  fc.double({ min: -20, max: 115, noNaN: true }),
  fc.double({ min: 0, max: 20, noNaN: true }),
).map(([hz, level, fall]) => {
  const { hz: frequencies, levels } = harmonicNote(hz, level, fall);
  return componentExcitation(grid, frequencies, levels);
});
const layers = fc.array(note, { minLength: 1, maxLength: 6 });

/** Room for rounding. */
const ROOM = 1e-9;

Deno.test("adding a masker never raises a layer's partial loudness", () => {
  fc.assert(
    fc.property(layers, note, (present, added) => {
      const before = layerLoudness(grid, present).partial,
        after = layerLoudness(grid, [...present, added]).partial;
      before.forEach((sones, i) =>
        assert(after[i]! <= sones * (1 + ROOM) + 1e-15, `${sones} -> ${after[i]}`)
      );
    }),
    CHECK,
  );
});

Deno.test("a louder masker never raises, a louder signal never lowers the signal's partial loudness", () => {
  fc.assert(
    fc.property(note, note, fc.double({ min: 0, max: 30, noNaN: true }), (signal, noise, gainDb) => {
      const gain = 10 ** (gainDb / 10);
      const sones = partialLoudnessSones(grid, signal, noise);
      const masked = partialLoudnessSones(grid, signal, noise.map((e) => e * gain));
      const raised = partialLoudnessSones(grid, signal.map((e) => e * gain), noise);
      assert(masked <= sones * (1 + ROOM) + 1e-15, `masked ${sones} -> ${masked}`);
      assert(raised >= sones * (1 - ROOM), `raised ${sones} -> ${raised}`);
    }),
    CHECK,
  );
});

Deno.test("a second layer of the same sound never makes the two together less audible", () => {
  fc.assert(
    fc.property(note, note, fc.integer({ min: 1, max: 30 }), (signal, noise, players) => {
      const one = partialLoudnessSones(grid, signal.map((e) => e * players), noise);
      const more = partialLoudnessSones(grid, signal.map((e) => e * (players + 1)), noise);
      assert(more >= one * (1 - ROOM));
    }),
    CHECK,
  );
});

Deno.test("the order of layers does not matter", () => {
  fc.assert(
    fc.property(layers, fc.integer(), (present, turn) => {
      const order = present.map((_, i) => i);
      const k = ((turn % order.length) + order.length) % order.length;
      const turned = [...order.slice(k), ...order.slice(0, k)].reverse();
      const a = layerLoudness(grid, present), b = layerLoudness(grid, turned.map((i) => present[i]!));
      assertAlmostEquals(a.whole, b.whole, 1e-10 * a.whole);
      turned.forEach((i, j) => {
        assertAlmostEquals(a.partial[i]!, b.partial[j]!, 1e-10 * a.whole);
        assertEquals(a.alone[i], b.alone[j]);
      });
    }),
    CHECK,
  );
});

Deno.test("each layer is no louder among others than alone, the whole no softer than its loudest layer, no NaN", () => {
  fc.assert(
    fc.property(layers, (present) => {
      const { alone, partial, whole } = layerLoudness(grid, present);
      assert(Number.isFinite(whole));
      for (let i = 0; i < present.length; i++) {
        assert(Number.isFinite(alone[i]!) && Number.isFinite(partial[i]!));
        assert(partial[i]! >= 0 && partial[i]! <= alone[i]! * (1 + ROOM));
        assert(whole >= alone[i]! * (1 - ROOM));
      }
    }),
    CHECK,
  );
});

Deno.test("layers agree with loudness and partial loudness worked out one at a time", () => {
  fc.assert(
    fc.property(layers, (present) => {
      const heard = layerLoudness(grid, present);
      assertAlmostEquals(heard.whole, loudnessSones(grid, addUp(present, filters)), 1e-9 * heard.whole);
      present.forEach((layer, i) => {
        const others = addUp(present.filter((_, j) => j !== i), filters);
        assertAlmostEquals(heard.alone[i]!, loudnessSones(grid, layer), 1e-9 * heard.whole);
        assertAlmostEquals(heard.partial[i]!, partialLoudnessSones(grid, layer, others), 1e-9 * heard.whole);
      });
    }),
    { ...CHECK, numRuns: 100 },
  );
});

Deno.test("silence is 0 and changes nothing", () => {
  assertEquals(layerLoudness(grid, []), {
    alone: new Float64Array(0),
    partial: new Float64Array(0),
    whole: 0,
  });
  assertEquals(layerLoudness(grid, [silence, silence]), {
    alone: new Float64Array(2),
    partial: new Float64Array(2),
    whole: 0,
  });
  const flute = componentExcitation(grid, [880, 1760], [60, 45]),
    oboe = componentExcitation(grid, [440], [65]);
  const without = layerLoudness(grid, [flute, oboe]),
    withSilence = layerLoudness(grid, [silence, flute, oboe]);
  assertEquals([...withSilence.partial], [0, ...without.partial]);
  assertEquals(partialLoudnessSones(grid, silence, flute), 0);
});

Deno.test("one ear is half of two, and unknown options are refused", () => {
  const flute = componentExcitation(grid, [880], [60]), oboe = componentExcitation(grid, [440], [65]);
  const both = layerLoudness(grid, [flute, oboe]), one = layerLoudness(grid, [flute, oboe], { ears: "one" });
  assertAlmostEquals(one.partial[0]! * 2, both.partial[0]!, 1e-12);
  assertThrows(() => layerLoudness(grid, [flute], { ear: "one" } as never), InputError, "ears");
  assertThrows(() => layerLoudness(grid, [flute.map(() => NaN)]), InputError, "excitation");
  assertThrows(() => loudnessSones(grid, flute.map(() => NaN)), InputError, "excitation");
  assertThrows(() => partialLoudnessSones(grid, flute.map(() => NaN), oboe), InputError, "excitation");
  assertThrows(() => layerLoudness(grid, [new Float64Array(5)]), InputError, "grid");
  assertThrows(() => partialLoudnessSones(grid, flute, new Float64Array(5)), InputError, "grid");
});
