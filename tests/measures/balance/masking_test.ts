import { assert, assertAlmostEquals, assertEquals, assertLess, assertThrows } from "@std/assert";
import fc from "fast-check";
import { balance, type Score } from "ripieno";
import { maskingMatrix, momentSound } from "ripieno/measures";
import { accompaniment, leads, SEED } from "../sounding_lines.ts";
import { type Line, notFinite, repeatedNotes, smallScore } from "../small_scores.ts";

const leadRows = (score: Score) => maskingMatrix(score).filter((r) => r.maskedRole === "lead");

Deno.test("maskingMatrix() of two layers agrees with the balance of the same two", () => {
  const lead: Line = {
    instrument: "flute",
    role: "lead",
    layer: "lead",
    notes: repeatedNotes(74, 1, { dynamic: 4 }),
  };
  const pad: Line = { instrument: "horn in F", role: "pad", notes: repeatedNotes(62, 4, { dynamic: 6 }) };
  const score = smallScore([lead, pad]);
  const [row] = leadRows(score);
  assertAlmostEquals(1 - row!.lostShare, balance(score).whole.audibleShare!, 1e-9);
  const constants = { twoEarsDb: 0 };
  const heard = balance(score, { constants }).perLayer.filter((l) => l.layer === "lead");
  const partial = maskingMatrix(score, { constants }).find((r) => r.maskedRole === "lead")!.partialSones;
  assertAlmostEquals(partial, heard.reduce((sum, l) => sum + l.partialSones, 0) / heard.length, 1e-9);
  assertEquals([row!.maskedParts, row!.maskerParts, row!.beats], ["flute 1", "horn in F 2", 8]);
  // Means over beats: those of one bar are those of two that are alike.
  const [first] = maskingMatrix(score, { toBarIndex: 0 }).filter((r) => r.maskedRole === "lead");
  assertEquals(first!.beats, 4);
  assertAlmostEquals(first!.aloneSones, row!.aloneSones, 1e-9);
  assertAlmostEquals(first!.partialSones, row!.partialSones, 1e-9);
  assertAlmostEquals(row!.lostShare, 1 - row!.partialSones / row!.aloneSones, 1e-12);
});

Deno.test("maskingMatrix() judges a short note by how it sounds, not by the silence after it", () => {
  const rows = [1, 0.5].map((quarters) => {
    const notes = [0, 1, 2, 3].map((at) => ({ at, quarters, pitch: 74, dynamic: 4 }));
    const pad: Line = {
      instrument: "horn in F",
      role: "pad",
      notes: repeatedNotes(62, 4, { dynamic: 6, to: 4 }),
    };
    return leadRows(
      smallScore([{ instrument: "flute", role: "lead", layer: "lead", notes }, pad], { bars: 1 }),
    )[0]!;
  });
  assertAlmostEquals(rows[1]!.aloneSones, rows[0]!.aloneSones, 0.01 * rows[0]!.aloneSones);
  assertEquals(rows.map((r) => r.beats), [4, 4]);
});

Deno.test("maskingMatrix() has no row for layers that never sound in the same beat, and none for silence", () => {
  const first: Line = { instrument: "flute", role: "lead", notes: [{ at: 0, quarters: 4, pitch: 74 }] };
  const then: Line = { instrument: "oboe", role: "pad", notes: [{ at: 4, quarters: 4, pitch: 74 }] };
  assertEquals(maskingMatrix(smallScore([first, then])), []);
  assertEquals(maskingMatrix(smallScore([{ ...first, notes: [] }])), []);
});

