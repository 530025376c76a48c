/** A tempo that stands in the title alone. */
import { assertEquals } from "@std/assert";
import { readMusicXml } from "ripieno/formats";

/** A bar of eighths, with a title and what is over its first note. */
function titled(title: string, metre: readonly [number, number], over = ""): string {
  const note =
    "<note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration><type>eighth</type></note>";
  return `<score-partwise version="4.0"><movement-title>${title}</movement-title><part-list><score-part id="P1"><part-name>Flute</part-name></score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>2</divisions><time><beats>${
    metre[0]
  }</beats><beat-type>${metre[1]}</beat-type></time></attributes>${over}${
    note.repeat(metre[0] * 8 / metre[1])
  }</measure></part></score-partwise>`;
}

const tempo = (xml: string) => {
  const [first] = readMusicXml(xml).tempos;
  return [first!.quartersPerMinute, first!.origin, first!.words];
};

Deno.test("where nothing over the music says how fast, a tempo word of the title does, as an assumption", () => {
  assertEquals(tempo(titled("Symphony No.5, Andante con moto", [3, 8])), [42, "assumed", undefined]);
  assertEquals(tempo(titled("Suite, Allegro", [4, 4])), [132, "assumed", undefined]);
  assertEquals(tempo(titled("Suite, Adagio - Allegro", [2, 2])), [132, "assumed", undefined]);
  assertEquals(tempo(titled("Suite in D", [4, 4])), [120, "assumed", undefined]);
  const marked =
    '<direction><direction-type><words>Presto</words></direction-type><sound tempo="180"/></direction>';
  assertEquals(tempo(titled("Suite, Allegro", [4, 4], marked)), [180, "marked", "Presto"]);
});

Deno.test("a slow word counts eighths where they are the lower figure, a quick one the dotted value", () => {
  const worded = (word: string) =>
    titled("Suite", [6, 8], `<direction><direction-type><words>${word}</words></direction-type></direction>`);
  assertEquals([tempo(worded("Andante"))[0], tempo(worded("Allegro"))[0]], [42, 198]);
});
