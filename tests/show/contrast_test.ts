import { assert, assertEquals } from "@std/assert";
import {
  attribution,
  demoPlans,
  demoSketch,
  effects,
  instrumentById,
  readHarmony,
  realise,
  sensitivity,
  study,
  textureOf,
} from "ripieno";
import { buildUp } from "ripieno/orchestrate";
import {
  attackRateLadderChart,
  attributionChart,
  buildUpChart,
  type Chart,
  effectsChart,
  engrave,
  harmonyChart,
  layersChart,
  rangeChart,
  rateChart,
  report,
  selfSimilarityChart,
  sensitivityChart,
  sweepChart,
} from "ripieno/show";
import { chartMarkup } from "../../lib/show/drawing/save_chart.ts";
import { DARK_COLOURS } from "../../lib/show/drawing/theme.ts";
import { launchChromium } from "../setup/chromium.ts";
import { textContrasts } from "../setup/text_contrast.ts";

/** Least contrast of text of any size (WCAG 2.1, success criterion 1.4.3, level AA). */
const LEAST = 4.5;

const score = realise(demoSketch(), demoPlans().rotating);
const texture = textureOf(score);
const whole = study(score, { texture });
const rows = [96, 132].flatMap((tempo) =>
  ["p", "f"].map((dynamic, i) => ({ tempo, dynamic, momentum: tempo / 96 + i, share: 0.2 + 0.3 * i }))
);

/** Charts of lessons, which no report has. */
async function lessonCharts(): Promise<readonly Chart[]> {
  const winds = ["flute", "clarinet in B flat", "horn in F"].flatMap((id) => instrumentById(id) ?? []);
  return [
    rangeChart(winds),
    rateChart(winds),
    attackRateLadderChart(whole.momentum, score),
    attributionChart(attribution(score, { texture })),
    buildUpChart(buildUp(score, { fromBar: 17, toBar: 20, texture })),
    selfSimilarityChart(whole.freshness, score),
    layersChart(score, texture),
    harmonyChart(score, readHarmony(score, { texture })),
    sweepChart(rows, { x: "tempo", y: "dynamic", of: "momentum" }),
    effectsChart(effects(rows, { of: "momentum" })),
    sensitivityChart(sensitivity([score], { constants: ["slurredStrength"], measures: ["momentum"] })),
    await engrave(score, { fromBar: 24, toBar: 25, byRole: true, texture }),
  ];
}

/** Charts below each other on a page that is light or dark. */
function pageOf(charts: readonly Chart[]): string {
  const dark = Object.entries(DARK_COLOURS).map(([name, colour]) => `${name}: ${colour};`).join(" ");
  return `<!doctype html><style>@media (prefers-color-scheme: dark) { :root { ${dark} } }</style>` +
    charts.map((chart, i) =>
      chartMarkup(chart).replaceAll("ripieno-", `c${i}-`).replaceAll(`--c${i}-`, "--ripieno-")
    ).join("\n");
}

Deno.test("every word of every chart stands out from its ground, on white and on dark paper (WCAG 2.1, 1.4.3)", async () => {
  const pages = {
    report: report([{ score, texture, study: whole }]),
    lessons: pageOf(await lessonCharts()),
  };
  const browser = await launchChromium();
  try {
    for (const colorScheme of ["light", "dark"] as const) {
      for (const [name, html] of Object.entries(pages)) {
        const page = await browser.newPage({ viewport: { width: 1280, height: 900 }, colorScheme });
        await page.setContent(html);
        await page.evaluate("document.querySelectorAll('details').forEach((d) => d.open = true)");
        const contrasts = await textContrasts(page);
        assert(contrasts.length > 300, `${name}: ${contrasts.length} texts`);
        const weak = contrasts.filter((c) => c.contrast < LEAST)
          .map((c) => `${c.text} (${c.contrast.toFixed(2)}) in ${c.of}`);
        assertEquals([...new Set(weak)].slice(0, 20), [], `${name}, ${colorScheme}`);
        await page.close();
      }
    }
  } finally {
    await browser.close();
  }
});

Deno.test("a word on a fill of nearly its own colour is found", async () => {
  const browser = await launchChromium();
  try {
    const page = await browser.newPage();
    await page.setContent(
      `<body style="background:#fff"><svg width="200" height="60"><rect width="200" height="60" fill="#777"/>` +
        `<text x="10" y="30" fill="#888">weak</text><text x="100" y="30" fill="#fff">plain</text></svg>`,
    );
    const [weak, plain] = await textContrasts(page);
    assert(weak!.contrast < 1.5 && plain!.contrast > 4 && plain!.contrast < LEAST);
  } finally {
    await browser.close();
  }
});
