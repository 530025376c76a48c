/**
 * What a page says to the eye comes back: source XML and written XML are compared directly, by a small extractor
 * that shares no code with the reader or the writer. What differs is counted exactly and argued.
 */
import { assertEquals } from "@std/assert";
import { demoPlans, demoSketch, realise, type Score } from "ripieno";
import { decodePieces } from "../../lib/formats/files/decode.ts";
import { readMusicXml } from "../../lib/formats/musicxml/read/read_musicxml.ts";
import { writeMusicXml } from "../../lib/formats/musicxml/write/write_musicxml.ts";
import { bendTempo } from "../../lib/score/bend_tempo.ts";
import { unfoldRepeats } from "../../lib/score/unfold_repeats.ts";
import { newComplaints } from "../setup/engraver.ts";
import { musicXmlIn } from "../setup/music_xml_in.ts";
import { musicXmlValidator } from "../setup/music_xml_schema.ts";
import { factDifferences, musicXmlFacts } from "../setup/music_xml_facts.ts";
import { sharedFolder } from "../setup/shared_data.ts";
import { differences } from "./compare_scores.ts";

/** Facts of a subject that are lost and added, and why. */
type Argued = Readonly<Record<string, readonly [lost: number, added: number, why: string]>>;

/** Counts of a table, to compare with what was found. */
const countsOf = (argued: Argued) =>
  Object.fromEntries(Object.entries(argued).map(([subject, [lost, added]]) => [subject, [lost, added]]));

/** What is written of a source and read again: counts of what differs, added to a table. */
function compareTo(table: Record<string, [number, number]>, source: string, file: string): string {
  const score = readMusicXml(source, { file });
  const written = writeMusicXml(score);
  const facts = musicXmlFacts(written);
  for (const { subject, lost, added } of factDifferences(musicXmlFacts(source), facts)) {
    const counts = table[subject] ??= [0, 0];
    counts[0] += lost.length;
    counts[1] += added.length;
  }
  const again = readMusicXml(written);
  assertEquals([file, differences(score, again)], [file, []]);
  // What was written once is written the same again: to the letter, or at least to the eye.
  const writtenAgain = writeMusicXml(again);
  if (writtenAgain !== written) {
    assertEquals([file, factDifferences(facts, musicXmlFacts(writtenAgain))], [file, []]);
  }
  return written;
}

const sorted = (table: Readonly<Record<string, readonly number[]>>) =>
  Object.fromEntries(Object.entries(table).sort(([a], [b]) => (a < b ? -1 : 1)));

const ON_RESTS = "a rest is no note of a score, so nothing hangs on it but a pause";
const NO_DYNAMIC = "text in place of a dynamic that is none stands as words";

const OLD_HORNS = "horns in the bass clef of old are read an octave higher, and written as horns are today";

const ARGUED_MOVEMENTS: Argued = {
  "articulations": [
    53,
    0,
    `51 of another kind that the file does not name; two breaths and caesuras: ${ON_RESTS}`,
  ],
  "double bars": [
    30,
    0,
    "at the end of the piece and at a repeat the bar line is that of the end or the repeat",
  ],
  "dynamics": [1, 0, NO_DYNAMIC],
  "endings": [0, 1, "a last bracket that the file leaves open ends with the repeat or the piece"],
  "head shapes": [1, 0, "one note drawn without a head, tied to a head before it"],
  "heads": [13, 13, OLD_HORNS],
  "notes": [11, 11, OLD_HORNS],
  "ornaments": [4, 0, `two wavy lines end on rests: ${ON_RESTS}`],
  "slurs": [10, 0, `nine begin and one ends on a rest: ${ON_RESTS}`],
  "values": [13, 13, OLD_HORNS],
  "voices": [
    13,
    14,
    `${OLD_HORNS}; ties from one voice to another are one note, in the voice it begins in; heads of unequal length in one
    chord are voices of their own`,
  ],
  "words": [
    0,
    6,
    `one: ${NO_DYNAMIC}; five times arco, where the source only says how to play it back or forgets to`,
  ],
};

const NO_METRE = "files without a clef, metre or divisions get the usual ones, as the format says";
const NOT_KEPT = "not kept, and counted among the notices";
const UNUSUAL =
  "lengths of four whole notes, four dots, doubled tuplets, and types that the durations contradict";

