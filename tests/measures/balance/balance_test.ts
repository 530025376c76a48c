import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertGreaterOrEqual,
  assertLess,
  assertLessOrEqual,
  assertMatch,
  assertThrows,
} from "@std/assert";
import fc from "fast-check";
import { balance, demoPlans, demoSketch, realise, type Score, vary } from "ripieno";
import { maskingMatrix } from "ripieno/measures";
import { type Line, repeatedNotes, smallScore, withNotes } from "../small_scores.ts";
import { accompanimentOf, leads, SEED } from "../sounding_lines.ts";

/** One note of two bars. */
function held(
  instrument: string,
  pitch: number,
  more: Partial<Line> & { readonly dynamic?: number } = {},
): Line {
  const { dynamic = 6, ...line } = more;
  return { instrument, role: "pad", notes: [{ at: 0, quarters: 8, pitch, dynamic }], ...line };
}
const leading = (line: Line): Line => ({ ...line, role: "lead", layer: "lead" });
const wholeOf = (lines: readonly Line[]) => balance(smallScore(lines)).whole;

const accompaniment = accompanimentOf(
  "clarinet in Bb",
  "horn in F",
  "viola",
  "trumpet in C",
  "bassoon",
  "timpani",
);

Deno.test("balance() of two equal unison layers is 0 dB by handbook and power, and each keeps the same share", () => {
  for (const instrument of ["flute", "trumpet in C", "violin"]) {
    const measured = balance(smallScore([leading(held(instrument, 72)), held(instrument, 72)]));
    assertAlmostEquals(measured.whole.handbookDb!, 0, 1e-12);
    assertAlmostEquals(measured.whole.powerDb!, 0, 1e-12);
    for (const b of [0, 1]) {
      const [a, c] = measured.perLayer.filter((l) => l.barIndex === b);
      assertEquals([a!.loudnessShare, c!.loudnessShare], [0.5, 0.5]);
      assertEquals(a!.partialSones, c!.partialSones);
      assertLess(a!.audibleShare, 1);
    }
  }
});

Deno.test("balance() by power adds players and layers as powers: 10 log10 of their number", () => {
  // Two players against one 3.0103 dB, one against four -6.0206 dB, against two layers of one -3.0103 dB.
  const flute = held("flute", 79);
  const of = (lines: readonly Line[]) => wholeOf(lines).powerDb!;
  assertAlmostEquals(of([leading({ ...flute, players: 2 }), flute]), 3.0103, 1e-4);
  assertAlmostEquals(of([leading(flute), { ...flute, players: 4 }]), -6.0206, 1e-4);
  assertAlmostEquals(of([leading(flute), flute, flute]), -3.0103, 1e-4);
  // Half the written length sounds in staccato, so half the power.
  const short = withNotes({ ...flute, notes: repeatedNotes(79, 1, { dynamic: 6 }) }, {
    articulations: ["staccato"],
  });
  assertAlmostEquals(balance(smallScore([leading(flute), short])).whole.powerDb!, 3.0103, 1e-4);
});

/** Rimsky-Korsakov, Principles of Orchestration (tr. Agate 1922), vol. I ch. I p. 33. */
const EQUAL_AT_FORTE:
  readonly (readonly [lead: readonly [string, number], rest: readonly [string, number]])[] = [
    [["trumpet in C", 1], ["horn in F", 2]],
    [["trumpet in C", 1], ["tenor trombone", 1]],
    [["trumpet in C", 1], ["tuba", 1]],
    [["horn in F", 1], ["flute", 2]],
    [["horn in F", 1], ["oboe", 2]],
    [["horn in F", 1], ["clarinet in Bb", 2]],
    [["horn in F", 1], ["bassoon", 2]],
    [["trumpet in C", 1], ["clarinet in Bb", 4]],
    [["violin", 12], ["flute", 2]],
  ];

