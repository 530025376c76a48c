import { assert, assertEquals, assertMatch, assertThrows } from "@std/assert";
import { demoPlans, demoSketch, InputError, realise, study, textureOf } from "ripieno";
import { report, reportExcerpts, slides } from "ripieno/show";
import { launchChromium } from "../../setup/chromium.ts";

const plans = demoPlans();
const entries = [plans.held, plans.rotating].map((plan) => {
  const score = realise(demoSketch(), plan);
  const texture = textureOf(score);
  return { score, texture, study: study(score, { name: plan.name, texture }) };
});
const excerpts = await reportExcerpts(entries);
const deck = slides(entries, { excerpts });

/** The headings of a deck. */
const sentencesIn = (html: string) => [...html.matchAll(/<h2[^>]*>([^<]*)<\/h2>/g)].map((m) => m[1]!);

Deno.test("a deck has five to eight pictures, each under one sentence that the report says too", () => {
  const one = slides(entries.slice(1), {
    excerpts: excerpts.filter((e) => e.study === 1).map((e) => ({ ...e, study: 0 })),
  });
  for (const html of [deck, one]) {
    const sentences = sentencesIn(html);
    assert(sentences.length >= 5 && sentences.length <= 8, `${sentences.length}`);
    assertEquals(new Set(sentences).size, sentences.length);
    for (const sentence of sentences) assertMatch(sentence, /^[^.]*(\.\d[^.]*)*[^.]*\.$/);
    assertEquals(html.split('<div class="picture">').length - 1, sentences.length);
    assert(html.split('class="measure"').length > 2, "bars in notes are among them");
  }
  const words = (html: string) => html.replace(/<[^>]*>/g, "").toLowerCase();
  const said = words(report(entries, { excerpts }));
  for (const sentence of sentencesIn(deck)) {
    const own = words(sentence).replace(/^“[^”]*”: (?=the|oboe|horn)/, "").replace(/^bars?[^:]*: /, "")
      .replace(/\.$/, "");
    assert(said.includes(own), own);
  }
});

Deno.test("without bars in notes a deck has charts alone", () => {
  const html = slides(entries);
  assert(sentencesIn(html).length >= 5);
  assertEquals(html.includes('class="measure"'), false);
});

Deno.test("a deck in a browser: arrow keys go from slide to slide, nothing is fetched, nothing is too wide", async () => {
  const browser = await launchChromium();
  const file = await Deno.makeTempFile({ suffix: ".html" });
  try {
    await Deno.writeTextFile(file, deck);
    for (
      const [width, height, scheme] of [[1280, 720, "light"], [1024, 768, "dark"], [
        390,
        844,
        "light",
      ]] as const
    ) {
      const page = await browser.newPage({ viewport: { width, height }, colorScheme: scheme });
      const faults: string[] = [];
      page.on("console", (m) => m.type() === "error" && faults.push(m.text()));
      page.on("pageerror", (e) => faults.push(e.message));
      page.on("request", (r) => /^(file|data):/.test(r.url()) || faults.push(r.url()));
      await page.goto(`file://${file}`);
      const count = await page.locator("section").count();
      const here = () =>
        page.evaluate("document.activeElement.closest('section')?.id") as Promise<string | undefined>;
      for (
        const [key, slide] of [
          ["ArrowRight", 2],
          ["ArrowRight", 3],
          ["ArrowLeft", 2],
          [" ", 3],
          ["End", count],
          ["ArrowRight", count],
          ["Home", 1],
          ["PageUp", 1],
        ] as const
      ) {
        await page.keyboard.press(key);
        assertEquals(await here(), `slide-${slide}`, `${key} at ${width}`);
      }
      assertEquals(await page.evaluate("document.documentElement.scrollWidth"), width);
      assertEquals(faults, []);
      await page.close();
    }
  } finally {
    await browser.close();
    await Deno.remove(file);
  }
});

Deno.test("a deck prints one slide to a page", async () => {
  const browser = await launchChromium();
  const file = await Deno.makeTempFile({ suffix: ".html" });
  try {
    await Deno.writeTextFile(file, deck);
    const page = await browser.newPage();
    await page.goto(`file://${file}`);
    const pdf = new TextDecoder("latin1").decode(await page.pdf({ preferCSSPageSize: true }));
    assertEquals(pdf.match(/\/Type\s*\/Page\b(?!s)/g)?.length, sentencesIn(deck).length);
  } finally {
    await browser.close();
    await Deno.remove(file);
  }
});

Deno.test("a deck of nothing is refused", () => {
  assertThrows(() => slides([]), InputError, "nothing to show");
});