const ARGUED_SUITE: Argued = {
  "chord symbols": [
    16,
    7,
    "the symbol is kept as it is printed, its kind is worked out from that; one to a place",
  ],
  "clefs": [0, 13, NO_METRE],
  "direction accordion-registration": [21, 0, NOT_KEPT],
  "direction coda": [1, 1, "a sign inside a bar stands at the beginning of the bar"],
  "direction damp": [1, 0, NOT_KEPT],
  "direction damp-all": [1, 0, NOT_KEPT],
  "direction eyeglasses": [1, 0, NOT_KEPT],
  "direction harp-pedals": [1, 0, NOT_KEPT],
  "direction scordatura": [1, 0, NOT_KEPT],
  "direction segno": [1, 1, "a sign inside a bar stands at the beginning of the bar"],
  "double bars": [4, 0, "at the end of the piece the bar line is that of the end"],
  "dynamics": [1, 0, NO_DYNAMIC],
  "head shapes": [10, 0, "the normal shape needs no name"],
  "heads": [11, 38, UNUSUAL],
  "keys": [
    5,
    0,
    "keys that are no row of sharps or flats, and a second key for the second stave: not used, said in a notice",
  ],
  "loose slur ends": [1, 0, "a slur that ends nowhere"],
  "metres": [7, 35, `${NO_METRE}; a metre holds for all parts`],
  "metronome marks": [4, 0, "relations of two note values, and a dotted long: not used, said in a notice"],
  "notes": [1, 1, "a backup to before the bar line stops there"],
  "pauses": [1, 1, "an inverted pause stands above"],
  "rehearsal marks": [3, 0, "one rehearsal mark to a bar"],
  "staves": [2, 1, "a part of one stave says nothing of staves; two where notes name a second"],
  "technical": [158, 0, `fingerings, strings, frets, holes and bends: ${NOT_KEPT}`],
  "tremolos": [1, 1, "an unmeasured tremolo is three slashes"],
  "tuplet brackets": [
    2,
    18,
    "a tuplet without a bracket gets one; a tuplet inside a tuplet is written without the inner bracket",
  ],
  "values": [29, 56, UNUSUAL],
  "voices": [10, 13, `${UNUSUAL}; a voice that goes from stave to stave is one on each`],
  "words": [
    2,
    5,
    `${NO_DYNAMIC}; pizz. and arco where the source has only a sign; two words at a bar line stand after it`,
  ],
};

/** A page of our own in one part: everything below stands in it once. */
function page(inBars: readonly string[], attributes = ""): string {
  const bars = inBars.map((inner, i) =>
    `<measure number="${i + 1}">${
      i === 0 ? `<attributes><divisions>4</divisions>${attributes}</attributes>` : ""
    }${inner}</measure>`
  );
  return `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Part</part-name></score-part></part-list>
    <part id="P1">${bars.join("")}</part></score-partwise>`;
}

/** A note: pitch such as `Eb4`, length in sixteenths, and what follows the duration and voice. */
function note(
  pitch: string,
  sixteenths: number,
  more: { ties?: string; notations?: string; type?: string; voice?: number; staff?: number } = {},
): string {
  const [, step, flats, octave] = /^([A-G])(b*)(\d)$/.exec(pitch)!;
  const alter = flats === "" ? "" : `<alter>${-flats!.length}</alter>`;
  const ties = (more.ties ?? "").split(" ").filter((t) => t !== "");
  return `<note><pitch><step>${step}</step>${alter}<octave>${octave}</octave></pitch><duration>${sixteenths}</duration>${
    ties.map((t) => `<tie type="${t}"/>`).join("")
  }<voice>${more.voice ?? 1}</voice>${more.type ? `<type>${more.type}</type>` : ""}${
    more.staff ? `<staff>${more.staff}</staff>` : ""
  }${
    ties.length > 0 || more.notations
      ? `<notations>${ties.map((t) => `<tied type="${t}"/>`).join("")}${more.notations ?? ""}</notations>`
      : ""
  }</note>`;
}

const words = (text: string) =>
  `<direction placement="above"><direction-type><words>${text}</words></direction-type></direction>`;

/** Subjects in which a page differs from what is written of it. */
function changed(source: string): readonly unknown[] {
  return factDifferences(musicXmlFacts(source), musicXmlFacts(writeMusicXml(readMusicXml(source))));
}

Deno.test("page: a trumpet that is printed without a key signature keeps its spelling where the piece has six flats", () => {
  const other =
    `<part id="P2"><measure number="1"><attributes><divisions>4</divisions><key><fifths>-6</fifths></key></attributes>${
      note("Gb4", 16, { type: "whole" })
    }</measure></part>`;
  const crooked = page(
    [note("Eb5", 16, { type: "whole" })],
    "<key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><transpose><diatonic>-2</diatonic><chromatic>-3</chromatic></transpose>",
  );
  const source = crooked.replace(
    "</part-list>",
    '<score-part id="P2"><part-name>Violin</part-name></score-part></part-list>',
  )
    .replace("</score-partwise>", `${other}</score-partwise>`);
  const facts = musicXmlFacts(writeMusicXml(readMusicXml(source)));
  assertEquals(facts.get("notes")![0], "P0 M0 0 staff 1 E-1 5 4");
  assertEquals(facts.get("keys"), ["P0 M0 0 0", "P1 M0 0 -6"]);
});