Deno.test("balance() by the handbook is 0 dB for every ratio of Rimsky-Korsakov at forte, and for one wind each at piano", () => {
  for (const [[lead, leaders], [rest, others]] of EQUAL_AT_FORTE) {
    const of = (dynamic: number, a: number, b: number) =>
      wholeOf([
        leading(held(lead, 60, { players: a, dynamic })),
        held(rest, 60, { players: b, dynamic }),
      ]).handbookDb!;
    assertAlmostEquals(
      of(6, leaders, others),
      0,
      1e-9,
      `${leaders} ${lead} against ${others} ${rest} at forte`,
    );
    assertAlmostEquals(of(3, leaders, 1), 0, 1e-9, `${lead} against one ${rest} at piano`);
  }
  const four = ["flute", "oboe", "clarinet in Bb", "bassoon"].map((w) => held(w, 60, { layer: "woodwind" }));
  assertAlmostEquals(wholeOf([leading(held("trumpet in C", 60)), ...four]).handbookDb!, 0, 1e-9);
  assertAlmostEquals(
    wholeOf([leading(held("trumpet in C", 60)), held("horn in F", 60)]).handbookDb!,
    3.0103,
    1e-4,
  );
});

Deno.test("balance() by the handbook weighs players, not notes: a part counts once, however many notes it plays", () => {
  const lead = leading(held("trumpet in C", 60));
  for (const every of [1, 2]) {
    const horns = {
      ...held("horn in F", 60, { players: 2 }),
      notes: repeatedNotes(60, every, { dynamic: 6 }),
    };
    assertAlmostEquals(wholeOf([lead, horns]).handbookDb!, 0, 1e-9);
  }
});

Deno.test("balance() of a lead alone is heard in full, of silence and of no lead says nothing", () => {
  const alone = balance(smallScore([leading(held("flute", 79))]));
  assertEquals(alone.whole, {
    handbookDb: null,
    powerDb: null,
    audibleShare: 1,
    aloneShare: 1,
    coveredShare: 0,
  });
  assertEquals(alone.perLayer.map((l) => l.loudnessShare), [1, 1]);
  assertAlmostEquals(alone.perLayer[0]!.partialSones, alone.perBar[0]!.loudnessSones, 1e-9);
  const nobody = {
    handbookDb: null,
    powerDb: null,
    audibleShare: null,
    aloneShare: null,
    coveredShare: null,
  };
  assertEquals(wholeOf([held("flute", 79)]), nobody);
  const silent = balance(smallScore([{ ...held("flute", 79), notes: [] }]));
  assertEquals([silent.whole, silent.perLayer, silent.perBar.map((b) => b.loudnessSones)], [nobody, [], [
    0,
    0,
  ]]);
});

Deno.test("balance() takes a lead's note tied over a bar line on paper but silent by then for a rest, not for a covered note", () => {
  // A dotted half, detached, tied to a quarter: half of it sounds, all in the first bar; the snare drum dies away.
  const short = [{ at: 1, quarters: 4, pitch: 79, articulations: ["staccato"] as const }];
  const struck = [{ at: 1, quarters: 4, pitch: 60 }];
  const horn = {
    ...held("horn in F", 60, { dynamic: 2 }),
    notes: [{ at: 4, quarters: 4, pitch: 60, dynamic: 8 }],
  };
  for (const lead of [{ instrument: "flute", notes: short }, { instrument: "snare drum", notes: struck }]) {
    for (const others of [[], [horn]]) {
      const { perBar, whole, warnings } = balance(
        smallScore([leading({ role: "lead", ...lead }), ...others]),
      );
      assertEquals(perBar.map((b) => b.audibleShare), [1, null], `${lead.instrument} and ${others.length}`);
      assertEquals([whole.audibleShare, whole.coveredShare], [1, 0]);
      // The drum may still be felt when the horn sets in, the flute is not.
      if (lead.instrument === "flute") assertEquals([perBar[0]!.leadAlone, whole.aloneShare], [true, 1]);
      assertEquals(warnings, []);
    }
  }
});

Deno.test("balance() judges a lead over its notes: rests at the ends of its bars change nothing", () => {
  const rests = fc.integer({ min: 1, max: 5 });
  fc.assert(
    fc.property(leads, accompaniment, rests, fc.constantFrom(0.5, 1, 2), (lead, others, beats, length) => {
      const played = { ...lead, notes: lead.notes.map((n) => ({ ...n, quarters: length })) };
      const of = (bar: number) =>
        balance(smallScore(
          [played, ...others].map((line) => ({
            ...line,
            notes: line.notes.map((n) => ({ ...n, at: n.at + (n.at >= 4 ? bar - 4 : 0) })),
          })),
          { beats: bar },
        ));
      const [tight, padded] = [of(4), of(4 + beats)];
      for (const b of [0, 1]) {
        for (const what of ["audibleShare", "powerDb", "handbookDb"] as const) {
          assertAlmostEquals(padded.perBar[b]![what]!, tight.perBar[b]![what]!, 1e-9, what);
        }
      }
      assertAlmostEquals(padded.whole.audibleShare!, tight.whole.audibleShare!, 1e-9);
      assertEquals(padded.warnings.map((w) => w.what), tight.warnings.map((w) => w.what));
    }),
    { seed: SEED, numRuns: 30 },
  );
});

