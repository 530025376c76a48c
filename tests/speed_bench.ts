/**
 * What the README says of speed, on work of which no memory is kept: a score is another one each time, or the first of its
 * kind. `deno run -A tests/setup/speed_table.ts` runs it and writes the table.
 */
import { join } from "node:path";
import { Worker } from "node:worker_threads";
import { balance, demoPlans, demoSketch, momentum, realise, recognise, study, textureOf } from "ripieno";
import { readMusicXml } from "ripieno/formats";
import { rewrite, search, suggest, type Wish } from "ripieno/orchestrate";
import { readHarmony } from "ripieno/harmony";
import { soundFile } from "ripieno/show";
import { survey } from "ripieno/survey";
import { scoreToRead, tokenise } from "./formats/musicxml/read/bare_tokenising.ts";
import { variedScore } from "./measures/varied_score.ts";
import { largeScore } from "./setup/large_score.ts";
import { SPEEDS, SURVEYED_SCORES } from "./setup/speeds.ts";
import { writeCorpus } from "./setup/survey_corpus.ts";
import { thirtyParts } from "./setup/thirty_parts.ts";
import { fullScore } from "./texture/full_score.ts";

const FEW = { n: 5, warmup: 1 };
const ONCE = { n: 1, warmup: 0 };
let seed = 1;

const symphony = scoreToRead();
const large = largeScore(15e6).file;
Deno.bench(SPEEDS.tokeniseSymphony, FEW, () => tokenise(symphony));
Deno.bench(SPEEDS.readSymphony, FEW, () => void readMusicXml(symphony));
Deno.bench(SPEEDS.tokeniseLarge, FEW, () => tokenise(large));
Deno.bench(SPEEDS.readLarge, FEW, () => void readMusicXml(large));

Deno.bench(SPEEDS.recognise, FEW, (bench) => {
  const score = fullScore(500);
  bench.start();
  recognise(score);
  bench.end();
});

Deno.bench(SPEEDS.balance, { n: 3, warmup: 0 }, (bench) => {
  const score = variedScore(seed++);
  const texture = textureOf(score);
  bench.start();
  balance(score, { texture, detail: "full" });
  bench.end();
});

Deno.bench(SPEEDS.momentum, { n: 3, warmup: 0 }, (bench) => {
  const score = variedScore(seed++);
  const texture = textureOf(score);
  const heard = balance(score, { texture });
  bench.start();
  momentum(score, { texture, balance: heard });
  bench.end();
});

Deno.bench(SPEEDS.realise, FEW, () => void realise(demoSketch(), demoPlans().rotating));

const thirty = thirtyParts();
const known = { texture: textureOf(thirty), harmony: readHarmony(thirty) };
const bars = { fromBar: Number(thirty.bars[0]!.number), toBar: Number(thirty.bars.at(-1)!.number) };
Deno.bench(SPEEDS.rewrite, FEW, () => {
  const wish: Wish = { ...bars, parts: ["Violas"], role: "pulse", figure: "repeated sixteenths" };
  const { score, texture } = rewrite(thirty, [wish], known);
  study(score, { texture });
});
Deno.bench(SPEEDS.suggest, ONCE, () => void suggest(thirty, { ...bars, wish: "move more", ...known }));

Deno.bench(SPEEDS.search, ONCE, async () => {
  const passages = [
    { name: "Calm water", fromBar: 1, toBar: 8, momentum: 0.8, leadAtLeast: 0.5, lead: ["Oboe 1"] },
    { name: "Rapids", fromBar: 17, toBar: 24, momentum: 3.5, leadAtLeast: 0.4, rest: ["Tuba"] },
  ];
  await search(demoSketch(), { wishes: { passages, brassAtMost: 0.5 }, scorings: 12 });
});

const plans = Object.values(demoPlans());
Deno.bench(SPEEDS.audition, { n: plans.length, warmup: 0 }, async (bench) => {
  const score = realise(demoSketch(), plans[seed++ % plans.length]!);
  bench.start();
  await soundFile(score);
  bench.end();
});

for (const workers of [1, 2] as const) {
  Deno.bench(SPEEDS[`survey${workers}`], ONCE, async (bench) => {
    const folder = await Deno.makeTempDir();
    await writeCorpus(join(folder, "scores"), SURVEYED_SCORES);
    bench.start();
    await survey(join(folder, "scores"), { out: join(folder, "out"), workers });
    bench.end();
    await Deno.remove(folder, { recursive: true });
  });
  Deno.bench(SPEEDS[`threads${workers}`], ONCE, async (bench) => {
    const threads = Array.from(
      { length: workers },
      () => new Worker(new URL("./setup/busy_thread.ts", import.meta.url), { workerData: { count: 20 } }),
    );
    const said = () =>
      Promise.all(threads.map((thread) => new Promise((resolve) => thread.once("message", resolve))));
    await said();
    bench.start();
    const done = said();
    for (const thread of threads) thread.postMessage("begin");
    await done;
    bench.end();
    await Promise.all(threads.map((thread) => thread.terminate()));
  });
}