Deno.test("page: a held note is tied as its source ties it, with the signs that stand on its later heads", () => {
  const source = page([
    note("C5", 4, { type: "quarter" }) +
    note("D5", 4, { type: "quarter", ties: "start" }) +
    note("D5", 2, {
      type: "eighth",
      ties: "stop start",
      notations: "<articulations><accent/></articulations>",
    }) +
    note("D5", 6, { type: "quarter", ties: "stop start" }).replace("</type>", "</type><dot/>"),
    note("D5", 16, { type: "whole", ties: "stop", notations: "<fermata/>" }),
  ]);
  assertEquals(changed(source).filter((d) => !/clefs|metres/.test(JSON.stringify(d))), []);
});

Deno.test("page: a slur of a harp goes from stave to stave, and one may begin on a later head of a tied note", () => {
  const slur = (type: string, number = 1) => `<slur type="${type}" number="${number}"/>`;
  const source = page([
    note("C3", 4, { type: "quarter", voice: 5, staff: 2, notations: slur("start") }) +
    note("G3", 4, { type: "quarter", voice: 5, staff: 2 }) + "<backup><duration>8</duration></backup>" +
    "<forward><duration>8</duration></forward>" +
    note("E5", 4, { type: "quarter", voice: 1, staff: 1, notations: slur("stop"), ties: "start" }) +
    note("E5", 4, { type: "quarter", voice: 1, staff: 1, notations: slur("start", 2), ties: "stop" }),
    note("F5", 16, { type: "whole", voice: 1, staff: 1, notations: slur("stop", 2) }),
  ], "<staves>2</staves>");
  assertEquals(musicXmlFacts(source).get("slurs"), [
    "P0 M0 0 staff 2 to M0 2 staff 1",
    "P0 M0 3 staff 1 to M1 0 staff 1",
  ]);
  assertEquals(changed(source).filter((d) => /slurs|heads|notes/.test(JSON.stringify(d))), []);
});

Deno.test("page: no dynamic is added where the source has none, and none is lost from brackets and words", () => {
  const dynamics = (inner: string) =>
    `<direction><direction-type><dynamics>${inner}</dynamics></direction-type></direction>`;
  const without = page([note("C5", 16, { type: "whole" })]);
  assertEquals(writeMusicXml(readMusicXml(without)).includes("<dynamics>"), false);
  const source = page([
    dynamics("<other-dynamics>(</other-dynamics><f/><other-dynamics>)</other-dynamics>") +
    note("C5", 8, { type: "half" }) + words("cresc. poco a poco") + note("C5", 8, { type: "half" }),
    words("sempre ff") + note("C5", 16, { type: "whole" }),
  ], "<time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef>");
  assertEquals(changed(source), []);
});

Deno.test("page: a tempo word comes back with its metronome mark, and alone where the page has no mark", () => {
  const tempo = (word: string, mark: string, sound: string) =>
    `<direction placement="above"><direction-type><words>${word}</words></direction-type>${mark}<sound tempo="${sound}"/></direction>`;
  const mark =
    "<direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>104</per-minute></metronome></direction-type>";
  const source = page([
    tempo("Allegretto", mark, "104") + note("C5", 16, { type: "whole" }),
    tempo("Meno mosso", "", "80") + note("C5", 16, { type: "whole" }),
  ], "<time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef>");
  assertEquals(changed(source), []);
  const score = readMusicXml(source);
  assertEquals(score.tempos.map((t) => [t.words, t.quartersPerMinute]), [["Allegretto", 104], [
    "Meno mosso",
    80,
  ]]);
  // A tempo of one's own is printed, and the old mark is not.
  const faster = { ...score, tempos: score.tempos.map((t) => ({ ...t, quartersPerMinute: 120 })) };
  assertEquals(musicXmlFacts(writeMusicXml(faster)).get("metronome marks"), ["P0 M0 0 quarter = 120"]);
});

