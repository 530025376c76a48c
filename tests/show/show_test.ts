import { parseHTML } from "linkedom";
import {
  assert,
  assertEquals,
  assertMatch,
  assertRejects,
  assertStringIncludes,
  assertThrows,
} from "@std/assert";
import { demoScore, InputError, momentum } from "ripieno";
import { chartSvg, momentumChart, show } from "ripieno/show";
import { mediaForms } from "../../lib/show/show.ts";
import { launchChromium } from "../setup/chromium.ts";
import { picturesIn } from "../setup/pictures_in.ts";

const { document } = parseHTML("<html><body></body></html>");

/** Text of each cell of the table, row by row, as a browser's document model reads it. */
function cells(html: string): string[][] {
  const { document } = parseHTML(`<html><body>${html}</body></html>`);
  return [...document.querySelectorAll("tr")].map((row) =>
    [...row.children].map((cell) => cell.textContent ?? "")
  );
}

function tableOf(rows: readonly unknown[], options = {}): string {
  return mediaForms(rows, options)["text/html"] ?? "";
}

/** A chart whose names have what addresses and attributes may not hold. */
const chart = momentumChart(momentum(demoScore()), demoScore(), { title: `100 % "B♭" & 'C♯' #1` });

Deno.test("show: a chart is an image that holds its drawing, whole, under ids of its own", () => {
  const forms = mediaForms(chart);
  assertEquals(Object.keys(forms).sort(), ["text/html", "text/plain"]);
  assertEquals(forms["text/plain"], `[${chart.getAttribute("aria-label")}]`);
  const html = forms["text/html"]!;
  assertMatch(html, /^<img [^>]*>$/s);
  assertEquals(/\n/.test(html), false);
  const same = (svg: string) =>
    svg.replace(/p[0-9a-z]+-(?=momentum)|ripieno-(?=momentum)/g, "").replaceAll("'", '"');
  assertEquals(same(picturesIn(html)[0]!.replaceAll("&#39;", "'")), same(chartSvg(chart)));
});

Deno.test("show: what is no drawing stands as it is, several one below the other", () => {
  const html = tableOf([document.createElement("figure"), document.createElement("p")]);
  assertEquals(html, "<figure></figure>\n<p></p>");
});

