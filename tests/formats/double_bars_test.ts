import { assertEquals } from "@std/assert";
import { readAbc, type Score } from "ripieno";
import { readMusicXml, writeMusicXml } from "ripieno/formats";

/** Bars, from 1, that end with a double bar line. */
function doubled(score: Score): readonly number[] {
  return score.bars.flatMap((bar, i) => bar.doubleBar ? [i + 1] : []);
}

const ABC = "X:1\nM:4/4\nL:1/4\nK:C\nc4 || c4 | c4 |] c4 | c4 :| c4 |]";

Deno.test("double bar lines inside a piece are read from ABC; the end and repeats are none", () => {
  assertEquals(doubled(readAbc(ABC)), [1, 3]);
});

Deno.test("double bar lines are written to MusicXML and read back, also where they stand left of the next bar", () => {
  const xml = writeMusicXml(readAbc(ABC));
  assertEquals(doubled(readMusicXml(xml)), [1, 3]);
  const [before, after] = [
    '<measure number="2"',
    '<barline location="left"><bar-style>light-light</bar-style></barline>',
  ];
  const left = xml.replaceAll(
    /<barline location="right">\s*<bar-style>light-light<\/bar-style>\s*<\/barline>/g,
    "",
  );
  assertEquals(doubled(readMusicXml(left)), []);
  assertEquals(doubled(readMusicXml(left.replace(new RegExp(`${before}[^>]*>`), `$&${after}`))), [1]);
});
