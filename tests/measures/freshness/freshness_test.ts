import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertStringIncludes,
  assertThrows,
} from "@std/assert";
import fc from "fast-check";
import { demoPlans, demoSketch, freshness, realise, type Role, type RoleCell } from "ripieno";
import { novelty } from "ripieno/measures";
import { selfSimilarity } from "../../../lib/measures/freshness/bar_likeness.ts";
import { list } from "../../../lib/measures/freshness/freshness_words.ts";
import { type Line, type LineNote, repeatedNotes, smallScore } from "../small_scores.ts";
import { scoringOf } from "./scorings.ts";

const of = (rows: readonly string[], phrases?: readonly number[]) => {
  const { score, texture } = scoringOf(rows);
  return freshness(score, { texture, ...(phrases === undefined ? {} : { phrases }) });
};

Deno.test("freshness() of what never changes halves every 8.4 bars, with no change point and no novelty", () => {
  const still = of(["LLLLLLLLLLLLL", "PPPPPPPPPPPPP", "hhhhhhhhhhhhh"]);
  still.perBar.forEach((bar, b) => {
    assertAlmostEquals(bar.freshness, 2 ** (-b / 8.4), 1e-12);
    assertEquals([bar.change, bar.novelty, bar.barsSinceChange, bar.lead], [0, 0, b, "Flute"]);
  });
  assertEquals(still.changes, []);
  assertEquals(still.whole.longestStretchBars, 13);
  assertEquals(still.whole.barsBetweenChanges, null);
  assertEquals(still.similarity.every((s) => s === 1), true);
});

Deno.test("freshness() likeness of two scorings: 0.7 by the mean over the parts that sound (1, 0.6, 0.3 or 0), 0.3 by the lead", () => {
  // Same; another figure; another role; enters; rests in both.
  const { score, texture } = scoringOf(["LL", "Pp", "Ph", ".P", ".."]);
  const alone = { soundingWeight: 0, attacksWeight: 0, registerWeight: 0, dynamicsWeight: 0 };
  const { similarity } = freshness(score, { texture, constants: alone });
  assertAlmostEquals(similarity[1]!, 0.7 * (1 + 0.6 + 0.3 + 0) / 4 + 0.3, 1e-12);
  assertEquals([similarity[0], similarity[3], similarity[2]], [1, 1, similarity[1]]);
  // One of two parts in the lead goes on leading, the other drops to the pulse.
  const handed = scoringOf(["LL", "LP"]);
  const half = freshness(handed.score, { texture: handed.texture, constants: alone }).similarity[1]!;
  assertAlmostEquals(half, 0.7 * (1 + 0.3) / 2 + 0.3 / 2, 1e-12);
  // Where nobody leads in either bar, the lead has not changed.
  const unled = scoringOf(["Pp", "PP"]);
  const same = freshness(unled.score, { texture: unled.texture, constants: alone }).similarity[1]!;
  assertAlmostEquals(same, 0.7 * (0.6 + 1) / 2 + 0.3, 1e-12);
});

Deno.test("freshness() takes a change of the lead alone for a change, however many parts go on as they were", () => {
  const going = Array.from({ length: 3 }, () => "PPPPPPPPPPPP");
  const { changes, whole } = of(["LLLLLLLL....", "........LLLL", ...going], [8]);
  assertEquals(changes.map((c) => [c.barIndex, c.beginsPhrase]), [[8, true]]);
  assertGreater(whole.freshness, of(["LLLLLLLLLLLL", "............", ...going], [8]).whole.freshness);
});

Deno.test("freshness() similarity is the mean of scoring, sounding, attacks, register and dynamics, by hand", () => {
  const quarters = (from: number, more: object) => repeatedNotes(60, 1, { from, to: from + 4, ...more });
  const score = smallScore([
    { instrument: "flute", role: "lead", notes: [...quarters(0, {}), ...quarters(4, { dynamic: 7 })] },
    {
      instrument: "oboe",
      role: "pad",
      notes: [{ at: 0, quarters: 4, pitch: 60 }, { at: 4, quarters: 2, pitch: 66 }],
    },
  ]);
  const of = (constants: Record<string, number>) => {
    const none = {
      scoringWeight: 0,
      soundingWeight: 0,
      attacksWeight: 0,
      registerWeight: 0,
      dynamicsWeight: 0,
    };
    return freshness(score, { constants: { ...none, ...constants } }).similarity[1]!;
  };
  // Sounding shares 1, 1 and 1, 0.5; attacks a quarter 1 and 0.25 in both; register 0 and 6 semitones of 12;
  // dynamics 5 to 7 of four steps, and none.
  const expected = [
    of({ scoringWeight: 1 }),
    1.5 / Math.sqrt(2 * 1.25),
    1,
    1 - (0 + 0.5) / 2,
    1 - (0.5 + 0) / 2,
  ];
  assertAlmostEquals(of({ soundingWeight: 1 }), expected[1]!, 1e-12);
  assertAlmostEquals(of({ attacksWeight: 1 }), expected[2]!, 1e-12);
  assertAlmostEquals(of({ registerWeight: 1 }), expected[3]!, 1e-12);
  assertAlmostEquals(of({ dynamicsWeight: 1 }), expected[4]!, 1e-12);
  // A silent bar has nothing in common with another, and all with a silent one.
  const silent = smallScore([{ instrument: "flute", role: "lead", notes: quarters(0, {}) }], { bars: 3 });
  const sounding = { scoringWeight: 0, attacksWeight: 0, registerWeight: 0, dynamicsWeight: 0 };
  const { similarity } = freshness(silent, { constants: sounding });
  assertEquals([similarity[1], similarity[5]], [0, 1]);
  const whole = freshness(score).similarity[1]!;
  assertAlmostEquals(whole, expected.reduce((sum, x) => sum + x, 0) / 5, 1e-12);
});

