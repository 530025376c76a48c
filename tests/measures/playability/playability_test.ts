import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertLessOrEqual,
  assertStringIncludes,
  assertThrows,
} from "@std/assert";
import fc from "fast-check";
import { allInstruments, demoScore, instrumentById, playability, type Score } from "ripieno";
import { legatoLimit, repeatedNoteLimit, separateNoteLimit } from "ripieno/instruments";
import { findingsOf, quick, rulesOf } from "../findings_of.ts";
import { type Line, type LineNote, repeatedNotes, smallScore } from "../small_scores.ts";

Deno.test("playability() range: the extremes of every pitched instrument pass, a semitone beyond is impossible", () => {
  for (const instrument of allInstruments()) {
    const { low, high } = instrument.rangeExtreme;
    if (!(low < high)) continue;
    const at = (pitch: number) =>
      findingsOf(instrument.id, [{ at: 5, quarters: 1, pitch }]).filter((f) => f.rule === "range");
    assertEquals([at(low), at(high)], [[], []], instrument.id);
    const [below, above] = [at(low - 1), at(high + 1)].map((f) => f[0]!);
    assertEquals([below!.severity, above!.severity], ["impossible", "impossible"], instrument.id);
    assertEquals([below!.figure, below!.limit, above!.figure, above!.limit], [low - 1, low, high + 1, high]);
    assertStringIncludes(below!.remedy, "up an octave");
    assertStringIncludes(above!.remedy, "down an octave");
    assertEquals(below!.source, instrument.source);
    assertEquals([below!.fromBarIndex, below!.bar, below!.beat, below!.places], [1, "2", 2, 1]);
  }
});

Deno.test("playability() range leaves unpitched notes and harmonics alone", () => {
  assertEquals(findingsOf("snare drum", [{ at: 0, quarters: 1, pitch: 3, unpitched: true }]), []);
  assertEquals(findingsOf("violin", [{ at: 0, quarters: 1, pitch: 110, technique: "harmonic" }]), []);
});

Deno.test("playability() repeated notes: under the sustained rate passes, over it tires, over the burst is risky, far over impossible", () => {
  for (const id of ["oboe", "trumpet in C", "horn in F", "cello", "xylophone", "timpani"]) {
    const limit = repeatedNoteLimit(instrumentById(id))!;
    const pitch = {
      oboe: 72,
      "trumpet in C": 70,
      "horn in F": 60,
      cello: 50,
      xylophone: 80,
      timpani: 48,
    }[id]!;
    const rate = (perSecond: number, seconds: number) =>
      findingsOf(id, quick(pitch, perSecond, seconds)).filter((f) => f.rule === "repeated-note rate");
    assertEquals(rate(limit.sustainedPerSecond * 0.97, 12), [], id);
    assertEquals(rate((limit.sustainedPerSecond + limit.burstPerSecond) / 2, 1), [], id);
    const [tiring] = rate((limit.sustainedPerSecond + limit.burstPerSecond) / 2, 20);
    assertEquals([tiring!.severity, tiring!.limit], ["tiring", limit.sustainedPerSecond], id);
    const [risky] = rate(limit.burstPerSecond * 1.1, 2);
    assertEquals([risky!.severity, risky!.limit, risky!.source], [
      "risky",
      limit.burstPerSecond,
      limit.source,
    ]);
    const [impossible] = rate(limit.burstPerSecond * 1.4, 2);
    assertEquals(impossible!.severity, "impossible", id);
    // The grid rounds onsets to 1/96 s here.
    assertAlmostEquals(impossible!.figure, limit.burstPerSecond * 1.4, 0.1 * impossible!.figure);
    assertEquals(impossible!.unit, "notes per second");
  }
});

Deno.test("playability() holds slow instruments to their slow limits too", () => {
  // Tubular bells: 3 strokes a second kept up, 5 at most (common practice, no source).
  const limit = repeatedNoteLimit(instrumentById("tubular bells"))!;
  assertEquals([limit.sustainedPerSecond, limit.burstPerSecond], [3, 5]);
  const struck = (perSecond: number) => rulesOf(findingsOf("tubular bells", quick(65, perSecond, 12)));
  assertEquals(struck(2.9), []);
  assertEquals(struck(3.6), ["tiring repeated-note rate"]);
  assertEquals(struck(8), ["impossible repeated-note rate"]);
});

