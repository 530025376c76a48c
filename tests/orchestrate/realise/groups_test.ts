/** Metres counted in groups: from the field of a tune through the figures to beams and ties on the page. */
import { assert, assertEquals } from "@std/assert";
import { readAbc } from "../../../lib/formats/abc/read_abc.ts";
import { readMusicXml } from "../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../lib/formats/musicxml/write/write_musicxml.ts";
import { sketchOf } from "../../../lib/orchestrate/plan/sketch.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { recognise } from "../../../lib/texture/recognise/recognise.ts";
import { notesOf, wholePlan } from "../sketches.ts";

function sketchIn(metre: string, body: string) {
  return sketchOf(
    readAbc(`X:1\nT:Weir\nM:${metre}\nL:1/8\nQ:1/4=120\nK:Bb\n${body}\n`, { file: "weir.abc" }),
  );
}

const TUNE = `"Bb" d3 B2 c2 | "Eb" e3 g2 f2 | "F7" c3 e2 d2 | "Bb" B7 |]`;

Deno.test("groups of a metre are read from ABC, and kept through MusicXML", () => {
  for (
    const [field, groups] of [["3+2+2/8", [3, 2, 2]], ["(2+3+2)/8", [2, 3, 2]], ["7/8", undefined]] as const
  ) {
    const { score } = sketchIn(field, TUNE);
    for (const bar of score.bars) {
      assertEquals([bar.beats, bar.beatUnit, bar.groups], [7, 8, groups as never]);
    }
    const again = readMusicXml(writeMusicXml(score));
    assertEquals(again.bars.map((b) => b.groups), score.bars.map((b) => b.groups));
  }
});

Deno.test("figures begin anew with each group, and so do beams", () => {
  const beamsOf = (xml: string, part: number) =>
    [...xml.split("<part id=")[part + 1]!.split("<measure ")[1]!.matchAll(/<beam number="1">(\w+)</g)].map((
      m,
    ) => m[1]);
  for (
    const [field, onsets, beams] of [
      ["3+2+2/8", [0, 1, 1.5, 2.5], "begin continue end begin end begin end"],
      ["2+2+3/8", [0, 1, 2, 3], "begin end begin end begin continue end"],
      ["7/8", [0, 1, 2, 3], "begin end begin end begin continue end"],
    ] as const
  ) {
    const sketch = sketchIn(field, TUNE);
    const score = realise(
      sketch,
      wholePlan(
        sketch,
        { role: "pulse", figure: "repeated quarters", parts: ["Violas"] },
        { role: "pulse", figure: "repeated eighths", parts: ["Violins II"] },
      ),
    );
    const end = score.bars[0]!.durationTicks;
    const inFirst = notesOf(score, "Violas").filter((n) => n.onsetTicks < end);
    assertEquals(inFirst.map((n) => n.onsetTicks / score.ticksPerQuarter), [...onsets], field);
    assertEquals(beamsOf(writeMusicXml(score), 0).join(" "), beams, field);
  }
});

Deno.test("no note value of a tune in groups hides where a group begins", () => {
  const { score } = sketchIn("3+2+2/8", `"Bb" d5 c2 | "Bb" d7 |]`);
  const again = readMusicXml(writeMusicXml(score));
  // Five eighths are a dotted quarter and a quarter.
  assertEquals(again.notes[0]!.notation?.heads?.map((ticks) => ticks * 2 / again.ticksPerQuarter), [3, 2]);
});

// Common practice, no source.
Deno.test("plain eighths in 4/4 stand under one beam by halves, with other values by beats", () => {
  const xml = writeMusicXml(
    readAbc("X:1\nT:Race\nM:4/4\nL:1/8\nQ:1/4=100\nK:C\ncdef gfed | c/d/e fg abc'2 |]\n", {
      file: "race.abc",
    }),
  );
  const bars = xml.split("<measure ").slice(1).map((bar) =>
    [...bar.matchAll(/<beam number="1">(\w+)</g)].map((m) => m[1]).join(" ")
  );
  assertEquals(bars[0], "begin continue continue end begin continue continue end");
  assert(bars[1]!.startsWith("begin continue end begin end"), bars[1]);
});