Deno.test("freshness() novelty stands out where sound, strokes, height or loudness change while the roles do not", () => {
  const peak = (later: object) => {
    const notes = [
      ...repeatedNotes(60, 1, { to: 24 }),
      ...repeatedNotes(60, 1, { from: 24, to: 48, ...later }).map((n) => ({ ...n, ...later })),
    ];
    const score = smallScore([{ instrument: "violin", role: "lead", notes }], { bars: 12 });
    const curve = freshness(score).perBar.map((b) => b.novelty);
    return curve.indexOf(Math.max(...curve));
  };
  assertEquals(peak({ dynamic: 7 }), 6);
  assertEquals(peak({ pitch: 79 }), 6);
});

Deno.test("freshness() finds the bar of a change, says what changed, and is lifted by how much", () => {
  const changed = of(["LLLLLLLL....", "........LLLL", "PPPPPPPPpppp"], [0, 8]);
  assertEquals(changed.changes.map((c) => c.barIndex), [8]);
  const what = changed.changes[0]!.what;
  assertStringIncludes(what, "Oboe takes the lead");
  assertStringIncludes(what, "Flute rests");
  assertStringIncludes(what, "Violins go on with repeated eighths");
  // Across the bar line: flute gone, oboe new, violins 0.6 of 1, so the parts are 0.2 alike; and another lead.
  const size = 1 - 0.7 * 0.2;
  assertAlmostEquals(changed.changes[0]!.change, size, 1e-12);
  const before = 2 ** (-8 / 8.4);
  // Nothing was heard before the stretch that ends here, so nothing is taken away.
  assertAlmostEquals(changed.perBar[8]!.freshness, before + (1 - before) * size, 1e-12);
  assertEquals(changed.perBar.map((b) => b.barsSinceChange), [0, 1, 2, 3, 4, 5, 6, 7, 0, 1, 2, 3]);
  const peak = Math.max(...changed.perBar.map((b) => b.novelty));
  assertEquals(changed.perBar[8]!.novelty, peak);
  // The notes of this score never change, so only a fifth of the similarity, the scoring, does.
  assertAlmostEquals(peak, size / 5, 1e-12);
});

Deno.test("freshness() says of nobody that it turns to what it was, or takes a lead it had", () => {
  const whatOf = (...rows: readonly string[]) => of(rows).changes.map((c) => c.what);
  assertEquals(whatOf("LLLLLLLL....", "hhhhLLLLLLLL"), [
    "Oboe joins the lead",
    "Oboe keeps the lead alone; Flute rests",
  ]);
  assertEquals(whatOf("LLLLLLLL", "LLLLhhhh"), ["Flute keeps the lead alone; Oboe turns to pad"]);
  assertEquals(whatOf("LLLL....", "PPPPPPPP"), ["nobody leads; Flute rests"]);
  fc.assert(
    fc.property(
      fc.array(fc.array(fc.constantFrom(..."LPph."), { minLength: 12, maxLength: 12 }), {
        minLength: 1,
        maxLength: 4,
      }),
      (rows) => {
        const { score, texture } = scoringOf(rows.map((r) => r.join("")));
        for (const { barIndex, what } of freshness(score, { texture }).changes) {
          score.parts.forEach(({ name }, p) => {
            const [before, after] = [barIndex - 1, barIndex].map((b) =>
              texture.cells[b * score.parts.length + p]!.role
            );
            const says = (words: string) =>
              what.split("; ").some((c) => c.includes(name) && c.includes(words));
            for (const role of ["pulse", "pad"]) {
              if (says(`to ${role}`)) assert(before !== role && after === role, `${what}: ${name}`);
            }
            if (says("the lead") && !says("keep")) assert(before !== "lead" && after === "lead", what);
            if (says("keep")) assert(before === "lead" && after === "lead", what);
          });
        }
      },
    ),
    { seed: 2000, numRuns: 200 },
  );
});

Deno.test("freshness() describes a score without telling anybody what to do, and advises in the same words and figures", () => {
  const { description, advice } = of([
    "LLLLLLLLLLLL....LLLL",
    "............LLLL....",
    "PPPPPPPPPPPPPPPPPPPP",
  ], [12, 16]);
  assertEquals(description, [
    "Flute leads in 16 of 20 bars, Oboe in 4.",
    "Flute leads for 12 bars (1 to 12).",
    "Nothing changes for 12 bars (1 to 12).",
    "Scorings come back: in bar 17 that of bar 1.",
    "Colours that never lead: Violins.",
  ]);
  assertEquals(advice.length, description.length);
  advice.forEach((words, i) => assert(words.startsWith(description[i]!.replace(/\.$/, "")), words));
  assert(!/hand|expect|[Cc]hange a/.test(description.join(" ")));
  assert(/hand the tune/.test(advice.join(" ")) && /expect a change/.test(advice.join(" ")));
});

