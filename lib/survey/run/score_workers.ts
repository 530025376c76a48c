/** Scores shared out to workers, each under a limit of time and all of them under one of memory. */
import process from "node:process";
import { Worker } from "node:worker_threads";
import { denoPart } from "../../base/deno.ts";
import { refusals } from "../../base/errors.ts";
import { ownInstruments } from "../../instruments/catalogue.ts";
import type { ScoreLimits } from "./row_store.ts";
import type { FromWorker, ToWorker } from "./survey_worker.ts";

/** A score to be measured. */
export interface ScoreTask {
  readonly hash: string;
  readonly file: string;
  readonly bytes: number;
}

/** How scores are worked through. */
interface WorkOptions {
  readonly workers: number;
  readonly limits: ScoreLimits;
  /** What is said to a worker beside the file. */
  readonly job: Omit<Extract<ToWorker, { kind: "score" }>, "kind" | "file">;
  readonly signal: AbortSignal | undefined;
  /** Before work on a score begins. */
  readonly onBegin: (task: ScoreTask) => void;
  /** When a worker has kept its rows, with the hash of what it read. */
  readonly onDone: (task: ScoreTask, done: { readonly hash: string; readonly failed: boolean }) => void;
  /** When it was given up, with the reason. */
  readonly onGivenUp: (task: ScoreTask, reason: string) => Promise<void>;
}

/** How often it is looked how much time and memory are used. */
const LOOK_SECONDS = 0.1;
/** Share of the clock's time that counts even where a worker gets no processor: what waits for ever comes to an end. */
const WAITING_SHARE = 0.05;
/** Longest that counts between two looks: where the machine stood still, nobody is to blame. */
const LONGEST_LOOK_SECONDS = 1;
/** What was in use is given back within this time after a worker has been ended. */
const FREED_SECONDS = 3;
/** A worker that comes to its end between two scores at this share of the memory is replaced by a fresh one. */
const FRESH_FROM = 0.5;

/** The file a worker starts from: beside this one, and with the same ending where the library has been built. */
const WORKER = new URL(`./survey_worker${import.meta.url.slice(-3)}`, import.meta.url);

/** A place for a worker. */
interface Desk {
  worker: Worker;
  task: ScoreTask | undefined;
  /** What its score has taken. */
  usedSeconds: number;
  isReady: boolean;
}

/** What is being worked through. */
interface WorkUnderWay {
  readonly options: WorkOptions;
  readonly queue: ScoreTask[];
  /** What was under way when memory ran out. */
  readonly left: ScoreTask[];
  readonly desks: Desk[];
  /** Called when the last desk is empty. */
  readonly end: () => void;
  /** Called when the survey itself cannot go on. */
  readonly fail: (error: unknown) => void;
}

/**
 * Works through scores in the order given; a worker that is done gets the next. One that takes too long is ended and its
 * score given up. Where memory runs out, all are ended: with one worker its score is given up, with several it may be
 * any of theirs.
 *
 * @returns scores that were under way when memory ran out, to be tried one at a time
 */
export async function workThrough(
  tasks: readonly ScoreTask[],
  options: WorkOptions,
): Promise<readonly ScoreTask[]> {
  refuseWithoutRights();
  const { workers, signal } = options;
  signal?.throwIfAborted();
  if (tasks.length === 0) return [];
  const { promise, resolve: end, reject: fail } = Promise.withResolvers<void>();
  const work: WorkUnderWay = { options, queue: [...tasks], left: [], desks: [], end, fail };
  const stop = () => fail(signal!.reason);
  const watch = setInterval(looksAt(work), LOOK_SECONDS * 1000);
  signal?.addEventListener("abort", stop, { once: true });
  try {
    for (let i = 0; i < Math.min(workers, tasks.length); i++) {
      const desk: Desk = { worker: startWorker(), task: undefined, usedSeconds: 0, isReady: false };
      work.desks.push(desk);
      listen(work, desk);
    }
    for (const desk of [...work.desks]) handNext(work, desk);
    await promise;
  } finally {
    clearInterval(watch);
    signal?.removeEventListener("abort", stop);
    await Promise.all(work.desks.map(({ worker }) => worker.terminate()));
  }
  return work.left;
}

function startWorker(): Worker {
  const worker = new Worker(WORKER);
  worker.postMessage({ kind: "instruments", instruments: ownInstruments() } satisfies ToWorker);
  return worker;
}

/** Does what takes time and is waited for by nobody; where it fails, so does the survey. */
function attempt({ fail }: WorkUnderWay, action: Promise<void>): void {
  void action.catch(fail);
}

