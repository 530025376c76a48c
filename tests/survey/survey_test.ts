/** Surveys as they are run: real files, real workers, real processes that are killed. */
import { assert, assertEquals, assertMatch, assertRejects, assertStringIncludes } from "@std/assert";
import { join } from "node:path";
import { compare, InputError, readScore, study, writeMusicXml } from "ripieno";
import {
  readRecipes,
  readSurvey,
  readSurveyBars,
  recipeOf,
  survey,
  type SurveyProgress,
} from "ripieno/survey";
import { inFolder } from "../formats/files/tree_of.ts";
import { generatedSetting } from "../setup/generated_settings.ts";
import { runCommand } from "../setup/run_command.ts";
import { STUDY_TASK } from "../setup/study_task.ts";
import { tablesOf, tablesThatDiffer, writeCorpus } from "../setup/survey_corpus.ts";

const DIGITS = 12;
/** Memory is counted for the whole process, in which other tests run beside a survey. */
const ROOM = { megabytes: 20_000 } as const;

/** Three short scores in a folder, with folders, a twin, and files that are no scores. */
async function furnish(folder: string): Promise<string> {
  const scores = join(folder, "scores");
  await Deno.mkdir(join(scores, "cues"), { recursive: true });
  for (const seed of [0, 1, 2]) {
    const xml = writeMusicXml(generatedSetting(seed).score);
    await Deno.writeTextFile(join(scores, "cues", `cue ${seed}.musicxml`), xml);
  }
  await Deno.copyFile(join(scores, "cues", "cue 0.musicxml"), join(scores, "twin.musicxml"));
  await Deno.writeTextFile(join(scores, "notes.txt"), "no score");
  await Deno.writeTextFile(join(scores, ".hidden.abc"), "no score");
  return scores;
}

Deno.test("a row of a survey says what the study of its file alone says, to twelve digits", () =>
  inFolder(async (folder) => {
    const scores = await furnish(folder);
    const done = await survey(scores, { out: join(folder, "out"), workers: 1, ...ROOM });
    assertEquals(done.scores.map((s) => s.path).toSorted(), done.scores.map((s) => s.path));
    assertEquals(done.scores.length, 4);
    for (const row of done.scores) {
      const score = await readScore(join(scores, row.path));
      const [alone] = compare([study(score)]);
      assertEquals(row.error, null);
      assertEquals(row.bars, score.bars.length);
      for (const field of ["momentum", "audibleShare", "freshness", "powerDb"] as const) {
        assertEquals(row[field], Number(alone![field]!.toPrecision(DIGITS)), `${row.path}: ${field}`);
      }
    }
    const bars = await readSurveyBars(join(folder, "out"));
    assertEquals(bars.length, done.scores.reduce((sum, s) => sum + s.bars!, 0));
    const recipes = await readRecipes(join(folder, "out"));
    const [path] = done.scores.map((s) => s.path);
    const own = recipeOf(await readScore(join(scores, path!)), { name: path! });
    assertEquals(recipes[0]!.roles.map((r) => [r.family, r.role]), own.roles.map((r) => [r.family, r.role]));
    assertEquals(recipes[0]!.figures.map((r) => r.figure), own.figures.map((r) => r.figure));
    assertEquals(recipes[0]!.doublings.length, own.doublings.length);
    assertEquals(recipes[0]!.leads, own.leads);
    // Files of one content are measured once and have a row each.
    const twins = done.scores.filter((s) => s.hash === done.scores.at(-1)!.hash);
    assertEquals(twins.length, 2);
    assertEquals(await readSurvey(join(folder, "out")), done);
  }));

Deno.test("the tables have the same bytes in one worker or two, in shares, and after a second run that does nothing", () =>
  inFolder(async (folder) => {
    const scores = join(folder, "scores");
    await writeCorpus(scores, 6);
    await Deno.writeTextFile(join(scores, "bad.musicxml"), "<score-partwise>");
    const out = (name: string) => join(folder, name);
    await survey(scores, { out: out("one"), workers: 1, ...ROOM });
    await survey(scores, { out: out("two"), workers: 2, ...ROOM });
    assertEquals(await tablesThatDiffer(out("one"), out("two")), []);
    const resumed: number[] = [];
    await survey(scores, { out: out("two"), ...ROOM, onProgress: (p) => resumed.push(p.resumed, p.total) });
    assertEquals(resumed, [7, 7]);
    assertEquals(await tablesThatDiffer(out("one"), out("two")), []);
    const shares = [];
    for (const number of [3, 1, 2]) {
      shares.push(
        await survey(scores, { out: out("shares"), shard: { number, of: 3 }, workers: 1, ...ROOM }),
      );
    }
    assertEquals(shares.flatMap((s) => s.scores.map((row) => row.path)).length, 7);
    assertEquals(Object.keys(await tablesOf(out("shares"))), []);
    await survey(scores, { out: out("shares"), ...ROOM });
    assertEquals(await tablesThatDiffer(out("one"), out("shares")), []);
  }));

