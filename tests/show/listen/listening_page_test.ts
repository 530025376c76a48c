/** The listening page in a real browser, from disk, with the network off. */
import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertLess,
  assertMatch,
  assertNotEquals,
  assertRejects,
} from "@std/assert";
import type { Page } from "playwright-core";
import {
  attribution,
  balance,
  demoPlans,
  demoSketch,
  InputError,
  momentum,
  readScore,
  realise,
  type Score,
  textureOf,
} from "ripieno";
import { subsetMeasures } from "../../../lib/measures/subsets/subset_measures.ts";
import type { ListeningData } from "../../../lib/show/listen/client/listening_data.ts";
import { take } from "ripieno/orchestrate";
import { clockOf } from "ripieno/score";
import { audition, listeningPage } from "ripieno/show";
import { pageScript } from "../../../lib/show/listen/page_script.ts";
import { sharedChromium } from "../../setup/chromium.ts";
import { db } from "../../setup/sound_measures.ts";

const PLANS = demoPlans();
const SETTINGS = [PLANS.held, PLANS.moving, PLANS.rotating].map((plan) => ({
  name: plan.name,
  score: realise(demoSketch(), plan),
}));
const MOVING = SETTINGS[1]!.score;

/** The Rapids, a pool, and four bars of the Rapids again. */
const BARS = { fromBar: 17, toBar: 36 } as const;
const BYTES_PER_BAR = 8_000_000 / 48;

/** A page of some of the demo's bars, written once. */
let written: Promise<string> | undefined;
function demoPage(): Promise<string> {
  return written ??= listeningPage(SETTINGS, BARS).then(async (html) => {
    const path = await Deno.makeTempFile({ suffix: ".html" });
    await Deno.writeTextFile(path, html);
    return path;
  });
}

interface Opened {
  readonly page: Page;
  readonly faults: readonly string[];
}

/** Opens the page as somebody would who has no network. */
async function withPage(
  work: (opened: Opened) => Promise<void>,
  look: {
    readonly width?: number;
    readonly colorScheme?: "light" | "dark";
    readonly reducedMotion?: "reduce";
    /** Another page than the demo's bars. */
    readonly path?: string;
  } = {},
): Promise<void> {
  const path = look.path ?? await demoPage();
  const browser = await sharedChromium();
  const { width = 1200, colorScheme = "light", reducedMotion = null } = look;
  const context = await browser.newContext({
    offline: true,
    colorScheme,
    reducedMotion,
    viewport: { width, height: 900 },
  });
  try {
    const page = await context.newPage();
    const faults: string[] = [];
    page.on("console", (message) => {
      if (message.type() === "error" || message.type() === "warning") faults.push(message.text());
    });
    page.on("pageerror", (error) => faults.push(error.message));
    page.on("request", (request) => {
      if (/^https?:/.test(request.url())) faults.push(`asks for ${request.url()}`);
    });
    await page.goto(`file://${path}`);
    await page.waitForSelector("html[data-ready]", { state: "attached" });
    await work({ page, faults });
    assertEquals(faults, []);
  } finally {
    await context.close();
  }
}

const text = async (page: Page, selector: string) => (await page.textContent(selector))?.trim() ?? "";
const isPlaying = (page: Page) => page.evaluate("listening.playing !== undefined") as Promise<boolean>;

Deno.test("the page has every function of its script", async () => {
  const folder = new URL("../../../lib/show/listen/client/", import.meta.url);
  const script = pageScript();
  for await (const { name } of Deno.readDir(folder)) {
    const source = await Deno.readTextFile(new URL(name, folder));
    for (const [, own] of source.matchAll(/^(?:export )?(?:async )?function (\w+)/gm)) {
      assert(script.includes(`function ${own}(`), `${name}: ${own} is not exported, so the page has none`);
    }
  }
});