Deno.test("balance() says of a lead alone that it is alone, gives no level, and counts its levels only beside others", () => {
  fc.assert(
    fc.property(leads, accompaniment, (lead, others) => {
      const late = others.map((o) => ({ ...o, notes: o.notes.filter((n) => n.at >= 4) }));
      const { perBar, perNote, whole } = balance(smallScore([lead, ...late]));
      assertEquals(perBar.map((b) => b.leadAlone), [true, false]);
      assertEquals([perBar[0]!.powerDb, perBar[0]!.handbookDb, perBar[0]!.audibleShare], [null, null, 1]);
      assertEquals([whole.powerDb, whole.handbookDb], [perBar[1]!.powerDb, perBar[1]!.handbookDb]);
      assertEquals(whole.aloneShare, 0.5);
      for (const n of perNote) {
        assertEquals(n.powerDb === null, n.barIndex === 0);
        assert(n.powerDb === null || Math.abs(n.powerDb) < 60);
      }
    }),
    { seed: SEED, numRuns: 30 },
  );
});

Deno.test("balance() names who covers a sunk lead in every warning, also where notes held over from a bar before do", () => {
  fc.assert(
    fc.property(leads, accompaniment, fc.boolean(), (lead, others, isHeldOver) => {
      const soft = withNotes(lead, { dynamic: 1 });
      const loud = others.map((o, i): Line => ({
        ...o,
        name: `Part ${"ABCDE"[i]}`,
        notes: isHeldOver
          ? [{ at: 0, quarters: 12, pitch: o.notes[0]!.pitch, dynamic: 8 }]
          : o.notes.map((n) => ({ ...n, dynamic: 8 })),
      }));
      const late = isHeldOver ? { ...soft, notes: soft.notes.map((n) => ({ ...n, at: n.at + 8 })) } : soft;
      const score = smallScore([late, ...loud], { bars: isHeldOver ? 4 : 2 });
      // The layers of the plan end with the bar in which their notes begin.
      const layers = score.layers!.map((l) => isHeldOver && l.role !== "lead" ? { ...l, toBarIndex: 0 } : l);
      const { warnings } = balance({ ...score, layers }, { constants: { coveredBelowShare: 1 } });
      assert(warnings.length > 0);
      for (const w of warnings) assertMatch(w.what, / under .*\(.*Part [A-E].*\) at [pmf]+$/);
    }),
    { seed: SEED, numRuns: 30 },
  );
});

Deno.test("balance() of a strong masker leaves nothing of a soft lead, and a warning says who, what to do and what it gives", () => {
  // A third below: on the flute's own pitch the trombones would support it.
  const lead = leading(held("flute", 62, { dynamic: 2, name: "Flute" }));
  const brass = held("tenor trombone", 59, { dynamic: 8, players: 3, name: "Trombones" });
  const measured = balance(smallScore([lead, brass]));
  assertLess(measured.whole.audibleShare!, 0.02);
  assertEquals(measured.whole.coveredShare, 1);
  assertEquals(measured.warnings.map((w) => [w.fromBarIndex, w.toBarIndex]), [[0, 1]]);
  assertMatch(
    measured.warnings[0]!.what,
    /^Flute, in its low register, keeps \d+ % of its loudness under the pad \(Trombones\) at fff$/,
  );
  assertMatch(measured.warnings[0]!.remedy, /two dynamics softer there, the lead would keep \d+ %/);
});

/** The score with a part's layer in two, by bars: its figure changes. */
function withNewFigure(score: Score, part: number): Score {
  const second = score.bars[1]!.startTicks;
  const idOf = (onsetTicks: number) => `figuration ${onsetTicks < second ? 1 : 2}`;
  const own = score.layers!.find((l) => l.parts.includes(part))!;
  return {
    ...score,
    notes: score.notes.map((n) => n.part === part ? { ...n, layer: idOf(n.onsetTicks) } : n),
    layers: [
      ...score.layers!.filter((l) => l !== own),
      { ...own, id: idOf(0), toBarIndex: 0 },
      { ...own, id: idOf(second), fromBarIndex: 1 },
    ],
  };
}