Deno.test("a file more changes no row and no distance of the others", () =>
  inFolder(async (folder) => {
    const scores = join(folder, "scores");
    await writeCorpus(scores, 3);
    const before = await survey(scores, { out: join(folder, "out"), workers: 1, ...ROOM });
    const recipes = await readRecipes(join(folder, "out"));
    await Deno.writeTextFile(
      join(scores, "a.musicxml"),
      writeMusicXml(generatedSetting(1).score),
    );
    const after = await survey(scores, { out: join(folder, "out"), workers: 1, ...ROOM });
    assertEquals(after.scores.slice(1), before.scores);
    assertEquals((await readRecipes(join(folder, "out"))).slice(1), recipes);
  }));

Deno.test("a bad file, one that takes too long and one that eats memory are rows, and the rest is measured", () =>
  inFolder(async (folder) => {
    const scores = await furnish(folder);
    await Deno.writeTextFile(join(scores, "bad.mid"), "MThd, and then nothing");
    await Deno.writeTextFile(join(scores, "empty.abc"), "");
    await Deno.writeTextFile(join(scores, "endless.musicxml"), largeXml(5000));
    const out = join(folder, "out");
    const onProgress = ({ done, total, remainingSeconds }: SurveyProgress) =>
      assert(
        (remainingSeconds ?? 0) <= 3 * Math.ceil((total - done) / 2),
        "no score takes longer than it may",
      );
    const done = await survey(scores, { out, workers: 2, secondsPerScore: 3, megabytes: 20_000, onProgress });
    const errorOf = (name: string, from = done) => from.scores.find((s) => s.path === name)!.error!;
    assertEquals(done.scores.filter((s) => s.error === null).length, 4);
    assertMatch(errorOf("bad.mid"), /^Cannot read the MIDI file: /);
    assertMatch(errorOf("empty.abc"), /it is empty/);
    assertMatch(errorOf("endless.musicxml"), /it takes longer than 3 seconds/);
    for (const { error } of done.scores) assert(!error?.includes(folder), "no path of the machine in a row");
    // With less memory the same file is given up for that; what was given up is tried again where more is allowed.
    const hungry = await survey(scores, { out, workers: 2, secondsPerScore: 600, megabytes: 500 });
    assertMatch(errorOf("endless.musicxml", hungry), /it needs more than 500 MB of memory/);
    assertEquals(hungry.scores.filter((s) => s.error === null).length, 4);
  }));

/** A score so long that nobody waits for it. */
function largeXml(bars: number): string {
  const notes = Array.from(
    { length: 16 },
    (_, i) =>
      `<note><pitch><step>${"CDEFGAB"[i % 7]}</step><octave>${
        4 + i % 2
      }</octave></pitch><duration>1</duration><type>16th</type></note>`,
  ).join("");
  const attributes =
    "<attributes><divisions>4</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>";
  const part = Array.from(
    { length: bars },
    (_, b) => `<measure number="${b + 1}">${b === 0 ? attributes : ""}${notes}</measure>`,
  ).join("");
  const names = ["Violin", "Viola"];
  return `<?xml version="1.0"?><score-partwise version="4.0"><part-list>${
    names.map((name, i) => `<score-part id="P${i}"><part-name>${name}</part-name></score-part>`).join("")
  }</part-list>${names.map((_, i) => `<part id="P${i}">${part}</part>`).join("")}</score-partwise>`;
}

/** A survey by the command, with the rights of its task, in a group of processes that can be killed together. */
function command(folder: string, ...more: readonly string[]): Deno.ChildProcess {
  return new Deno.Command("setsid", {
    args: [Deno.execPath(), ...STUDY_TASK, "study", "--survey", "scores", "--out", "out", ...more],
    cwd: folder,
    env: { NO_COLOR: "1" },
    stdout: "piped",
    stderr: "piped",
  }).spawn();
}

async function until(holds: () => boolean): Promise<void> {
  while (!holds()) await new Promise((resolve) => setTimeout(resolve, 50));
}

function textIn(path: string): string {
  try {
    return Deno.readTextFileSync(path);
  } catch {
    return "";
  }
}

