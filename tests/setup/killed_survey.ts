/**
 * `deno run -A tests/setup/killed_survey.ts [COUNT] [KILLS]`: a survey over all open scores beside the checkout and 2,000
 * generated ones is done once in one go and once killed ten times at random, with all its processes and at least five
 * seconds apart. Then three shares of it are put together. The tables must have the same bytes. Takes half an hour or more,
 * run by hand.
 */
import { join } from "node:path";
import { random } from "./random.ts";
import { PROJECT } from "./run_command.ts";
import { sharedFolder } from "./shared_data.ts";
import { STUDY_TASK } from "./study_task.ts";
import { tablesThatDiffer, writeCorpus } from "./survey_corpus.ts";

const [count = 2000, kills = 10, first = 5, last = 60] = Deno.args.map(Number);
const folder = await Deno.makeTempDir({ prefix: "survey_" });
const corpus = join(folder, "scores");
console.log(`Scores and surveys stand in ${folder}.`);
await writeCorpus(corpus, count);
for (const name of ["openscore-orchestra", "openscore-orchestra-more", "s3-symphonies"]) {
  const from = sharedFolder(name);
  if (from !== undefined) await copyScores(from, join(corpus, name));
}

/** Copies the scores of a dataset, without what else lies there. */
async function copyScores(from: URL, to: string): Promise<void> {
  await Deno.mkdir(to, { recursive: true });
  for await (const { name, isFile, isDirectory } of Deno.readDir(from)) {
    if (isDirectory) await copyScores(new URL(`${name}/`, from), join(to, name));
    else if (isFile && /\.(mxl|mid|musicxml)$/.test(name)) {
      await Deno.writeFile(join(to, name), await Deno.readFile(new URL(name, from)));
    }
  }
}

/** A survey as a person starts it, in a group of processes of its own. */
function start(out: string, ...more: readonly string[]): Deno.ChildProcess {
  return new Deno.Command("setsid", {
    args: [
      "nice",
      Deno.execPath(),
      ...STUDY_TASK,
      "study",
      "--survey",
      corpus,
      "--out",
      join(folder, out),
      ...more,
    ],
    cwd: PROJECT,
    stdout: "null",
    stderr: "null",
  }).spawn();
}

async function finish(out: string, ...more: readonly string[]): Promise<void> {
  const { code } = await start(out, ...more).status;
  if (code !== 0) throw new Error(`The survey ${out} ended with ${code}.`);
}

const began = performance.now();
await finish("whole");
const seconds = (performance.now() - began) / 1000;
console.log(`In one go: ${Math.round(seconds)} s on the clock.`);

const next = random(1);
for (let kill = 1; kill <= kills; kill++) {
  const child = start("killed");
  const wait = first + (last - first) * next();
  const ended = await Promise.race([
    child.status.then(() => true),
    new Promise<false>((resolve) => setTimeout(() => resolve(false), wait * 1000)),
  ]);
  if (ended) {
    console.log(`It was done before kill ${kill}.`);
    break;
  }
  Deno.kill(-child.pid, "SIGKILL");
  await child.status;
  const rows = [...Deno.readDirSync(join(folder, "killed", "rows"))].filter((one) => one.isDirectory);
  console.log(`Kill ${kill} after ${wait.toFixed(1)} s: ${rows.length} contents are there.`);
}
await finish("killed");
console.log(
  "Killed and gone on with: tables that differ:",
  await tablesThatDiffer(join(folder, "whole"), join(folder, "killed")),
);

for (const share of [2, 1, 3]) await finish("shares", "--shard", `${share}/3`);
await finish("shares");
console.log(
  "Three shares put together: tables that differ:",
  await tablesThatDiffer(join(folder, "whole"), join(folder, "shares")),
);