Deno.test("balance() names who covers most whether their figure changes or not, and a matrix has them once", () => {
  const lead = leading({ ...held("flute", 62), notes: repeatedNotes(62, 1, { dynamic: 2 }) });
  const figuration: Line = {
    instrument: "violin",
    name: "Violins",
    players: 12,
    role: "figuration",
    notes: repeatedNotes(64, 0.5, { dynamic: 6 }),
  };
  const pulse: Line = {
    instrument: "horn in F",
    name: "Horn",
    role: "pulse",
    notes: repeatedNotes(59, 0.5, { dynamic: 4 }),
  };
  const score = smallScore([lead, figuration, pulse]);
  const changing = withNewFigure(score, 1);
  const constants = { coveredBelowShare: 0.5 };
  const [before, after] = [score, changing].map((s) => balance(s, { constants }).warnings[0]);
  assertMatch(before!.what, /under the figuration \(Violins\)/);
  assertEquals([after!.what, after!.remedy], [before!.what, before!.remedy]);
  const rows = (s: Score) =>
    maskingMatrix(s).map((r) => [r.maskedRole, r.maskerRole, r.beats, r.lostShare.toFixed(9)]);
  assertEquals(rows(changing), rows(score));
});

Deno.test("balance() does not name among those who cover the lead who plays its very pitch", () => {
  const lead = leading({ ...held("flute", 62), notes: repeatedNotes(62, 1, { dynamic: 2 }) });
  const horns = [62, 59].map((pitch, i) =>
    held("horn in F", pitch, { dynamic: 8, name: `Horn ${i + 1}`, layer: "pad" })
  );
  const [warning] = balance(smallScore([lead, ...horns])).warnings;
  assertMatch(warning!.what, /under the pad \(Horn 2\) at fff$/);
});

Deno.test("balance() prints no covered lead at the limit it lies below", () => {
  const lead = leading({ ...held("flute", 62), notes: repeatedNotes(62, 1, { dynamic: 2 }) });
  const pad = held("horn in F", 59, { dynamic: 5 });
  const { audibleShare } = balance(smallScore([lead, pad])).whole;
  // Just above a share that rounds up to the limit in per cent.
  const limit = Math.ceil(100 * audibleShare! + 0.001) / 100;
  const [warning] = balance(smallScore([lead, pad]), { constants: { coveredBelowShare: limit } }).warnings;
  const said = Number(/keeps (\d+) %/.exec(warning!.what)![1]);
  assertLess(said, 100 * limit);
});

Deno.test("balance() warnings never promise less than there is", () => {
  fc.assert(
    fc.property(leads, accompaniment, (lead, others) => {
      const soft = withNotes(lead, { dynamic: 1 });
      const measured = balance(smallScore([soft, ...others]), { constants: { coveredBelowShare: 1 } });
      for (const w of measured.warnings) {
        const kept = Number(/keeps (\d+) %/.exec(w.what)![1]);
        const promised = Number(/would keep (\d+) %/.exec(w.remedy)?.[1] ?? 100);
        assertGreaterOrEqual(promised, kept, `${w.what}. ${w.remedy}`);
      }
    }),
    { seed: SEED, numRuns: 40 },
  );
});

Deno.test("balance() never makes a layer less audible by more players or a louder dynamic", () => {
  fc.assert(
    fc.property(leads, accompaniment, fc.integer({ min: 2, max: 8 }), (lead, others, more) => {
      const of = (line: Line) => balance(smallScore([line, ...others]));
      const [before, players, louder] = [
        of(lead),
        of({ ...lead, players: more }),
        of(withNotes(lead, { dynamic: lead.notes[0]!.dynamic! + 1 })),
      ];
      for (const after of [players, louder]) {
        assertGreaterOrEqual(after.whole.powerDb!, before.whole.powerDb! - 1e-9);
        before.perNote.forEach((n, i) =>
          assertGreaterOrEqual(after.perNote[i]!.partialSones, n.partialSones * (1 - 1e-9))
        );
        const sones = (b: typeof before) =>
          b.perLayer.filter((l) => l.layer === "lead").map((l) => l.partialSones);
        sones(before).forEach((s, i) => assertGreaterOrEqual(sones(after)[i]!, s * (1 - 1e-9)));
      }
      assertGreaterOrEqual(players.whole.audibleShare!, before.whole.audibleShare! - 1e-9);
      assertGreaterOrEqual(players.whole.handbookDb!, before.whole.handbookDb! - 1e-9);
    }),
    { seed: SEED, numRuns: 60 },
  );
});

