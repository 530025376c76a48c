import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertLessOrEqual,
  assertThrows,
} from "@std/assert";
import fc from "fast-check";
import {
  type Balance,
  balance,
  demoPlans,
  demoSketch,
  momentum,
  type Note,
  realise,
  type Score,
  textureOf,
  vary,
} from "ripieno";
import { MOMENTUM_CONSTANTS } from "ripieno/measures";
import { type Line, type LineNote, repeatedNotes, smallScore, withNotes } from "../small_scores.ts";

const SEED = 1984;

/** A balance in which every layer is heard at a given loudness in every bar: momentum without hearing. */
function heardAt(score: Score, partialSones: (layer: string) => number): Balance {
  const measured = balance(score);
  return {
    ...measured,
    perLayer: measured.perLayer.map((l) => ({ ...l, partialSones: partialSones(l.layer) })),
  };
}

/** Momentum with the audibility of every layer held, so that only rhythm and strokes speak. */
function indexOf(score: Score, partialSones: (layer: string) => number = () => 4): number {
  return momentum(score, { balance: heardAt(score, partialSones) }).whole.momentum;
}

const wholeOf = (score: Score) => momentum(score).whole.momentum;

const lead: Line = {
  instrument: "flute",
  role: "lead",
  layer: "lead",
  notes: [
    { at: 0, quarters: 1.5, pitch: 79 },
    { at: 1.5, quarters: 0.5, pitch: 81 },
    { at: 2, quarters: 2, pitch: 83 },
    { at: 4, quarters: 1, pitch: 84 },
    { at: 5, quarters: 1, pitch: 83 },
    { at: 6, quarters: 2, pitch: 79 },
  ],
};
const pad: Line = {
  instrument: "horn in F",
  role: "pad",
  layer: "pad",
  notes: [{ at: 0, quarters: 8, pitch: 55 }],
};
const pulse = (every: number, more: Partial<Note> = {}): Line => ({
  instrument: "violin",
  role: "pulse",
  layer: "pulse",
  players: 12,
  notes: repeatedNotes(67, every, more),
});

/** Rhythms on sixteenths over two bars of 4/4, each note lasting to the next. */
const rhythm = fc.uniqueArray(fc.integer({ min: 0, max: 31 }), { minLength: 1, maxLength: 16 })
  .map((steps) => steps.toSorted((a, b) => a - b))
  .map((steps): readonly LineNote[] =>
    steps.map((s, i) => ({ at: s / 4, quarters: ((steps[i + 1] ?? 32) - s) / 4, pitch: 76 }))
  );
const textures = fc.array(
  fc.record({
    notes: rhythm,
    instrument: fc.constantFrom("flute", "clarinet in Bb", "horn in F", "violin", "trumpet in C"),
    dynamic: fc.integer({ min: 2, max: 7 }),
    slurred: fc.boolean(),
  }),
  { minLength: 1, maxLength: 5 },
).map((voices): readonly Line[] =>
  voices.map((v, i) => ({
    instrument: v.instrument,
    role: i === 0 ? "lead" as const : "pulse" as const,
    layer: `layer ${i}`,
    notes: v.notes.map((n) => ({ ...n, dynamic: v.dynamic, slurred: v.slurred, pitch: 60 + 4 * i })),
  }))
);

Deno.test("momentum() of silence is 0, of no bars an empty list", () => {
  const silent = momentum(smallScore([{ ...lead, notes: [] }]));
  assertEquals(silent.whole, {
    momentum: 0,
    attackRate: 0,
    onsetsPerSecond: 0,
    pitchTravel: 0,
    pulseSalience: 0,
    regularity: 0,
    syncopatedShare: 0,
    syncopation: 0,
  });
  assertEquals(silent.perLayer, []);
  const none = momentum({ ...smallScore([]), bars: [] });
  assertEquals([none.perBar, none.perRole, none.whole.momentum], [[], [], 0]);
});

Deno.test("momentum() of held notes is 0 in every bar in which nothing changes", () => {
  const held = momentum(smallScore([{ ...pad, notes: [{ at: 0, quarters: 24, pitch: 55 }] }], { bars: 6 }));
  assertEquals(held.perBar.slice(1).map((b) => b.momentum), [0, 0, 0, 0, 0]);
  assertEquals(held.perLayer.filter((l) => l.barIndex > 0), []);
  assertGreater(held.perBar[0]!.momentum, 0);
});

