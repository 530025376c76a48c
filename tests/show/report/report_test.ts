import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { assert, assertEquals, assertMatch, assertStringIncludes, assertThrows } from "@std/assert";
import { parseHTML } from "linkedom";
import Papa from "papaparse";
import {
  demoPlans,
  demoScore,
  demoSketch,
  freshness,
  InputError,
  type PlayabilityFinding,
  realise,
  type Score,
  study,
  type Texture,
  textureOf,
} from "ripieno";
import type { Page } from "playwright-core";
import { type FoundPlan, judgePlan } from "ripieno/orchestrate";
import { barIndexOf } from "ripieno/score";
import {
  chartSvg,
  loudnessShareChart,
  momentumChart,
  report,
  type ReportEntry,
  ROLE_LOOKS,
  roleTimelineChart,
  studyFiles,
  summarise,
} from "ripieno/show";
import type { Role } from "ripieno/texture";
import { once } from "../../../lib/base/memo.ts";
import { DARK_COLOURS } from "../../../lib/show/drawing/theme.ts";
import { rolesInWords } from "../../../lib/show/report/report_words.ts";
import { sharedChromium } from "../../setup/chromium.ts";
import { smallScore, smallStudy, smallTexture } from "../small_study.ts";

const entry: ReportEntry = { study: smallStudy, score: smallScore, texture: smallTexture };
const second: ReportEntry = { ...entry, study: { ...smallStudy, name: "second try" } };

function pageOf(html: string): Document {
  return parseHTML(html).document as unknown as Document;
}

Deno.test("report() says what was studied, what was found, and how far to trust it", () => {
  const page = pageOf(report([entry]));
  const text = (page.body.textContent ?? "").replace(/\s+/g, " ");
  for (
    const words of [
      "small.musicxml",
      "3, 3 players",
      "4 bars, 12 notes, 0 min 8 s",
      "120 quarter notes a minute",
      "Flute 1 and Horn 1 lead in 2 of 4 bars each.",
      "The lead keeps 40 % of its loudness",
      "is covered (less than 10 % left) in 1 bar (bar 2)",
      "Flute 1 keeps 5 % of its loudness. Ways out, made in the notes and measured anew:",
      "Flute 1 an octave up: the lead keeps 78 %",
      "1 change point, one every 2.0 bars on average, and 2 different leads",
      "2 findings in 2 parts: 1 impossible and 1 risky. They are in",
      "a chord of five notes",
      "Divide it",
      "Limits are guides; players decide.",
      "lyrics were left out",
      "Cellos never lead.",
      "model assumption",
    ]
  ) assertStringIncludes(text, words);
});

Deno.test("report() says of plans that were looked for what was asked, what each reaches and what was given up", () => {
  const wish = { name: "Rapids", fromBar: 17, toBar: 24, dynamic: "p" };
  const [slow, quick] = [0.5, 20].map((momentum) =>
    judgePlan(demoSketch(), demoPlans().moving, { wishes: { passages: [{ ...wish, momentum }] } })
  );
  const page = (found: readonly FoundPlan[]) => {
    const { document } = parseHTML(report([entry], { found }));
    return document as unknown as Document;
  };
  const both = page([slow!, { ...quick!, traded: ["Rapids: far from 20"] }]);
  const section = both.querySelector("#wishes")!.parentElement!;
  assertStringIncludes(section.textContent!, "No plan meets every wish");
  assertEquals(section.querySelectorAll("figure").length, 1);
  const rows = [...section.querySelectorAll("tbody tr")].map((row) =>
    [...row.children].map((cell) => cell.textContent)
  );
  assertEquals(rows.map(([name]) => name), slow!.reached.map((r) => r.wish));
  rows.forEach(([, ...cells], i) =>
    [slow!, quick!].forEach(({ reached }, p) =>
      assertEquals(cells[p] !== "no" && !/missed/.test(cells[p]!), reached[i]!.met, cells[p]!)
    )
  );
  assertStringIncludes(section.textContent!, "What was given up");
  assertStringIncludes(section.textContent!, "Rapids: far from 20");
  assertEquals(page([]).querySelector("#wishes"), null);
});

