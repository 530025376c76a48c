import { assert, assertEquals, assertRejects, assertThrows } from "@std/assert";
import { strToU8, zipSync } from "fflate";
import { writeMidi } from "midi-file";
import { InputError } from "../../lib/base/errors.ts";
import { readMxl } from "../../lib/formats/musicxml/read/read_mxl.ts";
import { readMusicXml } from "../../lib/formats/musicxml/read/read_musicxml.ts";
import { largeScore } from "../setup/large_score.ts";
import { readScore } from "../../lib/formats/read_score.ts";
import { readScoreBytes } from "../../lib/formats/read_score_bytes.ts";

const XML = `<?xml version="1.0"?><score-partwise><movement-title>Plain</movement-title>
  <part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list>
  <part id="P1"><measure number="1"><note><pitch><step>A</step><octave>4</octave></pitch><duration>4</duration></note></measure></part>
  </score-partwise>`;
const ABC = "X:1\nT:Plain\nM:4/4\nL:1/1\nK:C\nA |]\n";
const CONTAINER = (path: string) =>
  `<?xml version="1.0"?><container><rootfiles><rootfile full-path="${path}"/><rootfile full-path="x.pdf" media-type="application/pdf"/></rootfiles></container>`;

function midi(): Uint8Array {
  return new Uint8Array(writeMidi({
    header: { format: 0, numTracks: 1, ticksPerBeat: 480 },
    tracks: [[
      { deltaTime: 0, type: "noteOn", channel: 0, noteNumber: 69, velocity: 80 },
      { deltaTime: 1920, type: "noteOff", channel: 0, noteNumber: 69, velocity: 0 },
      { deltaTime: 0, meta: true, type: "endOfTrack" },
    ]],
  }));
}

Deno.test("the content decides what a file is, whatever it is called", () => {
  const zip = zipSync({ "META-INF/container.xml": strToU8(CONTAINER("a/b.xml")), "a/b.xml": strToU8(XML) });
  const wide = new Uint8Array([0xff, 0xfe, ...[...XML].flatMap((c) => [c.charCodeAt(0), 0])]);
  for (
    const bytes of [
      strToU8(XML),
      strToU8("\ufeff\n" + XML.slice(21)),
      wide,
      zip,
      strToU8(ABC),
      strToU8("%abc-2.1\n" + ABC),
      strToU8("T:no number\n" + ABC.slice(4)),
      midi(),
    ]
  ) {
    const score = readScoreBytes(bytes, { file: "what.ever" });
    assertEquals(score.notes.map((n) => [n.soundingPitch, n.durationTicks / score.ticksPerQuarter]), [[
      69,
      4,
    ]]);
    assertEquals(score.source, "what.ever");
  }
});

Deno.test("an .mxl without container is searched for its score", () => {
  assertEquals(readMxl(zipSync({ "score.musicxml": strToU8(XML) })).title, "Plain");
});

Deno.test("a zip that is cut short, is no zip, or holds no score is refused", () => {
  const zip = zipSync({ "META-INF/container.xml": strToU8(CONTAINER("b.xml")), "b.xml": strToU8(XML) });
  assertThrows(
    () => readMxl(zip.slice(0, zip.length / 2), { file: "cut.mxl" }),
    InputError,
    "not a complete zip archive (cut.mxl)",
  );
  assertThrows(() => readMxl(strToU8("hello")), InputError, "not a complete zip archive");
  assertThrows(() => readMxl(zipSync({ "a.txt": strToU8("x") })), InputError, "holds no score");
  assertThrows(
    () => readMxl(zipSync({ "META-INF/container.xml": strToU8(CONTAINER("lost.xml")) })),
    InputError,
    `"lost.xml" is missing`,
  );
});

