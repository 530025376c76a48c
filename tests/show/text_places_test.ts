import { assert, assertEquals } from "@std/assert";
import {
  allInstruments,
  attribution,
  compare,
  demoPlans,
  demoSketch,
  effects,
  readHarmony,
  realise,
  sensitivity,
  study,
  textureOf,
} from "ripieno";
import { maskingMatrix, momentSound } from "ripieno/measures";
import {
  attackRateLadderChart,
  attributionChart,
  balanceChart,
  buildUpChart,
  type Chart,
  chartSvg,
  comparisonChart,
  contourChart,
  effectsChart,
  foundPlansChart,
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
  roleTimelineChart,
  selfSimilarityChart,
  sensitivityChart,
  sweepChart,
} from "ripieno/show";
import { buildUp, judgePlan } from "ripieno/orchestrate";
import { launchChromium } from "../setup/chromium.ts";

const sketch = demoSketch();
const plans = demoPlans();
const score = realise(sketch, plans.rotating);
const texture = textureOf(score);
const measured = study(score, { name: "roles handed round" });
const settings = [study(realise(sketch, plans.held), { name: "held chords" }), measured];
const rows = ["strings", "trombones", "trumpets"].flatMap((who, i) =>
  ["repeated quarters", "repeated eighths", "repeated sixteenths"].map((figure, k) => ({
    who,
    figure,
    momentum: 2 + i * 0.3 + k * 1.9,
  }))
);
const fragile = sensitivity([score, realise(sketch, plans.moving)], { measures: ["momentum"] });
const players = ["flute", "oboe", "clarinet in Bb", "bassoon", "horn in F", "tuba", "violin", "double bass"];
const woodwind = ["piccolo", "oboe", "clarinet in Bb", "contrabassoon"];
const byRole = attribution(score, { by: "role" });
const inRapids = maskingMatrix(score, { fromBarIndex: 16, toBarIndex: 23 });
const moment = momentSound(score, { barIndex: 18 });
const builtUp = buildUp(score, { fromBar: 17, toBar: 20 });
const wishes = {
  passages: plans.rotating.passages.map(({ name, fromBar, toBar }) => ({
    name,
    fromBar,
    toBar,
    momentum: 3,
  })),
};
const judgedPlans = [judgePlan(sketch, plans.rotating, { wishes })];
const marked = { value: "sixteenths", quartersPerMinute: 152 } as const;

const charts: Readonly<Record<string, (width: number) => Chart>> = {
  roleTimelineChart: (width) => roleTimelineChart(score, texture, { width }),
  harmonyChart: (width) => harmonyChart(score, readHarmony(score, { symbols: false }), { width }),
  "harmonyChart of printed chords": (width) => harmonyChart(score, readHarmony(score), { width }),
  momentumChart: (width) => momentumChart(measured.momentum, score, { width }),
  momentumComparisonChart: (width) => momentumComparisonChart(settings, score, { width }),
  attackRateLadderChart: (width) => attackRateLadderChart(measured.momentum, score, { width }),
  attributionChart: (width) => attributionChart(byRole, { width }),
  buildUpChart: (width) => buildUpChart(builtUp, { width }),
  foundPlansChart: (width) => foundPlansChart(judgedPlans, { width }),
  balanceChart: (width) => balanceChart(measured.balance, score, { width }),
  loudnessShareChart: (width) => loudnessShareChart(measured.balance, score, { width }),
  maskingChart: (width) => maskingChart(inRapids, { width }),
  momentSoundChart: (width) => momentSoundChart(moment, { width }),
  freshnessChart: (width) => freshnessChart(measured.freshness, score, { width }),
  contourChart: (width) => contourChart(measured.contour, score, { width }),
  fullnessChart: (width) => fullnessChart(measured.fullness, score, { width }),
  idiomChart: (width) => idiomChart(measured.idiom!, score, { width }),
  selfSimilarityChart: (width) => selfSimilarityChart(measured.freshness, score, { width }),
  playabilityChart: (width) => playabilityChart(measured.playability, score, { width }),
  partPlayabilityChart: (width) =>
    partPlayabilityChart(measured.playability, score, { part: "Flute 1", width }),
  comparisonChart: (width) => comparisonChart(compare(settings), { width }),
  layersChart: (width) => layersChart(score, texture, { fromBarIndex: 8, toBarIndex: 15, width }),
  rangeChart: (width) => rangeChart(woodwind, { width }),
  "rangeChart of written pitch": (width) => rangeChart("clarinet in Bb", { pitch: "written", width }),
  "rangeChart of many": (width) => rangeChart(allInstruments().slice(0, 24), { width }),
  "rangeChart with notes": (width) =>
    rangeChart(["flute", "alto flute", "trumpet in C", "violin"], { notesOf: { score, part: 1 }, width }),
  rateChart: (width) => rateChart(players, { marked, width }),
  "rateChart of one": (width) => rateChart("violin", { marked, width }),
  "rateChart of three": (width) => rateChart(["alto saxophone", "marimba", "harp"], { width }),
  sweepChart: (width) => sweepChart(rows, { x: "figure", y: "who", of: "momentum", width }),
  effectsChart: (width) => effectsChart(effects(rows, { of: "momentum" }), { width }),
  sensitivityChart: (width) => sensitivityChart(fragile, { width }),
};

/** What a browser says of the upright words of the picture: those that leave it, and pairs that stand on each other. */
const FAULTS = `(() => {
  const svg = document.querySelector("svg");
  const frame = svg.getBoundingClientRect();
  const texts = [...svg.querySelectorAll("text")].filter((t) => !t.closest("[transform*=rotate]")).map((t) => ({
    words: [...t.childNodes].filter((n) => n.nodeName !== "title").map((n) => n.textContent).join(" "),
    box: t.getBoundingClientRect(),
  })).filter((t) => t.words !== "");
  const outside = texts.filter(({ box }) => box.right > frame.right + 0.5 || box.left < frame.left - 0.5);
  const reach = (a, b, from, to) => Math.min(a.box[to], b.box[to]) - Math.max(a.box[from], b.box[from]);
  const pairs = texts.flatMap((a, i) => texts.slice(i + 1)
    .filter((b) => reach(a, b, "left", "right") > 1 && reach(a, b, "top", "bottom") > 4)
    .map((b) => a.words + " on " + b.words));
  return { count: texts.length, faults: [...outside.map((t) => t.words + " leaves the picture"), ...pairs] };
})()`;

Deno.test("no chart writes one word over another or out of the picture, narrow or wide, as a browser sets them", async () => {
  const browser = await launchChromium();
  const faults: string[] = [];
  try {
    const page = await browser.newPage({ viewport: { width: 1300, height: 900 } });
    for (const [name, draw] of Object.entries(charts)) {
      for (const width of [400, 640, 960, 1200]) {
        await page.setContent(`<!doctype html><body style="margin:0">${chartSvg(draw(width))}</body>`);
        const seen = await page.evaluate(FAULTS) as {
          readonly count: number;
          readonly faults: readonly string[];
        };
        assert(seen.count > 3, name);
        faults.push(...seen.faults.map((fault) => `${name}, ${width} pixels: ${fault}`));
      }
    }
  } finally {
    await browser.close();
  }
  assertEquals(faults, []);
});
