/** The chart of chords and keys, drawn from readings of real notes. */
import { chordAsPrinted } from "../../lib/show/drawing/note_name.ts";
import { assert, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import { demoPlans, demoSketch, InputError, readAbc, readHarmony, realise, type Score } from "ripieno";
import { chartSvg, harmonyChart } from "ripieno/show";
import { drawn, words } from "./normalised.ts";
import { testCharts } from "./test_charts.ts";

/** Two keys, a bar of silence, chords that last two bars, one and half a bar. */
const SCORE: Score = readAbc(
  `X:1
T:Two keys
M:4/4
L:1/4
K:C
[C,CEG]4 | [F,CFA]2 [G,B,DF]2 | [C,CEG]4 | [G,B,DG]4 | [C,CEG]4 | [G,B,DF]4 | [C,CEG]4- | [CEG]4 | z4 | [D,A,DF]4 | [A,,A,^CE]4 | [D,A,DF]4 | [A,,A,^CEG]4 | [D,A,DF]4 |]
`,
  { file: "two_keys.abc" },
);
const HARMONY = readHarmony(SCORE);
const DEMO = realise(demoSketch(), demoPlans().moving);

testCharts({ "harmonyChart()": () => harmonyChart(SCORE, HARMONY) });

Deno.test("harmonyChart() draws a box per chord and per run of a key, and leaves silence empty", () => {
  const chart = harmonyChart(SCORE, HARMONY);
  const chords = HARMONY.spans.filter((span) => span.root !== null);
  assert(chords.length < HARMONY.spans.length, "the silence is a span of no chord");
  assertEquals(drawn(chart, "chords"), chords.length);
  assertEquals(drawn(chart, "explained"), chords.length);
  const keys = chords.map((span) => span.key!.name).filter((name, i, all) => name !== all[i - 1]);
  assertEquals(drawn(chart, "keys"), keys.length);
  assertEquals(chart.querySelectorAll(".keys title").length, keys.length);
  for (const word of ["C major", "D minor", "F", "G7", "IV", "V7", "step", "100 %"]) {
    assert(words(chart).includes(word), word);
  }
  assert(!words(chart).includes("given by its symbol"));
});

Deno.test("harmonyChart() says of each chord where one points what it is, how sure, and what it explains", () => {
  const titles = [...harmonyChart(SCORE, HARMONY).querySelectorAll(".chords title")].map((t) =>
    t.textContent
  );
  const [first] = titles;
  assert(
    /^bar 1, beat 1: C, I in C major; \d+.% sure; 100.% of what sounds belongs to it$/.test(first!),
    first!,
  );
  const printed = harmonyChart(DEMO, readHarmony(DEMO));
  assertStringIncludes(chartSvg(printed), "given by its symbol");
  const bold = [...printed.querySelectorAll(".chord-names [font-weight]")];
  assert(bold.length > 20 && bold.every((text) => text.getAttribute("font-weight") === "700"));
});

Deno.test("harmonyChart() draws surer chords in stronger colour", () => {
  const spans = HARMONY.spans.map((span, i) => ({ ...span, confidence: i / HARMONY.spans.length }));
  const boxes = [...harmonyChart(SCORE, { ...HARMONY, spans }).querySelectorAll(".chords rect")];
  const strengths = boxes.map((box) => Number(box.getAttribute("fill-opacity")));
  assertEquals(strengths, strengths.toSorted((a, b) => a - b));
  assert(strengths.at(-1)! > 3 * strengths[0]!);
});

Deno.test("harmonyChart() names a chord in whole or not at all, and breaks many bars into rows", () => {
  const symbols = new Set(
    HARMONY.spans.flatMap(({ symbol, degree }) => [symbol, degree]).map(chordAsPrinted),
  );
  for (const width of [320, 400, 1200]) {
    const names = [...harmonyChart(SCORE, HARMONY, { width }).querySelectorAll(".chord-names text")];
    for (const name of names) assert(symbols.has(name.textContent!), `${name.textContent}`);
  }
  const rows = (options: Parameters<typeof harmonyChart>[2]) =>
    harmonyChart(SCORE, HARMONY, options).querySelectorAll(".chord-names").length;
  assertEquals([rows({}), rows({ rows: 3 }), rows({ fromBarIndex: 2, toBarIndex: 3, rows: 5 })], [1, 3, 2]);
  // A chord that goes on over the end of a row is drawn in both.
  assert(
    drawn(harmonyChart(SCORE, HARMONY, { rows: 10 }), "chords") >
      drawn(harmonyChart(SCORE, HARMONY), "chords"),
  );
  assertThrows(
    () => harmonyChart(SCORE, HARMONY, { fromBarIndex: 8, toBarIndex: 20 }),
    InputError,
    "0 to 13",
  );
  assertThrows(() => harmonyChart(SCORE, [] as never), InputError, "Give what readHarmony(score) gives");
});

Deno.test("harmonyChart() of nothing that sounds, and of no bars, is a picture without a chord", () => {
  for (const silent of [{ ...SCORE, notes: [] }, { ...SCORE, notes: [], bars: [] }]) {
    const chart = harmonyChart(silent, readHarmony(silent));
    assertEquals(drawn(chart, "chords"), 0);
    assertStringIncludes(chart.getAttribute("aria-label")!, "in no key");
    assertEquals(/NaN|undefined|Infinity/.exec(chartSvg(chart))?.[0], undefined);
  }
});
