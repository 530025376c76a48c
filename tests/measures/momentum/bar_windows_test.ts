/** Bars among their neighbours, worked out by hand: 96 ticks to a quarter, half a second each. */
import { assert, assertEquals } from "@std/assert";
import { momentum } from "ripieno";
import fc from "fast-check";
import { metricalWeights, syncopation } from "ripieno/measures";
import { MOMENTUM_CONSTANTS } from "../../../lib/measures/momentum/momentum.ts";
import { applySettings } from "../../../lib/base/settings.ts";
import { barWindows } from "../../../lib/measures/momentum/bar_windows.ts";
import { rowsOf, syncopationChains, writtenSyncopation } from "../../../lib/measures/momentum/bar_rhythm.ts";
import { repeatedNotes, smallScore, type SmallScoreOptions } from "../small_scores.ts";

const C = applySettings("momentum", MOMENTUM_CONSTANTS);

/** Windows of a score without notes with events at these ticks of each bar. */
function windowsOf(
  options: SmallScoreOptions & { readonly constants?: Partial<typeof C> },
  ...ticksOf: readonly (readonly number[])[]
) {
  const score = smallScore([{ instrument: "oboe", role: "pulse", notes: [] }], options);
  const bars = score.bars.map((_, b) => ({
    events: (ticksOf[b] ?? []).map((ticks) => ({ ticks, seconds: ticks / 192, strokes: [] })),
    layers: [],
    onsets: 0,
  }));
  return barWindows(score, bars, { ...C, ...options.constants });
}

Deno.test("a bar sees as far back as two of the slowest pulses and what is merged, and on to the end of the next", () => {
  // 3.03 seconds of 192 ticks are 581.76, before 1152.
  const bars = [[0, 383], [384, 570, 571, 575, 767], [768, 1151], [1152, 1300], [1536, 1900], [1920]];
  const window = windowsOf({ bars: 6 }, ...bars)[3]!;
  assertEquals(window.events.map((e) => e.ticks), [571, 575, 767, 768, 1151, 1152, 1300, 1536, 1900]);
  assertEquals([window.from, window.to, window.seconds, window.ticksPerSecond], [5, 7, 2, 192]);
  const first = windowsOf({ bars: 6 }, ...bars)[0]!;
  assertEquals([first.events.map((e) => e.ticks), first.from, first.to], [
    [0, 383, 384, 570, 571, 575, 767],
    0,
    2,
  ]);
  const second = windowsOf({ bars: 6 }, ...bars)[1]!;
  assertEquals(second.events.slice(0, second.from).map((e) => e.ticks), [0, 383]);
  // Three seconds before 1152 are 576, which is just near enough.
  const exact = windowsOf({ bars: 4, constants: { mergeSeconds: 0 } }, [], [575, 576], [], [1152])[3]!;
  assertEquals(exact.events.map((e) => e.ticks), [576, 1152]);
  const quick = windowsOf({ bars: 2, quartersPerMinute: 480 }, [0])[0]!;
  assertEquals([quick.seconds, quick.ticksPerSecond], [0.5, 768]);
  const last = windowsOf({ bars: 6 }, ...bars)[5]!;
  assertEquals([last.events.at(-1)!.ticks, last.to - last.from, last.grid.ticks.length], [1920, 1, 16]);
});

Deno.test("the grid is in sixteenths, of this bar and the next; a pickup has the end of its bar, a bar cut short its beginning", () => {
  const all = metricalWeights(4, 4, 16);
  const [pickup, full] = windowsOf({ bars: 2, pickupQuarters: 1 });
  assertEquals(pickup!.grid.weights, [...all.slice(12), ...all]);
  assertEquals(pickup!.grid.ticks.slice(0, 6), [0, 24, 48, 72, 96, 120]);
  assertEquals(full!.grid.weights, [...all, ...all]);
  assertEquals(full!.grid.ticks[0], 96);
  const score = smallScore([{ instrument: "oboe", role: "pulse", notes: [] }], { bars: 2 });
  const [one, short] = score.bars;
  const cut = { ...score, bars: [one!, { ...short!, durationTicks: 192 }] };
  const empty = cut.bars.map(() => ({ events: [], layers: [], onsets: 0 }));
  assertEquals(barWindows(cut, empty, C)[1]!.grid.weights, all.slice(0, 8));
  const sixteenths = (durationTicks: number) =>
    barWindows({ ...cut, bars: [one!, { ...short!, durationTicks }] }, empty, C)[1]!.grid.weights.length;
  assertEquals([107, 109, 132].map(sixteenths), [4, 5, 6], "rounded");
  const none = { ...score, bars: [{ ...one!, durationTicks: 0 }] };
  const [window] = barWindows(none, [empty[0]!], C);
  assertEquals([window!.seconds, window!.ticksPerSecond, window!.grid.ticks], [0, 1, []]);
});

Deno.test("syncopation as written: over stronger positions, also of the next bar, by the difference of the weights", () => {
  const written = (own: readonly number[], next: readonly number[] = []) =>
    writtenSyncopation(windowsOf({ bars: 2 }, own, next)[0]!);
  // Sixteenths are 24 ticks; weights 0 -4 -3 -4 -2 -4 -3 -4 -1 ...
  assertEquals(written([0, 96, 192, 288], [384]), 0);
  assertEquals(written([48, 144], [384]), 1 + 2, "over the second beat, and over the third");
  assertEquals(written([336], [385]), 3, "held over the bar line");
  assertEquals(written([336], [384]), 0, "the downbeat is struck");
  assertEquals(written([337], [385]), 0, "beside the grid");
  assertEquals(written([360]), 4);
});

