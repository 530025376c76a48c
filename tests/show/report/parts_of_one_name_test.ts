/** Parts that a score calls the same are told apart in every measure, table, chart and sentence. */
import { assert, assertEquals, assertStrictEquals } from "@std/assert";
import fc from "fast-check";
import { demoPlans, demoSketch, realise, type Score, study, textureOf } from "ripieno";
import { attribution } from "ripieno/measures";
import { report, studyFiles, summarise } from "ripieno/show";
import { entriesToldApart } from "../../../lib/show/report/report_entry.ts";

const played = realise(demoSketch(), demoPlans().rotating);

/** The demo with its parts called otherwise, and no plan to go by. */
function called(nameOf: (part: number) => string): Score {
  const { layers: _layers, ...score } = played;
  return { ...score, parts: score.parts.map((part, p) => ({ ...part, name: nameOf(p) })) };
}

function entryOf(score: Score) {
  return { score, texture: textureOf(score), study: study(score) };
}

const rowsOf = (files: ReturnType<typeof studyFiles>, name: string): readonly string[] =>
  String(files.find((f) => f.name === name)!.content).trim().split("\r\n").slice(1);

Deno.test("a report counts no part for more bars than there are, whatever the parts are called", () => {
  const names = fc.array(fc.constantFrom("Violin", "Violin II", "Horn", "Violini I div.", "Flute"), {
    minLength: played.parts.length,
    maxLength: played.parts.length,
  });
  fc.assert(
    fc.property(names, (list) => {
      const entry = entryOf(called((p) => list[p]!));
      const said = summarise(entry.study, entry.score).map((row) => row.lead);
      for (const lead of said) {
        const all = Number(/ of (\d+) bars/.exec(lead)?.[1] ?? Infinity);
        const counts = [...lead.matchAll(/\((\d+)[ )]/g)].map((m) => Number(m[1]));
        assert(counts.reduce((a, b) => a + b, 0) <= all, lead);
      }
      const { balance, freshness, playability } = entry.study;
      assertEquals(new Set(playability.perPart.map((p) => p.partName)).size, list.length);
      assertEquals(new Set(freshness.leads.map((l) => l.partName)).size, freshness.leads.length);
      for (const { lead } of balance.perBar) {
        assertEquals(new Set(lead.split(" + ")).size, lead.split(" + ").length);
      }
    }),
    { numRuns: 5 },
  );
});

Deno.test("tables, charts and the shares of parts have a row for every part, though all are called Violin", () => {
  const score = called(() => "Violin");
  const [apart, own] = [entryOf(score), entryOf(played)];
  const files = studyFiles([apart]);
  const parts = new Set(
    rowsOf(files, "roles.csv").map((row) => row.split(",").find((c) => /^Violin/.test(c))),
  );
  assertEquals(parts.size, score.parts.length);
  const html = report([apart]);
  for (const [, names] of html.matchAll(/<g aria-label="parts"[^>]*>(.*?)<\/g>/gs)) {
    const shown = [...names!.matchAll(/<text[^>]*>([^<]*)/g)].map((m) => m[1]);
    assertEquals(new Set(shown).size, shown.length);
  }
  assertEquals(
    attribution(score, { by: "part" }).rows.length,
    attribution(called((p) => played.parts[p]!.name), { by: "part" }).rows.length,
  );
  assertEquals(apart.study.playability.whole, own.study.playability.whole);
});

Deno.test("what is worked out of an entry is worked out once: telling its parts apart gives one entry each time", () => {
  const entry = entryOf(played);
  assertStrictEquals(entriesToldApart([entry])[0], entry);
  const twins = { ...entry, score: called(() => "Violin") };
  const [told] = entriesToldApart([twins]);
  assertStrictEquals(entriesToldApart([twins])[0], told);
  assertStrictEquals(entriesToldApart([told!])[0], told);
  assertEquals(new Set(told!.score.parts.map((part) => part.name)).size, played.parts.length);
});
