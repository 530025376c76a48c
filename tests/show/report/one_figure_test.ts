/** One thing has one figure: on the page, in the tables, and in the rows of the command line. */
import { assert, assertAlmostEquals, assertEquals, assertMatch } from "@std/assert";
import { parseHTML } from "linkedom";
import Papa from "papaparse";
import { demoPlans, demoSketch, realise, type Score, study, textureOf, unfoldRepeats } from "ripieno";
import { report, type ReportEntry, studyFiles, summarise } from "ripieno/show";
import { inShort } from "../../../lib/show/report/report_words.ts";
import { openScore } from "../../setup/open_scores.ts";
import { sharedFolder } from "../../setup/shared_data.ts";
import { someBars } from "../../setup/some_bars.ts";

/** Passages of movements as they are played: one that goes back to its first bar, one in 3/8, one without a tempo of its own. */
const PASSAGES = [
  ["Beethoven_Op.67_1.mxl", 60, 159],
  ["Brahms_Op.90_3.mxl", 0, 69],
  ["Bruckner_WAB.105_2.mxl", 0, 49],
] as const;

function entryOf(name: string, score: Score): ReportEntry {
  const texture = textureOf(score);
  return { study: study(score, { name, texture }), score, texture };
}

/** A passage, read and measured when it is first asked for. */
const known = new Map<string, ReportEntry>();

function passageIn(folder: URL, [file, from, to]: typeof PASSAGES[number]): ReportEntry {
  const score = unfoldRepeats(openScore(new URL(file, folder)));
  const entry = known.get(file) ?? entryOf(file, someBars(score, { from, to }));
  known.set(file, entry);
  return entry;
}

function* entries(): Generator<ReportEntry> {
  yield entryOf("rotating", realise(demoSketch(), demoPlans().rotating));
  const folder = sharedFolder("openscore-orchestra");
  if (folder === undefined) return;
  for (const passage of PASSAGES) yield passageIn(folder, passage);
}

type Row = Readonly<Record<string, string>>;

function tableOf(files: ReturnType<typeof studyFiles>, name: string): readonly Row[] {
  const content = String(files.find((f) => f.name === name)!.content);
  return Papa.parse<Row>(content, { header: true, skipEmptyLines: true }).data;
}

const numberIn = (text: string, pattern: RegExp) =>
  Number(pattern.exec(text.replaceAll("\u00a0", " "))?.[1] ?? NaN);
const sumOf = (values: readonly number[]) => values.reduce((a, b) => a + b, 0);

/** How many are named in a list that may end in `and 3 more`. */
function namedIn(words: string): number {
  return sumOf(words.split(/, | and /).map((name) => Number(/^(\d+) more$/.exec(name)?.[1] ?? 1)));
}