Deno.test("playability() legato: slurred notes are held to the legato rate, not to the tongue", () => {
  const [legato, tongue] = [
    legatoLimit(instrumentById("clarinet in Bb"))!,
    repeatedNoteLimit(instrumentById("clarinet in Bb"))!,
  ];
  const between = (legato.sustainedPerSecond + tongue.burstPerSecond) / 2;
  assertGreater(legato.sustainedPerSecond, tongue.burstPerSecond);
  const slurred = { slurred: true, moving: true };
  assertEquals(findingsOf("clarinet in Bb", quick(70, between, 2, slurred)), []);
  assertEquals(
    rulesOf(findingsOf("clarinet in Bb", quick(70, between, 2, { moving: true }))),
    ["risky repeated-note rate"],
  );
  assertEquals(
    rulesOf(findingsOf("clarinet in Bb", quick(70, legato.burstPerSecond * 1.4, 2, slurred))),
    ["impossible legato rate"],
  );
});

Deno.test("playability() judges notes slurred in pairs by the fingers and by every second stroke", () => {
  const pairs = (id: string, pitch: number, perSecond: number) =>
    findingsOf(
      id,
      quick(pitch, perSecond, 2, { moving: true }).map((n, i) => ({ ...n, slurred: i % 2 === 1 })),
    );
  // Clarinet: tongue 9.3, fingers 16 at most; violin: 13 sautillé, 16.
  assertEquals(pairs("clarinet in Bb", 70, 11.5), []);
  assertEquals(rulesOf(pairs("clarinet in Bb", 70, 24)).toSorted(), [
    "impossible legato rate",
    "impossible repeated-note rate",
  ]);
});

Deno.test("playability() separate notes that move are not let through at the rate of a tremolo", () => {
  const violin = instrumentById("violin");
  const [moving, tremolo] = [separateNoteLimit(violin)!, repeatedNoteLimit(violin)!];
  assertLess(moving.burstPerSecond, tremolo.burstPerSecond);
  const perSecond = (moving.burstPerSecond + tremolo.burstPerSecond) / 2;
  assertEquals(findingsOf("violin", quick(70, perSecond, 1)), []);
  const [finding] = findingsOf("violin", quick(70, perSecond, 1, { moving: true }));
  assertEquals([finding?.severity, finding?.limit], ["risky", moving.burstPerSecond]);
  assertStringIncludes(finding!.what, moving.technique);
});

Deno.test("playability() lets a flick of four notes into a beat pass at any rate, and a run of ten not", () => {
  const into = (count: number) => [
    ...quick(60, 24, count / 24, { slurred: true, moving: true }),
    { at: count / 24, quarters: 2, pitch: 64, slurred: true },
  ];
  assertEquals(findingsOf("cello", into(4)), []);
  assertEquals(rulesOf(findingsOf("cello", into(10))), ["impossible legato rate"]);
});

Deno.test("playability() takes the strokes of a slashed note for strokes also under a slur", () => {
  const notes = repeatedNotes(72, 2, { to: 24, tremoloSlashes: 3, slurred: true });
  const rate = findingsOf("oboe", notes).filter((f) => f.rule !== "breath");
  assertEquals(rulesOf(rate), ["tiring repeated-note rate"]);
});

Deno.test("playability() names one rule for one fault: separate notes are not held to the legato rate as well", () => {
  assertEquals(rulesOf(findingsOf("tenor trombone", quick(55, 12, 2, { moving: true }))), [
    "impossible repeated-note rate",
  ]);
});

Deno.test("playability() plucked strings have their own limit", () => {
  const limit = repeatedNoteLimit(instrumentById("viola"), { technique: "pizzicato" })!;
  const plucked = (perSecond: number) =>
    findingsOf("viola", quick(60, perSecond, 2, { technique: "pizzicato" }));
  assertEquals(plucked(limit.sustainedPerSecond * 0.97), []);
  // With two fingers in turn, which has to be asked for, 10 a second; beyond that nobody plucks.
  const two = repeatedNoteLimit(instrumentById("viola"), { technique: "two-finger pizzicato" })!;
  assertEquals(rulesOf(plucked(two.burstPerSecond * 0.97)), ["risky repeated-note rate"]);
  assertEquals(rulesOf(plucked(two.burstPerSecond * 1.2)), ["impossible repeated-note rate"]);
});