Deno.test("a lead alone is called so in the report and its charts, and its level is left out of the tables", () => {
  const demo = demoScore();
  const leads = new Set(
    textureOf(demo).cells.filter((c) => c.role === "lead").map((c) => `${c.barIndex} ${c.part}`),
  );
  const onlyLead = (bars: (bar: number) => boolean): Score => ({
    ...demo,
    notes: demo.notes.filter((n) => {
      const bar = barIndexOf(demo, n.onsetTicks);
      return leads.has(`${bar} ${n.part}`) || !bars(bar);
    }),
  });
  const entryOf = (name: string, score: Score): ReportEntry => ({
    study: study(score, { name }),
    score,
    texture: textureOf(score),
  });
  const [alone, partly] = [
    entryOf("by itself", onlyLead(() => true)),
    entryOf("partly", onlyLead((b) => b < 8)),
  ];
  const page = pageOf(report([alone, partly]));
  const text = (page.body.textContent ?? "").replace(/\s+/g, " ");
  assert(!/\b60\.0/.test(text));
  assertStringIncludes(text, "and is covered nowhere: it is alone throughout.");
  assert(/the rest where others sound with it; in [78] bars it is alone\./.test(text), text.slice(0, 3000));
  const cells = [...page.querySelectorAll("table")][0]!.querySelectorAll("tbody tr")[0]!.querySelectorAll(
    "td",
  );
  assertEquals([...cells].filter((c) => c.textContent === "alone").length, 2);
  const levels = [...page.querySelectorAll("figure svg[aria-label*=compared] text")].map((t) =>
    t.textContent
  );
  assertEquals(levels.filter((t) => t === "alone").length, 2);
  assert(page.querySelectorAll(".alone rect").length > 0);
  const [bars, comparison] = ["bars.csv", "comparison.csv"].map((name) =>
    Papa.parse<Record<string, string>>(
      String(studyFiles([alone, partly]).find((f) => f.name === name)!.content),
      { header: true, skipEmptyLines: true },
    ).data
  );
  assertEquals(comparison!.map((r) => r["power_db"] === ""), [true, false]);
  for (const row of bars!) {
    assertEquals(row["lead_alone"] === "true", row["audible_share"] !== "" && row["power_db"] === "");
  }
});

Deno.test("report() has a chart per question, each named in words, and compares several settings", () => {
  const charts = (html: string) =>
    [...pageOf(html).querySelectorAll("figure svg:not(.names)")].map((svg) =>
      svg.getAttribute("aria-label") ?? ""
    );
  const one = charts(report([entry]));
  assertEquals(one.length, 12);
  assertEquals(one.length, new Set(one).size, "each once");
  const both = charts(report([entry, second]));
  assertEquals(both.length, 2 * one.length + 2, "each once for a setting, and two that compare");
  assertEquals(one.map((label) => both.filter((other) => other === label).length), one.map(() => 2));
  assert(both.every((label) => label.length > 20));
});

Deno.test("report() says in which keys chords are heard, and where they are from; of drums it says that there are none", () => {
  const said = (score: Score) => {
    const page = pageOf(report([{ ...entry, score }]));
    const [heading] = [...page.querySelectorAll("h3")].filter((h) => h.textContent === "Chords and keys");
    const isDrawn = [...page.querySelectorAll("svg")].some((svg) =>
      /chords? along/.test(svg.getAttribute("aria-label") ?? "")
    );
    return [heading!.nextElementSibling!.textContent ?? "", isDrawn] as const;
  };
  const [read, isDrawn] = said(smallScore);
  assertMatch(read, /^Heard in .+ for \d+\s% of the time.*\.\s\d\schords? (is|are) read off the notes/);
  assert(isDrawn);
  const [printed] = said({ ...smallScore, chords: [{ onsetTicks: 0, symbol: "C" }] });
  assertMatch(printed, /\b1\schord is given by its symbol/);
  const drums = { ...smallScore, notes: smallScore.notes.map((note) => ({ ...note, unpitched: true })) };
  assertEquals(said(drums), ["No chord is read off it.", false]);
});

Deno.test("report() holds every id once", () => {
  const ids = [...pageOf(report([entry, second])).querySelectorAll("[id]")].map((e) => e.getAttribute("id"));
  assert(ids.length > 12);
  assertEquals(ids.length, new Set(ids).size);
});

Deno.test("report() heads its tables and orders its headings", () => {
  const page = pageOf(report([entry, second]));
  for (const table of page.querySelectorAll("table")) {
    assert((table.querySelector("caption")?.textContent ?? "").length > 0);
    assert(table.querySelectorAll("th[scope=col]").length > 0);
  }
  const levels = [...page.querySelectorAll("h1,h2,h3,h4")].map((h) => Number(h.tagName[1]));
  assertEquals(levels[0], 1);
  levels.slice(1).forEach((level, i) => assert(level <= levels[i]! + 1, `h${levels[i]} before h${level}`));
});

/** The small study with these findings. */
function entryWith(findings: readonly PlayabilityFinding[], score: Score = smallScore): ReportEntry {
  const study = { ...smallStudy, playability: { ...smallStudy.playability, findings } };
  return { study, score, texture: smallTexture };
}

