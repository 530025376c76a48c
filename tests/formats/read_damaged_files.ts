/**
 * Reads damaged files, in a process of its own: `deno run -A tests/formats/read_damaged_files.ts FILES SEED`.
 * Prints one line of JSON: how many were read and refused, the longest time and the greatest memory. The first
 * file that crashes a reader, or takes longer than five seconds, ends it with the file's seed.
 */
import { zipSync } from "fflate";
import { InputError } from "../../lib/base/errors.ts";
import { readScoreBytes } from "../../lib/formats/read_score_bytes.ts";
import { writeMidi } from "../../lib/formats/midi/write_midi.ts";
import { writeMusicXml } from "../../lib/formats/musicxml/write/write_musicxml.ts";
import { damage } from "../setup/damage.ts";
import { sharedFolder } from "../setup/shared_data.ts";
import { faultOf } from "./score_faults.ts";
import { fullScore } from "./small_scores.ts";

/** Longest time a file may take, in milliseconds. */
const LONGEST = 5000;

const ABC =
  `X:1\nT:Fuzz\nM:3/4\nL:1/8\nQ:1/4=90\nK:D dorian\nV:a name="Flute"\nV:b\n[V:a] |: "Dm7"!p!(A>B c2) [CE]2- |1 [CE]2 (3efg {ag}^f2 :|2 !D.C.!A6 |]\n[V:b] D,6 | z2 T=B,4 | D6 |]\n`;

/** Sound files: one of everything of our own, and the published test files where they are. */
function soundFiles(): readonly Uint8Array[] {
  const text = (content: string) => new TextEncoder().encode(content);
  const xml = text(writeMusicXml(fullScore()));
  const files = [xml, zipSync({ "score.xml": xml }), writeMidi(fullScore()), text(ABC)];
  for (const [name, inner] of [["musicxml-testsuite", "xmlFiles/"], ["midi-testfiles", "midi/"]] as const) {
    const folder = sharedFolder(name);
    if (!folder) continue;
    const entries = [...Deno.readDirSync(new URL(inner, folder))].map((e) => e.name).sort();
    for (const entry of entries) files.push(Deno.readFileSync(new URL(inner + entry, folder)));
  }
  return files;
}

/** Peak memory of this process in bytes; the memory now where the system does not tell. */
function peakBytes(): number {
  try {
    return Number(/VmHWM:\s+(\d+) kB/.exec(Deno.readTextFileSync("/proc/self/status"))![1]) * 1024;
  } catch {
    return Deno.memoryUsage().rss;
  }
}

function readAll(count: number, firstSeed: number, before: (seed: number) => void): void {
  const files = soundFiles();
  let [read, refused, longest] = [0, 0, 0];
  for (let seed = firstSeed; seed < firstSeed + count; seed++) {
    before(seed);
    const bytes = damage(files[seed % files.length]!, seed);
    const start = performance.now();
    try {
      const fault = faultOf(readScoreBytes(bytes));
      if (fault !== undefined) throw new Error(fault);
      read++;
    } catch (error) {
      if (!(error instanceof InputError)) throw new Error(`seed ${seed}`, { cause: error });
      refused++;
    }
    longest = Math.max(longest, performance.now() - start);
  }
  console.log(JSON.stringify({
    files: count,
    read,
    refused,
    longestMilliseconds: Math.ceil(longest),
    peakMegabytes: Math.ceil(peakBytes() / 1e6),
  }));
}

/** True in the thread that reads, false in the one that watches it. */
const READS = "DedicatedWorkerGlobalScope" in globalThis;

if (READS) {
  const scope = globalThis as unknown as {
    onmessage: (event: MessageEvent<readonly [number, number]>) => void;
    postMessage: (data: unknown) => void;
  };
  scope.onmessage = ({ data: [count, firstSeed] }) => {
    readAll(count, firstSeed, (seed) => scope.postMessage(seed));
    scope.postMessage("done");
  };
} else if (import.meta.main) {
  const [count, seed] = Deno.args.map(Number);
  // The reading is done beside this thread, so that a reader that hangs can be ended.
  const worker = new Worker(import.meta.url, { type: "module" });
  let since = performance.now();
  let current = 0;
  const watch = setInterval(() => {
    if (performance.now() - since < LONGEST) return;
    console.error(`seed ${current} takes longer than ${LONGEST} ms`);
    Deno.exit(1);
  }, 250);
  worker.onmessage = ({ data }) => {
    since = performance.now();
    current = data;
    if (data !== "done") return;
    clearInterval(watch);
    worker.terminate();
  };
  worker.onerror = (event) => {
    console.error(event.message);
    Deno.exit(1);
  };
  worker.postMessage([count, seed]);
}
