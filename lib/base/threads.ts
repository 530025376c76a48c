/** Threads: whether they may be started, and how they are started, listened to and ended. */
import { Worker } from "node:worker_threads";
import { denoPart } from "./deno.ts";
import { InputError } from "./errors.ts";

/** Whether the program may read the file that a thread starts from; never from the net. */
export function mayStartThread(file: URL): boolean {
  if (file.protocol !== "file:") return false;
  return (denoPart()?.permissions.querySync({ name: "read", path: file }).state ?? "granted") === "granted";
}

/** What a thread's listener tells of the whole work. */
interface WorkEnds {
  readonly done: () => void;
  readonly failed: (error: Error) => void;
}

/**
 * Starts threads, lets each be spoken with, and ends them all when the work is done, fails or is called off.
 *
 * @param file the file that threads start from
 * @param options what the work is, in words, how many threads, and what calls it off
 * @param speak listens to one thread and gives it its work
 * @throws {InputError} when the program may not read the file
 */
export async function inThreads(
  file: URL,
  { action, work, threads, signal }: {
    readonly action: string;
    readonly work: string;
    readonly threads: number;
    readonly signal: AbortSignal | undefined;
  },
  speak: (worker: Worker, thread: number, ends: WorkEnds) => void,
): Promise<void> {
  if (!mayStartThread(file)) {
    throw new InputError({
      action,
      problem: "the program may not read the file that threads start from",
      remedy: "Run it with --allow-read, or give workers: 0",
    });
  }
  // It may have been called off before anybody listened.
  signal?.throwIfAborted();
  const workers = Array.from({ length: threads }, () => new Worker(file));
  try {
    await new Promise<void>((done, failed) => {
      signal?.addEventListener("abort", () => failed(signal.reason), { once: true });
      for (const [thread, worker] of workers.entries()) {
        worker.on("error", (error: Error) => {
          failed(new Error(`A thread of the ${work} failed: ${error.message}`));
        });
        speak(worker, thread, { done, failed });
      }
    });
  } finally {
    await Promise.all(workers.map((worker) => worker.terminate()));
  }
}