/** Cells of the tables of findings, row by row. */
function findingRows(page: Document): readonly (readonly string[])[] {
  const tables = [...page.querySelectorAll("table")]
    .filter((t) => t.querySelector("caption")?.textContent?.startsWith("Findings"));
  return tables.flatMap((t) =>
    [...t.querySelectorAll("tbody tr")].map((r) => [...r.children].map((c) => c.textContent ?? ""))
  );
}

Deno.test("report() gives what forty parts stumble over in the same bars one row, and counts it once", () => {
  const parts = Array.from(
    { length: 40 },
    (_, i) => ({ ...smallScore.parts[0]!, id: `P${i}`, name: `Part ${i + 1}` }),
  );
  const findings = parts.flatMap((p, part) =>
    smallStudy.playability.findings.map((f) => ({ ...f, part, partName: p.name }))
  );
  const score = { ...smallScore, parts };
  const texture = {
    ...smallTexture,
    cells: smallScore.bars.flatMap((_, barIndex) =>
      parts.map((_, part) => ({ ...smallTexture.cells[0]!, barIndex, part }))
    ),
  };
  const page = pageOf(report([{ ...entryWith(findings, score), texture }]));
  const rows = findingRows(page);
  assertEquals(rows.length, 2);
  assertStringIncludes(rows[0]![2]!, "Part 1, Part 2");
  assertStringIncludes(rows[0]![2]!, "32 more; worst in Part 1");
  const text = (page.body.textContent ?? "").replace(/\s+/g, " ");
  assertStringIncludes(text, "2 findings in 40 parts: 1 impossible and 1 risky.");
  assertEquals(summarise(entryWith(findings, score).study, score).map((r) => [r.impossible, r.risky]), [
    [1, 1],
    [0, 0],
  ]);
});

Deno.test("report() folds each severity where findings are many, and always those only worth a look", () => {
  const [first] = smallStudy.playability.findings;
  const many = Array.from({ length: 30 }, (_, i) => ({ ...first!, rule: `rule ${i}` }));
  const folds = (findings: readonly PlayabilityFinding[]) =>
    [...pageOf(report([entryWith(findings)])).querySelectorAll("details.findings summary")]
      .map((s) => s.textContent?.replace(/\s+/g, " "));
  assertEquals(folds([first!]), []);
  assertEquals(folds([first!, { ...first!, severity: "note" }]), ["note: 1 finding (chord)"]);
  assertEquals(folds(many), ["impossible: 30 findings (rule 0, rule 1, rule 2, rule 3 and 26 more)"]);
});

Deno.test("report() does not count what is only worth a look among what players stumble over", () => {
  const note = { ...smallStudy.playability.findings[0]!, severity: "note" as const };
  const text = (pageOf(report([entryWith([note])])).body.textContent ?? "").replace(/\s+/g, " ");
  assertStringIncludes(
    text,
    "The rules find nothing that players would stumble over in 12 notes. 1 more place",
  );
});

Deno.test("report() says 1 note and 1 note per second, 2 notes", () => {
  const [first] = smallStudy.playability.findings;
  for (
    const [value, unit, words] of [
      [1, "notes", "1 note"],
      [2, "notes", "2 notes"],
      [1, "notes per second", "1 note per second"],
      [1, "semitones without steps", "1 semitone without steps"],
    ] as const
  ) {
    const findings = [{ ...first!, figure: value, unit }];
    const study = { ...smallStudy, playability: { ...smallStudy.playability, findings } };
    const cells = [...pageOf(report([{ ...entry, study }])).querySelectorAll("td")]
      .map((td) => (td.textContent ?? "").replaceAll("\u00a0", " "));
    assert(cells.includes(words), words);
  }
});

Deno.test("report() writes dynamics as marks, not as numbers", () => {
  const [first] = smallStudy.playability.findings;
  const rows = findingRows(
    pageOf(report([entryWith([{ ...first!, figure: 2, limit: 4, unit: "dynamic, 1 ppp to 8 fff" }])])),
  );
  assertEquals(rows[0]!.slice(4, 6), ["pp", "mp"]);
});

Deno.test("who may lead as well is said with the roles, those with most of the lead first", () => {
  const cells = smallTexture.cells.map((c) =>
    c.role === "lead" || c.role === "rest"
      ? c
      : { ...c, leadShare: c.role === "bass" ? 0.3 : c.role === "pad" ? 0.06 : 0 }
  );
  assertStringIncludes(
    rolesInWords({ ...entry, texture: { ...smallTexture, cells } }).replaceAll("\u00a0", " "),
    "Also possible as the lead: Cellos (1 bar) and Horn 1 (2).",
  );
});

