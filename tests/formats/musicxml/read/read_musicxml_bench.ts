/**
 * Reading the largest score at hand against passing the same XML through the bare parser, and against music21
 * where it is installed: `python3` or the program that the variable `PYTHON` names. With `deno bench` the group
 * "MusicXML" is summed up at its end. Memory is printed by `deno run -A tests/formats/musicxml/read/read_musicxml_bench.ts`
 * for a score of 200 MB, or of as many as are given.
 */
import { readMusicXml } from "../../../../lib/formats/musicxml/read/read_musicxml.ts";
import { largeScore } from "../../../setup/large_score.ts";
import { scoreToRead, tokenise } from "./bare_tokenising.ts";

const bytes = scoreToRead();

Deno.bench("tokenise only (saxes)", { group: "MusicXML", baseline: true }, () => {
  tokenise(bytes);
});

Deno.bench("read the score", { group: "MusicXML" }, () => {
  readMusicXml(bytes);
});

/** Reads a file named on its input, once it is told to, so that loading Python is not counted. */
const MUSIC21 = `
import sys, music21
print("ready", flush=True)
path = sys.stdin.readline().strip()
music21.converter.parse(path, format="musicxml", forceSource=True)
print("done", flush=True)
`;

const python = Deno.env.get("PYTHON") ?? "python3";

/** True where Python can load music21. */
function hasMusic21(): boolean {
  try {
    return new Deno.Command(python, { args: ["-c", "import music21"], stdout: "null", stderr: "null" })
      .outputSync().success;
  } catch {
    return false;
  }
}

/** Reads lines until one says a word. */
async function until(lines: ReadableStreamDefaultReader<string>, word: string): Promise<void> {
  for (let text = ""; !text.includes(word);) {
    const { value, done } = await lines.read();
    if (done) throw new Error(`music21 ended before it was ${word}`);
    text += value;
  }
}

if (import.meta.main) {
  const { file, notes } = largeScore(Number(Deno.args[0] ?? 200) * 1e6);
  const start = performance.now();
  const read = readMusicXml(file).notes.length;
  const seconds = (performance.now() - start) / 1000;
  console.log(`${file.length / 1e6} MB, ${read} of ${notes} notes in ${seconds.toFixed(1)} s`);
  console.log(`memory of the process now: ${Math.round(Deno.memoryUsage().rss / 1e6)} MB`);
} else if (hasMusic21()) {
  Deno.bench("music21 reads the score", { group: "MusicXML", n: 1, warmup: 0 }, async (bench) => {
    const path = await Deno.makeTempFile({ suffix: ".musicxml" });
    await Deno.writeFile(path, bytes);
    const child = new Deno.Command(python, {
      args: ["-c", MUSIC21],
      stdin: "piped",
      stdout: "piped",
      stderr: "null",
    })
      .spawn();
    const lines = child.stdout.pipeThrough(new TextDecoderStream()).getReader();
    await until(lines, "ready");
    bench.start();
    const input = child.stdin.getWriter();
    await input.write(new TextEncoder().encode(`${path}\n`));
    await until(lines, "done");
    bench.end();
    await input.close();
    await child.status;
    await Deno.remove(path);
  });
} else console.log("music21 is not installed for python3: reading is not compared with it.");
