import { assert, assertEquals } from "@std/assert";
import { chartSvg, momentumChart } from "ripieno/show";
import { launchChromium } from "../../setup/chromium.ts";
import { smallStudy } from "../small_study.ts";

/** A momentum chart of this many bars, each as long as given, the last part of a long piece. */
function chartOf(bars: number, secondsPerBar: number): string {
  const { momentum } = smallStudy;
  const perBar = Array.from({ length: bars }, (_, barIndex) => ({
    ...momentum.perBar[0]!,
    barIndex,
    bar: String(barIndex + 1),
    onsetSeconds: barIndex * secondsPerBar,
  }));
  return chartSvg(momentumChart({ ...momentum, perBar, perLayer: [] }, undefined, { width: 1000 }));
}

Deno.test("charts along the bars write no bar number or time over its neighbour, as a browser sets them", async () => {
  const counts = [1, 2, 3, 9, 21, 47, 48, 49, 200, 201, 211, 478, 479, 481, 501, 502, 505, 999, 1201];
  const pages = counts.flatMap((bars) => [chartOf(bars, 0.9), chartOf(bars, 3.4)]);
  const browser = await launchChromium();
  try {
    const page = await browser.newPage({ viewport: { width: 1100, height: 900 } });
    await page.setContent(`<!doctype html><body style="margin:0">${pages.join("")}</body>`);
    const seen = await page.evaluate(`[...document.querySelectorAll("svg")].map((svg) => {
      const lines = Map.groupBy([...svg.querySelectorAll('g[aria-label=bars] text')], (t) => t.getAttribute("y"));
      return [...lines.values()].map((texts) => {
        const boxes = texts.map((t) => ({ text: t.textContent, box: t.getBoundingClientRect() }));
        boxes.sort((a, b) => a.box.left - b.box.left);
        return {
          count: boxes.length,
          touching: boxes.slice(1).filter((b, i) => b.box.left < boxes[i].box.right + 1).map((b) => b.text),
        };
      });
    })`) as readonly (readonly { readonly count: number; readonly touching: readonly string[] }[])[];
    assertEquals(seen.length, 2 * counts.length);
    assertEquals(seen.flat().flatMap((line) => line.touching), []);
    // Bar 1 and the word beside it at least, and never a line of numbers without one of times.
    assert(seen.every(([numbers, times]) => numbers!.count >= 2 && numbers!.count === times!.count));
  } finally {
    await browser.close();
  }
});
