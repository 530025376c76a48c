/** Charts without a title of their own say what they have found, whatever they are given. */
import { assert, assertEquals, assertMatch } from "@std/assert";
import {
  attribution,
  compare,
  demoPlans,
  demoSketch,
  effects,
  readAbc,
  readHarmony,
  realise,
  type Score,
  sensitivity,
  study,
  textureOf,
} from "ripieno";
import { maskingMatrix, momentSound } from "ripieno/measures";
import { buildUp } from "ripieno/orchestrate";
import {
  attackRateLadderChart,
  attributionChart,
  balanceChart,
  buildUpChart,
  type Chart,
  comparisonChart,
  effectsChart,
  freshnessChart,
  fullnessChart,
  harmonyChart,
  idiomChart,
  layersChart,
  loudnessShareChart,
  maskingChart,
  momentSoundChart,
  momentumChart,
  momentumComparisonChart,
  partPlayabilityChart,
  playabilityChart,
  rangeChart,
  rateChart,
  recipeChart,
  recipeMap,
  roleTimelineChart,
  selfSimilarityChart,
  sensitivityChart,
  sweepChart,
} from "ripieno/show";
import { recipeOf, recipePlaces } from "ripieno/survey";

/** The title over a chart, its lines joined. */
function titleOf(chart: Chart): string {
  return [...chart.querySelectorAll("text")].filter((t) =>
    t.getAttribute("font-size") === "16" && t.getAttribute("font-weight") === "600"
  ).map((t) => t.textContent).join(" ");
}

/** All charts of one score, by name. */
function chartsOf(score: Score): Readonly<Record<string, Chart>> {
  const texture = textureOf(score);
  const whole = study(score, { texture, name: "this" });
  const last = Math.min(20, score.bars.length);
  const bars = { fromBarIndex: Math.min(16, last - 1), toBarIndex: last - 1 };
  return {
    roles: roleTimelineChart(score, texture),
    harmony: harmonyChart(score, readHarmony(score, { texture, symbols: false })),
    momentum: momentumChart(whole.momentum, score),
    "momentum, setting by setting": momentumComparisonChart([whole]),
    ladder: attackRateLadderChart(whole.momentum, score),
    attribution: attributionChart(attribution(score, { texture, by: "part" })),
    "build-up": buildUpChart(buildUp(score, { fromBar: bars.fromBarIndex + 1, toBar: last, texture })),
    balance: balanceChart(whole.balance, score),
    loudness: loudnessShareChart(whole.balance, score),
    masking: maskingChart(maskingMatrix(score, { texture, ...bars })),
    moment: momentSoundChart(momentSound(score, { texture, barIndex: bars.toBarIndex })),
    freshness: freshnessChart(whole.freshness, score),
    likeness: selfSimilarityChart(whole.freshness, score),
    fullness: fullnessChart(whole.fullness, score),
    idiom: idiomChart(whole.idiom!, score),
    playability: playabilityChart(whole.playability, score),
    part: partPlayabilityChart(whole.playability, score, { part: 0 }),
    comparison: comparisonChart(compare([whole])),
    layers: layersChart(score, texture, bars),
    recipe: recipeChart([recipeOf(score, { name: "this" })]),
  };
}

const sketch = demoSketch();
const { held, moving, rotating } = demoPlans();
const demo = realise(sketch, rotating);
const oneBar = readAbc('X:1\nT:One\nM:4/4\nL:1/4\nQ:1/4=100\nK:Bb\nV:1 name="Flute"\n"Bb" B c d e |]\n');
const oneNote = readAbc('X:1\nT:One\nM:4/4\nL:1/1\nQ:1/4=60\nK:C\nV:1 name="Timpani"\nC, |]\n');