Deno.test("an event is syncopated as far as it is held over a stronger position, and lasts beyond the fusion limit", () => {
  const chains = (own: readonly number[], next: readonly number[]) => {
    const window = windowsOf({ bars: 2 }, own, next)[0]!;
    return syncopationChains(window, Int32Array.from(window.events, (_, kind) => kind), C)
      .map((
        { kind, neighbours, counts, beyond },
      ) => [kind, neighbours, counts.map((c) => Number(c.toFixed(6))), beyond]);
  };
  // From the last sixteenth, over the bar line by a tick: 25 ticks of 192 to a second, less 0.1 s, over 0.1 s.
  const lasting = Number(((25 / 192 - 0.1) / 0.1).toFixed(6));
  assertEquals(chains([360], [385]), [[0, [1], [lasting], 1]]);
  assertEquals(chains([360], [480]), [[0, [], [], 1]], "over a beat, in full");
  assertEquals(
    chains([360], [384]),
    [[0, [1], [0], 1]],
    "struck on the downbeat not at all, unless that is not felt",
  );
});

Deno.test("syncopation() looks at positions of the bar alone, each once; the shortest bar has one", () => {
  const weights = metricalWeights(4, 4, 16);
  assertEquals(syncopation([-2, 2, 2, 16, 40], weights), syncopation([2], weights));
  assertEquals(syncopation([2], weights), 3);
  assertEquals(syncopation([], weights), 0);
  assertEquals([metricalWeights(1, 32, 16), metricalWeights(1, 64, 16)], [[0], [0]]);
  assertEquals(metricalWeights(3, 32, 16).length, 2, "one and a half");
  assertEquals(metricalWeights(4, 4), metricalWeights(4, 4, 16));
  // Half a beat of three positions is not divided: what lies in it is one level below all others.
  assertEquals(metricalWeights(1, 4, 24), [0, -2, -2, -1, -2, -2]);
  // 15/8 is five groups of three eighths, 5/4 five beats, 9/8 three groups.
  assertEquals(metricalWeights(15, 8, 8), [0, 1, 2, 3, 4].flatMap((g) => [g === 0 ? 0 : -1, -2, -2]));
  assertEquals(metricalWeights(5, 4, 8), [0, 1, 2, 3, 4].flatMap((g) => [g === 0 ? 0 : -1, -2]));
  assertEquals(
    metricalWeights(9, 4, 8),
    [0, 1, 2].flatMap((g) => [g === 0 ? 0 : -1, -3, -2, -3, -2, -3]),
    "three times three",
  );
  assertEquals(metricalWeights(9, 8, 8), [0, -2, -2, -1, -2, -2, -1, -2, -2]);
  assertEquals(metricalWeights(6, 8, 16), [0, -3, -2, -3, -2, -3, -1, -3, -2, -3, -2, -3]);
});

Deno.test("rates are per second in bars shorter than one as well, and none in a bar of no length", () => {
  const notes = repeatedNotes(72, 1, { to: 8 });
  const score = smallScore([{ instrument: "oboe", role: "pulse", notes }], { quartersPerMinute: 480 });
  const { perBar, whole } = momentum(score);
  assertEquals(perBar.map((b) => b.onsetsPerSecond), [8, 8]);
  assertEquals([whole.onsetsPerSecond, whole.pitchTravel], [8, 0]);
  assert(perBar.every((b) => b.momentum > 0));
  const [first] = score.bars;
  const none = momentum({ ...score, notes: [], bars: [{ ...first!, durationTicks: 0 }] });
  assertEquals([none.perBar[0]!.onsetsPerSecond, none.whole.momentum, none.perRole], [0, 0, []]);
});

Deno.test("an event continues a row whose events lie nearest to a period and two before it, whatever lies between", () => {
  const PERIODS = [1 / 6, 1 / 5, 1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4, 1, 3 / 2, 2, 3, 4, 6];
  const someTicks = fc.uniqueArray(fc.integer({ min: 0, max: 767 }), { minLength: 3, maxLength: 40 })
    .map((all) => all.toSorted((a, b) => a - b));
  fc.assert(
    fc.property(someTicks, (ticks) => {
      const window = windowsOf(
        { bars: 2 },
        ...[0, 1].map((b) => ticks.filter((t) => Math.floor(t / 384) === b)),
      )[1]!;
      const { triples } = rowsOf(window, Int32Array.from(window.events, (_, i) => i), C);
      const found = new Set(triples.map((triple) => triple.join()));
      const at = window.events.map((e) => e.ticks);
      const expected = new Set<string>();
      for (const quarters of PERIODS) {
        const seconds = quarters / 2;
        if (seconds < C.fusionSeconds - 1e-9 || seconds > C.slowestPulseSeconds + 1e-9) continue;
        const back = (i: number): number => {
          const away = (j: number) => Math.abs(at[j]! - at[i]! + 96 * quarters);
          const nearest = at.slice(0, i).reduce(
            (best, _, j) => best < 0 || away(j) <= away(best) ? j : best,
            -1,
          );
          return nearest >= 0 && away(nearest) <= C.mergeSeconds / 2 * 192 ? nearest : -1;
        };
        for (let i = window.from; i < window.to; i++) {
          const before = back(i);
          const beforeThat = before < 0 ? -1 : back(before);
          if (beforeThat >= 0) expected.add([i, before, beforeThat].join());
        }
      }
      assertEquals(found, expected);
    }),
    { seed: 1994, numRuns: 200 },
  );
});
