/**
 * Takes mutants all the way, in a process of its own: `deno run -A tests/formats/read_mutants.ts COUNT SEED`. Prints
 * one line of JSON for each that fails, with its seed, and one at the end: how many were read and refused, the
 * longest time and the greatest growth of memory. One that is over its limits is given up, and the next one begins.
 */
import process from "node:process";
import { mutantBases, mutantOf } from "../setup/mutants/mutants.ts";
import { outcomeOf } from "./mutant_outcome.ts";

/** Longest a mutant may keep the processor, in milliseconds: on a busy machine the clock says little. */
const LONGEST = 2000;
/** Longest it may take by the clock, for one that waits for ever. */
const LONGEST_WAIT = 60_000;
/** Most memory the process may grow by while one is looked at, in bytes. */
const MOST_MEMORY = 600e6;

/** Milliseconds the process has kept the processor for, all its threads together. */
function processorTime(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

/** What the thread that reads says: it begins with a mutant, or has ended with it. */
type Message =
  | { readonly seed: number }
  | { readonly seed: number; readonly kind: string; readonly outcome: string; readonly why?: string }
  | "ready"
  | "done";

async function readAll(seeds: readonly number[], say: (message: Message) => void): Promise<void> {
  const bases = mutantBases();
  for (const seed of seeds) {
    let kind = "";
    try {
      const mutant = mutantOf(bases, seed);
      ({ kind } = mutant);
      say({ seed });
      say({ seed, kind, outcome: await outcomeOf(mutant) });
    } catch (error) {
      const { message, stack } = error instanceof Error ? error : new Error(String(error));
      const where = /tests|lib/.test(stack ?? "")
        ? stack!.split("\n").find((l) => /\/lib\//.test(l))?.trim()
        : "";
      say({ seed, kind, outcome: "failed", why: `${message} ${where ?? ""}`.trim() });
    }
  }
  say("done");
}

const READS = "DedicatedWorkerGlobalScope" in globalThis;

if (READS) {
  const scope = globalThis as unknown as {
    onmessage: (event: MessageEvent<readonly number[]>) => void;
    postMessage: (data: Message) => void;
  };
  scope.onmessage = ({ data }) => void readAll(data, (message) => scope.postMessage(message));
  scope.postMessage("ready");
} else if (import.meta.main) {
  await watch(Number(Deno.args[0]), Number(Deno.args[1]));
}

/** Reads beside this thread, looks at clock and memory, and goes on after one that had to be given up. */
async function watch(count: number, first: number): Promise<void> {
  const totals = { read: 0, refused: 0, failed: 0, longestMilliseconds: 0, mostMegabytes: 0 };
  const kinds: Record<string, number> = {};
  const fail = (seed: number, why: string, kind = "") => {
    totals.failed++;
    console.log(JSON.stringify({ seed, kind, why }));
  };
  let next = first;
  while (next < first + count) {
    next = await new Promise<number>((resolve) => {
      const worker = new Worker(import.meta.url, { type: "module" });
      let seed: number | undefined;
      let [since, began] = [0, 0];
      let memory = 0;
      let ended = false;
      const end = (from: number) => {
        ended = true;
        clearInterval(clock);
        worker.terminate();
        resolve(from);
      };
      const look = () => {
        if (seed === undefined || ended) return;
        const took = processorTime() - since;
        const grown = Deno.memoryUsage().rss - memory;
        totals.longestMilliseconds = Math.max(totals.longestMilliseconds, Math.ceil(took));
        totals.mostMegabytes = Math.max(totals.mostMegabytes, Math.ceil(grown / 1e6));
        const why = took > LONGEST || performance.now() - began > LONGEST_WAIT
          ? `keeps the processor longer than ${LONGEST} ms, ${
            Math.round(performance.now() - began)
          } ms by the clock`
          : grown > MOST_MEMORY
          ? `takes more than ${MOST_MEMORY / 1e6} MB`
          : undefined;
        if (why === undefined) return;
        fail(seed, why);
        end(seed + 1);
      };
      const clock = setInterval(look, 20);
      worker.onmessage = ({ data }: MessageEvent<Message>) => {
        if (data === "ready") {
          return worker.postMessage(Array.from({ length: first + count - next }, (_, i) => next + i));
        }
        if (data === "done") return end(first + count);
        if (!("outcome" in data)) {
          [seed, since, began, memory] = [
            data.seed,
            processorTime(),
            performance.now(),
            Deno.memoryUsage().rss,
          ];
          return;
        }
        look();
        if (ended) return;
        seed = undefined;
        kinds[`${data.kind} ${data.outcome}`] = (kinds[`${data.kind} ${data.outcome}`] ?? 0) + 1;
        if (data.outcome === "failed") fail(data.seed, data.why ?? "", data.kind);
        else totals[data.outcome as "read" | "refused"]++;
      };
      worker.onerror = (event) => {
        event.preventDefault();
        fail(seed ?? next, `the thread ended: ${event.message}`);
        end((seed ?? next) + 1);
      };
    });
  }
  console.log(JSON.stringify({ mutants: count, ...totals, kinds }));
}
