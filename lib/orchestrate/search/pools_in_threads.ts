/** Scorings of passages drawn in threads: the same as in one, since each passage has its own chance. */
import { availableParallelism } from "node:os";
import { inThreads, mayStartThread } from "../../base/threads.ts";
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
  const { passages } = job.wishes;
  const pools: (readonly Scoring[])[] = passages.map(() => []);
  let [next, finished] = [0, 0];
  const how = { action: "look for plans in several threads", work: "search", threads, signal };
  await inThreads(THREAD, how, (worker, _thread, { done, failed }) => {
    const say = (message: ToPoolThread) => worker.postMessage(message);
    const goOn = () => {
      if (next < passages.length) say({ kind: "passage", passage: next++ });
    };
    worker.on("message", (data: FromPoolThread) => {
      if (data.kind === "failed") return failed(new Error(`A thread of the search failed: ${data.message}`));
      if (data.kind === "scoring") return onScoring();
      pools[data.passage] = data.pool;
      if (++finished === passages.length) done();
      else goOn();
    });
    say({ kind: "job", job, ownInstruments: ownInstruments() });
    goOn();
  });
  return pools;
}