/** Hears what the worker of a desk says. */
function listen(work: WorkUnderWay, desk: Desk): void {
  const { worker } = desk;
  worker.on("message", (said: FromWorker) => {
    if (desk.worker !== worker) return; // it was ended meanwhile
    if (said.kind === "ready") {
      desk.isReady = true;
    } else attempt(work, take(work, desk, said));
  });
  worker.on("error", (error: Error) => {
    if (desk.worker !== worker) return;
    if (!desk.isReady) work.fail(new Error(`A worker of the survey failed: ${error.message}`));
    else attempt(work, giveUp(work, desk, outOf(error)));
  });
}

/** Hands a desk the next score; where there is none, the desk is cleared. */
function handNext(work: WorkUnderWay, desk: Desk): void {
  const { queue, desks, options } = work;
  desk.task = queue.shift();
  if (desk.task === undefined) {
    void desk.worker.terminate();
    desks.splice(desks.indexOf(desk), 1);
    if (desks.length === 0) work.end();
    return;
  }
  options.onBegin(desk.task);
  desk.usedSeconds = 0;
  desk.worker.postMessage({ kind: "score", file: desk.task.file, ...options.job } satisfies ToWorker);
}

/** Takes the score off a desk, and says which it was. */
function clearDesk(desk: Desk): ScoreTask | undefined {
  const { task } = desk;
  desk.task = undefined;
  return task;
}

/** Takes what a worker has done. */
async function take(
  work: WorkUnderWay,
  desk: Desk,
  done: Extract<FromWorker, { kind: "done" }>,
): Promise<void> {
  const { limits, onDone } = work.options;
  onDone(clearDesk(desk)!, done);
  if (megabytesUsed() > FRESH_FROM * limits.megabytes) await seatAnew(work, desk);
  handNext(work, desk);
}

/** Ends the worker of a desk and seats a fresh one. */
async function seatAnew(work: WorkUnderWay, desk: Desk): Promise<void> {
  const { worker } = desk;
  Object.assign(desk, { worker: startWorker(), isReady: false });
  listen(work, desk);
  await worker.terminate();
}

async function giveUp(work: WorkUnderWay, desk: Desk, reason: string): Promise<void> {
  const task = clearDesk(desk);
  await seatAnew(work, desk);
  if (task !== undefined) await work.options.onGivenUp(task, reason);
  handNext(work, desk);
}

/** Looks, whenever it is called, what time and memory are used; where it is too much, what is on the desks goes. */
function looksAt(work: WorkUnderWay): () => void {
  const { limits: { megabytes, seconds } } = work.options;
  let [last, lastProcessor] = [performance.now() / 1000, processorSeconds()];
  let quietUntil = 0;
  return () => {
    const [now, processor] = [performance.now() / 1000, processorSeconds()];
    countTime(work, { clock: now - last, processor: processor - lastProcessor });
    [last, lastProcessor] = [now, processor];
    for (const desk of work.desks.filter((one) => one.task !== undefined && one.usedSeconds > seconds)) {
      attempt(work, giveUp(work, desk, `it takes longer than ${seconds} seconds`));
    }
    if (now < quietUntil || megabytesUsed() <= megabytes) return;
    quietUntil = now + FREED_SECONDS;
    for (const desk of work.desks.filter(({ task }) => task !== undefined)) {
      const action = work.options.workers === 1
        ? giveUp(work, desk, `it needs more than ${megabytes} MB of memory`)
        : putBack(work, desk);
      attempt(work, action);
    }
  };
}

/**
 * Counts what scores take: their part of the processor's time, so that a busy machine gives up none that a quiet one
 * measures. What a worker itself takes to load is not the score's.
 */
function countTime(
  { desks }: WorkUnderWay,
  { clock, processor }: { readonly clock: number; readonly processor: number },
): void {
  const busy = desks.filter(({ task, isReady }) => task !== undefined && isReady);
  const passed = Math.min(clock, LONGEST_LOOK_SECONDS);
  const each = Math.min(passed, Math.max(processor / busy.length, WAITING_SHARE * passed));
  for (const desk of busy) desk.usedSeconds += each;
}

/** Leaves the score of a desk for later, when it will be tried alone. */
async function putBack(work: WorkUnderWay, desk: Desk): Promise<void> {
  work.left.push(clearDesk(desk)!);
  await seatAnew(work, desk);
  handNext(work, desk);
}

/** Processor time of all workers together. */
function processorSeconds(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
}

function megabytesUsed(): number {
  return process.memoryUsage().rss / 1e6;
}

/** Why a worker ended by itself: where workers have memory of their own, as in Node, it ran out. */
function outOf(error: Error): string {
  return (error as { code?: string }).code === "ERR_WORKER_OUT_OF_MEMORY"
    ? "it needs more memory than a worker has"
    : `the library failed over it (${error.message.split("\n")[0]})`;
}

function refuseWithoutRights(): void {
  const mayRead = denoPart()?.permissions.querySync({ name: "read", path: WORKER }).state ?? "granted";
  if (WORKER.protocol === "file:" && mayRead === "granted") return;
  throw refusals("survey the scores")(
    "the program may not read the file that workers start from",
    "Run it with --allow-read",
  );
}
