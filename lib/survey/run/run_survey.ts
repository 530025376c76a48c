/** A survey from the first look into the folder to the tables. */
import { availableParallelism } from "node:os";
import { join } from "node:path";
import { InputError } from "../../base/errors.ts";
import { type HeldFile, holdFile } from "../../base/hold_file.ts";
import { checkFolder, writeFolder } from "../../formats/files/write_folder.ts";
import type { FileToWrite } from "../../formats/files/file_to_write.ts";
import { LARGEST_BYTES } from "../../formats/musicxml/read/read_musicxml.ts";
import type { Recipe } from "../recipes/recipe_results.ts";
import type { Survey } from "../survey_results.ts";
import type { SurveyOptions } from "../survey_options.ts";
import { findScores, type FoundScore, hashOfFile, largestFirst } from "./find_scores.ts";
import { gathered, gatheredRecipes, NO_HASH, scoreRows, type SurveyedScore } from "./gather.ts";
import { SURVEY_FILES } from "./survey_files.ts";
import { type Journal, openJournal } from "./journal.ts";
import { isDone, keepGivenUp, openStore, ROWS_FOLDER, type ScoreLimits } from "./row_store.ts";
import { type ScoreTask, workThrough } from "./score_workers.ts";

/** What a score may take unless said otherwise. */
const LIMITS: ScoreLimits = { seconds: 300, megabytes: 3500 };

/** A score is given up when the program has ended so often while it was at work on nothing else. */
const ENDED_ALONE = 2;

const ACTION = "survey the scores";

/** What a survey works with. */
interface SurveyRun {
  readonly store: string;
  /** Who works in the store: a shard, or all. */
  readonly by: string;
  readonly limits: ScoreLimits;
  readonly options: SurveyOptions;
  readonly journal: Journal;
}

/** What files beside the tables are made from. */
interface SurveyDone extends Survey {
  readonly recipes: () => Promise<readonly Recipe[]>;
}

/** Does what `survey` is asked for. `more` makes files that are written beside the tables. */
export async function runSurvey(
  where: string | readonly string[],
  options: SurveyOptions,
  more: (survey: SurveyDone) => Promise<readonly FileToWrite[]> = () => Promise.resolve([]),
): Promise<Survey> {
  const { out, shard, signal } = options;
  signal?.throwIfAborted();
  await checkFolder(out, shard ? [] : SURVEY_FILES);
  const all = await findScores(where, { except: out });
  const own = shard ? largestFirst(all).filter((_, i) => i % shard.of === shard.number - 1) : all;
  const store = join(out, ROWS_FOLDER);
  const by = shard ? `${shard.number}-of-${shard.of}` : "all";
  await openStore(store, by);
  const journalFile = join(store, `.journal-${by}.jsonl`);
  const held = await heldJournal(journalFile, out);
  try {
    const limits = limitsOf(options);
    const journal = openJournal(journalFile);
    let scores: readonly SurveyedScore[];
    try {
      scores = await measured(own, { store, by, limits, options, journal });
    } catch (error) {
      if (signal?.aborted) journal.stop();
      journal.close();
      throw error;
    }
    journal.finish();
    const survey: Survey = { folder: out, scores: await scoreRows(store, scores) };
    if (!shard) {
      const files = await more({ ...survey, recipes: () => gatheredRecipes(store, survey) });
      await writeFolder(out, [...await gathered(store, scores), ...files], { signal });
    }
    return survey;
  } finally {
    await held.release();
  }
}

function limitsOf({ secondsPerScore, megabytes }: SurveyOptions): ScoreLimits {
  return { seconds: secondsPerScore ?? LIMITS.seconds, megabytes: megabytes ?? LIMITS.megabytes };
}

async function heldJournal(journalFile: string, out: string): Promise<HeldFile> {
  const held = await holdFile(`${journalFile}.lock`);
  if (held !== undefined) return held;
  throw new InputError({
    action: ACTION,
    problem: "another survey is at work in the folder",
    where: { file: out },
    remedy: "Wait for it to end, or choose another folder",
  });
}