Deno.test("momentum() with audibility held does not change when everything is transposed or the harmony replaced", () => {
  const pitches = fc.array(fc.integer({ min: 50, max: 90 }), { minLength: 1, maxLength: 8 });
  fc.assert(
    fc.property(textures, fc.integer({ min: -7, max: 7 }), pitches, (lines, semitones, others) => {
      const measured = indexOf(smallScore(lines));
      const moved = lines.map((l) => ({
        ...l,
        notes: l.notes.map((n) => ({ ...n, pitch: n.pitch + semitones })),
      }));
      const reharmonised = lines.map((l) => ({
        ...l,
        notes: l.notes.map((n, i) => ({ ...n, pitch: others[i % others.length]! })),
      }));
      assertEquals(indexOf(smallScore(moved)), measured);
      assertEquals(indexOf(smallScore(reharmonised)), measured);
    }),
    { seed: SEED, numRuns: 40 },
  );
});

Deno.test("momentum() of the demo a fifth higher changes by no more than the change of audibility explains", () => {
  const score = realise(demoSketch(), demoPlans().moving);
  const higher = { ...score, notes: score.notes.map((n) => ({ ...n, soundingPitch: n.soundingPitch + 7 })) };
  const heard = balance(score);
  const [before, after] = [momentum(score, { balance: heard }), momentum(higher, { balance: heard })];
  assertEquals(after.perBar.map((b) => b.momentum), before.perBar.map((b) => b.momentum));
  const free = momentum(higher);
  const bySones = (m: typeof before) =>
    new Map(m.perLayer.map((l) => [`${l.barIndex} ${l.layer}`, l.audibility]));
  const [was, is] = [bySones(before), bySones(free)];
  free.perBar.forEach((bar, b) => {
    const factors = [...is].filter(([key]) => key.startsWith(`${b} `)).map(([key, a]) => a / was.get(key)!);
    const [low, high] = [Math.min(1, ...factors), Math.max(1, ...factors)];
    const ratio = bar.momentum / before.perBar[b]!.momentum;
    // Regularity and pulse may shift a little where a layer becomes faint: they weigh 0.4 of 1 at most.
    assert(ratio >= low * 0.9 && ratio <= high * 1.1, `bar ${b}: ${ratio} outside ${low} to ${high}`);
  });
});

Deno.test("momentum() is raised by an audible pulse under any lead and pad, and more by a faster one down to 100 ms", () => {
  // At 120 quarters a minute: quarters 500 ms, eighths 250 ms, triplets 167 ms, sixteenths 125 ms, quintuplets 100 ms.
  const values = [1, 1 / 2, 1 / 3, 1 / 4, 1 / 5];
  fc.assert(
    fc.property(rhythm, fc.double({ min: 0.5, max: 12, noNaN: true }), (notes, sones) => {
      const heard = (layer: string) => layer === "pulse" ? sones : 4;
      let before = indexOf(smallScore([{ ...lead, notes }, pad]), heard);
      for (const every of values) {
        const with_ = indexOf(smallScore([{ ...lead, notes }, pad, pulse(every)]), heard);
        assertGreater(with_, before, `a pulse every ${every} quarters`);
        before = with_;
      }
    }),
    { seed: SEED, numRuns: 100 },
  );
});

Deno.test("momentum() heard in full is raised by a pulse in strings and by a faster one, at several dynamics", () => {
  for (const dynamic of [3, 4, 5, 6]) {
    const without = wholeOf(smallScore([lead, pad]));
    const slow = wholeOf(smallScore([lead, pad, pulse(0.5, { dynamic })]));
    const fast = wholeOf(smallScore([lead, pad, pulse(0.25, { dynamic })]));
    assert(without < slow && slow < fast, `dynamic ${dynamic}: ${without}, ${slow}, ${fast}`);
  }
});