Deno.test("balance() never makes the lead more audible by a layer more", () => {
  fc.assert(
    fc.property(leads, accompaniment, accompaniment, (lead, others, [masker]) => {
      const [without, with_] = [[lead, ...others], [lead, ...others, { ...masker!, layer: "masker" }]]
        .map((lines) => balance(smallScore(lines)));
      without!.perNote.forEach((n, i) => {
        const after = with_!.perNote[i]!;
        assertLessOrEqual(after.partialSones, n.partialSones * (1 + 1e-9));
        assertLessOrEqual(after.audibleShare, n.audibleShare + 1e-9);
        assertLessOrEqual(after.powerDb!, n.powerDb! + 1e-9);
        assertLessOrEqual(after.handbookDb!, n.handbookDb! + 1e-9);
      });
      with_!.perBar.forEach((bar, b) =>
        assertGreaterOrEqual(bar.loudnessSones, without!.perBar[b]!.loudnessSones * (1 - 1e-9))
      );
    }),
    { seed: SEED, numRuns: 60 },
  );
});

/** Two bars of a tune that moves, and the same tune played along at some interval: at 0 and 12 it doubles. */
const tunes = fc.array(fc.integer({ min: 60, max: 84 }), { minLength: 8, maxLength: 8 });
const alongside = fc.record({
  instrument: fc.constantFrom("flute", "trumpet in C", "viola", "horn in F", "double bass"),
  interval: fc.constantFrom(0, -12, -24, 12, -3, -4, 5),
  every: fc.constantFrom(1, 0.5),
  dynamic: fc.integer({ min: 1, max: 8 }),
  players: fc.constantFrom(1, 4, 12),
});

Deno.test("balance() of a moving lead: nobody playing along makes it more audible, louder it is never less audible", () => {
  fc.assert(
    fc.property(tunes, alongside, alongside, accompaniment, (tune, along, also, others) => {
      const play = ({ interval, every, dynamic }: { interval: number; every: number; dynamic: number }) =>
        tune.flatMap((pitch, i) =>
          Array.from({ length: 1 / every }, (_, k) => ({
            at: i + k * every,
            quarters: every,
            pitch: Math.max(36, pitch + interval),
            dynamic,
          }))
        );
      const lead = (dynamic: number): Line =>
        leading({ instrument: "oboe", role: "lead", notes: play({ interval: 0, every: 1, dynamic }) });
      const second = (v: typeof along, layer: string): Line => ({
        instrument: v.instrument,
        role: "figuration",
        layer,
        players: v.players,
        notes: play(v),
      });
      const of = (lines: readonly Line[]) => balance(smallScore(lines)).perNote;
      const before = of([lead(5), second(also, "also"), ...others]);
      const beside = of([lead(5), second(also, "also"), ...others, second(along, "along")]);
      const louder = of([lead(6), second(also, "also"), ...others]);
      before.forEach((n, i) => {
        assertLessOrEqual(beside[i]!.partialSones, n.partialSones * (1 + 1e-9));
        assertLessOrEqual(beside[i]!.audibleShare, n.audibleShare + 1e-9);
        assertGreaterOrEqual(louder[i]!.partialSones, n.partialSones * (1 - 1e-9));
        for (const one of [n, beside[i]!, louder[i]!]) {
          assert(Number.isFinite(one.partialSones) && one.audibleShare >= 0 && one.audibleShare <= 1);
        }
      });
    }),
    { seed: SEED, numRuns: 80 },
  );
});

