/** What a file leaves open costs a reader what it costs to read, however much of it there is. */
import { assert, assertEquals } from "@std/assert";
import { fileURLToPath } from "node:url";
import { readAbc } from "ripieno";
import { readMusicXml } from "ripieno/formats";

/**
 * Of the processor's time, so that a busy machine fails nothing. Looking through all that is open at each note took 222 s
 * with twice as much of everything, where all else took 13 s.
 */
const LIMIT_SECONDS = 35;

Deno.test("fifty thousand open slurs, ties, lines, wedges and brackets are read without a look at all of them", async () => {
  const reading = [
    "run",
    "-A",
    "--quiet",
    fileURLToPath(new URL("./read_crowded_files.ts", import.meta.url)),
  ];
  const words = Deno.build.os === "windows"
    ? [Deno.execPath(), ...reading]
    : ["sh", "-c", `ulimit -t ${LIMIT_SECONDS} && exec "$0" "$@"`, Deno.execPath(), ...reading];
  const { success, stdout, stderr } = await new Deno.Command(words[0]!, { args: words.slice(1) }).output();
  const read = new TextDecoder().decode(stdout).trim().split("\n");
  assert(success, `after ${read.at(-1)}: ${new TextDecoder().decode(stderr) || "took too long"}`);
  assertEquals(read.length, 16);
});

Deno.test("slurs in slurs, side by side and across voices bind what each of them binds alone", () => {
  const slurredOf = (music: string) =>
    readAbc(`X:1\nM:none\nL:1/4\nK:C\n${music}|`).notes.map((n) => Number(n.slurred)).join("");
  assertEquals(slurredOf("A (B (c d) e) f (g a)"), "00111001");
  assertEquals(slurredOf("(A B) (c d) e"), "01010");
  assertEquals(slurredOf("(A (B c) (d e) f) g"), "0111110");
  assertEquals(slurredOf("(A (B c d) e"), "00110"); // the outer one never ends
});

/** Two voices in one bar: four quarters each, with what stands on some of them. */
function twoVoices(signs: Readonly<Record<string, string>>): string {
  const voice = (number: number) =>
    Array.from(
      { length: 4 },
      (_, i) =>
        `<note><pitch><step>${"CDEF"[i]}</step><octave>${
          6 - number
        }</octave></pitch><duration>1</duration><voice>${number}</voice>
      <notations>${signs[`${number}.${i + 1}`] ?? ""}</notations></note>`,
    ).join("");
  return `<score-partwise><part-list><score-part id="P"><part-name>A</part-name></score-part></part-list><part id="P">
    <measure number="1"><attributes><divisions>1</divisions></attributes>${
    voice(1)
  }<backup><duration>4</duration></backup>${voice(2)}</measure></part></score-partwise>`;
}

Deno.test("a slur or wavy line into another voice marks its own voice, and where it ends", () => {
  const score = readMusicXml(twoVoices({
    "1.1": `<slur type="start" number="1"/>`,
    "2.3": `<slur type="stop" number="1"/>`,
    "2.1": `<ornaments><wavy-line type="start" number="2"/></ornaments>`,
    "2.2": `<ornaments><wavy-line type="stop" number="2"/></ornaments>`,
  }));
  const marked = (voice: number, of: "slurred" | "trill") =>
    score.notes.filter((n) => n.voice === voice).map((n) => Number(n[of])).join("");
  assertEquals([marked(1, "slurred"), marked(2, "slurred")], ["0110", "0010"]);
  assertEquals([marked(1, "trill"), marked(2, "trill")], ["0000", "1100"]);
});
