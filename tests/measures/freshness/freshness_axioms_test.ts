/**
 * What freshness may be relied on for, as properties of generated scorings; and that change for its own sake does not pay:
 * random scorings of the demo's tune and of generated ones, changed every bar, every second, every fourth, are less fresh
 * than a thought-out plan that changes where phrases turn.
 */
import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertThrows,
} from "@std/assert";
import fc from "fast-check";
import {
  assign,
  demoPlans,
  demoSketch,
  freshness,
  InputError,
  orchestra,
  type Plan,
  readAbc,
  realise,
  type Score,
  type Sketch,
  sketchOf,
} from "ripieno";
import { generatedLayers } from "../../setup/generated_settings.ts";
import { generatedSketch } from "../../setup/generated_sketches.ts";
import { random } from "../../setup/random.ts";
import { smallScore } from "../small_scores.ts";
import { scoringOf } from "./scorings.ts";

/** One scoring for each phrase, of up to five parts, in letters of {@linkcode scoringOf}. */
const scorings = fc.tuple(fc.integer({ min: 2, max: 5 }), fc.integer({ min: 2, max: 5 })).chain((
  [parts, phrases],
) =>
  fc.array(fc.array(fc.constantFrom(..."LPph."), { minLength: parts, maxLength: parts }), {
    minLength: phrases,
    maxLength: phrases,
  })
);
const phraseBars = fc.integer({ min: 3, max: 9 });

/** Rows of letters: each scoring for as many bars as its phrase has, the changes so many bars late. */
function rowsOf(all: readonly (readonly string[])[], bars: number, late = 0): readonly string[] {
  const at = (b: number) => all[Math.max(0, Math.min(all.length - 1, Math.floor((b - late) / bars)))]!;
  return all[0]!.map((_, p) => Array.from({ length: all.length * bars }, (_, b) => at(b)[p]!).join(""));
}
const startsOf = (all: readonly unknown[], bars: number) => all.map((_, k) => k * bars);
const of = (rows: readonly string[], phrases: readonly number[]) => {
  const { score, texture } = scoringOf(rows);
  return freshness(score, { texture, phrases });
};
const isSounding = (all: readonly (readonly string[])[]) =>
  all.every((s) => s.some((letter) => letter !== "."));

Deno.test("axiom: moving all changes off the phrase starts never raises freshness, and never lowers restlessness", () => {
  fc.assert(
    fc.property(
      scorings.filter(isSounding),
      phraseBars,
      fc.integer({ min: 1, max: 8 }),
      (all, bars, late) => {
        const starts = startsOf(all, bars);
        const [on, off] = [0, 1 + late % (bars - 1)].map((l) => of(rowsOf(all, bars, l), starts).whole);
        assert(off!.freshness <= on!.freshness + 1e-12, `${off!.freshness} > ${on!.freshness}`);
        assertEquals(on!.restlessness, 0);
        assert(off!.restlessness >= 0);
      },
    ),
    { seed: 2001, numRuns: 200 },
  );
});

Deno.test("axiom: a constant scoring is stale with length, and never restless", () => {
  fc.assert(
    fc.property(scorings.filter(isSounding), fc.integer({ min: 2, max: 40 }), ([one], bars) => {
      const [short, long] = [bars, bars + 1].map((n) =>
        of(one!.map((letter) => letter.repeat(n)), [0]).whole
      );
      assertGreater(short!.freshness, long!.freshness);
      assertEquals([short!.restlessness, long!.restlessness], [0, 0]);
    }),
    { seed: 2002, numRuns: 100 },
  );
});

Deno.test("axiom: a return at a phrase is never less fresh than no change, and fresher the longer it was away", () => {
  fc.assert(
    fc.property(scorings.filter(isSounding), phraseBars, (all, bars) => {
      const [home, away] = [all[0]!, all[1]!];
      const { perBar } = of(rowsOf([home, away, home], bars), [0, bars, 2 * bars]);
      const stayed = of(rowsOf([home, away, away], bars), [0, bars, 2 * bars]).perBar;
      assert(perBar[2 * bars]!.freshness >= stayed[2 * bars]!.freshness - 1e-12);
      // A lift is what is wanting to 1 times the change times what is left of it.
      const left = (n: number) => {
        const b = bars + n;
        const rows = of(home.map((_, p) => home[p]!.repeat(bars) + away[p]!.repeat(n) + home[p]!.repeat(2)), [
          0,
          bars,
          b,
        ]).perBar;
        const before = rows[b - 1]!.freshness * 2 ** (-1 / 8.4);
        return (rows[b]!.freshness - before) / (1 - before);
      };
      assert(left(24) >= left(4) - 1e-9);
    }),
    { seed: 2003, numRuns: 100 },
  );
});

