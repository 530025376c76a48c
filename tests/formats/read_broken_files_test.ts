/** Broken files: bytes flipped, elements removed, numbers made huge or negative. A result or an InputError. */
import { assert, assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { zipSync } from "fflate";
import { InputError } from "../../lib/base/errors.ts";
import { readMxl } from "../../lib/formats/musicxml/read/read_mxl.ts";
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import { readMusicXml } from "../../lib/formats/musicxml/read/read_musicxml.ts";
import type { Score } from "../../lib/score/model.ts";
import { faultOf } from "./score_faults.ts";

const RUNS = { seed: 20261125, numRuns: 400 };

const XML = `<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><work><work-title>Fuzz</work-title></work>
<part-list><score-part id="P1"><part-name>Horn 1, 2</part-name>
<score-instrument id="I1"><instrument-name>Horn</instrument-name><instrument-sound>brass.french-horn</instrument-sound></score-instrument>
<midi-instrument id="I1"><midi-channel>1</midi-channel><midi-program>61</midi-program></midi-instrument></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>12</divisions><key><fifths>1</fifths></key>
<time><beats>3</beats><beat-type>4</beat-type></time><transpose><diatonic>-4</diatonic><chromatic>-7</chromatic></transpose></attributes>
<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>90</per-minute></metronome></direction-type><sound tempo="90"/></direction>
<direction><direction-type><dynamics><p/></dynamics></direction-type></direction>
<direction><direction-type><wedge type="crescendo" number="1"/></direction-type><offset>2</offset></direction>
<harmony><root><root-step>D</root-step></root><kind>minor-seventh</kind></harmony>
<note><grace/><pitch><step>D</step><octave>5</octave></pitch><voice>1</voice></note>
<note><pitch><step>C</step><alter>1</alter><octave>5</octave></pitch><duration>18</duration><tie type="start"/><voice>1</voice>
<notations><slur type="start" number="1"/><articulations><accent/></articulations><ornaments><tremolo type="single">2</tremolo></ornaments></notations></note>
<note><chord/><pitch><step>E</step><octave>5</octave></pitch><duration>18</duration><voice>1</voice></note>
<note><rest/><duration>6</duration></note><note><pitch><step>G</step><octave>4</octave></pitch><duration>12</duration><voice>1</voice></note>
<backup><duration>36</duration></backup><forward><duration>12</duration></forward>
<note><pitch><step>A</step><octave>3</octave></pitch><duration>8</duration><voice>2</voice></note></measure>
<measure number="2"><direction><direction-type><words>cresc.</words></direction-type></direction>
<note><pitch><step>C</step><alter>1</alter><octave>5</octave></pitch><duration>36</duration><tie type="stop"/><voice>1</voice>
<notations><slur type="stop" number="1"/><ornaments><trill-mark/><wavy-line type="start"/></ornaments></notations></note>
<barline location="right"><repeat direction="backward"/></barline></measure></part></score-partwise>`;

const ABC =
  `X:1\nT:Fuzz\nM:3/4\nL:1/8\nQ:1/4=90\nK:D dorian\nV:a name="Flute"\nV:b\n[V:a] "Dm7"!p!(A>B c2) [CE]2- | [CE]2 (3efg {ag}^f2 :|\n[V:b] D,6 | z2 T=B,4 |]\n`;

/** Runs a reader; anything but a sound score or an InputError fails. */
function readsOrRefuses(read: () => Score): void {
  let score: Score;
  try {
    score = read();
  } catch (error) {
    if (error instanceof InputError) return;
    throw error;
  }
  assertEquals(faultOf(score), undefined);
}

function flip(bytes: Uint8Array, changes: readonly (readonly [number, number])[]): Uint8Array {
  const copy = bytes.slice();
  for (const [at, value] of changes) copy[at % copy.length] = value;
  return copy;
}

const changes = fc.array(fc.tuple(fc.nat(), fc.integer({ min: 0, max: 255 })), {
  minLength: 1,
  maxLength: 6,
});

Deno.test("the files that are broken below are sound before they are broken", () => {
  assert(readMusicXml(XML).notes.length === 6);
  assert(readAbc(ABC).notes.length > 10);
});

Deno.test("MusicXML with bytes flipped", () => {
  const bytes = new TextEncoder().encode(XML);
  fc.assert(fc.property(changes, (c) => readsOrRefuses(() => readMusicXml(flip(bytes, c)))), RUNS);
});

Deno.test("MusicXML with elements removed, doubled or moved", () => {
  const elements = [...XML.matchAll(/<([a-z-]+)[^>]*?(\/?)>/g)].map(({ 0: tag, 1: name, 2: empty, index }) =>
    empty ? tag : XML.slice(index, XML.indexOf(`</${name}>`, index) + name!.length + 3)
  );
  assert(elements.length > 80);
  const edit = fc.record({
    from: fc.nat(),
    to: fc.nat(),
    how: fc.constantFrom("remove", "double", "replace"),
  });
  fc.assert(
    fc.property(fc.array(edit, { minLength: 1, maxLength: 5 }), (edits) => {
      let xml = XML;
      for (const { from, to, how } of edits) {
        const element = elements[from % elements.length]!;
        const other = elements[to % elements.length]!;
        xml = xml.replace(
          element,
          () => how === "remove" ? "" : how === "double" ? element + element : other,
        );
      }
      readsOrRefuses(() => readMusicXml(xml));
    }),
    RUNS,
  );
});

Deno.test("MusicXML with numbers made huge, negative, fractional or wordy", () => {
  const count = [...XML.matchAll(/>(-?\d+)</g)].length;
  const value = fc.constantFrom(
    "0",
    "-1",
    "1e308",
    "999999999999",
    "0.3333",
    "NaN",
    "",
    "x",
    "-0",
    "1e-9",
    "7",
    "1024",
  );
  fc.assert(
    fc.property(fc.array(fc.tuple(fc.nat(count - 1), value), { minLength: 1, maxLength: 4 }), (edits) => {
      const at = new Map(edits);
      let i = 0;
      readsOrRefuses(() =>
        readMusicXml(XML.replace(/>(-?\d+)</g, (whole) => at.has(i++) ? `>${at.get(i - 1)}<` : whole))
      );
    }),
    RUNS,
  );
});

Deno.test("zipped MusicXML with bytes flipped, and cut short at every tenth byte", () => {
  const container =
    `<container><rootfiles><rootfile full-path="s.musicxml" media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>`;
  const encode = (text: string) => new TextEncoder().encode(text);
  const zip = zipSync({ "META-INF/container.xml": encode(container), "s.musicxml": encode(XML) });
  assert(readMxl(zip).notes.length === 6);
  fc.assert(fc.property(changes, (c) => readsOrRefuses(() => readMxl(flip(zip, c)))), RUNS);
  for (let end = 0; end < zip.length - 1; end += 10) {
    assertThrows(() => readMxl(zip.slice(0, end)), InputError);
  }
});

Deno.test("ABC with bytes flipped, and random strings of ABC's own characters", () => {
  const bytes = new TextEncoder().encode(ABC);
  fc.assert(fc.property(changes, (c) => readsOrRefuses(() => readAbc(flip(bytes, c)))), RUNS);
  const piece = fc.constantFrom(
    ..."ABcdz|:[](){}<>/2345-&!\"^_=,'.~TLMKQV% \n",
    "(3",
    "[M:3/4]",
    "|:",
    ":|",
    "!<(!",
    '"Dm"',
    "Z4",
    "V:2\n",
  );
  fc.assert(
    fc.property(
      fc.array(piece, { maxLength: 60 }),
      (pieces) => readsOrRefuses(() => readAbc(`X:1\nM:none\nK:C\n${pieces.join("")}`)),
    ),
    { ...RUNS, numRuns: 1500 },
  );
});

Deno.test("8,000 damaged files of every kind are read or refused; none crashes, hangs five seconds or takes a gigabyte", async () => {
  const script = new URL("./read_damaged_files.ts", import.meta.url).pathname;
  const { success, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", "--quiet", script, "8000", "1"],
  }).output();
  assert(success, new TextDecoder().decode(stderr));
  const last = new TextDecoder().decode(stdout).trim().split("\n").at(-1)!;
  const { files, read, refused, peakMegabytes } = JSON.parse(last);
  assertEquals([files, read + refused], [8000, 8000]);
  assert(read > 800 && refused > 800, last);
  assert(peakMegabytes < 1000, last);
});