Deno.test("playability() reads slashes: measured strokes count as notes, a shimmer does not, ties and trills neither", () => {
  // One second each: 8 strokes for two slashes at 120.
  const slashed = (slashes: number, quartersPerMinute: number) =>
    playability(
      smallScore([{
        instrument: "oboe",
        role: "pulse",
        notes: repeatedNotes(72, 2, { tremoloSlashes: slashes, to: 32 }),
      }], { bars: 8, quartersPerMinute }),
    ).findings.filter((f) => f.rule === "repeated-note rate");
  assertEquals(slashed(1, 120), []);
  assertEquals(slashed(2, 100), []);
  assertEquals(slashed(2, 120).map((f) => f.severity), ["tiring"]);
  assertEquals(slashed(3, 120), []);
  assertEquals(findingsOf("oboe", quick(72, 20, 2, { trill: true })), []);
  assertEquals(findingsOf("oboe", [{ at: 0, quarters: 12, pitch: 72, noteheads: 100 }]), []);
});

Deno.test("playability() notes at once: what one player can hold passes, more is noted, more players may", () => {
  const chord = (...pitches: number[]) => pitches.map((pitch) => ({ at: 0, quarters: 1, pitch }));
  assertEquals(findingsOf("flute", chord(72)), []);
  const [finding] = findingsOf("flute", chord(72, 76));
  assertEquals([finding!.severity, finding!.rule, finding!.figure, finding!.limit], [
    "note",
    "notes at once",
    2,
    1,
  ]);
  assertEquals(findingsOf("flute", chord(72, 76), { players: 2 }), []);
  assertEquals(findingsOf("violin", chord(55, 62, 71, 80), { players: 12 }), []);
});

Deno.test("playability() follows tempo: the same notes pass slowly and fail at twice the tempo, from the bar of the change", () => {
  const line: Line = { instrument: "oboe", role: "pulse", notes: repeatedNotes(72, 0.25, { to: 32 }) };
  const slow = playability(smallScore([line], { bars: 8, quartersPerMinute: 90 }));
  assertEquals(slow.findings.filter((f) => f.rule === "repeated-note rate"), []);
  const faster = playability(smallScore([line], { bars: 8, quartersPerMinute: 90, tempos: [[16, 180]] }));
  const rate = faster.findings.find((f) => f.rule === "repeated-note rate")!;
  assertEquals(rate.severity, "impossible");
  assertAlmostEquals(rate.figure, 12, 1e-6);
});

Deno.test("playability() gathers a passage into one finding, and two passages into two", () => {
  const low = (bars: readonly number[]) =>
    bars.flatMap((b) => [0, 1, 2, 3].map((beat) => ({ at: 4 * b + beat, quarters: 0.5, pitch: 50 })));
  const once = findingsOf("flute", low([2, 3, 4, 6]));
  assertEquals(once.map((f) => [f.rule, f.fromBarIndex, f.toBarIndex, f.bar, f.beat, f.places]), [
    ["range", 2, 6, "3", 1, 16],
  ]);
  assertEquals(findingsOf("flute", low([2, 10])).map((f) => [f.fromBarIndex, f.toBarIndex, f.places]), [[
    2,
    2,
    4,
  ], [
    10,
    10,
    4,
  ]]);
});

Deno.test("playability() gives a passage the figure of its worst place and the bar of its first", () => {
  const notes = [58, 49, 57].map((pitch, i) => ({ at: 4 * i, quarters: 1, pitch }));
  const [finding] = findingsOf("flute", notes);
  assertEquals([finding!.figure, finding!.bar, finding!.places], [49, "1", 3]);
});

Deno.test("playability() counts add up, findings go from the most serious down, every one says why and what to do", () => {
  const score = smallScore([
    { instrument: "flute", role: "lead", notes: repeatedNotes(79, 1, { to: 60 }) },
    { instrument: "oboe", role: "pulse", notes: quick(72, 16, 8) },
    { instrument: "tuba", role: "bass", notes: [{ at: 0, quarters: 1, pitch: 100 }] },
  ], { bars: 20, quartersPerMinute: 60 });
  const { whole, findings, perBar, perPart, caution } = playability(score);
  const order = ["impossible", "risky", "tiring", "note"];
  assertEquals(
    findings.map((f) => order.indexOf(f.severity)).toSorted(),
    findings.map((f) => order.indexOf(f.severity)),
  );
  for (const severity of ["impossible", "risky", "tiring", "note"] as const) {
    assertEquals(whole[severity], findings.filter((f) => f.severity === severity).length);
  }
  assertEquals(whole.notes, score.notes.length);
  assertEquals(perPart.reduce((sum, p) => sum + p.findings, 0), findings.length);
  assertEquals(
    perBar.reduce((sum, b) => sum + b.findings, 0),
    findings.reduce((sum, f) => sum + f.toBarIndex - f.fromBarIndex + 1, 0),
  );
  for (const f of findings) {
    for (const text of [f.partName, f.rule, f.what, f.unit, f.source, f.remedy]) assert(text.length > 0);
    assertLessOrEqual(f.fromBarIndex, f.toBarIndex);
  }
  assertStringIncludes(caution, "Stop at pain");
});