Deno.test("momentum() of a pulse alone stops rising where its attacks fuse", () => {
  const alone = (every: number) => indexOf(smallScore([pulse(every)]), () => 1e9);
  // 100 ms is 1/5 quarter at this tempo; 1/6, 1/8 and 1/12 are 83, 62.5 and 42 ms.
  for (const every of [1 / 6, 1 / 8, 1 / 12]) {
    assertAlmostEquals(alone(every) / alone(1 / 5), 1, 0.06, `every ${every}`);
  }
});

Deno.test("momentum() of the same notes slurred is less than tongued, whatever the rhythm", () => {
  fc.assert(
    fc.property(textures, (lines) => {
      const of = (slurred: boolean) => indexOf(smallScore(lines.map((l) => withNotes(l, { slurred }))));
      assertLess(of(true), of(false));
    }),
    { seed: SEED, numRuns: 60 },
  );
});

Deno.test("momentum() of one layer alone played softer is no more", () => {
  fc.assert(
    fc.property(textures, fc.integer({ min: 1, max: 3 }), ([line], steps) => {
      const softer = line!.notes.map((n) => ({ ...n, dynamic: n.dynamic! - steps }));
      assertLessOrEqual(
        wholeOf(smallScore([{ ...line!, notes: softer }])),
        wholeOf(smallScore([line!])) * (1 + 1e-9),
      );
    }),
    { seed: SEED, numRuns: 40 },
  );
});

Deno.test("momentum() gives a layer that cannot be heard nothing, and is the same without its part", () => {
  fc.assert(
    fc.property(rhythm, rhythm, (notes, others) => {
      const heard = (layer: string) => layer === "pulse" ? 0 : 4;
      const silent: Line = { ...pulse(1), notes: others };
      const score = smallScore([{ ...lead, notes }, silent]);
      const measured = momentum(score, { balance: heardAt(score, heard) });
      for (const l of measured.perLayer.filter((l) => l.layer === "pulse")) {
        assertEquals([l.audibility, l.contribution, l.alone, l.takenAway], [0, 0, 0, 0]);
      }
      assertEquals(measured.whole.momentum, indexOf(smallScore([{ ...lead, notes }]), heard));
    }),
    { seed: SEED, numRuns: 60 },
  );
});

Deno.test("momentum() of a layer that cannot be heard stays nothing when its attacks come just before those of others", () => {
  // 1/96 quarter at 120 is 5 ms, 4/96 21 ms: inside the 30 ms in which attacks are one.
  const early = (ticks: number): Line => ({
    ...pulse(1),
    notes: [1, 2, 3, 4, 5, 6, 7].map((at) => ({ at: at - ticks / 96, quarters: 0.5, pitch: 67 })),
  });
  const heard = (layer: string) => layer === "pulse" ? 0 : 4;
  for (const ticks of [1, 4]) {
    assertEquals(indexOf(smallScore([lead, early(ticks)]), heard), indexOf(smallScore([lead]), heard));
  }
});

Deno.test("momentum() hears an attack as clearly in a bar in which its layer mostly rests", () => {
  const strokes = (count: number): Line => ({ ...pulse(1), notes: repeatedNotes(67, 1, { to: count }) });
  const audibility = (count: number) =>
    momentum(smallScore([pad, strokes(count)])).perLayer.find((l) => l.barIndex === 0 && l.layer === "pulse")!
      .audibility;
  assertAlmostEquals(audibility(1), audibility(4), 1e-9);
});

Deno.test("momentum() shares: Shapley values sum to the bar, roles to the whole, twins get the same", () => {
  fc.assert(
    fc.property(textures, (lines) => {
      const twin: Line = { ...lines[0]!, layer: "twin" };
      const score = smallScore([...lines, twin]);
      const measured = momentum(score, { balance: heardAt(score, () => 3) });
      measured.perBar.forEach((bar, b) => {
        const shares = measured.perLayer.filter((l) => l.barIndex === b);
        assertAlmostEquals(shares.reduce((sum, l) => sum + l.contribution, 0), bar.momentum, 1e-9);
        const of = (id: string) => shares.find((l) => l.layer === id)?.contribution ?? 0;
        assertAlmostEquals(of("twin"), of("layer 0"), 1e-9);
      });
      const roles = measured.perRole.reduce((sum, r) => sum + r.contribution, 0);
      assertAlmostEquals(roles, measured.whole.momentum, 1e-9);
    }),
    { seed: SEED, numRuns: 40 },
  );
});

