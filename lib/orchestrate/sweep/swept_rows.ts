/** The rows of a grid of choices: every setting written, checked and measured, one row each. */
import { availableParallelism } from "node:os";
import {
  A_FUNCTION,
  A_PLAN,
  A_SIGNAL,
  A_SKETCH,
  A_SWITCH,
  A_TEXT,
  AN_ORCHESTRA_PART,
  checkArgument,
  checkOptions,
  listOf,
} from "../../base/arguments.ts";
import { refusals } from "../../base/errors.ts";
import { inThreads, mayStartThread } from "../../base/threads.ts";
import { allInstruments, ownInstruments } from "../../instruments/catalogue.ts";
import { orchestra as orchestraByName, type OrchestraPart } from "../../instruments/orchestra.ts";
import { BALANCE_CONSTANTS } from "../../measures/balance/balance.ts";
import { IDIOM_CONSTANTS } from "../../measures/idiom/idiom.ts";
import { CONTOUR_CONSTANTS } from "../../measures/contour/contour.ts";
import { FULLNESS_CONSTANTS } from "../../measures/fullness/fullness.ts";
import { FRESHNESS_CONSTANTS } from "../../measures/freshness/freshness.ts";
import { MOMENTUM_CONSTANTS } from "../../measures/momentum/momentum.ts";
import { PLAYABILITY_CONSTANTS } from "../../measures/playability/playability.ts";
import { DATA_TABLES } from "./data_tables.ts";
import { checkedGrid, type SweepGrid } from "./sweep_grid.ts";
import type { Plan } from "../plan/plan.ts";
import type { SweepOptions } from "./sweep_options.ts";
import { SWEEP_MEASURES, type SweepRow } from "./sweep_rows.ts";
import { settingMeasurer, type SweepJob } from "./sweep_setting.ts";
import { openSweepState, type SweepMarks, sweepMarks, type SweepState } from "./sweep_state.ts";
import type { FromThread, ToThread } from "./sweep_worker.ts";

/** Grids with more settings are heard quickly unless something else is asked for. */
const FULL_DETAIL_UP_TO = 1000;

/** Settings handed to a thread at a time. */
const HANDFUL = 20;

/** A grid with fewer settings is done before other threads would have started. */
const FEW_SETTINGS = 40;

/** Works out what `sweep` is asked for. */
export async function sweptRows(
  plan: Plan,
  grid: SweepGrid,
  options: SweepOptions,
): Promise<readonly SweepRow[]> {
  const orchestra = checkedOptions(options, plan, grid);
  const { settings: total } = checkedGrid(plan, grid, { orchestra, layers: options.layers });
  const job = jobOf(plan, grid, { ...options, orchestra, total });
  options.signal?.throwIfAborted();
  const state = options.stateFile === undefined
    ? undefined
    : await openSweepState(options.stateFile, { settings: total, marks: marksOf(job) });
  try {
    return await allRows(job, { total, state, options });
  } finally {
    await state?.close();
  }
}

const OPTIONS = {
  sketch: A_SKETCH,
  orchestra: listOf(AN_ORCHESTRA_PART, "a list of parts"),
  layers: undefined,
  measures: listOf(A_TEXT, "a list of measures"),
  detail: undefined,
  refuseImpossible: A_SWITCH,
  stateFile: A_TEXT,
  workers: undefined,
  onProgress: A_FUNCTION,
  signal: A_SIGNAL,
};

/** Refuses options that make no sense, and says who can play. */
function checkedOptions(options: SweepOptions, plan: Plan, grid: SweepGrid): readonly OrchestraPart[] {
  checkOptions("sweep", options, OPTIONS);
  const fail = refusals("sweep");
  if (typeof grid !== "object" || grid === null || Array.isArray(grid)) {
    throw fail("there is no grid of choices", "Give one, for example { tempo: [96, 132] }");
  }
  checkArgument("sweep", plan, A_PLAN);
  if (options.sketch === undefined && grid.sketch === undefined) {
    throw fail("there is no sketch to set", "Give one in the options, for example { sketch: demoSketch() }");
  }
  if (options.sketch !== undefined && grid.sketch !== undefined) {
    throw fail(
      "there is a sketch in the options and a choice of sketches in the grid",
      "Give the one or the other",
    );
  }
  const measures = options.measures ?? SWEEP_MEASURES;
  const unknown = measures.find((m) => !SWEEP_MEASURES.includes(m));
  if (unknown !== undefined || measures.length === 0) {
    throw fail(
      unknown === undefined ? "nothing is to be measured" : `"${unknown}" is not a measure`,
      `The measures are ${SWEEP_MEASURES.join(", ")}`,
    );
  }
  const { workers } = options;
  if (workers !== undefined && !(Number.isInteger(workers) && workers >= 0)) {
    throw fail(`it is to work in ${workers} threads`, "Give a whole number, 0 for the caller's own");
  }
  if (options.detail !== undefined && options.detail !== "full" && options.detail !== "quick") {
    throw fail(`"${options.detail}" is no way of hearing`, "Give full or quick");
  }
  return options.orchestra ?? orchestraByName();
}

function jobOf(
  plan: Plan,
  grid: SweepGrid,
  options: SweepOptions & { readonly orchestra: readonly OrchestraPart[]; readonly total: number },
): SweepJob {
  const measures = options.measures ?? SWEEP_MEASURES;
  return {
    plan,
    grid,
    sketch: options.sketch ?? null,
    orchestra: options.orchestra,
    layers: options.layers ?? null,
    measures: SWEEP_MEASURES.filter((m) => measures.includes(m)),
    refuseImpossible: options.refuseImpossible !== false,
    detail: options.detail ?? (options.total > FULL_DETAIL_UP_TO ? "quick" : "full"),
  };
}