Deno.test("maskingMatrix() loses shares within 0 and 1, more to more players, whatever the order of the parts", () => {
  fc.assert(
    fc.property(leads, accompaniment, (lead, others) => {
      const rows = maskingMatrix(smallScore([lead, ...others]));
      assertEquals(notFinite(rows), []);
      assert(
        rows.every((r) => r.lostShare >= 0 && r.lostShare <= 1 && r.partialSones <= r.aloneSones + 1e-9),
      );
      const turned = maskingMatrix(smallScore([...others].reverse().concat(lead)));
      assertEquals(turned.length, rows.length);
      for (const r of rows) {
        const same = turned.find((t) => t.masked === r.masked && t.masker === r.masker)!;
        assertAlmostEquals(same.lostShare, r.lostShare, 1e-9);
      }
      const more = others.map((o) => ({ ...o, players: 4 }));
      const after = leadRows(smallScore([lead, ...more]));
      for (const r of rows.filter((r) => r.maskedRole === "lead")) {
        assert(after.find((a) => a.masker === r.masker)!.lostShare >= r.lostShare - 1e-6);
      }
    }),
    { seed: SEED, numRuns: 40 },
  );
});

Deno.test("all maskers together take at least as much of the lead as any one of them", () => {
  fc.assert(
    fc.property(leads, accompaniment, (lead, others) => {
      const held = others.map((o) => ({
        ...o,
        notes: repeatedNotes(o.notes[0]!.pitch, 8, { dynamic: o.notes[0]!.dynamic! }),
      }));
      const score = smallScore([lead, ...held]);
      const left = balance(score).perLayer.filter((l) => l.layer === "lead").map((l) => l.audibleShare);
      const worst = Math.max(...leadRows(score).map((r) => r.lostShare));
      assert(Math.min(...left) <= 1 - worst + 1e-9);
    }),
    { seed: SEED, numRuns: 30 },
  );
});

Deno.test("maskingMatrix() judges two layers alone: a third changes nothing in their rows", () => {
  fc.assert(
    fc.property(leads, accompaniment, accompaniment, (lead, others, [third]) => {
      const before = maskingMatrix(smallScore([lead, ...others]));
      const after = maskingMatrix(smallScore([lead, ...others, { ...third!, layer: "third" }]));
      for (const row of before) {
        const same = after.find((r) => r.masked === row.masked && r.masker === row.masker)!;
        assertAlmostEquals(same.lostShare, row.lostShare, 1e-9);
      }
    }),
    { seed: SEED, numRuns: 20 },
  );
});

Deno.test("a layer more never makes another more audible at a moment", () => {
  fc.assert(
    fc.property(leads, accompaniment, accompaniment, (lead, others, [third]) => {
      const of = (lines: readonly Line[]) => momentSound(smallScore(lines), { barIndex: 0 });
      const [before, after] = [of([lead, ...others]), of([lead, ...others, { ...third!, layer: "third" }])];
      assertEquals(notFinite(after), []);
      for (const layer of before.layers) {
        const same = after.layers.find((l) => l.layer === layer.layer)!;
        // Louder company widens the ear's filters: a layer may gain a hundredth in its own far bands.
        assert(same.partialSones <= 1.01 * layer.partialSones + 1e-9);
      }
    }),
    { seed: SEED, numRuns: 30 },
  );
});

Deno.test("maskingMatrix() takes bars that are there, and options it knows", () => {
  const score = smallScore([{ instrument: "flute", role: "lead", notes: repeatedNotes(74, 1) }]);
  assertThrows(() => maskingMatrix(score, { fromBarIndex: 5 }), Error, "0 to 1");
  assertThrows(() => maskingMatrix(score, { bars: 1 } as never), Error, "fromBarIndex");
});