Deno.test("freshness() takes a change in two steps for one change point, at the larger", () => {
  const rows = ["LLLLLLLL........", "........LLLLLLLL", "PPPPPPPhhhhhhhhh", "PPPPPPPhhhhhhhhh"];
  const { perBar, changes } = of(rows);
  assertGreater(perBar[7]!.change, 0.25);
  assertEquals(changes.map((c) => c.barIndex), [8]);
});

Deno.test("freshness() does not take a texture that alternates from bar to bar for change after change", () => {
  const { perBar, changes } = of(["LLLLLLLLLLLL", "PpPpPpPpPpPp"]);
  assertEquals(changes, []);
  assertEquals(perBar.slice(2, -2).map((b) => b.change), new Array(8).fill(0));
});

Deno.test("freshness() of a scoring heard before is lifted less than a new one", () => {
  const back = of(["LLLL....LLLL", "....LLLL....", "PPPPPPPPPPPP", "............"], [4, 8]);
  const on = of(["LLLL........", "....LLLL....", "PPPPPPPPPPPP", "........LLLL"], [4, 8]);
  assertEquals(back.changes.map((c) => c.barIndex), on.changes.map((c) => c.barIndex));
  assertEquals(back.perBar[8]!.change, on.perBar[8]!.change);
  // The same scoring as four bars ago takes nearly half of the lift away.
  const [lift, full] = [back, on].map(({ perBar }) =>
    perBar[8]!.freshness - perBar[7]!.freshness * 2 ** (-1 / 8.4)
  );
  assertLess(lift!, 0.85 * full!);
  assertLess(back.perBar[8]!.freshness, on.perBar[8]!.freshness);
  assertEquals([back.whole.distinctLeads, on.whole.distinctLeads], [2, 3]);
});

Deno.test("a lead handed round with phrases of four bars is fresher than one kept (common practice, no source)", () => {
  const phrases = [0, 4, 8, 12];
  const kept = of(["LLLLLLLLLLLLLLLL", "................", "................", "PPPPPPPPPPPPPPPP"], phrases);
  const round = of(["LLLL............", "....LLLL....LLLL", "........LLLL....", "PPPPPPPPPPPPPPPP"], phrases);
  assertGreater(round.whole.freshness, kept.whole.freshness);
  assertEquals(round.changes.map((c) => c.barIndex), [4, 8, 12]);
  assertEquals(round.whole.barsBetweenChanges, 4);
  const plan = (p: ReturnType<typeof demoPlans>["held"]) =>
    freshness(realise(demoSketch(), p)).whole.freshness;
  assertGreater(plan(demoPlans().rotating), plan(demoPlans().moving));
});

Deno.test("freshness() advises in words: who led too long, where nothing changes, what repeats, who never leads", () => {
  const still = of(["LLLLLLLLLLLL", "PPPPPPPPPPPP"]).advice.join("\n");
  assertStringIncludes(still, "Flute leads for 12 bars (1 to 12)");
  assertStringIncludes(
    still,
    "Nothing changes for 12 bars (1 to 12): listeners would expect a change by bar 9",
  );
  assertStringIncludes(still, "Colours that never lead: Oboe");
  const back = of(["LLLL....LLLL....", "....LLLL....LLLL", "PPPPPPPPPPPPPPPP"]).advice.join("\n");
  assertStringIncludes(back, "Scorings come back: in bar 9 that of bar 1 and in bar 13 that of bar 5.");
  assertStringIncludes(back, "Flute leads in 8 of 16 bars, Oboe in 8.");
  assert(!back.includes("leads for"));
});

Deno.test("freshness() gives the rows behind its advice: leads, changes that are due, repeats, what is unused", () => {
  const { leads, expected, repeats, unused } = of([
    "LLLL....LLLLLLLLLLLL",
    "....LLLL............",
    "PPPPPPPPPPPPPPPPPPPP",
    "....................",
  ]);
  assertEquals(leads.map((l) => [l.partName, l.bars, l.longestBars, l.fromBarIndex, l.toBarIndex]), [
    ["Flute", 16, 12, 8, 19],
    ["Oboe", 4, 4, 4, 7],
  ]);
  assertEquals(expected.map((e) => [e.bar, e.fromBarIndex, e.toBarIndex, e.bars]), [["17", 8, 19, 12]]);
  assertEquals(repeats.map((r) => [r.bar, r.ofBar, r.awayBars]), [["9", "1", 4]]);
  assertEquals(unused, { neverLead: ["Violins"], neverPlay: ["Cellos"] });
});