Deno.test(
  "killed again and again, a survey goes on where it was, and its tables are those of an uninterrupted one",
  { ignore: Deno.build.os === "windows" },
  () =>
    inFolder(async (folder) => {
      await writeCorpus(join(folder, "scores"), 10);
      await survey(join(folder, "scores"), { out: join(folder, "whole"), ...ROOM });
      const journal = join(folder, "out", "rows", ".journal-all.jsonl");
      for (let kill = 1; kill <= 2; kill++) {
        const child = command(folder);
        const had = textIn(journal).split('"ended"').length;
        await until(() => textIn(journal).split('"ended"').length >= had + 2);
        Deno.kill(-child.pid, "SIGKILL");
        await Promise.all([child.status, child.stdout.cancel(), child.stderr.cancel()]);
      }
      const { code, stdout, stderr } = await command(folder).output();
      assertEquals(code, 0, new TextDecoder().decode(stderr));
      assertStringIncludes(new TextDecoder().decode(stdout), "10 scores, 10 of them measured");
      assertEquals(await tablesThatDiffer(join(folder, "whole"), join(folder, "out")), []);
      assertEquals(
        [...Deno.readDirSync(join(folder, "out", "rows"))].filter((one) => one.name.startsWith(".")),
        [],
      );
    }),
);

Deno.test(
  "a score that takes the program down is tried again alone, then given up; the command starts again by itself",
  { ignore: Deno.build.os === "windows" },
  () =>
    inFolder(async (folder) => {
      await writeCorpus(join(folder, "scores"), 3);
      await Deno.writeTextFile(join(folder, "scores", "fatal.musicxml"), largeXml(20_000));
      const journal = join(folder, "out", "rows", ".journal-all.jsonl");
      const child = command(folder, "--workers", "2", "--megabytes", "20000");
      const done = child.output();
      // What a system without memory does to the process that takes most: kills it and nothing else.
      for (let crash = 1; crash <= 3; crash++) {
        const isFatalAlone = () => {
          const lines = textIn(journal).trim().split("\n").map((line) => line === "" ? {} : JSON.parse(line));
          const runs = lines.filter((line) => line.run).length;
          const last = lines.at(-1);
          const others = lines.filter((line) => line.ended !== undefined).length;
          return runs === crash && others === 3 && last !== undefined && (crash === 1 || last.alone === true);
        };
        await until(isFatalAlone);
        const { output } = await runCommand(["ps", "-o", "pid=", "--ppid", String(child.pid)]);
        Deno.kill(Number(output.trim()), "SIGKILL");
      }
      const { code, stdout, stderr } = await done;
      const [said, errors] = [stdout, stderr].map((bytes) => new TextDecoder().decode(bytes));
      assertEquals(code, 0, errors);
      assertStringIncludes(said!, "4 scores, 3 of them measured");
      assertStringIncludes(
        said!,
        "fatal.musicxml: Cannot measure the score: the program ended more than once",
      );
      assertStringIncludes(errors!, "It is started again.");
    }),
);

Deno.test(
  "where the machine has no time for a survey, no score is given up for it",
  { ignore: Deno.build.os === "windows" },
  () =>
    inFolder(async (folder) => {
      await writeCorpus(join(folder, "scores"), 4);
      const child = command(folder, "--workers", "1", "--seconds-per-score", "4");
      const done = child.output();
      await until(() => textIn(join(folder, "out", "rows", ".journal-all.jsonl")).includes('"ended"'));
      Deno.kill(-child.pid, "SIGSTOP");
      await new Promise((resolve) => setTimeout(resolve, 6000));
      Deno.kill(-child.pid, "SIGCONT");
      const { code, stdout, stderr } = await done;
      assertEquals(code, 0, new TextDecoder().decode(stderr));
      assertStringIncludes(new TextDecoder().decode(stdout), "4 scores, 4 of them measured");
    }),
);

Deno.test("a survey that is stopped by hand blames nobody and goes on", () =>
  inFolder(async (folder) => {
    const scores = join(folder, "scores");
    await writeCorpus(scores, 6);
    const out = join(folder, "out");
    for (let i = 0; i < 3; i++) {
      const stop = new AbortController();
      await assertRejects(
        () =>
          survey(scores, {
            out,
            workers: 1,
            ...ROOM,
            signal: stop.signal,
            onProgress: () => stop.abort(new Error("enough")),
          }),
        Error,
        "enough",
      );
    }
    const done = await survey(scores, { out, ...ROOM });
    assertEquals(done.scores.map((s) => s.error), done.scores.map(() => null));
  }));

Deno.test("what a survey cannot do is refused in a sentence", () =>
  inFolder(async (folder) => {
    const out = join(folder, "out");
    await Deno.mkdir(join(folder, "empty"));
    await assertRejects(
      () => survey(join(folder, "none"), { out }),
      InputError,
      "there is no such file or folder",
    );
    await assertRejects(() => survey(join(folder, "empty"), { out }), InputError, "no score is in it");
    await assertRejects(() => survey(folder, { out, workers: 0 }), InputError, "0 workers");
    await assertRejects(
      () => survey(folder, { out, shard: { number: 4, of: 3 } }),
      InputError,
      "the share is none",
    );
    await assertRejects(() => readSurvey(folder), InputError, "there is no such file");
  }));
