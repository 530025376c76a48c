/** What is likely a slip of a file is said, and read as it stands. */
import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import fc from "fast-check";
import { readMusicXml } from "ripieno/formats";
import type { Score } from "ripieno";

interface Line {
  readonly name: string;
  readonly chromatic?: number;
  /** Octave of the notes on G. */
  readonly octave?: number;
  readonly notes?: number;
}

/** A page with quarters on G in every part; the first bar may be an upbeat. */
function page(lines: readonly Line[], { upbeat = 0, from = 1 } = {}): Score {
  const list = lines.map(({ name }, i) =>
    `<score-part id="P${i}"><part-name>${name}</part-name></score-part>`
  );
  const parts = lines.map(({ chromatic, octave = 4, notes = 8 }, i) => {
    const transpose = chromatic === undefined
      ? ""
      : `<transpose><diatonic>${
        Math.round(chromatic * 7 / 12)
      }</diatonic><chromatic>${chromatic}</chromatic></transpose>`;
    const head = `<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time>` +
      `${transpose}</attributes>`;
    const quarter =
      `<note><pitch><step>G</step><octave>${octave}</octave></pitch><duration>1</duration></note>`;
    const lengths = [...upbeat > 0 ? [upbeat] : [], ...Array(Math.ceil(notes / 4)).fill(4)];
    const bars = lengths.map((length: number, b) =>
      `<measure number="${from + b}">${b === 0 ? head : ""}${quarter.repeat(length)}</measure>`
    );
    return `<part id="P${i}">${bars.join("")}</part>`;
  });
  const text = `<score-partwise version="4.0"><part-list>${list.join("")}</part-list>${parts.join("")}` +
    `</score-partwise>`;
  return readMusicXml(new TextEncoder().encode(text));
}

const said = ({ notices }: Score) => notices.map((n) => n.what).filter((what) => /check|upbeat/.test(what));

Deno.test("an upbeat that the file counts as bar 1 is noticed, one counted as 0 and a whole first bar are not", () => {
  assertStringIncludes(said(page([{ name: "Flute" }], { upbeat: 1 }))[0]!, "the upbeat is counted as bar 1");
  assertEquals(said(page([{ name: "Flute" }], { upbeat: 1, from: 0 })), []);
  assertEquals(said(page([{ name: "Flute" }])), []);
  assertEquals(said(page([{ name: "Flute" }], { upbeat: 3 })), []); // a long first bar may be meant
  assertEquals(page([{ name: "Flute" }], { upbeat: 1 }).bars.map((b) => b.number), ["1", "2", "3"]);
});

Deno.test("a transposition that the name does not have is noticed; the key in the name, old crooks and scores in C are not", () => {
  const odd: readonly Line[] = [
    { name: "Violin", chromatic: -2 },
    { name: "Horn in F", chromatic: -5 },
    { name: "Clarinet in Bb", chromatic: 2 },
    { name: "English Horn", chromatic: -6 },
    { name: "Flute", chromatic: 7 },
    { name: "Clarinet", chromatic: -1 },
  ];
  for (const line of odd) {
    const [what] = said(page([line]));
    assertStringIncludes(what ?? "", "check the transposition in the file", line.name);
  }
  const fine: readonly Line[] = [
    { name: "Violin" },
    { name: "Horn in F", chromatic: -7 },
    { name: "F Trumpet 1", chromatic: 5 },
    { name: "Corno in Es", chromatic: -9 },
    { name: "Horn 1", chromatic: -10 },
    { name: "Horn in F" },
    { name: "Clarinet", chromatic: -3 },
    { name: "Bb Clarinet 2", chromatic: -2 },
    { name: "Bb (basso) Horn 1", chromatic: -14 },
    { name: "B Horn 3 [NB: B natural]", chromatic: -13 },
    { name: "Piccolo", chromatic: 12 },
    { name: "Piccolo" },
    { name: "C, G Timpani" },
    { name: "Double Bass", chromatic: -12 },
  ];
  for (const line of fine) assertEquals([line.name, said(page([line]))], [line.name, []]);
});

Deno.test("a double bass that sounds as written and never plays its lowest octave is noticed", () => {
  const low = { octave: 2, notes: 60 };
  assertStringIncludes(said(page([{ name: "Contrabass", ...low }]))[0]!, "check the transposition");
  assertEquals(said(page([{ name: "Contrabass", chromatic: -12, ...low }])), []);
  assertEquals(said(page([{ name: "Contrabass", octave: 1, notes: 60 }])), []);
  assertEquals(said(page([{ name: "Cello", ...low }])), []);
});

Deno.test("a pitch that no instrument has is noticed once, with its count, and kept", () => {
  const score = page([{ name: "Violin", octave: 10 }, { name: "Tuba", octave: 9 }]);
  const [notice] = score.notices.filter((n) => n.what.startsWith("pitch that no instrument has"));
  assertEquals([notice!.count, notice!.part, notice!.bar], [16, "Violin", "1"]);
  assertEquals(score.notes.length, 16);
});

Deno.test("whatever the names and transpositions: read as they stand, and every doubt is said in under 300 characters", () => {
  const name = fc.constantFrom(
    "Violin",
    "Horn in D",
    "Trumpet",
    "Gizmo",
    "Bass Gizmo",
    "Clarinet in A",
    "Part 1",
  );
  fc.assert(
    fc.property(
      fc.array(fc.record({ name, chromatic: fc.integer({ min: -26, max: 26 }) }), {
        minLength: 1,
        maxLength: 5,
      }),
      (lines) => {
        const score = page(lines);
        assertEquals(score.parts.map((p) => p.transposeSemitones), lines.map((l) => l.chromatic));
        assert(score.notices.every((n) => n.what.length <= 300));
      },
    ),
    { numRuns: 60 },
  );
});