for (const [name, score] of Object.entries({ "the demo": demo, "one bar": oneBar, "one note": oneNote })) {
  Deno.test(`every chart of ${name} says a finding in its title, each another one`, () => {
    const titles = Object.entries(chartsOf(score)).map(([chart, drawn]) => [chart, titleOf(drawn)] as const);
    for (const [chart, title] of titles) {
      assertMatch(title, /^[“A-Z0-9].{10,140}$/, chart);
      assertEquals(/NaN|undefined|null|Infinity|\ball 1\b|\s{2}|\.$/.exec(title), null, `${chart}: ${title}`);
      assertEquals(/\d[^ ]*[A-G](b|#)|[A-G](b|#)\d/.exec(title), null, `${chart}: ${title}`);
    }
    if (name === "the demo") {
      assertEquals(new Set(titles.map(([, title]) => title)).size, titles.length);
      const withFigure = titles.filter(([, title]) => /\d/.test(title)).length;
      assert(withFigure > titles.length * 0.8, `${withFigure} of ${titles.length} have a figure`);
    }
  });
}

Deno.test("titles follow the data: another setting, another finding", () => {
  const title = (score: Score) => titleOf(momentumChart(study(score).momentum, score));
  assertMatch(
    title(demo),
    /^“Rapids again” moves most, 5\.\d driving .*“A pool” least, 0\.\d; the pulse drives most$/,
  );
  assertMatch(title(realise(sketch, held)), /; the lead drives most$/);
  const [still, driven] = [held, moving].map((plan) => study(realise(sketch, plan), { name: plan.name }));
  assertMatch(
    titleOf(momentumComparisonChart([still!, driven!])),
    /^“moving textures” drives \d\.\d times as hard as “held chords”: \d\.\d against 0\.\d$/,
  );
  const { perBar, ...rest } = still!.momentum;
  const silent = { ...rest, perBar: perBar.map((b) => ({ ...b, momentum: 0 })) };
  assertEquals(titleOf(momentumChart(silent)), "Nothing moves");
  assertEquals(titleOf(momentumChart({ ...silent, perBar: [], perLayer: [], perRole: [] })), "Nothing moves");
  assertEquals(
    titleOf(
      balanceChart({ ...still!.balance, perBar: [], whole: { ...still!.balance.whole, audibleShare: null } }),
    ),
    "Nothing leads",
  );
  assertEquals(titleOf(maskingChart([])), "No two layers sound together");
});

Deno.test("titles of recipes name the family with most, and who is made like whom", () => {
  const recipes = Object.entries({ held, moving, rotating }).map(([name, plan]) =>
    recipeOf(realise(sketch, plan), { name })
  );
  assertMatch(titleOf(recipeChart(recipes)), /^\w+ ha(s|ve) most of what sounds in (all|\d of) 3$/);
  assertMatch(
    titleOf(recipeMap(recipePlaces(recipes))),
    /^“\w+” and “\w+” are made most alike, 0\.\d\d apart; “held” is furthest from all, 0\.\d\d$/,
  );
});

Deno.test("titles of experiments and instruments name the first, and how far", () => {
  const rows = ["horns", "violas"].flatMap((who, i) =>
    [96, 132].map((tempo) => ({ who, tempo, momentum: 1 + 3 * i + tempo / 1000 }))
  );
  assertEquals(
    titleOf(sweepChart(rows, { x: "tempo", y: "who", of: "momentum" })),
    "Momentum is highest for violas, 132 (4.13), lowest for horns, 96 (1.10)",
  );
  assertEquals(
    titleOf(effectsChart(effects(rows, { of: "momentum" }))),
    "Momentum hangs most on who: 100\u00a0% of the differences",
  );
  const found = sensitivity([realise(sketch, held), realise(sketch, moving)], {
    measures: ["momentum"],
    constants: ["slurredStrength"],
  });
  assertMatch(
    titleOf(sensitivityChart(found)),
    /comes first by momentum, \d+\s% ahead, whichever constant moves$/,
  );
  assertEquals(
    titleOf(rangeChart("clarinet in Bb", { pitch: "written" })),
    "The clarinet in B♭ reaches from E3 to C7, 3½ octaves",
  );
  assertMatch(titleOf(rangeChart(["flute", "tuba"])), /the tuba goes lowest, the flute highest$/);
  assertMatch(
    titleOf(rangeChart(["flute", "violin"], { notesOf: { score: oneBar, part: 0 } })),
    /^Flute and violin have every note of Flute/,
  );
  const marked = { value: "sixteenths", quartersPerMinute: 152 } as const;
  assertEquals(
    titleOf(rateChart(["flute", "tuba"], { marked })),
    "Sixteenths at 152: the flute keeps them up; the tuba for a moment",
  );
  assertEquals(titleOf(momentumChart(study(oneBar).momentum, oneBar, { title: "Mine" })), "Mine");
});
