import { assert, assertEquals } from "@std/assert";
import fc from "fast-check";
import { demoSketch, momentum, playability, realise } from "ripieno";
import { readMusicXml } from "../../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../../lib/formats/musicxml/write/write_musicxml.ts";
import { assign, type AssignmentInput } from "../../../../lib/orchestrate/plan/plan.ts";
import type { Articulation, Score } from "../../../../lib/score/model.ts";
import { engrave } from "../../../setup/engraver.ts";
import { musicXmlValidator } from "../../../setup/music_xml_schema.ts";
import { differences } from "../../compare_scores.ts";
import { line, partOf, scoreOf } from "../../small_scores.ts";

const count = (xml: string, element: string) => xml.split(`<${element}`).length - 1;
const words = (xml: string) => [...xml.matchAll(/<words>([^<]*)</g)].map((m) => m[1]!);

/** One layer over the first bars of the demo's tune. */
function layer(assignment: AssignmentInput): Score {
  const assignments = [assign(assignment)];
  return realise(demoSketch(), {
    name: "layer",
    passages: [{ name: "All", fromBar: 1, toBar: 4, assignments }],
  });
}

const sameStrokes = (score: Score) => {
  const { layers: _, ...plain } = score;
  return differences(plain, readMusicXml(writeMusicXml(score)), ["spelling"]);
};

Deno.test("spiccato is dots under a word that says so once, and is read back as spiccato", async () => {
  const score = layer({
    role: "pulse",
    figure: "repeated eighths",
    parts: ["Violas"],
    articulation: "spiccato",
  });
  const xml = writeMusicXml(score);
  assertEquals([count(xml, "spiccato"), count(xml, "staccato"), words(xml)], [0, score.notes.length, [
    "spicc.",
  ]]);
  assertEquals(sameStrokes(score), []);
  assertEquals(musicXmlValidator()?.(xml) ?? [], []);
  assertEquals((await engrave(xml)).log, "");
  const back = readMusicXml(xml);
  assertEquals(count(writeMusicXml(back), "staccato"), score.notes.length);
  assertEquals(sameStrokes(back), []);
});

Deno.test("spiccato: whatever dots come before, between and after, each note keeps its own sign", () => {
  const sign = fc.constantFrom<readonly Articulation[]>([], ["spiccato"], ["staccato"], ["accent"], [
    "spiccato",
    "accent",
  ]);
  const violin = partOf("Violins I", { instrument: "violin", players: 12 });
  fc.assert(fc.property(fc.array(fc.tuple(sign, fc.boolean()), { minLength: 1, maxLength: 16 }), (signs) => {
    const notes = signs.map(([articulations, plucked], at) => ({
      at,
      length: 1,
      pitch: 67 + at % 3,
      articulations,
      ...(plucked ? { technique: "pizzicato" as const } : {}),
    }));
    const score = scoreOf(Array.from({ length: 4 }, () => ({})), { parts: [violin], notes });
    assertEquals(sameStrokes(score), []);
  }));
});

Deno.test("spiccato: a sign without a word stays the sign it was", () => {
  const violin = partOf("Violins I", { instrument: "violin", players: 12 });
  const score = scoreOf([{}], {
    parts: [violin],
    notes: line([[1, 67], [1, 69]], { articulations: ["spiccato"] }),
  });
  const signed = writeMusicXml(score).replaceAll("<staccato/>", "<spiccato/>").replace(
    /<words>spicc\.<\/words>/,
    "<words>leggiero</words>",
  );
  const again = writeMusicXml(readMusicXml(signed));
  assertEquals([count(again, "spiccato"), count(again, "staccato")], [2, 0]);
});

Deno.test("portato has its signs under a slur where bow or breath joins the notes, repeated ones too; keys have the signs alone", async () => {
  const strings = layer({
    role: "pulse",
    figure: "repeated quarters",
    parts: ["Violas"],
    articulation: "portato",
  });
  const xml = writeMusicXml(strings);
  assertEquals(count(xml, "detached-legato"), strings.notes.length);
  assertEquals(count(xml, 'slur type="start"') > 0, true);
  assertEquals(count(xml, 'slur type="start"'), count(xml, 'slur type="stop"'));
  assertEquals(sameStrokes(strings), []);
  assertEquals((await engrave(xml)).log, "");
  const keys = layer({
    role: "pulse",
    figure: "repeated quarters",
    parts: ["Piano"],
    articulation: "portato",
  });
  assertEquals(count(writeMusicXml(keys), "slur"), 0);
});

Deno.test("portato drives as broad strokes do, with its slur or without", () => {
  const [portato, tenuto] = (["portato", "tenuto"] as const).map((articulation) =>
    layer({ role: "pulse", figure: "repeated quarters", parts: ["Violas"], articulation })
  );
  assert(portato!.notes.some((n) => n.slurred));
  const [a, b] = [portato!, tenuto!].map((score) => momentum(score).whole.momentum);
  assert(Math.abs(a! / b! - 1) < 0.01, `${a} ${b}`);
  assertEquals(playability(portato!).findings.filter((f) => f.severity === "impossible"), []);
});