Deno.test("freshness() speaks of sections as of several: violins lead, a flute leads", () => {
  const { changes, advice } = of(["LLLLLLLLLL....", "..............", "..........LLLL", "hhhhhhhhhhPPPP"]);
  assertEquals(changes.map((c) => c.what), ["Violins take the lead; Flute rests; Cellos turn to pulse"]);
  assertStringIncludes(advice.join("\n"), "Flute leads for 10 bars");
});

Deno.test("freshness() names unused colours by instrument, and asks no tune of drums", () => {
  const line = (instrument: string, name: string, role: Role, notes = repeatedNotes(60, 1)) => ({
    instrument,
    name,
    role,
    notes,
  });
  const { unused } = freshness(smallScore([
    line("flute", "Flute", "lead"),
    line("horn in F", "Horn 1", "pad"),
    line("horn in F", "Horn 2", "pad"),
    line("violin", "Violins I", "lead"),
    line("violin", "Violins II", "pulse"),
    line("timpani", "Timpani", "pulse"),
    line("trumpet in C", "Trumpet 1", "pad", []),
    line("trumpet in C", "Trumpet 2", "pad", []),
  ]));
  assertEquals(unused, { neverLead: ["Horn"], neverPlay: ["Trumpet"] });
  // Six are named; where nobody leads at all, nobody is missed.
  const winds = [
    "oboe",
    "bassoon",
    "clarinet in Bb",
    "cor anglais",
    "piccolo",
    "tuba",
    "tenor trombone",
    "harp",
  ];
  const said = (role: Role) =>
    freshness(smallScore([line("flute", "Flute", role), ...winds.map((id) => line(id, id, "pad"))]))
      .description
      .filter((words) => words.startsWith("Colours that never lead"));
  assertEquals(said("lead"), [`Colours that never lead: ${winds.slice(0, 6).join(", ")} and 2 more.`]);
  assertEquals(said("pad"), []);
});

Deno.test("four names are all told, of more the first three", () => {
  const names = ["flute", "oboe", "horn", "tuba", "harp"];
  assertEquals([list(names.slice(0, 4)), list(names)], [
    "flute, oboe, horn and tuba",
    "flute, oboe, horn and 2 more",
  ]);
});

Deno.test("freshness() keeps its advice to a few sentences in a long movement", () => {
  // Sixty stretches of ten bars, five scorings in turn.
  const rows = [0, 1, 2, 3, 4].map((p) =>
    Array.from({ length: 60 }, (_, k) => (k % 5 === p ? "L" : (k + p) % 3 === 0 ? "P" : ".").repeat(10)).join(
      "",
    )
  );
  const { advice, changes, repeats } = of(rows);
  assertGreater(changes.length, 50);
  assertGreater(repeats.length, 30);
  assertLess(advice.length, 12);
  assertStringIncludes(advice.join(" "), "Nothing changes either in 57 more stretches of more than 8 bars.");
});

Deno.test("freshness() knows that a cor anglais is one and cors anglais are several", () => {
  for (const [name, words] of [["Cor anglais", "takes"], ["Cors anglais", "take"], ["Horns", "take"]]) {
    const score = smallScore([
      { instrument: "flute", role: "lead", notes: repeatedNotes(72, 1, { to: 16 }) },
      {
        instrument: "cor anglais",
        name: name!,
        role: "lead",
        notes: repeatedNotes(65, 1, { from: 16, to: 32 }),
      },
    ], { bars: 8 });
    assertEquals(freshness(score).changes.map((c) => c.what), [`${name} ${words} the lead; flute 1 rests`]);
  }
});

Deno.test("freshness() names at most four of the parts that join the lead together, and says tutti where most of many do", () => {
  const joining = (parts: number, lead: number) => {
    const score = smallScore(
      Array.from({ length: parts }, (_, i) => ({
        instrument: "violin",
        name: `Desk ${i + 1}`,
        role: i < lead ? "lead" as const : "pad" as const,
        layer: `layer ${i}`,
        notes: repeatedNotes(70, 1, { from: i === 0 || i >= lead ? 0 : 16, to: 32 }),
      })),
      { bars: 8 },
    );
    return freshness(score).changes[0]!.what;
  };
  assertEquals(joining(7, 7), "the tutti takes the lead");
  assertEquals(joining(12, 6), "the tutti takes the lead");
  assertEquals(joining(13, 6), "Desk 2 + Desk 3 + Desk 4 + 2 more join the lead");
  assertEquals(joining(5, 5), "Desk 2 + Desk 3 + Desk 4 + Desk 5 join the lead");
});

Deno.test("freshness() stays within 0 and 1, similarity is symmetric, and the order of the parts does not matter", () => {
  const rows = fc.tuple(fc.integer({ min: 1, max: 20 }), fc.integer({ min: 1, max: 5 })).chain((
    [bars, parts],
  ) =>
    fc.array(
      fc.array(fc.constantFrom("L", "P", "p", "h", "."), { minLength: bars, maxLength: bars })
        .map((row) => row.join("")),
      { minLength: parts, maxLength: parts },
    )
  );
  fc.assert(
    fc.property(rows, (texture) => {
      const [a, b] = [of(texture), of(texture.toReversed())];
      const n = a.perBar.length;
      for (const bar of a.perBar) {
        assert(bar.freshness >= 0 && bar.freshness <= 1 && bar.change >= 0 && bar.change <= 1);
        assert(bar.novelty <= 1 + 1e-12 && bar.novelty >= -1 - 1e-12);
        assertAlmostEquals(bar.freshness, b.perBar[bar.barIndex]!.freshness, 1e-9);
      }
      for (let i = 0; i < n; i++) {
        assertEquals(a.similarity[i * n + i], 1);
        for (let j = 0; j < i; j++) assertEquals(a.similarity[i * n + j], a.similarity[j * n + i]);
      }
      assertEquals(a.changes.map((c) => c.barIndex), b.changes.map((c) => c.barIndex));
    }),
    { seed: 2000, numRuns: 100 },
  );
});