/** Measures what is not done yet, and says of every file where its rows are. */
async function measured(found: readonly FoundScore[], run: SurveyRun): Promise<readonly SurveyedScore[]> {
  const { store, limits, options } = run;
  const hashes = new Map<string, string>();
  const known = new Set<string>();
  const tasks: ScoreTask[] = [];
  for (const { path, file, bytes } of largestFirst(found)) {
    options.signal?.throwIfAborted();
    const hash = await hashOfFile(file) ?? NO_HASH;
    hashes.set(path, hash);
    if (hash === NO_HASH || known.has(hash)) continue;
    known.add(hash);
    if (!await isDone(store, hash, limits)) tasks.push({ hash, file, bytes });
  }
  const changed = await workOff(tasks, run, { total: known.size, tell: options.onProgress });
  return found.map(({ path }) => {
    const hash = hashes.get(path)!;
    return { path, hash: changed.get(hash) ?? hash };
  });
}

/** How far a run is to be told. */
interface Telling {
  readonly total: number;
  readonly tell: SurveyOptions["onProgress"];
}

/**
 * Works tasks off: first those of which nothing is feared, side by side; then, one at a time, those that were under way when
 * the program ended or memory ran out.
 *
 * @returns for files that changed since they were first looked at, the hash of what was read
 */
async function workOff(
  tasks: readonly ScoreTask[],
  { store, by, limits, options, journal }: SurveyRun,
  { total, tell }: Telling,
): Promise<ReadonlyMap<string, string>> {
  const changed = new Map<string, string>();
  const { begunBefore } = journal;
  const workers = options.workers ?? availableParallelism();
  const clock = progressClock(tasks, { total, tell, workers, secondsPerScore: limits.seconds });
  const onGivenUp = async (task: ScoreTask, reason: string) => {
    const error = `Cannot measure the score: ${reason}. Look at it alone, or survey again with more allowed.`;
    await keepGivenUp(store, error, { hash: task.hash, by, limits });
    journal.end(task.hash);
    clock.done(task, true);
  };
  const work = (some: readonly ScoreTask[], workers: number) =>
    workThrough(some, {
      workers,
      limits,
      job: { store, by, largestBytes: LARGEST_BYTES },
      signal: options.signal,
      onBegin: ({ hash }) => journal.begin(hash, { alone: workers === 1 }),
      onDone: (task, { hash, failed }) => {
        if (hash !== task.hash) changed.set(task.hash, hash);
        journal.end(task.hash);
        clock.done(task, failed);
      },
      onGivenUp,
    });
  const isFeared = ({ hash }: ScoreTask) => begunBefore.has(hash);
  clock.tell();
  const left = await work(tasks.filter((task) => !isFeared(task)), workers);
  const feared = tasks.filter(isFeared)
    .sort((a, b) => begunBefore.get(a.hash)!.times - begunBefore.get(b.hash)!.times);
  const isToBlame = ({ hash }: ScoreTask) => begunBefore.get(hash)!.alone >= ENDED_ALONE;
  for (const task of feared.filter(isToBlame)) {
    await onGivenUp(
      task,
      "the program ended more than once while it was at work on it, as where memory runs out",
    );
  }
  await work([...left, ...feared.filter((task) => !isToBlame(task))], 1);
  return changed;
}

/**
 * Counts what is done and tells it, with the seconds that are left: by the bytes that are left, but no more than the scores
 * may take.
 */
function progressClock(
  tasks: readonly ScoreTask[],
  { total, tell, workers, secondsPerScore }: Telling & {
    readonly workers: number;
    readonly secondsPerScore: number;
  },
) {
  const resumed = total - tasks.length;
  const all = tasks.reduce((sum, { bytes }) => sum + bytes, 0);
  const began = performance.now();
  let [done, failed, bytesDone] = [resumed, 0, 0];
  const remaining = () => {
    if (bytesDone === 0) return null;
    const byBytes = (performance.now() - began) / 1000 * (all - bytesDone) / bytesDone;
    return Math.min(byBytes, Math.ceil((total - done) / workers) * secondsPerScore);
  };
  const say = () => tell?.({ done, total, failed, resumed, remainingSeconds: remaining() });
  return {
    tell: say,
    done: ({ bytes }: ScoreTask, hasFailed: boolean) => {
      done++;
      bytesDone += bytes;
      if (hasFailed) failed++;
      say();
    },
  };
}