/** Marks of everything the rows depend on, so that a file is only gone on with by the same sweep. */
function marksOf(job: SweepJob): SweepMarks {
  const { plan, grid, sketch, orchestra, layers, measures, refuseImpossible, detail } = job;
  const { sketch: sketches, ...choices } = grid;
  return sweepMarks({
    "the plan": plan,
    "the grid": choices,
    "the sketch": sketches ?? sketch,
    "the orchestra": orchestra,
    "the choice of layers": layers,
    "the choice of measures": [measures, refuseImpossible],
    "the detail of hearing": detail,
    "a constant of the library": [
      MOMENTUM_CONSTANTS,
      BALANCE_CONSTANTS,
      FRESHNESS_CONSTANTS,
      FULLNESS_CONSTANTS,
      CONTOUR_CONSTANTS,
      IDIOM_CONSTANTS,
      PLAYABILITY_CONSTANTS,
    ],
    "a table of the library": DATA_TABLES,
    "the catalogue with your own instruments": allInstruments(),
  });
}

interface SweepRun {
  readonly total: number;
  readonly state: SweepState | undefined;
  readonly options: SweepOptions;
}

/** Works out what is missing and returns all rows in order. */
async function allRows(job: SweepJob, { total, state, options }: SweepRun): Promise<readonly SweepRow[]> {
  const rows: (SweepRow | undefined)[] = new Array(total).fill(undefined);
  for (const row of state?.rows.values() ?? []) rows[row.setting - 1] = row;
  const missing = rows.flatMap((row, i) => row === undefined ? [i] : []);
  const resumed = total - missing.length;
  let done = resumed;
  let refused = rows.filter((row) => row !== undefined && row.refused !== null).length;
  const tell = () => options.onProgress?.({ done, total, refused, resumed });
  const take = async (found: readonly SweepRow[]): Promise<void> => {
    await state?.add(found);
    for (const row of found) rows[row.setting - 1] = row;
    done += found.length;
    refused += found.filter((row) => row.refused !== null).length;
    tell();
  };
  if (resumed > 0) tell();
  const threads = Math.min(
    options.workers ?? usualWorkers(missing.length),
    Math.ceil(missing.length / HANDFUL),
  );
  const handfuls = Array.from(
    { length: Math.ceil(missing.length / HANDFUL) },
    (_, i) => missing.slice(i * HANDFUL, (i + 1) * HANDFUL),
  );
  if (threads === 0) await workHere(job, handfuls, { take, signal: options.signal });
  else await workInThreads(job, handfuls, { take, signal: options.signal, threads });
  return rows as readonly SweepRow[];
}

function usualWorkers(settings: number): number {
  return settings < FEW_SETTINGS || !mayStartThread(THREAD) ? 0 : availableParallelism();
}

/** The file a thread starts from: beside this one, and with the same ending where the library has been built. */
const THREAD = new URL(`./sweep_worker${import.meta.url.slice(-3)}`, import.meta.url);

interface Work {
  readonly take: (rows: readonly SweepRow[]) => Promise<void>;
  readonly signal: AbortSignal | undefined;
}

/** One setting after the other; between them others may have their turn. */
async function workHere(
  job: SweepJob,
  handfuls: readonly (readonly number[])[],
  { take, signal }: Work,
): Promise<void> {
  const measure = settingMeasurer(job);
  for (const handful of handfuls) {
    const rows: SweepRow[] = [];
    for (const setting of handful) {
      rows.push(measure(setting));
      await new Promise((resolve) => setTimeout(resolve, 0));
      signal?.throwIfAborted();
    }
    await take(rows);
  }
}

/**
 * Shares handfuls out between threads. Each has a stretch of its own, since settings that follow each other have most in
 * common and a thread remembers only what it did itself; who is done with its own helps whoever has most left, from the end.
 */
function sharedOut<T>(handfuls: readonly T[], threads: number): (thread: number) => T | undefined {
  const cut = (thread: number) => Math.round(thread * handfuls.length / threads);
  const own = Array.from({ length: threads }, (_, t) => handfuls.slice(cut(t), cut(t + 1)));
  return (thread) => own[thread]!.shift() ?? own.reduce((a, b) => b.length > a.length ? b : a).pop();
}

/** Handfuls of settings shared out: a thread that is done gets the next. */
async function workInThreads(
  job: SweepJob,
  handfuls: readonly (readonly number[])[],
  { take, signal, threads }: Work & { readonly threads: number },
): Promise<void> {
  const nextFor = sharedOut(handfuls, threads);
  let [busy, writing] = [threads, Promise.resolve()];
  const how = { action: "sweep in several threads", work: "sweep", threads, signal };
  try {
    await inThreads(THREAD, how, (worker, thread, { done, failed }) => {
      const say = (message: ToThread) => worker.postMessage(message);
      const goOn = () => {
        const settings = nextFor(thread);
        if (settings !== undefined) say({ kind: "settings", settings });
        else if (--busy === 0) done();
      };
      worker.on("message", (data: FromThread) => {
        if (data.kind === "failed") {
          return failed(new Error(`Setting ${data.setting + 1} of the sweep failed: ${data.message}`));
        }
        goOn();
        writing = writing.then(() => take(data.rows));
        writing.catch(failed);
      });
      say({ kind: "job", job, ownInstruments: ownInstruments() });
      goOn();
    });
    await writing;
  } finally {
    // A row that is being written is written whole before the file is closed.
    await writing.catch(() => {});
  }
}