Deno.test("momentum() does not depend on the order of the parts", () => {
  fc.assert(
    fc.property(textures, (lines) => {
      const [a, b] = [momentum(smallScore(lines)), momentum(smallScore(lines.toReversed()))];
      assertAlmostEquals(a.whole.momentum, b.whole.momentum, 1e-9);
      for (const l of a.perLayer) {
        const other = b.perLayer.find((o) => o.barIndex === l.barIndex && o.layer === l.layer)!;
        assertAlmostEquals(l.contribution, other.contribution, 1e-9);
      }
    }),
    { seed: SEED, numRuns: 30 },
  );
});

Deno.test("momentum() alone and taken away: one layer is the bar, and without it nothing is left", () => {
  const measured = momentum(smallScore([lead]));
  for (const l of measured.perLayer) {
    assertEquals([l.alone, l.takenAway], [l.contribution, l.contribution]);
    assertAlmostEquals(l.contribution, measured.perBar[l.barIndex]!.momentum, 1e-12);
  }
});

Deno.test("momentum() counts a measured tremolo as its strokes and a shimmer as next to nothing", () => {
  const held: Line = { ...pulse(2), notes: repeatedNotes(67, 2) };
  const slashed = (slashes: number) => smallScore([withNotes(held, { tremoloSlashes: slashes })]);
  assertAlmostEquals(indexOf(slashed(2)), indexOf(smallScore([pulse(0.25)])), 1e-9);
  assertAlmostEquals(indexOf(slashed(1)), indexOf(smallScore([pulse(0.5)])), 1e-9);
  assertLess(indexOf(slashed(3)), 0.5 * indexOf(slashed(1)));
});

Deno.test("momentum() of a slow, soft, unmeasured string tremolo is far below that of loud off-beats and strokes", () => {
  const wholeOf = (score: Score) => momentum(score).whole.momentum;
  const strings = ["violin", "violin", "viola", "cello"];
  const shimmer = (signs: Partial<Note>): Score =>
    smallScore(
      strings.map((instrument, i): Line => ({
        instrument,
        players: 10,
        role: "trill",
        layer: "trill",
        notes: repeatedNotes(76 - 7 * i, 4, { to: 16, dynamic: 3, ...signs }),
      })),
      { quartersPerMinute: 58, bars: 4 },
    );
  const off = repeatedNotes(60, 1, { from: 0.5, to: 16.5, dynamic: 6 }).map((n) => ({ ...n, quarters: 0.5 }));
  const loud = smallScore([
    { instrument: "horn in F", players: 4, role: "pulse", layer: "pulse", notes: off },
    {
      instrument: "cello",
      players: 8,
      role: "bass",
      layer: "bass",
      notes: repeatedNotes(43, 1, { to: 16, dynamic: 6 }),
    },
    {
      instrument: "timpani",
      role: "punctuation",
      layer: "strokes",
      notes: repeatedNotes(43, 4, { to: 16, dynamic: 6 }).map((n) => ({ ...n, quarters: 1 })),
    },
  ], { quartersPerMinute: 58, bars: 4 });
  const [plain, slow, quick] = [
    wholeOf(shimmer({})),
    wholeOf(shimmer({ tremoloSlashes: 3, tremolo: "unmeasured" })),
    wholeOf(shimmer({ tremoloSlashes: 4, tremolo: "unmeasured" })),
  ];
  // It is a held note that is alive: more than held, and far less than half of what drives.
  for (const tremolo of [slow, quick]) {
    assertGreater(tremolo, plain);
    assertLess(tremolo, 0.5 * wholeOf(loud));
  }
});