Deno.test("momentSound() sums its bands to the loudness of each layer and finds the layer where its notes lie", () => {
  const high: Line = { instrument: "piccolo", role: "lead", layer: "high", notes: repeatedNotes(96, 4) };
  const low: Line = { instrument: "tuba", role: "bass", layer: "low", notes: repeatedNotes(36, 4) };
  const { layers, bands, wholeSones } = momentSound(smallScore([high, low]), { barIndex: 1, beat: 2 });
  const top = (id: string) =>
    bands.filter((b) => b.layer === id).reduce((a, b) => b.levelDb > a.levelDb ? b : a);
  // C7 is 2093 Hz; a filter or two aside is the grid's.
  assertAlmostEquals(top("high").hz, 2093, 200);
  assertLess(top("low").hz, 500);
  const step = bands[1]!.cam - bands[0]!.cam;
  for (const layer of layers) {
    const own = bands.filter((b) => b.layer === layer.layer);
    const sum = (of: (b: typeof own[number]) => number) => own.reduce((acc, b) => acc + of(b) * step, 0);
    assertAlmostEquals(sum((b) => b.aloneSonesPerCam), layer.aloneSones, 1e-9);
    assertAlmostEquals(sum((b) => b.heardSonesPerCam), layer.partialSones, 1e-9);
    // Louder company widens the ear's filters a little, so that single bands may gain; the layer never does.
    assert(layer.partialSones <= 1.01 * layer.aloneSones);
  }
  const perBar = balance(smallScore([high, low])).perBar[1]!;
  assertAlmostEquals(wholeSones, perBar.loudnessSones, 1e-9);
});

Deno.test("momentSound() begins a short bar with its first beat", () => {
  const notes = repeatedNotes(74, 1, { to: 9 });
  const score = smallScore([{ instrument: "flute", role: "lead", notes }], { pickupQuarters: 1 });
  assertEquals([momentSound(score, { barIndex: 0 }).beat, momentSound(score, { barIndex: 1 }).beat], [4, 1]);
});

Deno.test("momentSound() refuses beats that are not there", () => {
  const score = smallScore([{ instrument: "flute", role: "lead", notes: repeatedNotes(74, 1) }]);
  assertThrows(() => momentSound(score, { barIndex: 0, beat: 5 }), Error, "beat from 1 to");
  assertThrows(() => momentSound(score, { barIndex: 9 }), Error, "0 to 1");
  assertEquals(notFinite(momentSound(score, { barIndex: 0, beat: 4.5 })), []);
});

Deno.test("momentSound() covers as maskingMatrix() does, takes layers as they sound while they do, and levels in decibels", () => {
  const lead: Line = {
    instrument: "flute",
    role: "lead",
    layer: "lead",
    notes: repeatedNotes(74, 4, { dynamic: 4 }),
  };
  const pad: Line = {
    instrument: "horn in F",
    role: "pad",
    layer: "pad",
    notes: repeatedNotes(62, 4, { dynamic: 6 }),
  };
  for (const twoEarsDb of [0, 6]) {
    const constants = { twoEarsDb };
    const rows = maskingMatrix(smallScore([lead, pad]), { constants });
    for (const layer of momentSound(smallScore([lead, pad]), { barIndex: 0, constants }).layers) {
      const row = rows.find((r) => r.masked === layer.layer)!;
      assertAlmostEquals(layer.aloneSones, row.aloneSones, 1e-6);
      assertAlmostEquals(layer.partialSones, row.partialSones, 0.002 * row.partialSones);
      assertAlmostEquals(layer.audibleShare, 1 - row.lostShare, 0.002);
    }
  }
  const alone = (quarters: number, woodwind = 0) =>
    momentSound(smallScore([{ ...lead, notes: [{ at: 0, quarters, pitch: 74 }] }]), {
      barIndex: 0,
      gainsDb: { woodwind },
    });
  const [half, whole, soft] = [alone(0.5), alone(1), alone(1, -50)].map(({ layers }) => layers[0]!);
  for (const what of ["aloneSones", "partialSones"] as const) {
    // The filters are those of the mean level: a hundredth more or less.
    assertAlmostEquals(half![what], whole![what], 0.02 * whole![what]);
    assert(soft![what] > 0 && soft![what] < whole![what] / 100, `${soft![what]} of ${whole![what]}`);
  }
  assertAlmostEquals(soft!.audibleShare, 1, 1e-6);
  const loudest = (woodwind: number) => Math.max(...alone(1, woodwind).bands.map((b) => b.levelDb));
  assertAlmostEquals(loudest(0) - loudest(-20), 20, 0.5);
});
