/** How loud a part comes in where nothing is printed at its entry. */
import { assertEquals } from "@std/assert";
import fc from "fast-check";
import { writeMusicXml } from "ripieno";
import { readMusicXml } from "ripieno/formats";
import { impliedDynamics } from "../../../lib/formats/assemble/implied_dynamics.ts";
import type { WrittenDynamic } from "../../../lib/score/model.ts";

const QUARTER = 4;
/** A part from a line of quarters: `n` a note, `-` a rest; letters in brackets stand for marks, as in `[p]nn--`. */
function entering(name: string, instrument: string, line: string) {
  const signs: WrittenDynamic[] = [];
  const notes: { onsetTicks: number; endTicks: number }[] = [];
  let ticks = 0;
  for (const [token] of line.matchAll(/\[\w+\]|n|-/g)) {
    if (token === "n") notes.push({ onsetTicks: ticks, endTicks: ticks + QUARTER });
    if (token.startsWith("[")) {
      signs.push({ onsetTicks: ticks, staff: 1, kind: "mark", mark: token.slice(1, -1) });
    } else ticks += QUARTER;
  }
  return { part: { name, instrument }, notes, signs };
}
const oboe1 = (line: string) => entering("Oboe 1", "oboe", line);
const oboe2 = (line: string) => entering("Oboe 2", "oboe", line);
const implied = (...parts: readonly ReturnType<typeof entering>[]) =>
  impliedDynamics(parts, QUARTER).map((marks) => marks.map((m) => `${m.mark} at ${m.onsetTicks / QUARTER}`));

Deno.test("a second player who comes in without a mark after a rest takes the first player's, marked since", () => {
  assertEquals(implied(oboe1("[f]nnnn--------[p]nnnn"), oboe2("[f]nnnn--------nnnn")), [[], ["p at 12"]]);
  assertEquals(implied(oboe1("[p]nnnn"), oboe2("nnnn")), [[], ["p at 0"]], "at the beginning too");
});

Deno.test("an own mark, an own later sign, a short rest or a like strength leave a part as it is", () => {
  assertEquals(implied(oboe1("[f]nnnn--------[p]nnnn"), oboe2("[f]nnnn--------[f]nnnn")), [[], []]);
  assertEquals(
    implied(oboe1("[f]nnnn--------[p]nnnn"), oboe2("[f]nnnn-----[mf]---nnnn")),
    [[], []],
    "in the rest",
  );
  assertEquals(
    implied(oboe1("[p]nnnn--------nnnn"), oboe2("[p]n[f]nnn--------nnnn")),
    [["f at 12"], []],
    "who is newer",
  );
  assertEquals(implied(oboe1("[f]nnnn----[p]nnnn"), oboe2("[f]nnnn----nnnn")), [[], []], "a short rest");
  assertEquals(implied(oboe1("[f]nnnn--------[f]nnnn"), oboe2("[f]nnnn--------nnnn")), [[], []]);
});

Deno.test("nothing is implied under a hairpin, which says itself how loud it is; one that never ends says nothing", () => {
  const first = oboe1("[f]nnnn--------[p]nnnn");
  const second = oboe2("[f]nnnn--------nnnn");
  const sign = (quarters: number, kind: "crescendo" | "stop"): WrittenDynamic => ({
    onsetTicks: quarters * QUARTER,
    staff: 1,
    number: 1,
    kind,
  });
  const under = (...hairpin: readonly WrittenDynamic[]) =>
    implied(first, { ...second, signs: [...second.signs, ...hairpin] });
  assertEquals(under(sign(2, "crescendo"), sign(14, "stop")), [[], []]);
  assertEquals(under(sign(2, "crescendo"), sign(4, "stop")), [[], ["p at 12"]]);
  assertEquals(under(sign(2, "crescendo")), [[], ["p at 12"]]);
});

Deno.test("without a player of the same line its family says it, without family three others", () => {
  const flute = (line: string) => entering("Flute", "flute", line);
  const horn = (line: string) => entering("Horn", "horn in F", line);
  assertEquals(implied(flute("[pp]nnnn"), horn("[ff]nnnn"), oboe1("nnnn")), [[], [], ["pp at 0"]]);
  assertEquals(implied(flute("[pp]nnnn"), horn("nnnn")), [[], []], "one other is too few");
  assertEquals(implied(flute("[pp]nnnn"), oboe1("[pp]nnnn"), oboe2("[pp]nnnn"), horn("nnnn")).at(-1), [
    "pp at 0",
  ]);
});

Deno.test("the order of parts changes nothing that is implied", () => {
  const bar = fc.constantFrom("nnnn", "----", "[p]nnnn", "[f]nnnn", "--[pp]nn");
  const line = fc.array(bar, { minLength: 3, maxLength: 8 }).map((bars) => bars.join(""));
  fc.assert(fc.property(fc.tuple(line, line, line, line), ([a, b, c, d]) => {
    const parts = [oboe1(a), oboe2(b), entering("Flute", "flute", c), entering("Horn", "horn in F", d)];
    assertEquals(implied(...parts.toReversed()), implied(...parts).toReversed());
  }));
});

Deno.test("what is implied is heard and not printed", () => {
  const note =
    "<note><pitch><step>A</step><octave>4</octave></pitch><duration>4</duration><type>whole</type></note>";
  const p = "<direction><direction-type><dynamics><p/></dynamics></direction-type></direction>";
  const part = (id: string, over: string) =>
    `<part id="${id}"><measure number="1"><attributes><divisions>1</divisions></attributes>${over}${note}</measure></part>`;
  const score = readMusicXml(
    `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Oboe 1</part-name></score-part><score-part id="P2"><part-name>Oboe 2</part-name></score-part></part-list>${
      part("P1", p)
    }${part("P2", "")}</score-partwise>`,
  );
  assertEquals(score.notes.map((n) => n.dynamic), [3, 3]);
  const written = writeMusicXml(score);
  assertEquals(written.match(/<dynamics/g)?.length, 1);
  assertEquals(readMusicXml(written).notes.map((n) => n.dynamic), [3, 3]);
});
