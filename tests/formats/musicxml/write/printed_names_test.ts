import { assert, assertEquals } from "@std/assert";
import { demoPlans, demoSketch, orchestra, realise } from "ripieno";
import { readMusicXml } from "../../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml, writePart } from "../../../../lib/formats/musicxml/write/write_musicxml.ts";
import { instrumentById } from "../../../../lib/instruments/catalogue.ts";
import { printedName } from "../../../../lib/instruments/names/printed_name.ts";
import { engrave } from "../../../setup/engraver.ts";
import { musicXmlValidator } from "../../../setup/music_xml_schema.ts";

/** A line of an instrument, as custom prints it. */
function printed(name: string, id: string, transposeSemitones = instrumentById(id).transposeSemitones) {
  return printedName({ name, instrument: instrumentById(id), transposeSemitones });
}

const texts = (xml: string, name: string) =>
  [...xml.matchAll(new RegExp(`<${name}(?: [^>]*)?>([^<]*)</${name}>`, "g"))].map((m) => m[1]!);

Deno.test("names on the page: the key stands where several are in use, and nowhere else", () => {
  const rows: readonly (readonly [name: string, id: string, full: string, short: string])[] = [
    ["Clarinet 1", "clarinet in A", "Clarinet in A 1", "Cl. in A 1"],
    ["Clarinet 2", "clarinet in Bb", "Clarinet in B♭ 2", "Cl. in B♭ 2"],
    ["Bass clarinet", "bass clarinet", "Bass clarinet in B♭", "B. Cl. in B♭"],
    ["Horn 3", "horn in F", "Horn in F 3", "Hn. in F 3"],
    ["Trumpet 1", "trumpet in C", "Trumpet in C 1", "Tpt. in C 1"],
    ["Cor anglais", "cor anglais", "Cor anglais", "C. A."],
    ["Alto saxophone", "alto saxophone", "Alto saxophone", "A. Sax."],
    ["Double basses", "double bass", "Double basses", "Db."],
    ["Violins II", "violin", "Violins II", "Vln. II"],
    ["Horns 1, 2", "horn in F", "Horns in F 1, 2", "Hn. in F 1, 2"],
  ];
  for (const [name, id, full, short] of rows) {
    const found = printed(name, id);
    assertEquals([found.full, found.short], [full, short]);
  }
  assertEquals(printed("Cor anglais", "cor anglais").plain, "C. A.");
  assertEquals(printed("Horn 1", "horn in F").plain, "Hn. 1");
});

Deno.test("names on the page: other languages, keys that are named, and parts at concert pitch stay as they are", () => {
  for (
    const name of ["Clarinetto 1", "Corno 2", "Klarinette", "Clarinet in B♭", "Horn in F 1", "Violas div."]
  ) {
    assertEquals(printed(name, "clarinet in Bb").full, name);
  }
  assertEquals(printed("Horn 1", "horn in F", 0).full, "Horn 1");
});

Deno.test("names on the page: every line of every orchestra is read back under its own name and with its own players", async () => {
  const score = realise(demoSketch(), demoPlans().rotating, { tacetParts: true, orchestra: orchestra() });
  const xml = writeMusicXml(score);
  const back = readMusicXml(xml);
  assertEquals(back.parts.map((p) => [p.name, p.players]), score.parts.map((p) => [p.name, p.players]));
  assert(texts(xml, "part-name").includes("Clarinet in B♭ 1"));
  assert(texts(xml, "part-abbreviation").includes("Hn. in F 4"));
  assertEquals(texts(writeMusicXml(back), "part-name"), texts(xml, "part-name"));
  assertEquals(musicXmlValidator()?.(xml) ?? [], []);
  assertEquals((await engrave(xml)).log, "");
});

Deno.test("a setting prints no chord symbols unless they are asked for; any other score prints its own", () => {
  const setting = realise(demoSketch(), demoPlans().held);
  assertEquals(texts(writeMusicXml(setting), "root-step"), []);
  assertEquals(texts(writeMusicXml(setting, { chordSymbols: 0 }), "root-step").length, setting.chords.length);
  const { score } = demoSketch();
  assertEquals(texts(writeMusicXml(score), "root-step").length, score.chords.length);
});

Deno.test("a rest of many bars is counted behind the marks of its first bar, so that they are printed", async () => {
  const score = realise(demoSketch(), demoPlans().rotating);
  const timpani = score.parts.findIndex((p) => p.name === "Timpani");
  const xml = writePart(score, timpani);
  const bars = xml.match(/<measure number[\s\S]*?<\/measure>/g)!;
  for (const bar of bars.filter((b) => b.includes("<multiple-rest>"))) {
    assert(bar.indexOf("<rehearsal>") < bar.indexOf("<multiple-rest>"));
  }
  const { svg, log } = await engrave(xml, { draw: true });
  assertEquals(log, "");
  for (const passage of ["Calm water", "Quickening", "Rapids"]) assert(svg.includes(passage), passage);
});