Deno.test("axiom: an answer inside a phrase is no restlessness, a stranger is", () => {
  const phrase = (rows: readonly string[]) => of(rows, [0]).whole.restlessness;
  const asked = phrase(["LLLLLLLL", "hhPPhhPP", "....LL.."]);
  const dialogue = phrase(["LL..LL..LL..", "..LL..LL..LL", "hhhhhhhhhhhh"]);
  const strangers = phrase(["LL..PP..hh..", "..LL..hh..PP", "hhPP..LLpphh"]);
  // One change to the answer, which then comes back: no more than a phrase with one change.
  assertAlmostEquals(dialogue, phrase(["LL..........", "..LLLLLLLLLL", "hhhhhhhhhhhh"]), 1e-12);
  assertGreater(strangers, dialogue);
  assertGreater(asked, 0);
});

Deno.test("axiom: the order of parts, transposition and an empty upbeat change nothing", () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 1e6 }), fc.integer({ min: -5, max: 7 }), (seed, semitones) => {
      const score = settingOf(generatedSketch("4/4", random(seed)), 4, seed);
      const { whole, phrases } = freshness(score);
      const order = score.parts.map((_, p) => score.parts.length - 1 - p);
      const turned: Score = {
        ...score,
        parts: order.map((p) => score.parts[p]!),
        notes: score.notes.map((n) => ({ ...n, part: order.indexOf(n.part) })).toSorted((a, b) =>
          a.onsetTicks - b.onsetTicks || a.part - b.part
        ),
        layers: score.layers!.map((l) => ({ ...l, parts: l.parts.map((p) => order.indexOf(p)) })),
      };
      const moved = {
        ...score,
        notes: score.notes.map((n) => ({ ...n, soundingPitch: n.soundingPitch + semitones })),
      };
      for (const other of [turned, moved]) {
        const again = freshness(other);
        assertAlmostEquals(again.whole.freshness, whole.freshness, 1e-9);
        assertAlmostEquals(again.whole.restlessness, whole.restlessness, 1e-9);
        assertEquals(again.phrases.map((p) => p.fromBarIndex), phrases.map((p) => p.fromBarIndex));
      }
      const later = withEmptyUpbeat(score);
      const after = freshness(later);
      assertAlmostEquals(after.whole.freshness, whole.freshness, 1e-9);
      assertAlmostEquals(after.whole.restlessness, whole.restlessness, 1e-9);
    }),
    { seed: 2004, numRuns: 8 },
  );
});

/** The same score with an upbeat of a quarter in which nobody plays. */
function withEmptyUpbeat(score: Score): Score {
  const quarter = score.ticksPerQuarter;
  return {
    ...score,
    bars: [
      { ...score.bars[0]!, number: "0", startTicks: 0, durationTicks: quarter },
      ...score.bars.map((b) => ({ ...b, startTicks: b.startTicks + quarter })),
    ],
    tempos: score.tempos.map((t, i) => i === 0 ? t : { ...t, onsetTicks: t.onsetTicks + quarter }),
    notes: score.notes.map((n) => ({ ...n, onsetTicks: n.onsetTicks + quarter })),
    layers: score.layers!.map((l) => ({
      ...l,
      fromBarIndex: l.fromBarIndex + 1,
      toBarIndex: l.toBarIndex + 1,
    })),
  };
}

/** A sketch scored at random, anew every so many bars. */
function settingOf(sketch: Sketch, every: number, seed: number): Score {
  const next = random(seed * 7919 + every);
  const count = sketch.score.bars.length;
  const plan: Plan = {
    name: `every ${every} bars, seed ${seed}`,
    passages: Array.from({ length: Math.ceil(count / every) }, (_, k) => ({
      name: `Passage ${k + 1}`,
      fromBar: 1 + k * every,
      toBar: Math.min(count, (k + 1) * every),
      assignments: generatedLayers(next, { players: orchestra() }).map(assign),
    })),
  };
  return realise(sketch, plan, { refuseImpossible: false });
}

