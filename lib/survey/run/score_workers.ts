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

/** How often it is looked how much memory is used. */
const LOOK_SECONDS = 0.1;
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
  timer: ReturnType<typeof setTimeout> | undefined;
  isReady: boolean;
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
  const { limits, signal } = options;
  signal?.throwIfAborted();
  const queue = [...tasks];
  const left: ScoreTask[] = [];
  const desks: Desk[] = [];
  const isAlone = options.workers === 1;
  const { promise, resolve, reject } = Promise.withResolvers<void>();
  const attempt = (work: () => Promise<void>) => void work().catch(reject);

  const seat = (desk: Desk) => {
    const worker = new Worker(WORKER);
    Object.assign(desk, { worker, isReady: false });
    worker.on("message", (data: FromWorker) => {
      if (desk.worker !== worker) return; // it was ended meanwhile
      if (data.kind === "ready") {
        desk.isReady = true;
        if (desk.task !== undefined) time(desk);
      } else attempt(() => taken(desk, data));
    });
    worker.on("error", (error: Error) => {
      if (desk.worker !== worker) return;
      if (!desk.isReady) reject(new Error(`A worker of the survey failed: ${error.message}`));
      else attempt(() => giveUp(desk, outOf(error)));
    });
    worker.postMessage({ kind: "instruments", instruments: ownInstruments() } satisfies ToWorker);
  };
  // What a worker itself takes to load is not the score's.
  const time = (desk: Desk) => {
    desk.timer = setTimeout(
      () => attempt(() => giveUp(desk, `it takes longer than ${limits.seconds} seconds`)),
      limits.seconds * 1000,
    );
  };
  const next = (desk: Desk) => {
    desk.task = queue.shift();
    if (desk.task === undefined) {
      void desk.worker.terminate();
      desks.splice(desks.indexOf(desk), 1);
      if (desks.length === 0) resolve();
      return;
    }
    options.onBegin(desk.task);
    if (desk.isReady) time(desk);
    desk.worker.postMessage({ kind: "score", file: desk.task.file, ...options.job } satisfies ToWorker);
  };
  const taken = async (desk: Desk, done: Extract<FromWorker, { kind: "done" }>) => {
    clearTimeout(desk.timer);
    const task = desk.task!;
    desk.task = undefined;
    options.onDone(task, done);
    if (megabytesUsed() > FRESH_FROM * limits.megabytes) await seatAnew(desk);
    next(desk);
  };
  const seatAnew = async (desk: Desk) => {
    const { worker } = desk;
    seat(desk);
    await worker.terminate();
  };
  const giveUp = async (desk: Desk, reason: string) => {
    clearTimeout(desk.timer);
    const task = desk.task;
    desk.task = undefined;
    await seatAnew(desk);
    if (task !== undefined) await options.onGivenUp(task, reason);
    next(desk);
  };
  let quietUntil = 0;
  const watch = setInterval(() => {
    const now = performance.now();
    if (now < quietUntil || megabytesUsed() <= limits.megabytes) return;
    quietUntil = now + FREED_SECONDS * 1000;
    for (const desk of desks.filter(({ task }) => task !== undefined)) {
      if (isAlone) {
        attempt(() => giveUp(desk, `it needs more than ${limits.megabytes} MB of memory`));
      } else {
        left.push(desk.task!);
        desk.task = undefined;
        clearTimeout(desk.timer);
        attempt(async () => {
          await seatAnew(desk);
          next(desk);
        });
      }
    }
  }, LOOK_SECONDS * 1000);
  signal?.addEventListener("abort", () => reject(signal.reason), { once: true });

  try {
    for (let i = 0; i < Math.min(options.workers, tasks.length); i++) {
      const desk = {} as Desk;
      desks.push(desk);
      seat(desk);
    }
    if (desks.length === 0) resolve();
    for (const desk of [...desks]) next(desk);
    await promise;
  } finally {
    clearInterval(watch);
    for (const { timer } of desks) clearTimeout(timer);
    await Promise.all(desks.map(({ worker }) => worker.terminate()));
  }
  return left;
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
