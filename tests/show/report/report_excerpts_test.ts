import { assert, assertEquals, assertRejects, assertStringIncludes } from "@std/assert";
import { demoPlans, demoSketch, InputError, realise, study, textureOf } from "ripieno";
import type { Score } from "ripieno";
import { chartSvg, report, reportExcerpts } from "ripieno/show";
import { once } from "../../../lib/base/memo.ts";
import { openScore } from "../../setup/open_scores.ts";
import { sharedFolder } from "../../setup/shared_data.ts";
import { someBars } from "../../setup/some_bars.ts";

const entryOf = (score: Score, name: string) => {
  const texture = textureOf(score);
  return { score, texture, study: study(score, { name, texture }) };
};
const plans = demoPlans();
const settings = [plans.held, plans.rotating].map((plan) => entryOf(realise(demoSketch(), plan), plan.name));

/** Excerpts of the settings, engraved once. */
const excerptsOf = once(() => reportExcerpts(settings));

Deno.test("a report shows its turns and the first of each kind of finding in notes, beside them", async () => {
  const excerpts = await excerptsOf();
  assert(excerpts.length > 4 && excerpts.length <= 12);
  const html = report(settings, { excerpts });
  assertEquals(html.split('<details class="in-notes"').length - 1, excerpts.length);
  assertEquals(report(settings).includes("in-notes"), false);
  // Nothing of another study, and where it belongs: turns after freshness, findings after what players stumble over.
  const sections = html.split(/<h2 id="study-\d">/).slice(1);
  for (const [study, section] of sections.entries()) {
    const own = excerpts.filter((e) => e.study === study);
    assertEquals(section.split('<details class="in-notes"').length - 1, own.length);
    const [before = "", after = ""] = section.split("<h3>Freshness</h3>");
    const afterwards = ["turn", "playability"];
    assertEquals(
      after.split("In notes,").length - 1,
      own.filter((e) => afterwards.includes(e.subject)).length,
    );
    assertEquals(
      before.split("In notes,").length - 1,
      own.filter((e) => !afterwards.includes(e.subject)).length,
    );
  }
});

Deno.test("excerpts are two to three bars of parts that play there, and every turn shows who changes", async () => {
  const excerpts = await excerptsOf();
  for (const { study, subject, fromBarIndex, toBarIndex, parts, picture, words } of excerpts) {
    const { score, texture, study: { freshness } } = settings[study]!;
    assert(toBarIndex - fromBarIndex >= 1 && toBarIndex - fromBarIndex <= 2, words);
    assert(parts.length >= 1 && parts.length <= 8);
    const svg = chartSvg(picture);
    assertEquals([...svg.matchAll(/<g class="label(?:Abbr)?">/g)].length % parts.length, 0);
    if (subject !== "turn") continue;
    const barIndex = fromBarIndex + 1;
    assert(freshness.changes.some((c) => c.barIndex === barIndex));
    const roleIn = (bar: number, part: number) => texture.cells[bar * score.parts.length + part]!.role;
    for (const part of parts) assert(roleIn(barIndex - 1, part) !== roleIn(barIndex, part));
  }
  const turns = excerpts.filter((e) => e.subject === "turn" && e.study === 1);
  assertEquals(turns.length, Math.min(settings[1]!.study.freshness.changes.length, turns.length));
  assert(turns.length >= 3);
});

Deno.test("a font stands in a page once, and every id is one element's", async () => {
  const html = report(settings, { excerpts: await excerptsOf() });
  assertEquals(html.split("font-family: 'Leipzig'").length - 1, 1);
  const ids = [...html.matchAll(/ id="([^"]*)"/g)].map((m) => m[1]!);
  assertEquals(ids.filter((id, i) => ids.indexOf(id) !== i), []);
  const known = new Set(ids);
  for (const [, id] of html.matchAll(/href="#(engraving[^"]*)"/g)) assert(known.has(id!), id);
  assertStringIncludes(html, "notation, scrolls sideways");
});

Deno.test("a finished movement: excerpts of what was read off its notes", async () => {
  const folder = sharedFolder("openscore-orchestra");
  if (!folder) return;
  const file = "Beach_Op.32_2.mxl";
  const score = openScore(new URL(file, folder));
  const entry = entryOf(someBars(score, { from: 0, to: 79 }), file);
  const excerpts = await reportExcerpts([entry]);
  assert(excerpts.length >= 5 && excerpts.length <= 12);
  assert(excerpts.some((e) => e.subject === "turn") && excerpts.some((e) => e.subject === "playability"));
  assertEquals(excerpts.some((e) => e.subject === "voice leading"), false);
});

Deno.test("what are no studies is refused in words", async () => {
  await assertRejects(() => reportExcerpts([{}] as never), InputError, "list of studies");
});