Deno.test("momentum() hears a chord more than its top note, in one part or shared out between several, and a unison as one", () => {
  const line = (pitches: readonly number[]): Line => ({
    instrument: "piano",
    role: "pulse",
    layer: "pulse",
    notes: pitches.flatMap((pitch) => repeatedNotes(pitch, 0.5)),
  });
  const of = (...parts: readonly (readonly number[])[]) => indexOf(smallScore(parts.map(line)));
  const top = of([67]);
  assertGreater(of([60, 64, 67]), 1.2 * top);
  assertAlmostEquals(of([60, 64], [67]), of([60, 64, 67]), 1e-12);
  assertAlmostEquals(of([60], [64], [67]), of([60, 64, 67]), 1e-12);
  assertAlmostEquals(of([67], [67]), top, 1e-12);
  // Heard in full, two notes of half the force are as likely to be felt as not to be missed twice.
  assertAlmostEquals(of([60, 67]) / top, (1 - 0.5 ** 2) / 0.5, 0.1);
  assertEquals(momentum(smallScore([line([60, 64, 67])])).whole.pitchTravel, 0);
});

Deno.test("momentum() goes by the dynamic as marked: half the force at mf, less in proportion when soft", () => {
  const at = (dynamic: number) =>
    smallScore([withNotes({ ...lead, notes: repeatedNotes(79, 1) }, { dynamic })]);
  const [soft, middling, loud] = [2, 5, 8].map((dynamic) => indexOf(at(dynamic)));
  assertAlmostEquals(soft! / middling!, 2 / 5, 1e-9);
  assertAlmostEquals(loud! / middling!, 8 / 5, 1e-9);
});

Deno.test("momentum() reports pitch travel in semitones per second of what has a pitch", () => {
  // Eight eighths at 120, alternating a fourth: 5 semitones every 0.25 s, but for the very first note.
  const notes = Array.from({ length: 16 }, (_, i) => ({ at: i / 2, quarters: 0.5, pitch: 60 + 5 * (i % 2) }));
  const travel = momentum(smallScore([{ ...lead, notes }])).perBar.map((b) => b.pitchTravel);
  assertEquals(travel, [5 * 7 / 2, 5 * 8 / 2]);
  const drums = notes.map((n) => ({ ...n, unpitched: true }));
  const struck = smallScore([{ instrument: "drum set", role: "pulse", notes: drums }]);
  assertEquals(momentum(struck).whole.pitchTravel, 0);
});

Deno.test("momentum() counts a pickup from the end of its bar: eighths into a downbeat are not syncopated", () => {
  const upbeat = smallScore([{
    ...lead,
    notes: [0, 0.5, 1, 2, 3, 4].map((at) => ({ at, quarters: at < 1 ? 0.5 : 1, pitch: 79 })),
  }], { bars: 1, pickupQuarters: 1 });
  assertEquals(momentum(upbeat).perBar.map((b) => b.syncopation), [0, 0]);
});

Deno.test("momentum() weighs a pickup of three quarters as the last three of the bar", () => {
  // A half note on the second beat is held over the third, which is stronger by one level.
  const notes = [0, 2, 3, 4, 5, 6].map((at) => ({ at, quarters: at === 0 ? 2 : 1, pitch: 79 }));
  const measured = momentum(smallScore([{ ...lead, notes }], { bars: 1, pickupQuarters: 3 }));
  assertEquals(measured.perBar.map((b) => b.syncopation), [1, 0]);
});

Deno.test("momentum() hears one attack a bar as a steady row once three have been heard, if they are 1.5 s apart or less", () => {
  const once = (quartersPerMinute: number) => {
    const notes = repeatedNotes(79, 3, { to: 18 });
    const score = smallScore([{ ...lead, notes }], { bars: 6, beats: 3, quartersPerMinute });
    return momentum(score).perBar.map((b) => b.regularity);
  };
  const waltz = [0, 0, 1, 1, 1, 1];
  once(180).forEach((share, b) => assertAlmostEquals(share, waltz[b]!, 1e-12));
  assertEquals(once(100), [0, 0, 0, 0, 0, 0]);
});

Deno.test("momentum() carries a row over the bar line and through a pickup, and notices when it breaks off", () => {
  const steady = repeatedNotes(79, 0.5, { to: 17 });
  const regularity = (notes: readonly LineNote[]) =>
    momentum(smallScore([{ ...lead, notes }], { bars: 4, pickupQuarters: 1 })).perBar.map((b) =>
      b.regularity
    );
  // Two eighths in the pickup: the first bar goes on from them.
  regularity(steady).forEach((share, b) => assertAlmostEquals(share, b === 0 ? 0 : 1, 1e-9));
  const halting = [5.75, 7.125, 8.25].map((at) => ({ at, quarters: 0.5, pitch: 79 }));
  assertLess(regularity([...steady.filter((n) => n.at < 5), ...halting])[2]!, 0.5);
});