Deno.test("freshness() takes constants by name, reports them and refuses others", () => {
  const { score, texture } = scoringOf(["LLLLLLLL"]);
  const slow = freshness(score, { texture, constants: { halfLifeBars: 8 } });
  assertAlmostEquals(slow.perBar[4]!.freshness, Math.SQRT1_2, 1e-12);
  assertEquals(slow.settings["halfLifeBars"], 8);
  assertEquals(freshness(score, { texture, constants: { compareBars: 1 } }).settings["compareBars"], 1);
  assertThrows(() => freshness(score, { constants: { halfLife: 1 } as never }), Error, "halfLifeBars");
});

Deno.test("freshness() counts every bar a part leads in, and of these those in which it is the surest", () => {
  const { score, texture } = scoringOf(["LLLLLLLLLL", "LLLLLLLLLL", "PPPPPPPPPP"]);
  const cells = texture.cells.map((c): RoleCell => ({
    ...c,
    confidence: c.part === 1 || c.barIndex < 2 ? 0.9 : 0.6,
  }));
  const { leads } = freshness(score, { texture: { ...texture, origin: "recognised", cells } });
  assertEquals(leads.map((l) => [l.partName, l.bars, l.chiefBars]), [["Oboe", 10, 10], ["Flute", 10, 2]]);
});

/** Bars are alike only where every part does the same. */
const SCORING_ALONE = {
  sameRole: 0,
  sameSound: 0,
  leadShare: 0,
  soundingWeight: 0,
  attacksWeight: 0,
  registerWeight: 0,
  dynamicsWeight: 0,
};

Deno.test("freshness() novelty is the mean of kernels one and two bars wide, and helps to tell where phrases begin", () => {
  const measured = (row: string, constants = {}) => {
    const { score, texture } = scoringOf([row]);
    return freshness(score, { texture, constants: { ...SCORING_ALONE, ...constants } });
  };
  const novelty = (row: string, constants = {}) => measured(row, constants).perBar.map((b) => b.novelty);
  // At the one bar that differs: 1 in the narrow kernel, (4 + 2 - 4) / 8 in the wide one, which sees the next like the last.
  const [at, after] = [3, 4].map((b) => novelty("hhhPhhhh")[b]!);
  assertAlmostEquals(at!, (1 + 0.25) / 2, 1e-12);
  assertAlmostEquals(after!, (1 + 0.25) / 2, 1e-12);
  assertEquals(novelty("hhhPhhhh", { noveltyHalfWidthBars: 1 })[3], 1);
  assertEquals(novelty("hhhhPPPP")[4], 1);
  // Nothing else turns in 16 equal bars: eights by their length, or where the scoring changes.
  const phrases = (row: string, constants = {}) =>
    measured(row, constants).phrases.map((p) => p.fromBarIndex);
  assertEquals(phrases("hhhhhhhhhhhhhhhh"), [0, 8]);
  assertEquals(phrases("hhhhhhPPPPPPPPPP"), [0, 6]);
  assertEquals(phrases("hhhhhhPPPPPPPPPP", { noveltyWeight: 0 }), [0, 8]);
});

Deno.test("freshness() likeness of attacks is the cosine of rates on a doubling scale; a bar without length has none", () => {
  const line = (notes: readonly LineNote[], instrument: string): Line => ({ instrument, role: "pad", notes });
  const score = smallScore([
    line([...repeatedNotes(60, 1, { to: 8 })], "flute"),
    line([...repeatedNotes(55, 1, { from: 4, to: 8 })], "oboe"),
  ]);
  const only = { scoringWeight: 0, soundingWeight: 0, registerWeight: 0, dynamicsWeight: 0 };
  const alike = (s: typeof score) => freshness(s, { constants: only }).similarity;
  // One attack to a quarter is log2(1 + 1) = 1: (1, 0) against (1, 1).
  assertAlmostEquals(alike(score)[1]!, 1 / Math.SQRT2, 1e-12);
  // Twelve to a bar of four quarters are log2(1 + 3) = 2: (1, 2) against (1, 1).
  const thirds = smallScore([
    line([...repeatedNotes(60, 1, { to: 8 })], "flute"),
    line([...repeatedNotes(55, 1 / 3, { to: 4 }), ...repeatedNotes(55, 1, { from: 4, to: 8 })], "oboe"),
  ]);
  assertAlmostEquals(alike(thirds)[1]!, 3 / Math.sqrt(5 * 2), 1e-12);
  const empty = { ...score, bars: [{ ...score.bars[0]!, durationTicks: 0 }, ...score.bars] };
  assert(alike(empty).every((value) => value >= 0 && value <= 1));
});

