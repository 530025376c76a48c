/**
 * `deno run -A tests/setup/slurm_survey.ts [COUNT]`: a survey as a job array of Slurm, on this machine and for real. Installs
 * slurm-wlm and munge where they are missing (Debian, as root), starts them for one node in a folder of their own, submits
 * three shares, kills one in the middle, submits it again, puts all together and compares bytes with a survey in one go. Ends
 * what it started. Run by hand: it needs root, and minutes.
 */
import { join } from "node:path";
import { survey } from "ripieno/survey";
import { installDebianPackages } from "./debian_packages.ts";
import { findProgram } from "./find_program.ts";
import { PROJECT, runCommand } from "./run_command.ts";
import { STUDY_TASK } from "./study_task.ts";
import { tablesThatDiffer, writeCorpus } from "./survey_corpus.ts";

const SHARES = 3;
const [count = 60] = Deno.args.map(Number);

if (findProgram("slurmctld") === undefined || findProgram("munged") === undefined) {
  if (!await installDebianPackages("slurm-wlm", "munge")) throw new Error("Slurm could not be installed.");
}
const folder = await Deno.makeTempDir({ prefix: "slurm_" });
const started: Deno.ChildProcess[] = [];

/** Starts a service in the foreground, so that it can be ended by its number. */
function serve(program: string, ...args: readonly string[]): void {
  started.push(
    new Deno.Command(program, { args: [...args], env: ENV, stdout: "null", stderr: "null" }).spawn(),
  );
}

const ENV = { SLURM_CONF: join(folder, "slurm.conf") };

/** One node, this machine, with two processors to hand out; a key for munge that nobody else has. */
async function configure(): Promise<void> {
  const host = Deno.hostname();
  await Deno.mkdir(join(folder, "state"));
  await Deno.mkdir(join(folder, "munge"), { mode: 0o700 });
  await Deno.writeFile(join(folder, "munge", "key"), crypto.getRandomValues(new Uint8Array(1024)), {
    mode: 0o600,
  });
  await Deno.chmod(folder, 0o755);
  const path = (name: string) => join(folder, name);
  await Deno.writeTextFile(
    ENV.SLURM_CONF,
    [
      "ClusterName=one",
      `SlurmctldHost=${host}(127.0.0.1)`,
      "SlurmUser=root",
      "SlurmdUser=root",
      "AuthType=auth/munge",
      `AuthInfo=socket=${path("munge/socket")}`,
      "SlurmctldPort=16817",
      "SlurmdPort=16818",
      "ProctrackType=proctrack/linuxproc",
      "TaskPlugin=task/none",
      "SelectType=select/cons_tres",
      "SelectTypeParameters=CR_Core",
      "SchedulerType=sched/backfill",
      "MpiDefault=none",
      "ReturnToService=2",
      `StateSaveLocation=${path("state")}`,
      `SlurmdSpoolDir=${path("spool")}`,
      `SlurmctldPidFile=${path("slurmctld.pid")}`,
      `SlurmdPidFile=${path("slurmd.pid")}`,
      `SlurmctldLogFile=${path("slurmctld.log")}`,
      `SlurmdLogFile=${path("slurmd.log")}`,
      `NodeName=${host} NodeAddr=127.0.0.1 CPUs=2 State=UNKNOWN`,
      `PartitionName=all Nodes=${host} Default=YES MaxTime=INFINITE State=UP`,
      "",
    ].join("\n"),
  );
}

async function slurm(...words: readonly string[]): Promise<string> {
  const { ok, output } = await runCommand(words, { env: ENV });
  if (!ok) throw new Error(`${words.join(" ")}: ${output}`);
  return output.trim();
}

async function until(what: string, holds: () => Promise<boolean>): Promise<void> {
  for (let tries = 0; !await holds(); tries++) {
    if (tries > 3000) throw new Error(`Waited in vain until ${what}; look into ${folder}.`);
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
}

/** Submits shares as a job array; returns its number. */
async function submit(shares: string): Promise<string> {
  return await slurm(
    "sbatch",
    "--parsable",
    `--array=${shares}`,
    `--output=${join(folder, "task_%a.log")}`,
    "--cpus-per-task=1",
    join(folder, "share.sh"),
  );
}

const isOver = async (job: string) =>
  (await slurm("squeue", "--noheader", "--jobs", job).catch(() => "")) === "";
const contents = () =>
  [...Deno.readDirSync(join(folder, "out", "rows"))].filter((one) =>
    one.isDirectory && !one.name.startsWith(".")
  ).length;

try {
  await configure();
  serve(
    "munged",
    "--foreground",
    "--force",
    `--key-file=${folder}/munge/key`,
    `--socket=${folder}/munge/socket`,
    `--pid-file=${folder}/munge/pid`,
    `--log-file=${folder}/munge/log`,
    `--seed-file=${folder}/munge/seed`,
  );
  await until(
    "munge answers",
    async () => (await runCommand(["munge", "-n", `--socket=${folder}/munge/socket`])).ok,
  );
  serve("slurmctld", "-D");
  serve("slurmd", "-D");
  await until(
    "the node is free",
    async () => (await slurm("sinfo", "--noheader", "-o", "%t").catch(() => "")) === "idle",
  );
  console.log(`Slurm is up: ${await slurm("sinfo", "--version")}.`);

  const scores = join(folder, "scores");
  await writeCorpus(scores, count);
  await Deno.mkdir(join(folder, "out", "rows"), { recursive: true });
  const words = [Deno.execPath(), ...STUDY_TASK, "study", "--survey", scores, "--out", join(folder, "out")];
  await Deno.writeTextFile(
    join(folder, "share.sh"),
    `#!/bin/sh\ncd '${PROJECT}'\nexec ${
      words.map((word) => `'${word}'`).join(" ")
    } --workers 1 --shard "$SLURM_ARRAY_TASK_ID/${SHARES}"\n`,
    { mode: 0o755 },
  );
  const job = await submit(`1-${SHARES}`);
  await until("some scores are done", () => Promise.resolve(contents() >= Math.min(5, count / 4)));
  await slurm("scancel", "--signal=KILL", "--full", `${job}_2`);
  await until("the array is over", () => isOver(job));
  const after = contents();
  console.log(`Share 2 was killed in the middle: ${after} of ${count} scores are done.`);
  if (after >= count) throw new Error("The share was done before it was killed.");
  const again = await submit("2");
  await until("the share is done", () => isOver(again));
  console.log(`It was submitted again: ${contents()} of ${count} scores are done.`);

  await survey(scores, { out: join(folder, "out") });
  await survey(scores, { out: join(folder, "whole") });
  const differ = await tablesThatDiffer(join(folder, "whole"), join(folder, "out"));
  console.log("Tables that differ from a survey in one go:", differ);
  if (differ.length > 0) Deno.exitCode = 1;
} finally {
  for (const child of started.reverse()) {
    try {
      child.kill("SIGTERM");
    } catch {
      // It has ended already.
    }
    await child.status;
  }
}
