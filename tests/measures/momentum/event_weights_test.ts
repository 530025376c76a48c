/** Subsets of members, and how strongly they are felt together, worked out by hand. */
import { assertAlmostEquals, assertEquals } from "@std/assert";
import { numberOf, subsetsOf, type UsedKind, weigher } from "../../../lib/measures/momentum/event_weights.ts";
import type { MemberStrokes } from "../../../lib/measures/momentum/bar_rhythm.ts";

Deno.test("subsetsOf(): all that are made of some of the members, the empty one first", () => {
  assertEquals([0b0, 0b1, 0b10, 0b1011].map((members) => [...subsetsOf(members)]), [[0], [0, 1], [0, 2], [
    0,
    1,
    2,
    3,
    8,
    9,
    10,
    11,
  ]]);
  assertEquals(subsetsOf(0b111_111_111_111).length, 4096);
  assertEquals([numberOf({ count: 0 }), numberOf({ count: 3 }), numberOf({ only: 5 })], [1, 8, 1]);
});

/** What a member gives: strength and accent of a stroke in a cell of that number. */
const gives = (
  number: number,
  member: number,
  layer: string,
  strength: number,
  { accent = 1, notes = 1, layerNotes = 1 } = {},
): MemberStrokes => ({
  layer,
  number,
  member,
  notes,
  layerNotes,
  strokes: [{ part: number, layer, cell: number, strength, accent, notes, layerNotes }],
});

Deno.test("weigher(): layers and notes are like independent chances, several members of a layer are one stroke", () => {
  const kinds: readonly (UsedKind | undefined)[] = [
    // Who is always there at a half, the first member at a half, the second with two notes at a half: 3/4.
    {
      single: [
        gives(0, 0, "a", 0.5),
        gives(1, 1, "b", 0.5, { accent: 0.5 }),
        gives(2, 2, "c", 0.5, { notes: 2, layerNotes: 2 }),
      ],
      several: [],
      strikers: 3,
      members: 0b11,
      isAccented: true,
    },
    undefined,
    // Two members of one layer, which begins two notes, one each: together 1 - (1 - 0.5)², the stronger twice.
    {
      single: [],
      several: [[gives(3, 1, "d", 0.25, { layerNotes: 2 }), gives(4, 2, "d", 0.5, { layerNotes: 2 })]],
      strikers: 2,
      members: 0b11,
      isAccented: false,
    },
  ];
  const weigh = weigher(kinds, Float64Array.from([1, 1, 1, 1, 1]));
  const expected = [
    [0.5, 0.75, 1 - 0.5 * 0.25, 1 - 0.5 * 0.5 * 0.25],
    [0, 0.25, 0.5, 0.75],
  ];
  const accented = [0.5, 1 - 0.5 * 0.75, 1 - 0.5 * 0.25, 1 - 0.5 * 0.75 * 0.25];
  const all = weigh({ count: 2 });
  const [weight, accents] = [[...all.weight], [...all.accented]];
  for (let subset = 0; subset < 4; subset++) {
    assertAlmostEquals(weight[subset]!, expected[0]![subset]!, 1e-12);
    assertAlmostEquals(weight[2 * 4 + subset]!, expected[1]![subset]!, 1e-12);
    assertAlmostEquals(accents[subset]!, accented[subset]!, 1e-12);
    const only = weigh({ only: subset });
    assertAlmostEquals(only.weight[0]!, expected[0]![subset]!, 1e-12);
    assertAlmostEquals(only.weight[2]!, expected[1]![subset]!, 1e-12);
    assertAlmostEquals(only.accented[0]!, accented[subset]!, 1e-12);
  }
  // At half of how well they are heard, strokes are half as strong.
  const half = weigher(kinds, Float64Array.from([0.5, 0.5, 0.5, 0.5, 0.5]))({ only: 0b01 });
  assertAlmostEquals(half.weight[0]!, 1 - 0.75 * 0.75, 1e-12);
});