Deno.test("freshness() who comes in after an upbeat of the lead begins the piece, and changes nothing", () => {
  const { score, texture } = scoringOf(["LLLLLLLLL", ".PPPPPPPP", ".hhhhhhhh"]);
  const quarter = score.ticksPerQuarter;
  const [first, ...others] = score.bars;
  const upbeat = { ...first!, startTicks: first!.durationTicks - quarter, durationTicks: quarter };
  const after = freshness({ ...score, bars: [upbeat, ...others] }, { texture });
  assertEquals([after.changes, after.whole.restlessness], [[], 0]);
  assertEquals(after.whole.longestStretchBars, 9);
  // After a whole bar alone they do.
  assertEquals(freshness(score, { texture }).changes.map((c) => c.barIndex), [1]);
});

Deno.test("freshness() begins where something sounds: silence before it is neither stale nor a phrase", () => {
  const { perBar, phrases, changes } = of(["..LLLL", "..PPPP"]);
  perBar.forEach((bar, b) => assertAlmostEquals(bar.freshness, 2 ** (-Math.max(0, b - 2) / 8.4), 1e-12));
  assertEquals([phrases.map((p) => p.fromBarIndex), changes], [[0], []]);
});

Deno.test("freshness() names the longest leads first, of equal ones the earlier", () => {
  const led = (...bars: readonly number[]) => {
    const all = bars.reduce((a, b) => a + b, 0);
    const from = (i: number) => bars.slice(0, i).reduce((a, b) => a + b, 0);
    const rows = bars.map((n, i) => "h".repeat(from(i)) + "L".repeat(n) + "h".repeat(all - from(i) - n));
    return of(rows).description.filter((words) => / for \d+ bars/.test(words) && words.includes("lead"))
      .map((words) => words.replace(/ leads? for/, ""));
  };
  assertEquals(led(9, 12, 10), [
    "Oboe 12 bars (10 to 21).",
    "Violins 10 bars (22 to 31).",
    "Flute 9 bars (1 to 9).",
  ]);
  assertEquals(led(9, 9), ["Flute 9 bars (1 to 9).", "Oboe 9 bars (10 to 18)."]);
});

Deno.test("freshness() sorts what it tells by length, whoever comes first, and counts what it does not name", () => {
  const told = (rows: readonly string[], words: RegExp, phrases: readonly number[]) =>
    of(rows, phrases).description.filter((line) => words.test(line));
  // Of equal length, the part further down leads first.
  const later = ["h".repeat(9) + "L".repeat(9), "L".repeat(9) + "h".repeat(9)];
  assertEquals(told(later, / for 9 bars/, [9]).slice(0, 2), [
    "Oboe leads for 9 bars (1 to 9).",
    "Flute leads for 9 bars (10 to 18).",
  ]);
  /** Rows that lead one after another for so many bars. */
  const inTurn = (...bars: readonly number[]) => {
    const from = (i: number) => bars.slice(0, i).reduce((a, b) => a + b, 0);
    const all = from(bars.length);
    const rows = bars.map((n, i) => "h".repeat(from(i)) + "L".repeat(n) + "h".repeat(all - from(i) - n));
    return [rows, bars.slice(1).map((_, i) => from(i + 1))] as const;
  };
  const said = (words: RegExp, ...bars: readonly number[]) =>
    told(inTurn(...bars)[0], words, inTurn(...bars)[1]);
  assertEquals(said(/leads? for/, 9, 10, 12).map((line) => line.slice(0, 5)), ["Violi", "Oboe ", "Flute"]);
  assertEquals(said(/leads? for/, 8, 9).length, 1, "eight bars are expected");
  assertEquals(said(/Nothing changes for/, 9, 12, 10), [
    "Nothing changes for 12 bars (10 to 21).",
    "Nothing changes for 10 bars (22 to 31).",
    "Nothing changes for 9 bars (1 to 9).",
  ]);
  const more = / more time|Nothing changes either/;
  assertEquals([said(more, 9, 9, 9), said(more, 9, 9, 9, 9)], [[], [
    "1 more time one part keeps the lead for more than 8 bars.",
    "Nothing changes either in 1 more stretch of more than 8 bars.",
  ]]);
  const { leads } = of(["LLhhLLLhhhLLLL", "LLhhLLLhhhLLLL"]);
  assertEquals(leads.map((l) => [l.partName, l.bars, l.longestBars, l.fromBarIndex]), [["Flute", 9, 4, 10], [
    "Oboe",
    9,
    4,
    10,
  ]]);
  // Four phrases that change all the time, of which three are named.
  const changing = ["LLLLPPPPhh..ppLL", "PPPPLLLLppLLhh.."].map((row) => row + row);
  const restless = told(changing, /middle of phrases/, [8, 16, 24]);
  assert(restless[0]!.endsWith("and 1 more phrase."), restless.join());
});