Deno.test("report() says plainly what was assumed: the tempo, and instruments it does not know", () => {
  const score: Score = {
    ...smallScore,
    tempos: [{ onsetTicks: 0, quartersPerMinute: 120, origin: "assumed" }],
    parts: smallScore.parts.map((p, i) =>
      i === 0 ? { ...p, name: "Zorgophon", instrument: "piano", instrumentFrom: "fallback" } : p
    ),
  };
  const text = (pageOf(report([{ ...entry, score }])).body.textContent ?? "").replace(/\s+/g, " ");
  assertStringIncludes(text, "The source gives no tempo: ♩ = 120 is assumed.");
  assertStringIncludes(
    text,
    "Zorgophon: instrument not known, treated as piano; its range is not judged.",
  );
  const sure = pageOf(report([entry])).body.textContent ?? "";
  assertEquals(/assumed\.|not known/.exec(sure)?.[0], undefined);
});

Deno.test("report() keeps whatever users call things as text", () => {
  const bad = `<script>window.harmed=1</script><img src=x onerror="window.harmed=1">"'&`;
  const score = {
    ...smallScore,
    title: bad,
    composer: bad,
    source: bad,
    bars: smallScore.bars.map((b) => ({ ...b, number: bad, rehearsal: bad })),
    parts: smallScore.parts.map((p) => ({ ...p, name: bad, instrumentFrom: "fallback" as const })),
    notices: [{ what: bad, count: 1, part: bad, bar: bad }],
  };
  const study = {
    ...smallStudy,
    name: bad,
    balance: {
      ...smallStudy.balance,
      perBar: smallStudy.balance.perBar.map((b) => ({ ...b, bar: bad, lead: bad })),
      warnings: smallStudy.balance.warnings.map((w) => ({ ...w, what: bad, remedy: bad })),
    },
    freshness: {
      ...smallStudy.freshness,
      perBar: smallStudy.freshness.perBar.map((b) => ({ ...b, bar: bad, lead: bad })),
      changes: smallStudy.freshness.changes.map((c) => ({ ...c, bar: bad, what: bad })),
      advice: [bad],
    },
    playability: {
      ...smallStudy.playability,
      findings: smallStudy.playability.findings.map((f) => ({
        ...f,
        partName: bad,
        bar: bad,
        rule: bad,
        what: bad,
        unit: bad,
        source: bad,
        remedy: bad,
      })),
      perPart: smallStudy.playability.perPart.map((p) => ({ ...p, partName: bad })),
      caution: bad,
    },
  };
  const html = report([{ study, score, texture: smallTexture }, { study, score, texture: smallTexture }]);
  assertEquals(/<script|<img/i.exec(html)?.[0], undefined);
  assertStringIncludes(html, "&lt;script&gt;");
});

/** Works with a report in a browser. */
async function withReport(
  html: string,
  { width, dark = false }: { readonly width: number; readonly dark?: boolean },
  work: (page: Page) => Promise<void>,
): Promise<void> {
  const folder = await Deno.makeTempDir();
  const path = join(folder, "report.html");
  await Deno.writeTextFile(path, html);
  const browser = await sharedChromium();
  const colorScheme = dark ? "dark" : "light";
  const page = await browser.newPage({ viewport: { width, height: 900 }, colorScheme });
  try {
    await page.goto(pathToFileURL(path).href);
    await work(page);
  } finally {
    await page.close();
    await Deno.remove(folder, { recursive: true });
  }
}

/** The bundled demo as a report, written once. */
const demoReport = once(() => {
  const { held, moving, rotating } = demoPlans();
  return report(
    [held, moving, rotating].map((plan): ReportEntry => {
      const score = realise(demoSketch(), plan);
      const texture = textureOf(score);
      return { score, texture, study: study(score, { name: plan.name, texture }) };
    }),
    { title: "Spate" },
  );
});

Deno.test("report() leads from bar numbers to their place on the chart of roles, of their own study", () => {
  const page = pageOf(report([entry, second]));
  const links = [...page.querySelectorAll("a.to-bar")];
  assert(links.length > 20);
  const ids = new Set([...page.querySelectorAll(".bar-place")].map((e) => `#${e.getAttribute("id")}`));
  assertEquals(ids.size, 2 * smallScore.bars.length);
  for (const link of links) {
    const target = link.getAttribute("href")!;
    assert(ids.has(target), target);
    const [, study, index] = /^#bar-(\d+)-(\d+)$/.exec(target)!;
    assertEquals(smallScore.bars[Number(index)]!.number, link.textContent);
    const section = [...page.querySelectorAll("section")].find((s) => s.querySelector(`#study-${study}`));
    const isInside = [...section?.querySelectorAll("a.to-bar") ?? []].includes(link);
    assert(isInside || link.closest("section")?.querySelector("#notices") !== null, target);
  }
  for (const cell of page.querySelectorAll("td.b, th.b, tbody th.s")) {
    if (/^\d/.test(cell.textContent ?? "")) assert(cell.querySelector("a.to-bar"), cell.textContent ?? "");
  }
});