Deno.test("momentum() takes a dotted row that comes back every beat for steady, and a random one for less", () => {
  const of = (places: readonly number[]) =>
    momentum(smallScore([{ ...lead, notes: places.map((at) => ({ at, quarters: 0.25, pitch: 79 })) }]))
      .perBar[1]!.regularity;
  assertAlmostEquals(of([0, 1, 2, 3, 4, 5, 6, 7].flatMap((beat) => [beat, beat + 0.75])), 1, 1e-9);
  assertLess(of([0, 0.75, 1.25, 2.5, 3.75, 4.25, 5, 6.75, 7]), 0.5);
});

Deno.test("momentum() feels a pulse most near 0.6 s, less when it is slow or fast (Parncutt 1994)", () => {
  const salience = (quartersPerMinute: number) =>
    momentum(
      smallScore([{ ...lead, notes: repeatedNotes(79, 1, { to: 16 }) }], { bars: 4, quartersPerMinute }),
    )
      .perBar[3]!.pulseSalience;
  assertAlmostEquals(salience(100), 1, 1e-9);
  assertLess(salience(60), salience(80));
  assertLess(salience(80), salience(100));
  assertLess(salience(200), salience(130));
});

Deno.test("momentum() reads syncopation as written and over the bar line, in simple and compound metres (Longuet-Higgins and Lee 1984, by hand)", () => {
  const of = (places: readonly number[], beats: number, beatUnit: number) =>
    momentum(
      smallScore([{ ...lead, notes: places.map((at) => ({ at, quarters: 0.25, pitch: 79 })) }], {
        beats,
        beatUnit,
      }),
    ).perBar.map((b) => b.syncopation);
  const twice = (places: readonly number[], bar: number) => [...places, ...places.map((p) => p + bar)];
  // Son clave, bossa nova, off-beat eighths: the last one of the score is held over no further downbeat.
  assertEquals(of(twice([0, 0.75, 1.5, 2.5, 3], 4), 4, 4), [4, 4]);
  assertEquals(of(twice([0, 0.75, 1.5, 2.5, 3.25], 4), 4, 4), [6, 6]);
  assertEquals(of(twice([0.5, 1.5, 2.5, 3.5], 4), 4, 4), [7, 4]);
  // Three quarters across 6/8: the second (-2) is held over the middle of the bar (-1).
  assertEquals(of(twice([0, 1, 2], 3), 6, 8), [1, 1]);
  // Long and short in 6/8, and a siciliano: nothing is held over anything stronger.
  assertEquals(of(twice([0, 1, 1.5, 2.5], 3), 6, 8), [0, 0]);
  assertEquals(of(twice([0, 0.75, 1, 1.5], 3), 6, 8), [0, 0]);
  // The last eighth of 9/8 (-2) held over the downbeat (0).
  assertEquals(of([0, 1.5, 3, 4, 5, 6, 7.5], 9, 8), [2, 0]);
});

Deno.test("momentum() counts a syncopated attack for more than one on the beat, and no more than its weight allows", () => {
  const of = (places: readonly number[]) =>
    momentum(smallScore([{ ...lead, notes: places.map((at) => ({ at, quarters: 0.25, pitch: 79 })) }]));
  const [on, off] = [of([0, 1, 2, 3, 4, 5, 6, 7]), of([0.5, 1.5, 2.5, 3.5, 4.5, 5.5, 6.5, 7.5])];
  assertEquals(on.whole.syncopatedShare, 0);
  assertAlmostEquals(off.perBar[0]!.attackRate, on.perBar[0]!.attackRate, 1e-9);
  assertGreater(off.whole.momentum, on.whole.momentum);
  assertLessOrEqual(off.whole.momentum, on.whole.momentum + 0.1 * on.whole.attackRate);
});

