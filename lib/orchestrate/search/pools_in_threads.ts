/** Scorings of passages drawn in threads: the same as in one, since each passage has its own chance. */
import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import { InputError } from "../../base/errors.ts";
import { mayStartThread } from "../../base/may_start_thread.ts";
import { ownInstruments } from "../../instruments/catalogue.ts";
import type { FromPoolThread, PoolJob, ToPoolThread } from "./pool_worker.ts";
import type { Scoring } from "./wish_terms.ts";

/** The file a thread starts from: beside this one, and with the same ending where the library has been built. */
const THREAD = new URL(`./pool_worker${import.meta.url.slice(-3)}`, import.meta.url);

/** Fewer scorings than these are drawn before other threads would have started. */
const FEW_SCORINGS = 120;

/** How many threads work for so many passages; 0 where the caller's own is enough. */
export function threadsFor(
  { workers, passages, scorings }: {
    readonly workers: number | undefined;
    readonly passages: number;
    readonly scorings: number;
  },
): number {
  const usual = passages * scorings < FEW_SCORINGS || !mayStartThread(THREAD) ? 0 : availableParallelism();
  const threads = Math.min(workers ?? usual, passages);
  return workers === undefined && threads < 2 ? 0 : threads;
}

/** Draws the scorings of all passages: a thread that is done with one gets the next. */
export async function poolsInThreads(
  job: PoolJob,
  { threads, signal, onScoring }: {
    readonly threads: number;
    readonly signal: AbortSignal | undefined;
    readonly onScoring: () => void;
  },
): Promise<readonly (readonly Scoring[])[]> {
  if (!mayStartThread(THREAD)) {
    throw new InputError({
      action: "look for plans in several threads",
      problem: "the program may not read the file that threads start from",
      remedy: "Run it with --allow-read, or give workers: 0",
    });
  }
  signal?.throwIfAborted();
  const { passages } = job.wishes;
  const pools: (readonly Scoring[])[] = passages.map(() => []);
  const workers = Array.from({ length: threads }, () => new Worker(THREAD));
  let [next, done] = [0, 0];
  try {
    await new Promise<void>((resolve, reject) => {
      signal?.addEventListener("abort", () => reject(signal.reason), { once: true });
      for (const worker of workers) {
        const say = (message: ToPoolThread) => worker.postMessage(message);
        const goOn = () => {
          if (next < passages.length) say({ kind: "passage", passage: next++ });
        };
        worker.on("message", (data: FromPoolThread) => {
          if (data.kind === "failed") {
            return reject(new Error(`A thread of the search failed: ${data.message}`));
          }
          if (data.kind === "scoring") return onScoring();
          pools[data.passage] = data.pool;
          if (++done === passages.length) resolve();
          else goOn();
        });
        worker.on(
          "error",
          (error: Error) => reject(new Error(`A thread of the search failed: ${error.message}`)),
        );
        say({ kind: "job", job, ownInstruments: ownInstruments() });
        goOn();
      }
    });
  } finally {
    await Promise.all(workers.map((worker) => worker.terminate()));
  }
  return pools;
}