Deno.test("the table of passages names every bar once: a passage without a name lies within the last that has one", () => {
  const marks: Readonly<Record<number, string>> = { 12: "A" };
  const { rehearsal: _mark, ...bar } = smallScore.bars[0]!;
  const bars = Array.from({ length: 60 }, (_, i) => ({
    ...bar,
    number: String(i + 1),
    startTicks: i * bar.durationTicks,
    ...(marks[i] === undefined ? {} : { rehearsal: marks[i] }),
  }));
  const perBar = bars.map((_, i) => ({
    ...smallStudy.freshness.perBar[0]!,
    barIndex: i,
    bar: String(i + 1),
    novelty: i === 30 ? 1 : 0,
  }));
  const cells = bars.flatMap((_, barIndex) =>
    smallScore.parts.map((_, part) => ({ ...smallTexture.cells[0]!, barIndex, part }))
  );
  const long = {
    texture: { ...smallTexture, cells },
    score: { ...smallScore, bars },
    study: { ...smallStudy, freshness: { ...smallStudy.freshness, perBar } },
  };
  const [table] = [...pageOf(report([long])).querySelectorAll("table")];
  const shown = [...table!.querySelectorAll("tbody tr")].map((r) =>
    [...r.children].slice(0, 2).map((c) => c.textContent)
  );
  assertEquals(shown, [["opening", "1–12"], ["A", "13–30"], ["within A", "31–60"]]);
  // Two passages before the first letter: only one of them opens the piece.
  const early = perBar.map((b, i) => ({ ...b, novelty: i === 6 ? 1 : 0 }));
  const late = bars.map(({ rehearsal: _mark, ...b }, i) => i === 40 ? { ...b, rehearsal: "A" } : b);
  const opening = {
    ...long,
    score: { ...long.score, bars: late },
    study: { ...long.study, freshness: { ...long.study.freshness, perBar: early } },
  };
  const [other] = [...pageOf(report([opening])).querySelectorAll("table")];
  const names = [...other!.querySelectorAll("tbody tr")].map((r) => r.children[0]!.textContent);
  assertEquals(names.filter((name) => name === "opening").length, 1, names.join(", "));
  assertEquals(names[1], "before A");
});

Deno.test("report() says that repeats are not played, where there are any", () => {
  const said = (score: Score) =>
    pageOf(report([{ ...entry, score }])).body.textContent!.includes("repeatsnot played");
  assertEquals(said(smallScore), false);
  const bars = smallScore.bars.map((b, i) => i === 1 ? { ...b, repeat: { times: 2 } } : b);
  assertEquals(said({ ...smallScore, bars }), true);
});

Deno.test("report() says once how to read a chart, and every sentence of its summary once", () => {
  const page = pageOf(report([entry, second]));
  const text = page.body.textContent ?? "";
  assertEquals(text.split("How to read it").length - 1, 2, "in the contents and above the key");
  assertEquals([...page.querySelectorAll(".key dt")].length, 12);
  const [section] = [...page.querySelectorAll("section")].filter((s) => s.querySelector("#study-1"));
  for (const line of section!.querySelectorAll("section > ul:not(.ways) > li")) {
    assertEquals((section!.textContent ?? "").split(line.textContent!).length, 2, line.textContent!);
  }
});

