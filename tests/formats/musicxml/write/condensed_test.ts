import { assert, assertEquals, assertThrows } from "@std/assert";
import { demoPlans, demoSketch, InputError, readPlan, realise } from "ripieno";
import { readMusicXml } from "../../../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../../../lib/formats/musicxml/write/write_musicxml.ts";
import { condensedScore } from "../../../../lib/formats/page/condensed.ts";
import { soundingNotes } from "../../../../lib/score/build.ts";
import { engrave } from "../../../setup/engraver.ts";
import { ANY_SKETCHS_FIGURES, generatedSetting } from "../../../setup/generated_settings.ts";
import { someBars } from "../../../setup/some_bars.ts";
import { musicXmlValidator } from "../../../setup/music_xml_schema.ts";
import { differences } from "../../compare_scores.ts";
import { line, partOf, scoreOf } from "../../small_scores.ts";

const texts = (xml: string, name: string) =>
  [...xml.matchAll(new RegExp(`<${name}(?: [^>]*)?>([^<]*)</${name}>`, "g"))].map((m) => m[1]!);

Deno.test("condensed score: rows by family at sounding pitch, a doubling written once and named", () => {
  const parts = [
    partOf("Piccolo", { instrument: "piccolo", transposeSemitones: 12, transposeSteps: 7 }),
    partOf("Flute 1"),
    partOf("Flute 2"),
    partOf("Horn 1", { instrument: "horn in F", transposeSemitones: -7, transposeSteps: -4 }),
    partOf("Snare drum", { instrument: "snare drum" }),
    partOf("Cellos", { instrument: "cello", players: 8 }),
    partOf("Double basses", {
      instrument: "double bass",
      players: 6,
      transposeSemitones: -12,
      transposeSteps: -7,
    }),
  ];
  const tune = [[2, 76], [2, 79]] as const;
  const score = scoreOf([{}], {
    parts,
    notes: [
      ...line(tune.map(([length, pitch]) => [length, pitch + 12] as const)),
      ...line(tune, { part: 1 }),
      ...line([[4, 72]], { part: 2 }),
      ...line([[4, 64]], { part: 3 }),
      ...line([[1, 38]], { part: 4, unpitched: true }),
      ...line([[4, 48]], { part: 5 }),
      ...line([[4, 36]], { part: 6 }),
    ],
  });
  const { score: condensed, words } = condensedScore(score);
  assertEquals(condensed.parts.map((p) => p.name), ["Woodwinds", "Horn 1", "Snare drum", "Strings"]);
  assertEquals(condensed.notes.map((n) => n.soundingPitch).sort((a, b) => a - b), [38, 48, 64, 72, 76, 79]);
  assertEquals(words.map((w) => w.map((each) => each.words)), [["Picc. 8va, Fl. 1, 2"], [], [], [
    "Vc., Db. 8vb",
  ]]);
});

Deno.test("condensed score: everything that sounds stands in it, or is named as a doubling of what does", () => {
  for (const plan of Object.values(demoPlans())) {
    const score = realise(demoSketch(), plan);
    const { score: condensed } = condensedScore(score);
    assert(condensed.parts.length <= 7);
    const written = new Set(
      condensed.notes.map((n) => `${n.onsetTicks} ${n.durationTicks} ${n.soundingPitch % 12}`),
    );
    for (const n of soundingNotes(score)) {
      assert(written.has(`${n.onsetTicks} ${n.durationTicks} ${n.soundingPitch % 12}`));
    }
  }
});

Deno.test("condensed score: the demo and generated settings are valid, engraved without complaint, and read back", async () => {
  const demo = Object.values(demoPlans()).map((plan) =>
    someBars(realise(demoSketch(), plan), { from: 12, to: 27 })
  );
  for (
    const score of [
      ...demo,
      ...[1, 2, 9, 12].map((seed) => generatedSetting(seed, { figures: ANY_SKETCHS_FIGURES }).score),
    ]
  ) {
    const { score: condensed } = condensedScore(score);
    const xml = writeMusicXml(score, { staves: "condensed" });
    assertEquals(musicXmlValidator()?.(xml) ?? [], []);
    assertEquals((await engrave(xml)).log, "");
    const back = readMusicXml(xml);
    assertEquals(back.parts.map((p) => p.name), condensed.parts.map((p) => p.name));
    // Where voices sound at once, a slur may be drawn to another voice's note; what sounds is the same.
    // Whether slashes are counted is told by how quick their strokes are.
    // Ways of playing are said with the names of those who play so, and are read as of all on the stave.
    const leaveOut = ["spelling", "dynamic", "directions", "tremolo", "technique"];
    assertEquals(differences(condensed, back, leaveOut), [], score.source);
  }
});