Deno.test("a zip bomb is refused before it is unpacked", () => {
  const zip = zipSync({ "score.xml": strToU8(XML) });
  const view = new DataView(zip.buffer);
  // The declared size stands at byte 24 of the central directory's entry (signature PK 1 2).
  for (let i = 0; i < zip.length - 4; i++) {
    if (view.getUint32(i, true) === 0x02014b50) view.setUint32(i + 24, 0xf0000000, true);
  }
  assertThrows(() => readMxl(zip), InputError, "the score inside would be 4027 MB");
  const blank = zipSync({ "score.xml": strToU8(" ".repeat(30e6) + XML) });
  assertThrows(() => readMxl(blank), InputError, "times its packed size");
  const padded = zipSync({ "score.xml": strToU8(XML + "\n".repeat(1e6)) });
  assertEquals(readMxl(padded).notes.length, readMusicXml(XML).notes.length);
});

Deno.test("missing files, folders, empty and unknown content are refused with the kinds that are read", async () => {
  const folder = await Deno.makeTempDir();
  try {
    const missing = await assertRejects(
      () => readScore(`${folder}/none.mid`),
      InputError,
      "there is no such file",
    ) as InputError;
    assert(missing.where.file!.endsWith("none.mid") && missing.remedy.includes("ABC (.abc)"));
    await assertRejects(() => readScore(folder), InputError, "it is a folder");
    await Deno.writeTextFile(`${folder}/empty.xml`, "");
    await assertRejects(() => readScore(`${folder}/empty.xml`), InputError, "it is empty (empty.xml)");
    await Deno.writeTextFile(`${folder}/letter.txt`, "Dear Sir, the tune goes up: and then down.");
    await assertRejects(
      () => readScore(`${folder}/letter.txt`),
      InputError,
      "no score that this library knows (letter.txt)",
    );
    await Deno.writeTextFile(`${folder}/tune.txt`, ABC);
    const score = await readScore(`${folder}/tune.txt`);
    assertEquals([score.title, score.source], ["Plain", "tune.txt"]);
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
});

Deno.test("what is larger than memory holds is refused with the limit, and the limit can be set", async () => {
  const { file, notes } = largeScore(300_000);
  assertEquals(readMusicXml(file).notes.length, notes);
  assertThrows(() => readMusicXml(file, { largestBytes: 299_999 }), InputError, "larger than 0.299999 MB");
  assertThrows(
    () => readMusicXml(file, { largestNotes: notes - 1 }),
    InputError,
    "more notes than can be read",
  );
  assertEquals(readMusicXml(file, { largestNotes: notes }).notes.length, notes);
  const zip = zipSync({ "score.xml": file });
  assertEquals(readScoreBytes(zip).notes.length, notes);
  assertThrows(() => readScoreBytes(zip, { largestBytes: 299_999 }), InputError, "the limit is 0.299999 MB");
  const path = await Deno.makeTempFile({ suffix: ".musicxml" });
  try {
    await Deno.writeFile(path, file);
    assertEquals((await readScore(path)).notes.length, notes);
    await assertRejects(() => readScore(path, { largestBytes: 1000 }), InputError, "larger than 0.001 MB");
  } finally {
    await Deno.remove(path);
  }
});

Deno.test("floods of bars, parts or elements are refused, and so are entities", () => {
  const list = `<part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list>`;
  const xml = (inner: string) => `<score-partwise>${list}${inner}</score-partwise>`;
  const refused = (text: string, problem: string) =>
    assertThrows(() => readMusicXml(text), InputError, problem);
  refused(xml(`<part id="P1">${"<measure/>".repeat(100_001)}</part>`), "more than 100000 bars");
  const listed = `<score-part id="P"><part-name>Flute</part-name></score-part>`.repeat(10_001);
  const grouped = `<part-group type="start" number="1"/>`.repeat(10_001);
  for (const entries of [listed, grouped]) {
    refused(`<score-partwise><part-list>${entries}</part-list></score-partwise>`, "more than 10000 entries");
  }
  refused(xml(Array.from({ length: 2001 }, (_, i) => `<part id="Q${i}"/>`).join("")), "more than 2000 parts");
  refused(
    xml(`<part id="P1"><measure><note>${"<a/>".repeat(100_001)}</note></measure></part>`),
    "more than 100000 others",
  );
  refused(
    `<!DOCTYPE a [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>${xml("<part id='P1'/>")}`,
    "entities of its own",
  );
  refused(
    `<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/hostname">]>${xml("<part id='P1'/>")}`,
    "entities of its own",
  );
});
