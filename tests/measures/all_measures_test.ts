/** What holds for all four measures: finite, pure, plain data. */
import { assertAlmostEquals, assertEquals } from "@std/assert";
import fc from "fast-check";
import {
  allInstruments,
  attribution,
  balance,
  demoPlans,
  demoScore,
  demoSketch,
  freshness,
  momentum,
  playability,
  realise,
  recognise,
  type Score,
  study,
} from "ripieno";
import {
  attackRateLadderChart,
  attributionChart,
  chartSvg,
  freshnessChart,
  momentumChart,
  selfSimilarityChart,
} from "ripieno/show";
import { deepFreeze, type Line, notFinite, repeatedNotes, smallScore } from "./small_scores.ts";

const tune: Line = { instrument: "flute", role: "lead", notes: repeatedNotes(79, 1) };
const drum: Line = {
  instrument: "snare drum",
  role: "pulse",
  notes: repeatedNotes(38, 0.5, { unpitched: true }),
};
const notes = (line: Line, change: Line["notes"]): Line => ({ ...line, notes: change });

/** A bar without length, as a file may have it. */
function withEmptyBar(score: Score): Score {
  const [first, ...rest] = score.bars;
  return {
    ...score,
    bars: [first!, { ...first!, number: "1a", startTicks: rest[0]!.startTicks, durationTicks: 0 }, ...rest],
  };
}

const EDGES: Readonly<Record<string, Score>> = {
  "no parts, no bars": { ...smallScore([]), bars: [] },
  "bars without parts": smallScore([]),
  "parts without notes": smallScore([notes(tune, []), notes(drum, [])]),
  "one note": smallScore([notes(tune, [{ at: 0, quarters: 1, pitch: 60 }])], { bars: 1 }),
  "one note at the end": smallScore([notes(tune, [{ at: 7.5, quarters: 0.5, pitch: 60 }])]),
  "one part": smallScore([tune]),
  "empty bars between": smallScore([
    notes(tune, [...repeatedNotes(70, 1, { to: 4 }), ...repeatedNotes(70, 1, { from: 20, to: 24 })]),
  ], { bars: 6 }),
  "unpitched only": smallScore([drum]),
  "pickup": smallScore([notes(tune, repeatedNotes(79, 0.5, { to: 9 })), drum], { pickupQuarters: 1 }),
  "5/8": smallScore([notes(tune, repeatedNotes(79, 0.5, { to: 10 })), drum], {
    beats: 5,
    beatUnit: 8,
    bars: 4,
  }),
  "7/16": smallScore([notes(tune, repeatedNotes(79, 0.25, { to: 7 }))], { beats: 7, beatUnit: 16, bars: 4 }),
  "3/2": smallScore([notes(tune, repeatedNotes(79, 1, { to: 12 })), drum], { beats: 3, beatUnit: 2 }),
  "1/1": smallScore([tune, drum], { beats: 1, beatUnit: 1 }),
  "3/32": smallScore([notes(tune, repeatedNotes(79, 0.125, { to: 3 }))], { beats: 3, beatUnit: 32, bars: 8 }),
  "tempo changes in the bar": smallScore([tune, drum], { tempos: [[1, 33], [2.5, 400], [6, 20]] }),
  "a bar without length": withEmptyBar(smallScore([tune, drum])),
  "a note past the last bar": smallScore([notes(tune, [{ at: 0, quarters: 100, pitch: 70 }])]),
  "a note across every bar": smallScore([
    tune,
    notes(drum, [{ at: 0, quarters: 8, pitch: 38, trill: true, unpitched: true }]),
  ]),
  "grace and cue notes only": smallScore([
    notes(tune, [{ at: 0, quarters: 0, pitch: 70, grace: true }, {
      at: 1,
      quarters: 1,
      pitch: 70,
      cue: true,
    }]),
  ]),
  "the softest and the loudest": smallScore([
    notes(tune, repeatedNotes(79, 1, { dynamic: 1 })),
    { ...drum, instrument: "bass drum", notes: repeatedNotes(36, 1, { dynamic: 8, unpitched: true }) },
  ]),
  "the lowest and the highest": smallScore([
    notes(tune, repeatedNotes(127, 1)),
    { instrument: "tuba", role: "bass", notes: repeatedNotes(1, 1) },
  ]),
  "quarter tones": smallScore([notes(tune, repeatedNotes(70.5, 1))]),
  "shimmer": smallScore([notes(tune, repeatedNotes(70, 4, { tremoloSlashes: 5 }))]),
  "thirty-six layers": smallScore(
    Array.from({ length: 36 }, (_, i): Line => ({
      instrument: "violin",
      role: i === 0 ? "lead" : "pulse",
      layer: `layer ${i}`,
      notes: repeatedNotes(60 + i, 1, { to: 4 }),
    })),
    { bars: 1 },
  ),
};

/** The same without its written layers, so that the texture has to be recognised. */
function unwritten(score: Score): Score {
  const { layers: _, ...rest } = score;
  return { ...rest, notes: score.notes.map(({ layer: _, ...n }) => n) };
}