Deno.test("page: words about a way of playing, pauses and slurs are left out once the notes contradict them", () => {
  const source = page([
    words("pizz.") + note("C5", 8, { type: "half" }) +
    note("D5", 8, { type: "half", notations: "<fermata/>" }),
    words("arco") + words("dolce") + note("E5", 8, { type: "half", notations: '<slur type="start"/>' }) +
    note("F5", 8, { type: "half", notations: '<slur type="stop"/>' }),
  ], "<time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef>");
  assertEquals(changed(source), []);
  const score = readMusicXml(source);
  const { tempoBends: _, ...steady } = score;
  const other: Score = {
    ...steady,
    notes: score.notes.map((n) => ({
      ...n,
      technique: "ordinario",
      slurStart: false,
      slurStop: false,
      slurred: false,
    })),
  };
  const facts = musicXmlFacts(writeMusicXml(other));
  assertEquals(facts.get("words"), ["P0 M1 0 1 arco", "P0 M1 0 1 dolce"]);
  assertEquals([facts.get("pauses"), facts.get("slurs")], [undefined, undefined]);
});

Deno.test("page: the settings of the demo are written the same again after reading", () => {
  const plans = demoPlans();
  for (const plan of [plans.held, plans.moving, plans.rotating]) {
    const score = realise(demoSketch(), plan);
    const xml = writeMusicXml(score);
    const facts = musicXmlFacts(xml);
    assertEquals([plan.name, (facts.get("dynamics") ?? []).length > 0], [plan.name, true]);
    assertEquals([plan.name, factDifferences(facts, musicXmlFacts(writeMusicXml(readMusicXml(xml))))], [
      plan.name,
      [],
    ]);
  }
});

/**
 * Movements that between them have all that is argued above, and little more; the others beside the checkout were compared
 * once, and differ in the same ways. What is written of the last three is engraved too, which takes longer than all the rest.
 */
const MOVEMENTS = [
  "openscore-orchestra/Bruckner_WAB.105_2",
  "openscore-orchestra/Beach_Op.32_2",
  "openscore-orchestra-more/Beethoven_Op.21_4",
  "openscore-orchestra-more/Beethoven_Op.60_4",
  "openscore-orchestra-more/Beethoven_Op.68_2",
  "openscore-orchestra-more/Brahms_Op.98_2",
  "openscore-orchestra-more/Beethoven_Op.55_2",
  "openscore-orchestra-more/Beethoven_Op.55_3",
  "openscore-orchestra/Bach_BWV.1048_1",
  "openscore-orchestra/Brahms_Op.90_3",
  "openscore-orchestra-more/Brahms_Op.73_2",
];
const ENGRAVED = MOVEMENTS.slice(-3);

const corpus = sharedFolder("openscore-orchestra");
const movement = (name: string) => musicXmlIn(Deno.readFileSync(new URL(`../${name}.mxl`, corpus)));

if (corpus) {
  Deno.test("page: movements say to the eye what their sources say, but for what is argued; they are the same music, valid, and engraved without a warning of their own", async () => {
    const table: Record<string, [number, number]> = {};
    for (const name of MOVEMENTS) {
      const source = movement(name);
      const written = compareTo(table, source, name);
      assertEquals([name, musicXmlValidator()?.(written) ?? []], [name, []]);
      if (ENGRAVED.includes(name)) assertEquals([name, await newComplaints(written, source)], [name, []]);
    }
    assertEquals(sorted(table), sorted(countsOf(ARGUED_MOVEMENTS)));
  });

  Deno.test("page: a movement with its repeats written out and its tempo bent is still a valid page", () => {
    const score = readMusicXml(movement("openscore-orchestra-more/Beethoven_Op.21_4"));
    for (const changedScore of [unfoldRepeats(score), bendTempo(score)]) {
      const written = writeMusicXml(changedScore);
      assertEquals(musicXmlValidator()?.(written) ?? [], []);
      // Dynamics are worked out anew where the printed ones no longer stand in order; that is tested elsewhere.
      assertEquals(differences(changedScore, readMusicXml(written), ["dynamic"]), []);
    }
  });
}

const suite = sharedFolder("musicxml-testsuite");

if (suite) {
  Deno.test("page: the test suite's files say to the eye what they said, but for what is argued", () => {
    const table: Record<string, [number, number]> = {};
    let compared = 0;
    for (
      const { name } of [...Deno.readDirSync(new URL("xmlFiles/", suite))].sort((a, b) =>
        a.name < b.name ? -1 : 1
      )
    ) {
      if (name.endsWith(".mxl")) continue;
      const source = [...decodePieces(Deno.readFileSync(new URL(`xmlFiles/${name}`, suite)))].join("");
      if (source.includes("<score-timewise") || isRefused(source)) continue;
      compareTo(table, source, name);
      compared++;
    }
    assertEquals(compared, 131);
    assertEquals(sorted(table), sorted(countsOf(ARGUED_SUITE)));
  });
}

/** Files of rests only, and one that is not well-formed, are not read at all. */
function isRefused(source: string): boolean {
  try {
    readMusicXml(source);
    return false;
  } catch {
    return true;
  }
}