Deno.test("a page is one file, small enough for the demo's to have at most 8 MB", async () => {
  const html = await Deno.readTextFile(await demoPage());
  assertLess(new TextEncoder().encode(html).length, BYTES_PER_BAR * (BARS.toBar - BARS.fromBar + 1));
  assert(!/(src|href)="(?!data:)/.test(html.replace(/<script[\s\S]*?<\/script>/g, "")));
});

Deno.test("one listens, takes a layer away, brings it back, changes the version: the music goes on at its place", async () => {
  await withPage(async ({ page }) => {
    await page.click("text=moving textures");
    await page.click("[data-passage='0']");
    assertEquals(await text(page, "#place"), "Bar 17 · Rapids");
    await page.click("#listen");
    await page.waitForFunction("document.querySelector('#place').textContent.startsWith('Bar 18')");
    assert(await isPlaying(page));
    await page.click("button:text-is('Take the pulse away')");
    assertMatch(await text(page, "#left"), /^You hear 5 of 6: (?!.*pulse)/);
    assert(await isPlaying(page));
    await page.click("button:text-is('Bring the pulse back')");
    assertEquals(await text(page, "#left"), "Everything plays.");
    await page.click("button:text-is('Hear the bass alone')");
    assertEquals(await text(page, "#left"), "You hear 1 of 6: bass.");
    await page.click("text=held chords");
    await page.waitForFunction("listening.playing !== undefined");
    assertMatch(await text(page, "#place"), /^Bar (1[789]|2\d)/);
    assertEquals(await text(page, "#left"), "You hear 1 of 3: bass.");
    await page.click("#everything");
    await page.click("#listen");
    assertEquals(await isPlaying(page), false);
    assertEquals(await text(page, "#listen"), "Listen from here");
  });
});

/** Mean of a figure over the bars of the Rapids, weighed by their seconds. */
function meanOver(score: Score, figureOf: (barIndex: number) => number): number {
  const clock = clockOf(score);
  let sum = 0, seconds = 0;
  for (let b = 16; b < 24; b++) {
    const { startTicks, durationTicks } = score.bars[b]!;
    const own = clock(startTicks + durationTicks) - clock(startTicks);
    sum += figureOf(b) * own;
    seconds += own;
  }
  return sum / seconds;
}

Deno.test("the figures of what is left are those of the library", async () => {
  const texture = textureOf(MOVING);
  const heard = balance(MOVING, { texture });
  const driving = momentum(MOVING, { texture, balance: heard });
  const shared = attribution(MOVING, { texture, balance: heard });
  const takenAway = (b: number) =>
    shared.perBar.find((row) => row.barIndex === b && row.name === "Rapids 17-24: 2 pulse")?.takenAway ?? 0;
  const whole = meanOver(MOVING, (b) => driving.perBar[b]!.momentum);
  const left = meanOver(MOVING, (b) => driving.perBar[b]!.momentum - takenAway(b));
  const without = take(MOVING, { roles: ["pulse"], away: true, texture });
  const leadOf = ({ perBar }: ReturnType<typeof balance>) =>
    perBar.slice(16, 24).reduce((sum, bar) => sum + bar.audibleShare! / 8, 0);
  const leads = [leadOf(balance(without.score, { texture: without.texture })), leadOf(heard)];
  await withPage(async ({ page }) => {
    await page.click("text=moving textures");
    await page.click("[data-passage='0']");
    await page.click("button:text-is('Take the pulse away')");
    const numbers = (words: string) => [...words.matchAll(/\d+(\.\d+)?/g)].map(([n]) => Number(n));
    const motion = numbers(await text(page, "#motion .words")),
      lead = numbers(await text(page, "#heard .words"));
    assertAlmostEquals(motion[0]!, left, 0.011);
    assertAlmostEquals(motion[1]!, whole, 0.011);
    lead.forEach((percent, i) => assertAlmostEquals(percent, 100 * leads[i]!, 0.6));
    assertEquals(lead.length, 2);
  });
});

Deno.test("what is heard is the sum of the layers that are left, in step and at their levels", async () => {
  const texture = textureOf(MOVING);
  const sound = audition(MOVING, {
    texture,
    hall: "none",
    sampleRate: 24_000,
    fromBar: 17,
    toBar: 20,
    seating: Object.fromEntries(MOVING.parts.map((part) => [part.name, 0])),
  });
  const start = 0; // the page begins there
  const seconds = sound.bars[3]!.startSeconds;
  await withPage(async ({ page }) => {
    await page.click("text=moving textures");
    await page.click("[data-passage='0']");
    const gains: number[] = [];
    for (const name of ["bass", "figuration", "pad", "lead"]) {
      await page.click(`button:text-is('Hear the ${name} alone')`);
      const heard = await page.evaluate(
        `renderHeard(listening, { from: ${start}, to: ${start + seconds}, hall: false })
          .then((sound) => [0, 1].map((c) => [...sound.getChannelData(c)]))`,
      ) as readonly (readonly number[])[];
      const stem = sound.stems.find((one) => one.name.endsWith(name) && one.name.startsWith("Rapids 17"))!;
      const own = stem.channels[0]!;
      const likeness = (late: number) => {
        let both = 0, a = 0, b = 0;
        // From a second on, so that what rings over from the passage before is gone.
        for (let i = 24_000; i < seconds * 24_000 - 100; i++) {
          // Equal powers from left to right: the ears together are one track.
          const [l, r] = [heard[0]![i + late]!, heard[1]![i + late]!];
          const one = Math.hypot(l, r) * Math.sign(Math.abs(l) > Math.abs(r) ? l : r);
          both += own[i]! * one;
          a += own[i]! ** 2;
          b += one ** 2;
        }
        return { likeness: both / Math.sqrt(a * b), level: db(b / a) };
      };
      const { likeness: alike, level } = likeness(0);
      assertGreater(alike, 0.97, name);
      for (const late of [-6, 6]) assertGreater(alike, likeness(late).likeness - 1e-3, `${name} ${late}`);
      gains.push(level);
    }
    for (const gain of gains) assertAlmostEquals(gain, gains[0]!, 0.3);
    // All together are the sum of each.
    await page.click("#everything");
    const rest = await page.evaluate(`(async () => {
      const at = { from: ${start}, to: ${start + 4}, hall: true };
      const all = (await renderHeard(listening, at)).getChannelData(0);
      const sum = new Float64Array(all.length);
      for (const { name } of settingNow(listening).lines) {
        listening.away = new Set(settingNow(listening).lines.map((l) => l.name).filter((n) => n !== name));
        (await renderHeard(listening, at)).getChannelData(0).forEach((x, i) => sum[i] += x);
      }
      let rest = 0, whole = 0;
      all.forEach((x, i) => { rest += (x - sum[i]) ** 2; whole += x * x; });
      return rest / whole;
    })()`) as number;
    assertLess(db(rest), -60);
  });
});

Deno.test("steps ask before they answer, and the answer is what the figures say", async () => {
  await withPage(async ({ page }) => {
    await page.click("text=moving textures");
    await page.click("[data-passage='0']");
    await page.click("#build");
    assertEquals(await text(page, "#left"), "You hear 1 of 6: lead.");
    assertMatch(await text(page, "#question"), /^Next, the bass comes in .*what will it do\?$/);
    assertEquals(await text(page, "#answered"), "");
    for (let step = 2; step <= 6; step++) {
      await page.click("#guesses button >> nth=0");
      assertMatch(await text(page, "#answered"), /^You guessed: it will move more\. .* It drives with \d/);
    }
    assertEquals(await text(page, "#question"), "Now everything is there.");
    assertEquals(await text(page, "#left"), "Everything plays.");
    await page.click("#take");
    assertMatch(await text(page, "#question"), /taken away\?$/);
    await page.click("#guesses button >> nth=0");
    assertNotEquals(await text(page, "#left"), "Everything plays.");
    await page.click("#end-walk");
    assertEquals(await text(page, "#left"), "Everything plays.");
  });
});

Deno.test("all of it can be done from the keyboard, and only what the reader changes is announced", async () => {
  await withPage(async ({ page }) => {
    const reach = async (selector: string, label = "") => {
      for (let i = 0; i < 80; i++) {
        await page.keyboard.press("Tab");
        const there = await page.evaluate(
          `document.activeElement.matches(${JSON.stringify(selector)}) && document.activeElement.textContent`,
        );
        if (typeof there === "string" && there.includes(label)) return;
      }
      throw new Error(`${selector} cannot be reached`);
    };
    await reach("[name=setting]");
    await page.keyboard.press("ArrowRight");
    assertMatch(await text(page, "#said"), /^moving textures\./);
    await reach("#bar");
    await page.keyboard.press("ArrowRight");
    assertMatch(await text(page, "#place"), /^Bar 18/);
    await reach("[data-passage='0']");
    await page.keyboard.press("Enter");
    await reach("[data-line] .take", "Take the pad away");
    await page.keyboard.press("Space");
    const said = await text(page, "#said");
    assertMatch(said, /^The pad is gone\. It drives with .* The lead keeps/);
    await page.evaluate("document.querySelector('#listen').focus()");
    await page.keyboard.press("Enter");
    await page.waitForFunction("document.querySelector('#place').textContent.startsWith('Bar 18')");
    assertEquals(await text(page, "#said"), said); // bars go by unannounced
    await page.keyboard.press("Enter");
    assertEquals(await isPlaying(page), false);
  });
});

Deno.test("the engraved bars are those that are heard", async () => {
  await withPage(async ({ page }) => {
    for (const [passage, bars] of [[0, "17 to 20"], [2, "33 to 36"]] as const) {
      await page.click(`[data-passage='${passage}']`);
      await page.waitForSelector(`#notation[aria-label='Notation of bars ${bars}'] svg`);
    }
  });
});

const AXE = await Deno.readTextFile(new URL("axe.min.js", import.meta.resolve("axe-core")));

for (
  const look of [
    { width: 1200, colorScheme: "light" },
    { width: 1200, colorScheme: "dark" },
    { width: 390, colorScheme: "light" },
  ] as const
) {
  Deno.test(`nobody is kept out, and nothing runs over the edge: ${look.width} pixels, ${look.colorScheme}`, async () => {
    await withPage(async ({ page }) => {
      await page.click("[data-passage='0']");
      await page.click("button:text-is('Take the pad away')");
      await page.click("#build");
      await page.waitForSelector("#notation svg");
      await page.evaluate(AXE);
      const found = await page.evaluate(
        `axe.run(document, { resultTypes: ["violations"] }).then(({ violations }) => violations.map((v) =>
          [v.impact, v.id, v.nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(" ; ")]))`,
      ) as readonly (readonly string[])[];
      assertEquals(found.filter(([impact]) => impact === "serious" || impact === "critical"), []);
      const width = await page.evaluate("document.scrollingElement.scrollWidth") as number;
      assert(width <= look.width, `${width} pixels`);
    }, look);
  });
}

Deno.test("who wants no motion sees none", async () => {
  const transition = (page: Page) =>
    page.evaluate("getComputedStyle(document.querySelector('.gauge .left')).transitionDuration");
  await withPage(async ({ page }) => assertNotEquals(await transition(page), "0s"));
  await withPage(async ({ page }) => assertEquals(await transition(page), "0s"), { reducedMotion: "reduce" });
});

Deno.test("every answer to the questions is right somewhere in the page, and none nearly always", async () => {
  await withPage(async ({ page }) => {
    const answers = await page.evaluate(`(() => {
      const all = [];
      for (let s = 0; s < listening.data.settings.length; s++) {
        listening.setting = s;
        for (const passage of settingNow(listening).passages) {
          listening.barNow = passage.from;
          for (const kind of ["build", "take"]) {
            const order = walkOrder(listening), first = kind === "build" ? 1 : 0;
            for (let step = first; step < order.length - 1 + first; step++) {
              listening.walk = { kind, order, step, asked: false };
              all.push(stepAnswer(listening).answer);
            }
          }
        }
      }
      return all;
    })()`) as readonly string[];
    const share = (answer: string) => answers.filter((one) => one === answer).length / answers.length;
    for (const answer of ["motion", "lead", "little"]) {
      assert(share(answer) > 0.1 && share(answer) < 0.7, `${answer}: ${share(answer)} of ${answers.length}`);
    }
  });
});

Deno.test("a page of some bars has these bars, with the library's figures for every choice of layers", async () => {
  const texture = textureOf(MOVING);
  const html = await listeningPage([{ name: "some", score: MOVING }], {
    fromBar: 23,
    toBar: 26,
    notation: false,
  });
  const { settings: [setting] } = JSON.parse(/id="listening-data">([^<]*)/.exec(html)![1]!) as ListeningData;
  assertEquals(setting!.bars.map((bar) => bar.printed), ["23", "24", "25", "26"]);
  assertEquals(setting!.passages.map(({ name, from, to }) => [name, from, to]), [["Rapids", 0, 1], [
    "A pool",
    2,
    3,
  ]]);
  const heard = balance(MOVING, { texture, warnings: false });
  const own = subsetMeasures(MOVING, { texture, balance: heard }).slice(22, 26);
  const driving = momentum(MOVING, { texture, balance: heard });
  setting!.bars.forEach((bar, b) => {
    assertEquals(bar.momentum.length, 2 ** bar.layers.length);
    bar.momentum.forEach((x, subset) => assertAlmostEquals(x / 100, own[b]!.momentum[subset]!, 0.0051));
    bar.lead.forEach((x, subset) => {
      const share = own[b]!.leadAudible[subset]!;
      if (Number.isNaN(share)) assertEquals(x, -1);
      else assertAlmostEquals(x / 1000, share, 0.00051);
    });
    assertAlmostEquals(bar.momentum.at(-1)! / 100, driving.perBar[22 + b]!.momentum, 0.0051);
  });
  const path = await Deno.makeTempFile({ suffix: ".html" });
  await Deno.writeTextFile(path, html);
  await withPage(async ({ page }) => {
    assertEquals(await text(page, "#place"), "Bar 23 · Rapids");
    await page.click("button:text-is('Take the pulse away')");
    await page.click("#listen");
    await page.waitForFunction("document.querySelector('#place').textContent.startsWith('Bar 24')");
    await page.click("[data-passage='1']");
    assertEquals(await text(page, "#place"), "Bar 25 · A pool");
  }, { path });
  await Deno.remove(path);
});

Deno.test("a score that was only read has its page, with few enough lines to choose from", async () => {
  const score = await readScore("data/slack_water/slack_water.abc");
  const html = await listeningPage([{ name: "as found", score }], { fromBar: 1, toBar: 8, notation: false });
  const data = JSON.parse(/id="listening-data">([^<]*)/.exec(html)![1]!);
  assertEquals(data.settings[0].bars.length, 8);
  assert(data.settings[0].lines.length <= 12);
  assert(!html.includes('id="notation"'));
});

Deno.test("listeningPage refuses what it cannot play", async () => {
  await assertRejects(() => listeningPage([]), InputError, "at least one");
  await assertRejects(
    () => listeningPage([{ name: "x", score: MOVING }], { fromBar: 99 }),
    InputError,
    "no bar 99",
  );
});
