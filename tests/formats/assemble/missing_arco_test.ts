/** A bow that a file forgets to have taken up again. */
import { assert, assertEquals } from "@std/assert";
import { readMusicXml } from "ripieno/formats";
import { sharedFolder } from "../../setup/shared_data.ts";
import { readMxl } from "../../../lib/formats/musicxml/read/read_mxl.ts";

/** One violin: `p` pizz., `a` arco, `n` a quarter, `-` a rest, `s` two slurred eighths, `t` a tremolo of three slashes. */
function violin(text: string): string {
  const words = (w: string) => `<direction><direction-type><words>${w}</words></direction-type></direction>`;
  const note = (duration: number, type: string, more = "") =>
    `<note><pitch><step>A</step><octave>4</octave></pitch><duration>${duration}</duration><type>${type}</type>${more}</note>`;
  const slur = (type: string) => `<notations><slur type="${type}" number="1"/></notations>`;
  const written: Readonly<Record<string, string>> = {
    p: words("pizz."),
    a: words("arco"),
    n: note(2, "quarter"),
    "-": `<note><rest/><duration>2</duration><type>quarter</type></note>`,
    s: note(1, "eighth", slur("start")) + note(1, "eighth", slur("stop")),
    t: note(2, "quarter", `<notations><ornaments><tremolo type="single">3</tremolo></ornaments></notations>`),
  };
  const bars = text.split("|").map((bar, i) =>
    `<measure number="${i + 1}">${
      i === 0
        ? "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
        : ""
    }${[...bar].map((sign) => written[sign]).join("")}</measure>`
  );
  return `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Violin</part-name></score-part></part-list><part id="P1">${
    bars.join("")
  }</part></score-partwise>`;
}

/** What each note is: p plucked, b bowed; and how many notices speak of an arco. */
function played(text: string): readonly [string, number] {
  const score = readMusicXml(violin(text));
  const notices = score.notices.filter((n) => n.what.includes("an arco is missing"));
  return [
    score.notes.map((n) => n.technique === "pizzicato" ? "p" : "b").join(""),
    notices.reduce((sum, n) => sum + n.count, 0),
  ];
}

Deno.test("a slur or a tremolo under a pizz. that nothing ends is bowed, from the rest before it on, and is reported", () => {
  assertEquals(played("pnnn-|nnss"), ["pppbbbbbb", 1]);
  assertEquals(played("pnnnn|sntn"), ["ppppbbbbb", 1], "no rest: from the slur on");
  assertEquals(played("pnnn-|tnnn|pnnnn"), ["pppbbbbpppp", 1], "the next pizz. is plucked again");
  assertEquals(played("pnn--|nn--|nnt-"), ["ppppbbb", 1], "not before the last rest");
});

Deno.test("what may be plucked stays plucked: no such note, an arco further on, the very note under the sign", () => {
  assertEquals(played("pnnn-|nnnn"), ["ppppppp", 0]);
  assertEquals(played("pnnn-|snn-|annnn"), ["pppppppbbbb", 0]);
  assertEquals(played("psnnn"), ["ppppp", 0]);
  assertEquals(
    played("pnnn-|tttn|annnn"),
    ["pppbbbbbbbb", 1],
    "three such notes outweigh an arco that comes later",
  );
  assertEquals(played("annn-|nnss"), ["bbbbbbbbb", 0]);
});

const folder = sharedFolder("openscore-orchestra-more");
if (folder) {
  Deno.test("an open score that says arco in some parts only: no slurred or shaken note of its strings stays plucked", () => {
    const score = readMxl(Deno.readFileSync(new URL("Brahms_Op.90_4.mxl", folder)));
    const plucked = score.notes.filter((n) => n.technique === "pizzicato");
    assert(plucked.length > 100 && plucked.length < 700, `${plucked.length}`);
    const wrong = plucked.filter((n) => n.slurStart || n.tremoloSlashes >= 3);
    assertEquals(wrong.map((n) => [score.parts[n.part]!.name, n.onsetTicks]), []);
  });
}