Deno.test("balance() does not depend on the order of the parts; a bar's shares sum to 1 and lie within 0 and 1", () => {
  fc.assert(
    fc.property(leads, accompaniment, (lead, others) => {
      const lines = [lead, ...others];
      const [a, b] = [lines, lines.toReversed()].map((l) => balance(smallScore(l)));
      a!.perNote.forEach((n, i) => {
        assertAlmostEquals(n.audibleShare, b!.perNote[i]!.audibleShare, 1e-9);
        assertAlmostEquals(n.powerDb!, b!.perNote[i]!.powerDb!, 1e-9);
        assertAlmostEquals(n.handbookDb!, b!.perNote[i]!.handbookDb!, 1e-9);
        assert(n.audibleShare >= 0 && n.audibleShare <= 1);
      });
      for (const bar of [0, 1]) {
        const rows = a!.perLayer.filter((l) => l.barIndex === bar);
        assertAlmostEquals(rows.reduce((sum, l) => sum + l.loudnessShare, 0), 1, 1e-9);
        for (const l of rows) {
          assert(l.audibleShare >= 0 && l.audibleShare <= 1);
          const other = b!.perLayer.find((o) => o.barIndex === bar && o.layer === l.layer)!;
          assertAlmostEquals(l.partialSones, other.partialSones, 1e-9);
        }
      }
    }),
    { seed: SEED, numRuns: 40 },
  );
});

Deno.test("balance() gives a layer the loudness it has while it sounds, and the share it has of the bar", () => {
  const long = held("flute", 79);
  const beat: Line = {
    ...held("horn in F", 55),
    layer: "beat",
    notes: [{ at: 3, quarters: 1, pitch: 55, dynamic: 6 }],
  };
  const all: Line = { ...beat, notes: [{ at: 0, quarters: 4, pitch: 55, dynamic: 6 }] };
  const [once, always] = [beat, all].map((l) =>
    balance(smallScore([long, l], { bars: 1 })).perLayer.find((r) => r.layer === "beat")!
  );
  assertAlmostEquals(once!.partialSones, always!.partialSones, 1e-9);
  assertLess(once!.loudnessShare, always!.loudnessShare);
});

Deno.test("balance() judges a lead's note while it sounds: what plays in its rest does not cover it", () => {
  const lead = leading({
    ...held("flute", 74),
    notes: [{ at: 0, quarters: 1, pitch: 74, dynamic: 4 }, { at: 2, quarters: 1, pitch: 76, dynamic: 4 }],
  });
  const between: Line = {
    ...held("trumpet in C", 74),
    notes: [1, 3].map((at) => ({ at, quarters: 1, pitch: 74, dynamic: 7 })),
  };
  const measured = balance(smallScore([lead, between], { bars: 1 }));
  assertEquals(measured.perNote.map((n) => n.audibleShare), [1, 1]);
  assertEquals(measured.perNote.map((n) => [n.bar, n.beat, n.soundingPitch]), [["1", 1, 74], [
    "1",
    3,
    76,
  ]]);
});

Deno.test("balance() judges overlapping notes of the lead each until the next", () => {
  const lead = leading({
    ...held("flute", 74),
    notes: [{ at: 0, quarters: 4, pitch: 74, dynamic: 4 }, { at: 2, quarters: 2, pitch: 77, dynamic: 4 }],
  });
  const late: Line = { ...held("horn in F", 62), notes: [{ at: 2, quarters: 2, pitch: 62, dynamic: 6 }] };
  const [first, second] = balance(smallScore([lead, late], { bars: 1 })).perNote;
  assertEquals(first!.audibleShare, 1);
  assertLess(second!.audibleShare, 1);
});

Deno.test("balance() follows a lead held over the bar line: a masker of the next bar counts in its note", () => {
  const lead = leading({ ...held("flute", 74), notes: [{ at: 0, quarters: 8, pitch: 74, dynamic: 4 }] });
  const late: Line = { ...held("horn in F", 62), notes: [{ at: 4, quarters: 4, pitch: 62, dynamic: 6 }] };
  const measured = balance(
    smallScore([lead, late, { ...lead, role: "pad", layer: "pad", notes: [] }], { bars: 3 }),
  );
  const [note, ...more] = measured.perNote;
  assertEquals(more, []);
  assertLess(note!.audibleShare, 1);
  // In the second bar only its second half counts, all of it under the horn; in the third nothing leads.
  const [first, second, third] = measured.perBar.map((b) => b.audibleShare);
  assertEquals([first, third], [note!.audibleShare, null]);
  assertLess(second!, first!);
});