/** The demo's sketch with a generated tune in it: forty-eight bars by the same chords. */
function anotherTune(seed: number): Sketch {
  const next = random(seed);
  const rhythms = ["3122", "422", "62", "224", "31211", "2222"];
  const scale = ["D", "E", "F", "G", "A", "B", "c", "d", "e", "f"];
  const { harmonies } = demoSketch();
  let step = 4;
  const bars = Array.from({ length: 48 }, (_, b) => {
    const rhythm = b % 8 === 7
      ? "8"
      : b % 8 === 3 && next() < 0.5
      ? "8"
      : rhythms[Math.floor(next() * rhythms.length)]!;
    const notes = [...rhythm].map((length) => {
      step = Math.max(0, Math.min(scale.length - 1, step + Math.floor(next() * 5) - 2));
      return `${scale[step]}${length}`;
    });
    return `"${harmonies.find((h) => h.barIndex === b)!.symbol}"${notes.join(" ")}`;
  });
  return sketchOf(readAbc(`X:1\nT:Another\nM:4/4\nL:1/8\nQ:1/4=132\nK:Dm\n${bars.join(" | ")} |]\n`));
}

Deno.test("random scorings changed every bar, every second or every fourth are less fresh than the demo's rotating plan", () => {
  const whole = (score: Score) => freshness(score).whole;
  const { moving, rotating } = demoPlans();
  for (const sketch of [demoSketch(), anotherTune(11), anotherTune(12)]) {
    const thought = whole(realise(sketch, rotating));
    assertGreater(thought.freshness, whole(realise(sketch, moving)).freshness);
    for (const every of [1, 2, 4]) {
      const seeds = sketch.score.title === "Spate" ? 10 : 4;
      const found = Array.from({ length: seeds }, (_, seed) => whole(settingOf(sketch, every, seed + 1)));
      const best = Math.max(...found.map((f) => f.freshness));
      console.log(
        `${sketch.score.title}: rotating ${thought.freshness.toFixed(2)}, random every ${every} at most ${
          best.toFixed(2)
        }`,
      );
      assertLess(best, thought.freshness);
      for (const { restlessness } of found) assertGreater(restlessness, thought.restlessness);
    }
  }
});

Deno.test("restlessness is said in a sentence, with the bars, and for a plan with what to do", () => {
  const { advice, description, phrases } = of(["LLPPhhpp........", "PPhhLL..LLLLLLLL", "hh..PPLLPPPPPPPP"], [
    0,
    8,
  ]);
  assertLess(phrases[0]!.coherence, 0.5);
  assertEquals(phrases[1]!.coherence, 1);
  assert(
    description.includes(
      "The scoring changes in the middle of phrases, where the music does not turn: bars 1 to 8.",
    ),
    description.join("\n"),
  );
  assert(advice.some((words) => words.includes("keep one scoring for a phrase")));
  // One full change on the way is named, half of one, near the edge of a phrase, is not.
  const isNamed = (rows: readonly string[]) =>
    of(rows, [0]).description.some((words) => words.includes("in the middle of phrases"));
  assert(isNamed(["LLLLPPPP", "PPPPLLLL"]));
  assert(!isNamed(["LPPPPPPP", "PLLLLLLL"]));
  const long = of(["LLLLLLLLL............", ".........LLLLLLLLLLLL"], [0]).description;
  assertEquals(long.filter((words) => words.includes("leads for")), [
    "Oboe leads for 12 bars (10 to 21).",
    "Flute leads for 9 bars (1 to 9).",
  ]);
  assertEquals(of(["LPPPPPPP", "PLLLLLLL"], [0]).description[0], "Oboe leads in 7 of 8 bars, Flute in 1.");
});

Deno.test("a scoring that returns after a while is called a frame, one that comes back at once a repeat", () => {
  const rows = ["LLLL....hhhhhhhhLLLL", "....LLLLLLLLLLLL....", "hhhhhhhh........hhhh"];
  const { description, repeats } = of(rows, [0, 4, 8, 16]);
  assertEquals(repeats.map((r) => [r.bar, r.ofBar, r.awayBars]), [["17", "1", 12]]);
  assert(description.includes("Scorings return after a while, as a frame: in bar 17 that of bar 1."));
});

Deno.test("phrases that are given have to lie in the score", () => {
  const score = smallScore([{
    instrument: "flute",
    role: "lead",
    notes: [{ at: 0, quarters: 4, pitch: 70 }],
  }]);
  for (const phrases of [[2], [-1], [0.5]]) {
    assertThrows(() => freshness(score, { phrases }), InputError, "Give bar indices");
  }
  assertEquals(freshness(score, { phrases: [1] }).phrases.map((p) => [p.fromBarIndex, p.toBarIndex]), [
    [0, 0],
    [1, 1],
  ]);
});