Deno.test("condensed score: ways of playing are said with the names of those who play so, and where they end", () => {
  const rows = readPlan(
    `passage,from_bar,to_bar,role,parts,technique\n` +
      `A,1,8,lead,Violins I,con sordino\nA,1,8,pad,Violins II + Violas,pizzicato\nA,1,8,bass,Cellos,\n` +
      `B,9,16,lead,Violas,\nB,9,16,pad,Violins I + Violins II,\nB,9,16,bass,Cellos,pizzicato\n`,
  );
  const score = realise(demoSketch(), rows);
  const said = condensedScore(score).words.flat().map((w) => w.words);
  assertEquals(said[0], "Vln. I con sord.");
  assert(said.some((words) => /Vln\. II, Vla\. pizz\./.test(words)), said.join(" | "));
  assert(said.some((words) => /Vla\. arco/.test(words)), said.join(" | "));
  assert(said.some((words) => /Vln\. I senza sord\./.test(words)), said.join(" | "));
  assert(said.some((words) => /Vc\. pizz\./.test(words)), said.join(" | "));
  // Nothing over the stave speaks for all on it.
  const xml = writeMusicXml(score, { staves: "condensed" });
  assert(!/<words[^>]*>(pizz\.|con sord\.|arco|senza sord\.)<\/words>/.test(xml));
});

Deno.test("condensed score: a stave is as loud as the loudest who has come in", () => {
  const plan = readPlan(
    `passage,from_bar,to_bar,role,parts,dynamic\nA,1,8,pad,Flutes,pp\nA,1,8,lead,Oboe 1,f\n`,
  );
  const score = realise(demoSketch(), plan);
  const half = 2 * score.ticksPerQuarter;
  const oboe = score.parts.findIndex((p) => p.name === "Oboe 1");
  // The lead comes in with the second half of the first bar.
  const later = { ...score, notes: score.notes.filter((n) => n.part !== oboe || n.onsetTicks >= half) };
  const { score: condensed } = condensedScore(later);
  const at = (ticks: number) =>
    condensed.notes.filter((n) => n.onsetTicks === ticks && n.staff === 1).map((n) => n.dynamic);
  assertEquals([...new Set(at(0))], [2]);
  assert(condensed.notes.some((n) => n.onsetTicks >= half && n.dynamic === 6));
});

Deno.test("condensed score: names change where the scoring does, not from bar to bar", () => {
  const score = realise(demoSketch(), demoPlans().rotating);
  const { words } = condensedScore(score);
  const bars = new Set(score.layers!.map((l) => l.fromBarIndex));
  for (const { words: names } of words.flat()) {
    for (const [, numbers] of names.matchAll(/\. ([\dIV]+(?:, [\dIV]+)+)/g)) {
      const each = numbers!.split(", ");
      assertEquals(new Set(each).size, each.length, names);
    }
  }
  for (const row of words) assert(row.length <= 5 * bars.size, row.map((w) => w.words).join(" | "));
});

Deno.test("sketch: the tune stands on top as one line under the chord symbols, and only a setting has one", async () => {
  const score = realise(demoSketch(), demoPlans().rotating);
  for (const staves of ["single", "shared", "condensed"] as const) {
    const xml = writeMusicXml(score, { staves, sketch: true });
    assertEquals(musicXmlValidator()?.(xml) ?? [], []);
    assertEquals((await engrave(xml)).log, "");
    const [first, second] = xml.match(/<part id[\s\S]*?<\/part>/g)!;
    assertEquals(texts(first!, "root-step").length, score.chords.length);
    assertEquals(texts(second!, "root-step").length, 0);
    assert(!first!.includes("<dynamics>") && !first!.includes("<chord/>"));
    const back = readMusicXml(xml);
    const pitchClasses = (notes: readonly { readonly soundingPitch: number }[]) =>
      notes.map((n) => n.soundingPitch % 12);
    assertEquals(
      pitchClasses(back.notes.filter((n) => n.part === 0)),
      pitchClasses(demoSketch().tune.filter((n) => n.soundingPitch > 0)),
    );
  }
  assert(!writeMusicXml(score, { sketch: true, chordSymbols: "none" }).includes("<harmony>"));
  const plain = scoreOf([{}], { notes: line([[4, 60]]) });
  assertThrows(
    () => writeMusicXml(plain, { sketch: true }),
    InputError,
    "nothing in the score says who leads",
  );
});

Deno.test("condensed score: a voice has no rest while another of its stave sounds, and rests where nobody does", () => {
  const parts = [partOf("Flute 1"), partOf("Oboe 1", { instrument: "oboe" })];
  const score = scoreOf([{}, {}], {
    parts,
    notes: [
      // A quarter over a half note: of the rests after it one is heard, where both are silent.
      ...line([[1, 84]], { part: 0 }),
      ...line([[2, 76]], { part: 1 }),
    ],
  });
  const xml = writeMusicXml(score, { staves: "condensed" });
  const rests = (text: string) => (text.match(/<rest\b/g) ?? []).length;
  const [, first] = /<measure number="1">([\s\S]*?)<\/measure>/.exec(xml)!;
  assertEquals(rests(first!), 1);
  assertEquals(rests(writeMusicXml(score, { staves: "shared" })) > rests(xml), true);
  assertEquals(differences(condensedScore(score).score, readMusicXml(xml), ["spelling", "dynamic"]), []);
});