Deno.test("balance() counts a part that enters under a held lead by what it is there, not by what it was before", () => {
  // The trumpet leads in the first bar, rests in the second and holds harmony in the third.
  const trumpet = (at: number, layer: string) => ({ at, quarters: 4, pitch: 60, dynamic: 6, layer });
  const score = smallScore([
    {
      instrument: "trumpet in C",
      role: "lead",
      layer: "trumpet leads",
      notes: [trumpet(0, "trumpet leads"), trumpet(8, "pad")],
    },
    {
      instrument: "flute",
      role: "lead",
      layer: "flute leads",
      notes: [{ at: 4, quarters: 8, pitch: 79, dynamic: 6 }],
    },
    { instrument: "horn in F", role: "pad", layer: "pad", notes: [] },
  ], { bars: 3 });
  const note = balance(score).perNote.find((n) => n.lead.startsWith("flute"))!;
  // One forte flute against one forte trumpet: 10 log10(0.25).
  assertAlmostEquals(note.handbookDb!, -6.0206, 1e-4);
});

Deno.test("balance() lets a plucked note die away and a rolled drum sound on", () => {
  const lead = leading(held("flute", 79));
  const harp = held("harp", 55);
  const [held_, repeated] = [harp, { ...harp, notes: repeatedNotes(55, 1, { dynamic: 6 }) }]
    .map((h) => wholeOf([lead, h]).powerDb!);
  assertGreater(held_!, repeated!);
  const drum = held("timpani", 48);
  for (const roll of [{ trill: true }, { tremoloSlashes: 3 }]) {
    assertLess(wholeOf([lead, withNotes(drum, roll)]).powerDb!, wholeOf([lead, drum]).powerDb! - 3);
  }
});

Deno.test("balance() takes constants by name, reports them and refuses others", () => {
  const score = smallScore([leading(held("flute", 79)), held("horn in F", 62)]);
  const dry = balance(score, { constants: { hallStrengthDb: -10 } });
  assertEquals(dry.settings["hallStrengthDb"], -10);
  assertLess(dry.perBar[0]!.loudnessSones, balance(score).perBar[0]!.loudnessSones);
  assertThrows(() => balance(score, { constants: { hall: 1 } as never }), Error, "hallStrengthDb");
});

Deno.test("a lead two dynamics softer is covered more, doubled it is covered less (common practice, no source)", () => {
  const plan = demoPlans().moving;
  const share = (p: typeof plan) => balance(realise(demoSketch(), p)).whole.audibleShare!;
  const now = share(plan);
  assertLess(share(vary(plan, { set: { dynamic: "pp", dynamicEnd: "pp" } }, { role: "lead" })), now);
  assertGreater(share(vary(plan, { double: ["Trumpet 1"] }, { role: "lead" })), now);
});

Deno.test("balance() counts as covered what is heard less than the limit beside others, and nothing else", () => {
  const line = (
    instrument: string,
    role: Line["role"],
    pitch: number,
    dynamic: number,
    bars: readonly number[],
  ): Line => ({
    instrument,
    role,
    layer: role,
    notes: bars.map((b) => ({ at: 4 * b, quarters: 4, pitch, dynamic })),
  });
  // Four bars: alone; beside a soft cello; under a trombone; nobody leads.
  const score = smallScore([
    line("flute", "lead", 74, 4, [0, 1, 2]),
    line("cello", "bass", 43, 2, [1]),
    line("tenor trombone", "pad", 62, 4, [2, 3]),
  ], { bars: 4 });
  const heard = balance(score);
  const shares = heard.perBar.map((b) => b.audibleShare);
  assertEquals([shares[0], shares[3]], [1, null]);
  assertGreater(shares[1]!, 0.8);
  assertLess(shares[2]!, 0.2);
  assertAlmostEquals(heard.whole.coveredShare!, 1 / 3, 1e-12);
  assertAlmostEquals(heard.whole.aloneShare!, 1 / 3, 1e-12);
  assertEquals(heard.warnings.map((w) => [w.fromBarIndex, w.toBarIndex, w.beat]), [[2, 2, 1]]);
  // What is printed is rounded, and below the limit even where the share would round up to it.
  const limited = (limit: number) => balance(score, { constants: { coveredBelowShare: limit } }).warnings;
  const percentIn = (limit: number) => Number(/keeps (\d+) %/.exec(limited(limit).at(-1)!.what)![1]);
  const share = shares[2]!;
  assertGreater(share, 0.02);
  assertEquals(percentIn(0.5), Math.round(100 * share));
  const next = Math.ceil(100 * share) / 100;
  assertLess(percentIn(next), 100 * next);
  assertEquals(percentIn(share + 1e-6), Math.floor(100 * share));
  assertEquals(limited(share).length, 0, "at the limit is not below it");
});