Deno.test("the report of the demo prints to 8 pages at most, with what is folded left out", async () => {
  await withReport(demoReport(), { width: 1280 }, async (page) => {
    const pdf = new TextDecoder("latin1").decode(await page.pdf({ preferCSSPageSize: true }));
    const pages = pdf.match(/\/Type\s*\/Page\b/g)!.length;
    assert(pages >= 4 && pages <= 8, `${pages} pages`);
    assertEquals(/\/MediaBox\s*\[0 0 59[45](\.\d+)? 84[12]/.test(pdf), true, "A4");
  });
});

Deno.test("the first printed page of the demo is filled and not overfilled by its settings side by side", async () => {
  const perMm = 96 / 25.4;
  await withReport(demoReport(), { width: Math.round((210 - 26) * perMm) }, async (page) => {
    await page.emulateMedia({ media: "print" });
    const bottom = await page.evaluate(
      `document.querySelector("#comparison").closest("section").getBoundingClientRect().bottom`,
    ) as number;
    const paper = (297 - 24) * perMm;
    assert(bottom > 0.75 * paper && bottom <= paper, `${Math.round(100 * bottom / paper)} % of the page`);
  });
});

Deno.test("no table of a report is cut at 1280 pixels, with everything unfolded", async () => {
  await withReport(demoReport(), { width: 1280 }, async (page) => {
    await page.evaluate(`document.querySelectorAll("details").forEach((d) => d.open = true)`);
    const cut = await page.evaluate(`[...document.querySelectorAll(".wide:has(table)")]
      .filter((box) => box.scrollWidth > box.clientWidth).map((box) => box.getAttribute("aria-label"))`);
    assertEquals(cut, []);
  });
});

Deno.test("on a phone the names of parts stay in view while the bars move under them, each on its row", async () => {
  await withReport(report([entry]), { width: 390 }, async (page) => {
    const seen = await page.evaluate(`[...document.querySelectorAll(".chart:has(.names)")].map((box) => {
      box.scrollLeft = 250;
      const names = box.querySelector(".names").getBoundingClientRect();
      const chart = box.querySelector("svg:not(.names)").getBoundingClientRect();
      const own = box.getBoundingClientRect();
      return { of: box.querySelector("svg:not(.names)").getAttribute("aria-label"), moved: box.scrollLeft, left: names.left - own.left, width: names.width, heights: [names.height, chart.height] };
    })`) as readonly { of: string; moved: number; left: number; width: number; heights: [number, number] }[];
    assertEquals(seen.map((chart) => chart.of.split(" ")[0]), ["Roles", "How", "Playability"]);
    for (const { moved, left, width, heights } of seen) {
      assertEquals(moved, 250);
      assert(left >= 0 && left < 3, `${left}`);
      assert(width > 40 && width < 200, `${width}`);
      assert(Math.abs(heights[0] - heights[1]) < 1, heights.join());
    }
  });
});

Deno.test("in the dark the charts are dark, and their words stand out (WCAG 2.2, 1.4.3: 4.5 to 1)", async () => {
  await withReport(report([entry]), { width: 1280, dark: true }, async (page) => {
    const colours = await page.evaluate(`[...document.querySelectorAll(".ripieno-chart")].map((chart) => {
      const { backgroundColor, color } = getComputedStyle(chart);
      return [backgroundColor, color].map((c) => c.match(/\\d+/g).slice(0, 3).map(Number));
    })`) as readonly (readonly [readonly number[], readonly number[]])[];
    assert(colours.length >= 6);
    const light = (rgb: readonly number[]) => {
      const [r, g, b] = rgb.map((v) => v / 255).map((v) =>
        v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4
      );
      return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
    };
    for (const [paper, ink] of colours) {
      assert(light(paper) < 0.05, paper.join());
      assert((light(ink) + 0.05) / (light(paper) + 0.05) >= 4.5);
    }
  });
});

Deno.test("in the dark the roles, curves and signs of charts are drawn in the colours of dark paper, in print in those of white", async () => {
  await withReport(demoReport(), { width: 1280, dark: true }, async (page) => {
    const coloursOf = async () =>
      await page.evaluate(`[...document.querySelectorAll("pattern rect")].map((rect) => ({
        role: rect.parentElement.id.split("-").at(-1),
        fill: getComputedStyle(rect).fill.match(/\\d+/g).map((v) => Number(v).toString(16).padStart(2, "0")).join(""),
      }))`) as readonly { readonly role: Role; readonly fill: string }[];
    const onDark = await coloursOf();
    assert(onDark.length > 50);
    for (const { role, fill } of onDark) assertEquals(`#${fill}`, DARK_COLOURS[`--ripieno-${role}`], role);
    await page.emulateMedia({ media: "print" });
    for (const { role, fill } of await coloursOf()) assertEquals(`#${fill}`, ROLE_LOOKS[role].fill, role);
  });
});

Deno.test("on a phone the names that stay hide no word of the legend above them", async () => {
  await withReport(report([entry]), { width: 390 }, async (page) => {
    const hidden = await page.evaluate(`[...document.querySelectorAll(".chart:has(.names)")].map((box) => {
      const names = box.querySelector(".names");
      const share = parseFloat(getComputedStyle(names).clipPath.match(/inset\\(([\\d.]+)%/)[1]) / 100;
      const own = names.getBoundingClientRect();
      const legend = box.querySelector("[aria-label=legend]").getBoundingClientRect();
      const first = box.querySelector("svg:not(.names) [aria-label=parts] text").getBoundingClientRect();
      const edge = own.top + share * own.height;
      return [edge - legend.bottom, first.top - edge];
    })`) as readonly (readonly [number, number])[];
    assertEquals(hidden.length, 3, "roles, how usual it is, playability");
    for (const [belowLegend, aboveNames] of hidden) {
      assert(belowLegend > -1, `${belowLegend}`);
      assert(aboveNames > -3, `${aboveNames}`);
    }
  });
});

Deno.test("on paper: what to read comes with the charts, a chart of many bars fills the width, no span of bars is broken in two", async () => {
  const bars = Array.from({ length: 240 }, (_, i) => ({
    ...smallScore.bars[0]!,
    number: String(i + 1),
    startTicks: i * smallScore.bars[0]!.durationTicks,
  }));
  const score = { ...smallScore, bars };
  const cells = bars.flatMap((_, barIndex) =>
    score.parts.map((_, part) => ({ ...smallTexture.cells[0]!, barIndex, part }))
  );
  const texture = { ...smallTexture, cells };
  const long: ReportEntry = {
    study: { ...smallStudy, freshness: freshness(score, { texture }) },
    score,
    texture,
  };
  // A4 less margins of 13 mm at 96 dots an inch.
  await withReport(report([long]), { width: 695 }, async (page) => {
    await page.emulateMedia({ media: "print" });
    const seen = await page.evaluate(`({
      key: document.querySelector("#reading").getBoundingClientRect().height,
      hint: document.querySelector(".on-screen").getBoundingClientRect().height,
      roles: document.querySelector(".chart:has(> .names) > svg").getBoundingClientRect().width,
      constants: document.querySelector("#settings").getBoundingClientRect().height,
      broken: [...document.querySelectorAll("th:has(.to-bar), td.s:has(.to-bar)")]
        .filter((cell) => cell.getBoundingClientRect().height > 30).map((cell) => cell.textContent),
    })`) as Record<"key" | "hint" | "roles" | "constants", number> & { readonly broken: readonly string[] };
    assert(seen.key > 10 && seen.hint === 0 && seen.constants === 0, JSON.stringify(seen));
    assert(seen.roles > 650, `${seen.roles}`);
    assertEquals(seen.broken, []);
    // Rows of bars are pictures of their own there, between which a page may end, with their marks in them.
    const heights = (of: string) =>
      page.evaluate(
        `[...document.querySelectorAll("${of}")].map((e) => e.getBoundingClientRect().height)`,
      ) as Promise<readonly number[]>;
    const [FIGURES, SYSTEMS] = ["figure:has(+ .systems)", ".systems > svg"];
    assertEquals(await heights(FIGURES), [0, 0], "roles, chords");
    const systems = await heights(SYSTEMS);
    assert(systems.length > 1 && systems.every((height) => height > 20 && height < 300), systems.join(", "));
    await page.emulateMedia({ media: "screen" });
    const [shown, hidden] = [await heights(FIGURES), await heights(SYSTEMS)];
    assert(
      shown.every((height) => height > 100) && hidden.every((height) => height === 0),
      hidden.join(", "),
    );
    await page.emulateMedia({ media: "print" });
    await page.evaluate(
      `document.querySelector("#settings").parentElement.querySelector("details").open = true`,
    );
    assert(
      await page.evaluate(`document.querySelector("#settings").getBoundingClientRect().height`) as number >
        10,
    );
  });
});

Deno.test("report() refuses to report on nothing", () => {
  assertThrows(() => report([]), InputError, "there is nothing to report on");
});

Deno.test("report() opens in a browser without an error, a request or a line that is too wide", async () => {
  const folder = await Deno.makeTempDir();
  const path = join(folder, "report.html");
  await Deno.writeTextFile(path, report([entry, second]));
  const browser = await sharedChromium();
  try {
    for (const width of [400, 1200]) {
      const page = await browser.newPage({ viewport: { width, height: 900 } });
      const errors: string[] = [];
      const requests: string[] = [];
      page.on("console", (message) => {
        if (message.type() === "error" || message.type() === "warning") errors.push(message.text());
      });
      page.on("pageerror", (error) => errors.push(error.message));
      page.on("request", (request) => requests.push(request.url()));
      await page.goto(pathToFileURL(path).href);
      await page.evaluate(`document.querySelectorAll("details").forEach((d) => d.open = true)`);
      const seen = await page.evaluate(`({
        charts: [...document.querySelectorAll("figure svg:not(.names)")].map((svg) => svg.getBoundingClientRect().height),
        wide: document.documentElement.scrollWidth,
        cut: [...document.querySelectorAll("figure svg:not(.names)")].flatMap((svg) => {
          const box = svg.getBoundingClientRect();
          return [...svg.querySelectorAll("text")].filter((text) => {
            const own = text.getBoundingClientRect();
            return own.right > box.right + 1 || own.left < box.left - 1 || own.bottom > box.bottom + 1;
          }).map((text) => text.textContent);
        }),
      })`) as { readonly charts: readonly number[]; readonly wide: number; readonly cut: readonly string[] };
      assertEquals(errors, []);
      assertEquals(requests, [pathToFileURL(path).href]);
      assertEquals(seen.charts.length, 26);
      assert(seen.charts.every((height) => height > 40));
      assertEquals(seen.wide, width);
      assertEquals(seen.cut, []);
      await page.close();
    }
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
});

Deno.test("report() loses no column of a table on paper, unfolded ones included", async () => {
  const [first] = smallStudy.playability.findings;
  const findings = Array.from({ length: 30 }, (_, i) => ({
    ...first!,
    part: i % 3,
    partName: `Contrabass Clarinet ${i} in Bb`,
    rule: `too soft for the register, rule ${i}`,
    unit: "notes per second",
    source: "Adler, The Study of Orchestration; Blatter, Instrumentation and Orchestration (recalled)",
    remedy: "Move it to a register that speaks softly, or give it to another instrument",
  }));
  const folder = await Deno.makeTempDir();
  const path = join(folder, "report.html");
  await Deno.writeTextFile(path, report([entryWith(findings), { ...entryWith(findings) }]));
  const browser = await sharedChromium();
  // A4 with margins of 1 cm at 96 dots an inch.
  const page = await browser.newPage({ viewport: { width: 718, height: 1047 } });
  try {
    await page.goto(pathToFileURL(path).href);
    await page.evaluate(`document.querySelectorAll("details").forEach((d) => d.open = true)`);
    await page.emulateMedia({ media: "print" });
    const seen = await page.evaluate(`[...document.querySelectorAll("table")].map((table) => ({
      caption: table.caption.textContent,
      right: table.getBoundingClientRect().right,
      height: table.getBoundingClientRect().height,
      cut: [...table.querySelectorAll("th, td")].filter((c) => c.scrollWidth > c.clientWidth + 1).map((c) => c.textContent),
    }))`) as readonly {
      readonly caption: string;
      readonly right: number;
      readonly height: number;
      readonly cut: readonly string[];
    }[];
    assert(seen.length > 10);
    const onPaper = seen.filter((t) => t.height > 10);
    assert(onPaper.some((t) => t.caption.startsWith("Findings")) && onPaper.length > 4);
    assertEquals(seen.filter((t) => t.right > 718).map((t) => t.caption), [], "tables wider than the paper");
    assertEquals(seen.flatMap((t) => t.cut), []);
  } finally {
    await page.close();
    await Deno.remove(folder, { recursive: true });
  }
});

Deno.test("report() says that sections were taken at their usual size where a score was read, and not of a plan", () => {
  const sections = {
    ...smallScore,
    parts: smallScore.parts.map((p) => p.instrument === "cello" ? { ...p, players: 8 } : p),
  };
  const factsOf = (origin: "written" | "recognised") =>
    pageOf(report([{ ...entry, score: sections, texture: { ...smallTexture, origin } }])).body.textContent ??
      "";
  assertStringIncludes(factsOf("recognised"), "players, sections taken at their usual size");
  assert(!factsOf("written").includes("usual size"));
});

Deno.test("where only tremolos are played, no legend, label or sentence of the page says trill", () => {
  const texture: Texture = {
    ...smallTexture,
    origin: "recognised",
    cells: smallTexture.cells.map((c) =>
      c.part === 2 && c.role !== "rest" ? { ...c, role: "trill", figure: "tremolo" } : c
    ),
  };
  const contribution = { ...smallStudy.momentum.perRole[0]!, role: "trill" as const };
  const study = {
    ...smallStudy,
    momentum: { ...smallStudy.momentum, perRole: [contribution, ...smallStudy.momentum.perRole] },
  };
  const page = pageOf(report([{ ...entry, study, texture }]));
  const words = [...page.querySelectorAll("main p, main dl:not(.constants), main li, main td")]
    .filter((e) => e.closest("#settings, #tables, details") === null)
    .map((e) => (e.textContent ?? "").replace("trills and tremolos", ""));
  assert(words.some((text) => text.includes("tremolo")));
  assertEquals(words.filter((text) => /\btrill\b/.test(text)), []);
  const charts = [
    roleTimelineChart(smallScore, texture),
    momentumChart(study.momentum, smallScore, { texture }),
    loudnessShareChart(smallStudy.balance, smallScore, { texture }),
  ];
  for (const chart of charts) assert(!/>trill</.test(chartSvg(chart)));
  assert(chartSvg(charts[0]!).includes(">tremolo<"));
});