Deno.test("every measure of every odd score is finite, written or recognised", () => {
  for (const [name, score] of Object.entries(EDGES)) {
    for (const [way, s] of [["written", score], ["recognised", unwritten(score)]] as const) {
      const measured = study(s);
      assertEquals(notFinite(measured), [], `${name}, ${way}`);
      for (const rows of [measured.momentum.perBar, measured.balance.perBar, measured.freshness.perBar]) {
        assertEquals(rows.length, s.bars.length, `${name}, ${way}`);
      }
    }
  }
});

Deno.test("momentum of every odd score is shared out in finite figures that sum to the whole, and drawn", () => {
  for (const [name, score] of Object.entries(EDGES)) {
    const measured = momentum(score);
    for (const by of ["layer", "role", "family", "part"] as const) {
      const shared = attribution(score, { by });
      assertEquals(notFinite(shared), [], `${name}, by ${by}`);
      const sum = shared.rows.reduce((all, r) => all + r.contribution, 0);
      assertAlmostEquals(sum, measured.whole.momentum, 1e-9, `${name}, by ${by}`);
      assertEquals(/NaN|Infinity/.exec(chartSvg(attributionChart(shared)))?.[0], undefined, name);
    }
    // Without a single bar there is no axis to draw on.
    if (score.bars.length === 0) continue;
    for (
      const chart of [
        attackRateLadderChart(measured, score),
        momentumChart(measured, score),
        selfSimilarityChart(freshness(score), score),
        freshnessChart(freshness(score), score),
      ]
    ) assertEquals(/NaN|Infinity/.exec(chartSvg(chart))?.[0], undefined, name);
  }
});

Deno.test("every measure is finite for every instrument of the catalogue, from ppp to fff", () => {
  for (const { id, rangeExtreme: { low, high } } of allInstruments()) {
    const pitches = low < high ? [low, Math.round((low + high) / 2), high] : [60];
    const line: Line = {
      instrument: id,
      role: "pulse",
      notes: pitches.flatMap((
        pitch,
        i,
      ) => [{ at: i, quarters: 1, pitch, dynamic: 1 }, { at: 4 + i, quarters: 1, pitch, dynamic: 8 }]),
    };
    assertEquals(notFinite(study(smallScore([tune, line]))), [], id);
  }
});

Deno.test("every measure of any small score is finite", () => {
  const line = fc.record({
    instrument: fc.constantFrom(...allInstruments().map((i) => i.id)),
    notes: fc.array(
      fc.record({
        at: fc.integer({ min: 0, max: 96 }).map((t) => t / 12),
        quarters: fc.integer({ min: 1, max: 60 }).map((t) => t / 12),
        pitch: fc.integer({ min: 20, max: 110 }),
        dynamic: fc.double({ min: 1, max: 8, noNaN: true }),
        slurred: fc.boolean(),
        trill: fc.boolean(),
        tremoloSlashes: fc.integer({ min: 0, max: 4 }),
        technique: fc.constantFrom("ordinario" as const, "pizzicato" as const, "harmonic" as const),
      }),
      { maxLength: 20 },
    ),
    players: fc.integer({ min: 1, max: 16 }),
  });
  fc.assert(
    fc.property(
      fc.array(line, { minLength: 1, maxLength: 6 }),
      fc.constantFrom([4, 4], [3, 4], [6, 8], [5, 8], [2, 2]),
      fc.integer({ min: 20, max: 300 }),
      fc.boolean(),
      (lines, [beats, beatUnit], quartersPerMinute, written) => {
        const parts = lines.map((l, i): Line => ({ ...l, role: i === 0 ? "lead" : "pulse" }));
        const score = smallScore(parts, {
          bars: 3,
          beats: beats!,
          beatUnit: beatUnit!,
          quartersPerMinute,
          written,
        });
        assertEquals(notFinite(study(score)), []);
      },
    ),
    { seed: 7, numRuns: 60 },
  );
});

Deno.test("measures leave a frozen score and texture as they are, give the same again, and survive JSON", () => {
  const score = deepFreeze(structuredClone(realise(demoSketch(), demoPlans().rotating)));
  const texture = deepFreeze(recognise(score));
  const results = () => [
    study(score),
    momentum(score, { texture }),
    balance(score, { texture }),
    freshness(score, { texture }),
    playability(score),
  ];
  const first = results();
  assertEquals(results(), first);
  assertEquals(JSON.parse(JSON.stringify(first)), first);
});

Deno.test("measures of frozen results: momentum reads a balance without changing it", () => {
  const heard = deepFreeze(balance(demoScore()));
  assertEquals(momentum(demoScore(), { balance: heard }), momentum(demoScore()));
});

Deno.test("perRole sums to the whole also with more layers than are worked out exactly", () => {
  const { momentum: m } = study(EDGES["thirty-six layers"]!);
  assertAlmostEquals(m.perLayer.reduce((sum, l) => sum + l.contribution, 0), m.perBar[0]!.momentum, 1e-9);
  assertAlmostEquals(m.perRole.reduce((sum, r) => sum + r.contribution, 0), m.whole.momentum, 1e-9);
});