Deno.test("momentum() takes the last note of a score for syncopated as one that another follows", () => {
  const firstBar = (bars: number) => {
    const notes = [0, 2.5, 4].slice(0, bars + 1).map((at) => ({ at, quarters: 1, pitch: 79 }));
    return momentum(smallScore([{ ...lead, notes }], { bars })).perBar[0]!.syncopatedShare;
  };
  // One of two is held over the fourth beat.
  assertGreater(firstBar(1), 0);
  assertAlmostEquals(firstBar(1), firstBar(2), 1e-9);
});

Deno.test("momentum() does not take a faint steady row for an uneven one: shares do not depend on how well it is heard", () => {
  const shares = (sones: number) => {
    const score = smallScore([pulse(0.5)], { bars: 4 });
    const { regularity, pulseSalience, syncopatedShare } = momentum(score, {
      balance: heardAt(score, () => sones),
    }).perBar[3]!;
    return [regularity, pulseSalience, syncopatedShare];
  };
  shares(0.01).forEach((share, i) => assertAlmostEquals(share, shares(10)[i]!, 1e-9));
});

Deno.test("momentum() of a layer that was silent before is that of one heard from the first on", () => {
  const score = smallScore([lead, pulse(0.5)], { bars: 4 });
  const rate = (heard: number, of = score) =>
    momentum(of, { balance: heardAt(of, (layer) => layer === "pulse" ? heard : 4) }).whole.attackRate;
  const fresh = rate(4, smallScore([lead, pulse(0.5)], { bars: 4, quartersPerMinute: 121 }));
  const [silent, loud] = [rate(0), rate(4)];
  assertAlmostEquals(loud / 120, fresh / 121, 1e-9);
  assertGreater(loud, silent);
  assertAlmostEquals(rate(0), silent, 1e-12);
});

Deno.test("momentum() without layers is the same, and says nothing of layers and roles", () => {
  const score = realise(demoSketch(), demoPlans().rotating);
  const heard = balance(score);
  const [full, bare] = [
    momentum(score, { balance: heard }),
    momentum(score, { balance: heard, layers: false }),
  ];
  assertEquals([bare.whole, bare.perBar], [full.whole, full.perBar]);
  assertEquals([bare.perLayer, bare.perRole], [[], []]);
});

Deno.test("momentum() states how sure the shares of more than twelve layers are", () => {
  const layers = (count: number) =>
    Array.from({ length: count }, (_, i): Line => ({
      ...pulse(1),
      layer: `layer ${i}`,
      notes: repeatedNotes(50 + i, 1 / (1 + i % 4)),
    }));
  const measured = (count: number) => {
    const score = smallScore(layers(count));
    return momentum(score, { balance: heardAt(score, () => 2) });
  };
  assert(measured(12).perLayer.every((l) => l.contributionError === 0));
  const many = measured(14);
  assert(many.perLayer.every((l) => l.contributionError > 0 && l.contributionError < 0.2));
  // Layers of one rhythm have one share; the sampled ones lie within a few standard errors of their mean.
  for (const kind of [0, 1, 2, 3]) {
    const same = many.perLayer.filter((l, i) => l.barIndex === 0 && i % 4 === kind);
    const centre = same.reduce((sum, l) => sum + l.contribution, 0) / same.length;
    for (const l of same) assertLess(Math.abs(l.contribution - centre), 5 * l.contributionError);
  }
});

Deno.test("momentum() events closer than 30 ms are one", () => {
  const later: Line = { ...pulse(1), notes: repeatedNotes(67, 1).map((n) => ({ ...n, at: n.at + 5 / 96 })) };
  const measured = momentum(smallScore([pulse(1), { ...later, layer: "late" }]));
  assertEquals(measured.perBar.map((b) => b.onsetsPerSecond), [2, 2]);
});

Deno.test("the demo's moving textures move more than its held chords, and less when slurred or in slower values (common practice, no source)", () => {
  const [held, moving] = [demoPlans().held, demoPlans().moving];
  const of = (plan: typeof held) => wholeOf(realise(demoSketch(), plan));
  assertLess(of(held), of(moving));
  assertLess(of(vary(moving, { set: { articulation: "slurred" } }, { role: "figuration" })), of(moving));
  assertLess(of(vary(moving, { set: { figure: "repeated eighths" } }, { role: "pulse" })), of(moving));
});