Deno.test("playability() catches every part of the demo moved out of its range, and names the rule", () => {
  const score = demoScore();
  assertEquals(playability(score).whole.impossible, 0);
  score.parts.forEach((part, p) => {
    const own = score.notes.filter((n) => n.part === p && !n.unpitched);
    if (own.length === 0) return;
    const { low, high } = instrumentById(part.instrument).rangeExtreme;
    const [lowest, highest] = [own.map((n) => n.soundingPitch)].flatMap((
      x,
    ) => [Math.min(...x), Math.max(...x)]);
    const octaves = Math.max(1, Math.ceil((high + 1 - highest!) / 12));
    const down = Math.max(1, Math.ceil((lowest! - low + 1) / 12));
    for (const shift of [12 * octaves, -12 * down]) {
      const found = playability(moved(score, p, shift)).findings.filter((f) => f.severity === "impossible");
      assert(
        found.length > 0 && found.every((f) => f.part === p && f.rule === "range"),
        `${part.name} ${shift}`,
      );
    }
  });
});

function moved(score: Score, part: number, semitones: number): Score {
  return {
    ...score,
    notes: score.notes.map((n) => n.part === part ? { ...n, soundingPitch: n.soundingPitch + semitones } : n),
  };
}

Deno.test("playability() of the demo at twice the tempo names the rates of its quick parts", () => {
  const score = demoScore();
  const twice = {
    ...score,
    tempos: score.tempos.map((t) => ({ ...t, quartersPerMinute: 2 * t.quartersPerMinute })),
  };
  const rates = (s: Score) =>
    playability(s).findings.filter((f) => f.rule.endsWith("rate") && f.severity !== "tiring");
  assertEquals(rates(score).length, 0);
  const found = new Set(rates(twice).map((f) => f.partName));
  // Sixteenths at 232 to the quarter and more are over any bow.
  for (const name of ["Violins II", "Violas"]) {
    assert(found.has(name), `${name} not in ${[...found].join(", ")}`);
  }
});

Deno.test("playability() never finds less at a faster tempo (rates), whatever the rhythm", () => {
  const steps = fc.array(fc.constantFrom(0.25, 0.5, 1, 1 / 3), { minLength: 6, maxLength: 24 });
  fc.assert(
    fc.property(steps, fc.boolean(), fc.integer({ min: 60, max: 200 }), (values, slurred, bpm) => {
      let at = 0;
      const notes = values.map((quarters, i): LineNote => {
        const note = { at, quarters, pitch: 70 + (i % 3), slurred: slurred && i > 0 };
        at += quarters;
        return note;
      });
      const worst = (quartersPerMinute: number) => {
        const found = playability(
          smallScore([{ instrument: "horn in F", role: "lead", notes }], { bars: 6, quartersPerMinute }),
        ).findings.filter((f) => f.rule.endsWith("rate"));
        return Math.max(
          0,
          ...found.map((f) => ({ impossible: 3, risky: 2, tiring: 1, note: 0 })[f.severity]),
        );
      };
      // A faster tempo shortens a run, so what tires may pass; what is risky stays risky.
      const [slow, fast] = [worst(bpm), worst(bpm * 1.5)];
      if (slow >= 2) assert(fast >= slow, `${slow} at ${bpm}, ${fast} at ${bpm * 1.5}`);
    }),
    { seed: 12, numRuns: 100 },
  );
});

Deno.test("playability() takes constants by name, reports them and refuses others", () => {
  const score = smallScore([{ instrument: "flute", role: "lead", notes: repeatedNotes(79, 1) }]);
  assertEquals(playability(score, { constants: { breathGapSeconds: 1 } }).settings["breathGapSeconds"], 1);
  assertThrows(() => playability(score, { constants: { breath: 1 } as never }), Error, "breathGapSeconds");
});

Deno.test("playability() says nothing of a part whose instrument is not known", () => {
  const known = demoScore();
  const low = { ...known, notes: known.notes.map((n) => ({ ...n, soundingPitch: n.soundingPitch - 60 })) };
  assert(playability(low).whole.impossible > 0);
  const parts = low.parts.map((p) => ({ ...p, instrumentFrom: "fallback" as const }));
  assertEquals(playability({ ...low, parts }).findings, []);
});