Deno.test("freshness() expects a change after whole bars, and takes a scoring for the same from just as alike as is asked", () => {
  const { score, texture } = scoringOf(["LLLLLLLL....", "........LLLL"]);
  const due = (expectedAfterBars: number) =>
    freshness(score, { texture, phrases: [8], constants: { expectedAfterBars } }).expected.map((e) =>
      e.barIndex
    );
  assertEquals([due(1), due(6.6), due(7.4), due(8)], [[1, 9], [7], [7], []]);
  const repeats = (constants: object, ...rows: readonly string[]) => {
    const { score, texture } = scoringOf(rows);
    const phrases = [...rows[0]!].flatMap((letter, b) => b > 0 && letter !== rows[0]![b - 1] ? [b] : []);
    return freshness(score, { texture, phrases, constants }).repeats
      .map((r) => [r.barIndex, r.ofBarIndex, r.awayBars]);
  };
  assertEquals(repeats({ sameScoringFrom: 1 }, "LLLLhhhhLLLL", "hhhhLLLLhhhh"), [[8, 0, 4]]);
  assertEquals(repeats({}, "LhhhhhhLLLLLL", "hLLLLLLhhhhhh").slice(0, 1).map((r) => r[2]), [6]);
});

Deno.test("freshness() tells what frames, what comes back, and which colours are missed, or nothing of them", () => {
  const words = (rows: readonly string[], constants: object, sentence: RegExp) => {
    const { score, texture } = scoringOf(rows);
    const phrases = [...rows[0]!].flatMap((letter, b) => b > 0 && letter !== rows[0]![b - 1] ? [b] : []);
    return freshness(score, { texture, phrases, constants }).description.filter((line) =>
      sentence.test(line)
    );
  };
  const away = ["LLLLhhhhLLLL", "hhhhLLLLhhhh"];
  assertEquals([4, 4.5].map((halfLifeBars) => words(away, { halfLifeBars }, /^Scorings/)), [
    ["Scorings return after a while, as a frame: in bar 9 that of bar 1."],
    ["Scorings come back: in bar 9 that of bar 1."],
  ]);
  const often = away.map((row) => row.slice(0, 8).repeat(3));
  assertEquals(words(often, {}, /^Scorings come back/), [
    "Scorings come back: in bar 9 that of bar 1, in bar 13 that of bar 5, in bar 17 that of bar 1 and in 1 more place.",
  ]);
  assertEquals(words(["LLLL", "...."], {}, /^Never/), ["Never heard: Oboe."]);
  assertEquals(words(["LLLL", "LLLL"], {}, /^Never|^Colours/), []);
  const six = (count: number) =>
    freshness(smallScore([
      { instrument: "flute", role: "lead" as const, notes: repeatedNotes(72, 1) },
      ...["oboe", "bassoon", "clarinet in Bb", "cor anglais", "piccolo", "tuba", "harp"].slice(0, count)
        .map((instrument): Line => ({
          instrument,
          name: instrument,
          role: "pad",
          notes: repeatedNotes(60, 1),
        })),
    ])).description.find((line) => line.startsWith("Colours"))!;
  assert(six(6).endsWith("piccolo, tuba.") && six(7).endsWith("tuba and 1 more."), six(6) + six(7));
});

Deno.test("freshness() of its first and last bars: who leads there alone, upbeats before a single bar, phrases given in any order", () => {
  const leads = (...rows: readonly string[]) => of(rows).whole.distinctLeads;
  assertEquals([leads("Lhhh", ".LLL"), leads("LLLh", "...L")], [2, 2]);
  const changed = of(["LLLLLLLL....", "........LLLL"], [8]).whole;
  assertEquals([changed.longestStretchBars, changed.barsBetweenChanges], [8, 6]);
  const { score, texture } = scoringOf(["LLLLL"]);
  const quarter = score.ticksPerQuarter;
  const withUpbeat = (bars: number) => {
    const [first, ...others] = score.bars.slice(0, bars);
    const upbeat = { ...first!, startTicks: 3 * quarter, durationTicks: quarter };
    const notes = score.notes.filter((n) => n.onsetTicks < 4 * quarter * bars);
    const cells = texture.cells.slice(0, bars);
    return freshness({ ...score, notes, bars: [upbeat, ...others] }, { texture: { ...texture, cells } })
      .perBar.map((b) => Math.round(1000 * b.freshness) / 1000);
  };
  const kept = (bars: number) => Math.round(1000 * 2 ** (-bars / 8.4)) / 1000;
  assertEquals([withUpbeat(2), withUpbeat(4)], [[1, 1], [1, 1, kept(1), kept(2)]]);
  const phrases = (given: readonly number[]) =>
    of(["LLLLLLLLLLLL"], given).phrases.map((p) => p.fromBarIndex);
  assertEquals([phrases([8, 4]), phrases([]), phrases([4, 4, 0])], [[0, 4, 8], [0], [0, 4]]);
  assertEquals(of(["L"], [0]).phrases.length, 1);
  assertThrows(() => of(["L"], [1]), Error, "whole numbers from 0 to 0");
  const layers = [{ id: "a", role: "lead" as const, fromBarIndex: 2, toBarIndex: 4 }];
  const { perLayer } = freshness(score, {
    texture: { ...texture, layers: layers as unknown as typeof texture.layers },
  });
  assertEquals(perLayer.map((l) => l.bars), [3]);
  const none = freshness({ ...score, bars: [], notes: [] }, { texture: { ...texture, cells: [] } });
  assertEquals([none.whole.longestStretchBars, none.phrases], [0, []]);
  assertEquals([none.whole.freshness, none.whole.restlessness], [0, 0]);
  const wide = (noveltyHalfWidthBars: number) =>
    freshness(
      ...[score, { texture: scoringOf(["hhPhh"]).texture, constants: { noveltyHalfWidthBars } }] as const,
    )
      .perBar.map((b) => b.novelty);
  assertEquals([wide(1.6), wide(2.4)], [wide(2), wide(2)]);
  assert(wide(1).join() !== wide(2).join());
});