Deno.test("where the time signature has no groups, the beams of the tune show them", () => {
  for (
    const [metre, body, groups] of [
      ["7/8", `"Bb" def Bc dc | "Eb" efg g2 f2 | "F7" cde e2 d2 | "Bb" B7 |]`, [3, 2, 2]],
      ["7/8", `"Bb" dB cde BA | "Eb" e2 gfe f2 | "Bb" B7 |]`, [2, 3, 2]],
      // Two groups of two may stand under one beam; 2+2+3 is how seven is counted without a word.
      ["7/8", `"Bb" dBcd efg | "Bb" B7 |]`, undefined],
      ["5/8", `"Bb" dB cde | "Bb" B5 |]`, [2, 3]],
      ["5/8", `"Bb" dBc de | "Bb" B5 |]`, undefined],
      ["8/8", `"Bb" dBc def ga | "Bb" B8 |]`, [3, 3, 2]],
      ["8/8", `"Bb" dB cd ef ga | "Bb" B8 |]`, undefined],
      ["9/8", `"Bb" dB cd ef gab | "Bb" B9 |]`, [2, 2, 2, 3]],
      ["9/8", `"Bb" dBc def gab | "Bb" B9 |]`, undefined],
      // No beam anywhere says nothing, and two ways that fit equally say nothing.
      ["7/8", `"Bb" d3 B2 c2 | "Bb" B7 |]`, undefined],
      ["7/8", `"Bb" d e f B c d c | "Bb" B7 |]`, undefined],
      // 6/8 stays in threes, and quarters are never asked.
      ["6/8", `"Bb" dB cd ef | "Bb" B6 |]`, undefined],
      ["5/4", `"Bb" dB cd ef ga bc' | "Bb" B10 |]`, undefined],
    ] as const
  ) {
    const { score } = sketchIn(metre, body);
    assertEquals(score.bars[0]!.groups, groups as never, body);
    assertEquals(score.bars[0]!.groupsFrom, groups && "beams", body);
    const xml = writeMusicXml(score);
    assert(!xml.includes("+"), "the time signature stays as it is");
    assertEquals(readMusicXml(xml).bars.map((b) => b.groups), score.bars.map((b) => b.groups), body);
  }
});

Deno.test("a pickup and rests between do not change what beams show", () => {
  const { score } = sketchIn("7/8", `"Bb" BA | "Bb" def Bc dc | "Eb" zfg g2 f2 | "Bb" B7 |]`);
  assertEquals(score.bars[1]!.groups, [3, 2, 2]);
});

// Common practice, no source: a bass marks the groups, and does not strike within one.
Deno.test("a bass has one stroke for each group of 5/8, 7/8 and 8/8, and is read back", () => {
  for (
    const [field, own] of [
      ["(2+2+3)/8", [2, 2, 3]],
      ["3+2+2/8", [3, 2, 2]],
      ["3+2/8", [3, 2]],
      ["2+3/8", [2, 3]],
      ["3+3+2/8", [3, 3, 2]],
    ] as const
  ) {
    const bar = `d${own.reduce<number>((a, b) => a + b, 0)}`;
    const sketch = sketchIn(field, `"Bb" ${bar} | "Eb" ${bar} | "F7" ${bar} | "Bb" ${bar} |]`);
    const setting = realise(
      sketch,
      wholePlan(sketch, { role: "lead", parts: ["Violins I"] }, {
        role: "bass",
        figure: "bass on every quarter",
        parts: ["Double basses"],
      }),
    );
    const eighth = setting.ticksPerQuarter / 2;
    const { startTicks, durationTicks } = setting.bars[1]!;
    const lengths = notesOf(setting, "Double basses")
      .filter((n) => n.onsetTicks >= startTicks && n.onsetTicks < startTicks + durationTicks)
      .map((n) => n.durationTicks / eighth);
    assertEquals(lengths, [...own], field);
    const part = setting.parts.findIndex((p) => p.name === "Double basses");
    for (const cell of recognise(setting).cells.filter((c) => c.part === part)) {
      assertEquals(`${cell.role}: ${cell.figure}`, "bass: bass on every quarter", field);
    }
  }
});