Deno.test("show: a drawing comes alive where scripts may run, and is an image where they may not", async () => {
  const html = mediaForms([chart, chart])["text/html"]!;
  const browser = await launchChromium();
  try {
    for (
      const [isTrusted, shown] of [[true, html], [false, html.replaceAll(/ onload="[^"]*"/g, "")]] as const
    ) {
      const page = await browser.newPage();
      await page.setContent(`<!doctype html><body>${shown}</body>`);
      await page.waitForTimeout(200);
      const seen = await page.evaluate(
        `[document.querySelectorAll("svg title").length > 99, [...document.images].map((i) => i.naturalWidth)]`,
      );
      assertEquals(seen, isTrusted ? [true, []] : [false, [960, 960]]);
      if (isTrusted) {
        const words = await page.evaluate(`document.querySelector("svg text").textContent`);
        assertEquals(words, `100 % "B♭" & 'C♯' #1`);
      }
      await page.close();
    }
  } finally {
    await browser.close();
  }
});

Deno.test("show: a slider shows one chart at a time, by the arrow keys too, and says which", async () => {
  const html = mediaForms([chart, chart, chart], { slider: ["slow", "quick <&>", "quicker"] })["text/html"]!;
  const browser = await launchChromium();
  try {
    const page = await browser.newPage();
    await page.setContent(`<!doctype html><body>${html}</body>`);
    const seen = async () =>
      await page.evaluate(
        `[[...document.querySelectorAll("figure")].filter((f) => f.checkVisibility()).map((f) =>
          f.querySelector("figcaption").textContent), document.querySelector("input").ariaValueText]`,
      );
    assertEquals(await seen(), [["slow"], "slow"]);
    await page.locator("input").press("ArrowRight");
    assertEquals(await seen(), [["quick <&>"], "quick <&>"]);
    await page.locator("input").press("End");
    assertEquals(await seen(), [["quicker"], "quicker"]);
  } finally {
    await browser.close();
  }
  assertThrows(() => mediaForms([chart], { slider: [] }), InputError, "a word for each chart");
});

Deno.test("show: an answer is folded in whatever form it is shown", () => {
  const folded = "What came <out>";
  const head = "<details><summary>What came &lt;out&gt;</summary>";
  const table = mediaForms([{ bar: 1 }], { folded })["text/html"]!;
  assert(table.startsWith(`${head}<table`) && table.endsWith("</table></details>"));
  assertMatch(mediaForms(chart, { folded })["text/html"]!, /^<details>.*<img [^>]*><\/details>$/s);
  assertEquals(mediaForms("**no**", { folded })["text/markdown"], `${head}\n\n**no**\n\n</details>`);
  assertEquals(mediaForms(3, { folded })["text/html"], `${head}<pre>3</pre></details>`);
});

Deno.test("show: rows become a table headed in words", () => {
  const html = tableOf([{ bar: 1, attacksPerSecond: 4, level_db: null }, { bar: 2, lead: "Oboe" }]);
  assertEquals(cells(html), [
    ["bar", "attacks per second", "level dB", "lead"],
    ["1", "4", "–", "–"],
    ["2", "–", "–", "Oboe"],
  ]);
  assertStringIncludes(html, 'title="attacksPerSecond"');
});

Deno.test("show: a column of numbers has one count of decimals, as many as a musician reads", () => {
  const html = tableOf([{ a: 0.12345, b: 1234.56, c: 12, d: 1 / 3, e: 5.316 }, {
    a: 0.5,
    b: -1,
    c: 7,
    d: 20,
    e: 1,
  }]);
  assertEquals(cells(html).slice(1), [["0.12", "1235", "12", "0.3", "5.32"], [
    "0.50",
    "-1",
    "7",
    "20.0",
    "1.00",
  ]]);
});

Deno.test("show: levels have one decimal, and small figures do not vanish", () => {
  const html = tableOf([{ powerDb: -4.567, "flute, dB": 0.25, error: 0.01234 }, {
    powerDb: 12.34,
    "flute, dB": null,
    error: 0.002,
  }]);
  assertEquals(cells(html).slice(1), [["-4.6", "0.3", "0.012"], ["12.3", "–", "0.002"]]);
});

Deno.test("show: numbers that are none, truth, lists and records inside a row are readable", () => {
  const html = tableOf([{ x: NaN, heard: true, bars: [1, 2], place: { bar: 3, beatShare: 0.25 } }]);
  assertEquals(cells(html)[1], ["NaN", "yes", "1, 2", "bar 3, beat share 0.25"]);
});

Deno.test("show: names from a file cannot break the table", () => {
  const html = tableOf([{ "<b>": '<script>alert("x")</script> & co' }]);
  assertEquals(cells(html), [["<b>"], ['<script>alert("x")</script> & co']]);
  assertEquals(html.includes("<script"), false);
});

Deno.test("show: a long table is cut and says so", () => {
  const html = tableOf(Array.from({ length: 70 }, (_, i) => ({ bar: i + 1 })));
  assertEquals(cells(html).length, 61);
  assertStringIncludes(html, "10 more rows (70 in all)");
  assertEquals(cells(tableOf([{ bar: 1 }, { bar: 2 }], { rows: 1 })).length, 2);
});

Deno.test("show: long text in a cell wraps whole; only endless text is cut", () => {
  const remedy = "Horn 1 turns to the mute in half a bar; give the mute to Horn 3, who rests. ".repeat(4)
    .trim();
  const html = tableOf([{ part: "Horn 1", remedy, all: "x".repeat(500) }]);
  assertEquals(cells(html)[1], ["Horn 1", remedy, `${"x".repeat(399)}…`]);
  const { document } = parseHTML(`<html><body>${html}</body></html>`);
  const wraps = [...document.querySelectorAll("td")].map((td) =>
    /white-space:normal/.test(td.getAttribute("style") ?? "")
  );
  assertEquals(wraps, [false, true, true]);
});

Deno.test("show: text is Markdown, plain text on demand, markup as it is", () => {
  assertEquals(mediaForms("**bold**")["text/markdown"], "**bold**");
  assertEquals(mediaForms("a < b and b > c")["text/markdown"], "a < b and b > c");
  assertEquals(mediaForms("X:1\nK:D", { plain: true }), { "text/plain": "X:1\nK:D" });
  assertEquals(mediaForms('<?xml version="1.0"?>\n<svg><g/></svg>\n')["text/html"], "<svg><g/></svg>");
  assertStringIncludes(mediaForms("<!DOCTYPE html><html></html>")["text/html"] ?? "", "<iframe srcdoc=");
});

Deno.test("show: several texts are a list, each one item", () => {
  const forms = mediaForms(["Flute 1 leads.", "Nothing changes\nfor 9 bars."]);
  assertEquals(forms["text/markdown"], "- Flute 1 leads.\n- Nothing changes for 9 bars.");
  assertEquals(mediaForms(["a", "b"], { plain: true })["text/markdown"], undefined);
});

Deno.test("show: anything else is text, never nothing", () => {
  assertEquals(mediaForms(NaN), { "text/plain": "NaN" });
  assertEquals(mediaForms(undefined), { "text/plain": "undefined" });
  assertEquals(mediaForms([]), { "text/plain": "(no rows)" });
  assertEquals(mediaForms([1, 2]), { "text/plain": "[ 1, 2 ]" });
});

Deno.test("show: outside a notebook it says what to do instead", async () => {
  const error = await assertRejects(() => show("x"), InputError);
  assertEquals(
    error.message,
    "Cannot show this: the code does not run in a notebook. " +
      "Save it to a file instead, or open a notebook with `deno task lab`.",
  );
});

Deno.test("show: columns are picked, put in order and headed as they are asked for", () => {
  const rows = [{ name: "held", audibleShare: 0.5, powerDb: 1.234 }, { name: "moving", audibleShare: 1 }];
  assertEquals(cells(tableOf(rows, { columns: ["powerDb", "name"] })), [
    ["power dB", "name"],
    ["1.2", "held"],
    ["–", "moving"],
  ]);
  const headed = tableOf(rows, { columns: { name: "setting", audibleShare: "lead keeps" } });
  assertEquals(cells(headed)[0], ["setting", "lead keeps"]);
  assertThrows(() => tableOf(rows, { columns: ["momentum"] }), InputError, "name, audibleShare, powerDb");
});