Deno.test("who leads, momentum, covered bars, changes and findings have one figure each wherever they stand", () => {
  for (const entry of entries()) {
    const { study: { freshness, momentum, balance }, score } = entry;
    const files = studyFiles([entry]);
    const bars = tableOf(files, "bars.csv");
    const summary = tableOf(files, "summary.csv");
    const [leads, drives, heard, fresh, asked] = inShort(entry);
    const html = String(files.find((f) => f.name === "report.html")!.content);
    const page = parseHTML(html).document as unknown as Document;

    // Bars a part leads in: each counts for one lead, so that all and those without one are the bars of the piece.
    const most = numberIn(leads!, /in (\d+) of/);
    assertEquals(numberIn(freshness.description[0]!, /in (\d+) of/), most);
    const said = leads!.replaceAll("\u00a0", " ");
    const names = said.replace(/ leads? (?:most|in).*/s, "").toLowerCase();
    const first = names.split(", ")[0]!.split(" + ")[0]!;
    const name = first.includes(" and ") ? first.split(" and ")[0]! : first;
    if (name !== "tutti") {
      const together = bars.filter((r) => r["lead"]!.toLowerCase().split(" + ").includes(name)).length;
      assert(most <= together, `${name}: ${most} of ${together}`);
    }
    const tied = / each\b/.test(said) ? namedIn(names) : 1;
    const counts = [...said.matchAll(/\((\d+)\)/g)].map((m) => Number(m[1]));
    assertEquals(
      sumOf([tied * most, ...counts]) + (numberIn(leads!, /nothing leads in (\d+)/) || 0),
      score.bars.length,
    );
    assertEquals(freshness.perBar.map((b) => b.lead), balance.perBar.map((b) => b.lead));
    const silent = bars.filter((r) => r["lead"] === "").length;
    if (silent > 0) {
      for (const text of [leads!, freshness.description[0]!]) {
        assertEquals(numberIn(text, /(?:nothing|nobody) leads in (\d+)/), silent);
      }
    }

    // As many leads as are counted bar by bar.
    const leadsSaid = counts.length + tied -
      (/other/.test(said) ? 1 - Number(/(\d+) others? \(/.exec(said)![1]) : 0);
    assertEquals(freshness.whole.distinctLeads, leadsSaid);
    assertEquals(numberIn(fresh!, /and (\d+) different lead/), leadsSaid);

    // Momentum of the whole is that of the passages and of the bars, over time.
    const overTime = (rows: readonly (readonly [momentum: number, seconds: number])[]) =>
      sumOf(rows.map(([m, s]) => m * s)) / sumOf(rows.map(([, s]) => s));
    const seconds = bars.map((r) => Number(r["duration_seconds"]));
    const ofBars = overTime(bars.map((r, b) => [Number(r["momentum"]), seconds[b]!]));
    const ofPassages = overTime(
      summarise(entry.study, score).map((
        r,
      ) => [r.momentum, sumOf(seconds.slice(r.fromBarIndex, r.toBarIndex + 1))]),
    );
    assertAlmostEquals(ofBars, momentum.whole.momentum, 1e-3);
    assertAlmostEquals(ofPassages, momentum.whole.momentum, 1e-3);
    assertAlmostEquals(numberIn(drives!, /Momentum is ([\d.]+)/), momentum.whole.momentum, 0.00501);

    // Covered bars.
    const covered = bars.filter((r) => r["audible_share"] !== "" && Number(r["audible_share"]) < 0.1).length;
    assertEquals(numberIn(heard!, /left\) in (\d+) bar/) || 0, covered);
    assertAlmostEquals(
      balance.whole.coveredShare! * bars.filter((r) => r["audible_share"] !== "").length,
      covered,
    );
    assertEquals(
      sumOf(
        balance.warnings.filter((w) => w.kind === "lead covered").map((w) =>
          w.toBarIndex + 1 - w.fromBarIndex
        ),
      ),
      covered,
    );

    // Changes: those of the sentence, of the table, and of the bars after the first in which nothing was left since one.
    const { length: changes } = freshness.changes;
    assertEquals(numberIn(fresh!, /has (\d+) change point/), changes);
    assertEquals(bars.slice(1).filter((r) => r["bars_since_change"] === "0").length, changes);
    const changesTable = [...page.querySelectorAll("table")].find((t) =>
      t.querySelector("caption")?.textContent?.startsWith("Change points")
    );
    assertEquals(changesTable!.querySelectorAll("tbody tr").length, changes);
    const longest = Math.max(...bars.map((r) => Number(r["bars_since_change"]))) + 1;
    assertEquals(numberIn(fresh!, /without one lasts (\d+) bar/), longest);

    // Findings, each counted once.
    const found = sumOf(["impossible", "risky", "tiring"].flatMap((s) => summary.map((r) => Number(r[s]))));
    assertEquals(numberIn(asked!, /^(\d+) finding/) || 0, found);
  }
});

/** Words that tell somebody what to do with a scoring. */
const ADVICE =
  /hand the tune|would expect a change|Change a colour|[Ww]ays? out|double the lead|two dynamics softer/;

Deno.test("a finished score is described; advice comes with plans, and on wish", () => {
  const folder = sharedFolder("openscore-orchestra");
  if (folder === undefined) return;
  const read = passageIn(folder, PASSAGES[0]);
  // What is said of players is not about the scoring; the explanation of the tables names columns, not what to do.
  const scoring = (html: string) =>
    [...parseHTML(html).document.querySelectorAll("h4, main > section:first-of-type li, summary")]
      .map((e) => (e as unknown as Element).textContent).join("\n");
  const plain = scoring(report([read]));
  assert(!ADVICE.test(plain), ADVICE.exec(plain)?.[0]);
  assertMatch(plain, /Where the lead sinks\n/);
  assertMatch(plain, /keeps? \d+ % of (its|their) loudness under the /);
  assertMatch(plain, /Nothing changes for \d+ bars/);
  const asked = scoring(report([read], { advise: true }));
  assertMatch(asked, /Where the lead sinks, and ways out/);
  assertMatch(asked, /hand the tune|would expect a change/);
  const plan = entryOf("held", realise(demoSketch(), demoPlans().held));
  assertMatch(scoring(report([plan])), ADVICE);
  assert(!ADVICE.test(scoring(report([plan], { advise: false }))));
  const remedies = (advise?: boolean) =>
    tableOf(studyFiles([read], advise === undefined ? {} : { advise }), "remedies.csv").length;
  assertEquals(remedies(), 0);
  assert(remedies(true) > 0);
});