Deno.test("a tune with held chords moves less than over repeated tongued notes (common practice, no source)", () => {
  const horns = (notes: readonly LineNote[]): Line => ({ ...pad, instrument: "trumpet in C", notes });
  assertLess(
    wholeOf(smallScore([lead, horns([{ at: 0, quarters: 8, pitch: 67 }])])),
    wholeOf(smallScore([lead, horns(repeatedNotes(67, 0.25))])),
  );
});

Deno.test("soft slurred notes doubled by strings move less than short tongued ones at the same rate (common practice, no source)", () => {
  const woodwind = (more: Partial<Note>): Line => ({
    instrument: "clarinet in Bb",
    role: "figuration",
    layer: "eighths",
    notes: repeatedNotes(67, 0.5, more),
  });
  const soft = { slurred: true, dynamic: 3 };
  const strings: Line = { ...woodwind(soft), instrument: "viola", players: 8 };
  assertLess(
    wholeOf(smallScore([lead, woodwind(soft), strings])),
    wholeOf(smallScore([lead, woodwind({ articulations: ["staccato"], dynamic: 5 })])),
  );
});

Deno.test("another harmony under the same textures changes at most a tenth of what taking the pulse away does (common practice, no source)", () => {
  const chords = (pitches: readonly number[]): Line => ({
    ...pad,
    notes: pitches.map((pitch) => ({ at: 0, quarters: 8, pitch })),
  });
  const setting = (p: readonly number[], top: number, withPulse = true) =>
    wholeOf(smallScore([
      lead,
      chords(p),
      ...(withPulse ? [{ ...pulse(0.25), notes: repeatedNotes(top, 0.25) }] : []),
    ]));
  const before = setting([48, 52, 55], 67);
  const effect = Math.abs(before - setting([48, 52, 55], 67, false));
  for (const [harmony, top] of [[[47, 50, 55], 67], [[45, 53, 57], 65], [[46, 49, 54], 66]] as const) {
    assertLessOrEqual(Math.abs(setting(harmony, top) - before), 0.1 * effect);
  }
});

Deno.test("another harmony under the demo changes at most a tenth of what taking its pulse away does (common practice, no source)", () => {
  const sketch = demoSketch();
  const { moving } = demoPlans();
  const of = (s: typeof sketch, plan: typeof moving) => wholeOf(realise(s, plan));
  const before = of(sketch, moving);
  const effect = before - of(sketch, vary(moving, { remove: true }, { role: "pulse" }));
  assertGreater(effect, 0);
  // Every chord moved by a tone, a third, a tritone: another harmony in the same rhythm.
  const names = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];
  for (const semitones of [2, 4, 6, 9]) {
    const moved = (t: { pitchClass: number }) => {
      const pitchClass = (t.pitchClass + semitones) % 12;
      return { pitchClass, name: names[pitchClass]! };
    };
    const harmonies = sketch.harmonies.map((h) => ({ ...h, tones: h.tones.map(moved), bass: moved(h.bass) }));
    const after = of({ ...sketch, harmonies }, moving);
    assertLessOrEqual(Math.abs(after - before), 0.1 * effect, `${semitones} semitones`);
  }
});

Deno.test("momentum() takes constants by name, reports them and refuses others", () => {
  const score = smallScore([lead, pulse(0.25)]);
  const changed = momentum(score, { constants: { halfAudibleSones: 4 } });
  assertEquals(changed.settings["halfAudibleSones"], 4);
  assertLess(changed.whole.momentum, wholeOf(score));
  assertThrows(() => momentum(score, { constants: { halfAudible: 1 } as never }), Error, "halfAudibleSones");
  assertEquals(Object.keys(changed.settings), Object.keys(MOMENTUM_CONSTANTS));
});

Deno.test("momentum() of a score read with its texture given equals the measure that finds it itself", () => {
  const score = smallScore([lead, pad, pulse(0.25)]);
  assertEquals(momentum(score, { texture: textureOf(score), balance: balance(score) }), momentum(score));
});