Deno.test("freshness() likeness goes by how long notes sound in a bar, chords once, and ends where another register begins", () => {
  const only = (weight: "soundingWeight" | "attacksWeight" | "registerWeight" | "dynamicsWeight") => ({
    scoringWeight: 0,
    soundingWeight: 0,
    attacksWeight: 0,
    registerWeight: 0,
    dynamicsWeight: 0,
    [weight]: 1,
  });
  const alike = (weight: Parameters<typeof only>[0], ...lines: readonly (readonly LineNote[])[]) =>
    freshness(
      smallScore(lines.map((notes, i): Line => ({ instrument: ["flute", "oboe"][i]!, role: "pad", notes }))),
      { constants: only(weight) },
    ).similarity[1]!;
  const note = (at: number, quarters: number, pitch: number, dynamic = 5): LineNote => ({
    at,
    quarters,
    pitch,
    dynamic,
  });
  // Three quarters at 6 and one at 2, which is held over, are 5 on the mean; one at 2 and three at 6 as well.
  const held = [note(0, 3, 60, 6), note(3, 2, 60, 2), note(5, 3, 60, 6)];
  assertAlmostEquals(alike("dynamicsWeight", held), 1, 1e-12);
  assertAlmostEquals(alike("registerWeight", held.map((n) => ({ ...n, pitch: 60 + n.dynamic! }))), 1, 1e-12);
  // A note of four quarters under which others of its part begin and end sounds for four.
  const over = [note(0, 4, 60), note(1, 1, 64), note(2, 1, 67), note(4, 4, 60)];
  assertEquals(alike("soundingWeight", over, [note(0, 4, 55), note(4, 4, 55)]), 1);
  assertEquals([12, 24, 6].map((up) => alike("registerWeight", [note(0, 4, 60), note(4, 4, 60 + up)])), [
    0,
    0,
    0.5,
  ]);
  // A bar of no length has no sound and no attack in common with one that has.
  const [first] = smallScore([]).bars;
  for (const weight of ["soundingWeight", "attacksWeight"] as const) {
    const plain = smallScore([{ instrument: "flute", role: "pad", notes: [note(0, 4, 60)] }], { bars: 1 });
    const empty = { ...plain, bars: [{ ...first!, durationTicks: 0 }, ...plain.bars] };
    assertEquals(freshness(empty, { constants: only(weight) }).similarity[1], 0);
  }
});

Deno.test("novelty() as it is takes what lies beyond the ends for nothing: an end stands out", () => {
  const plain = (halfWidth: number) => novelty(new Array(16).fill(1), { halfWidth, normalised: false });
  // One bar wide, only the quadrant after the first is there; two wide, 1 + 4 less twice 2 beside the ends.
  assertEquals([plain(1), plain(2)], [[1, 0, 0, 0], [4, 1, 0, 1]]);
});

Deno.test("of more than 2000 bars no matrix is made, and likeness is worked out where it is asked", () => {
  const { score } = scoringOf(["L"]);
  const long = { ...score, parts: [], notes: [], bars: Array.from({ length: 2001 }, () => score.bars[0]!) };
  const constants = freshness(score).settings as Parameters<typeof selfSimilarity>[2];
  const { matrix, alike } = selfSimilarity(long, long.bars.map(() => []), constants);
  assertEquals([matrix.length, alike(0, 2000)], [0, 1]);
});

Deno.test("freshness() gives of equally long leads the first, and names the three most restless phrases, as they come", () => {
  const [flute] = of(["LLLL....LLLL", "....LLLL....", "PPPPPPPPPPPP"], [4, 8]).leads;
  assertEquals([flute!.longestBars, flute!.fromBarIndex, flute!.toBarIndex], [4, 0, 3]);
  // One change in the middle of the first phrase, three in the second.
  const { description } = of(["LLLLPPPPhh..ppLL", "PPPPLLLLppLLhh.."], [8]);
  assert(description.some((words) => words.includes("bars 1 to 8 and bars 9 to 16")), description.join("\n"));
  const four = of(["LLLLPPPPhh..ppLLLLPP..hhLLppPP..", "PPPPLLLLppLLhh..ppLLhhPP..PPLLhh"], [8, 16, 24]);
  const named = "bars 9 to 16, bars 17 to 24, bars 25 to 32 and 1 more phrase";
  assert(four.description.some((words) => words.includes(named)), four.description.join("\n"));
});
