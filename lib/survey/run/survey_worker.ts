/** A worker of a survey: is given one score after the other, reads and measures it, and keeps its rows. */
import { parentPort } from "node:worker_threads";
import { InputError } from "../../base/errors.ts";
import { readBytes } from "../../formats/files/read_bytes.ts";
import { readScoreBytes } from "../../formats/read_score_bytes.ts";
import { addInstrument, type Instrument } from "../../instruments/catalogue.ts";
import { contentRows, errorRows } from "../rows/content_rows.ts";
import type { ContentRows } from "../rows/tables.ts";
import { hashOf } from "./find_scores.ts";
import { keepRows } from "./row_store.ts";

/** What a worker is told. */
export type ToWorker =
  | { readonly kind: "instruments"; readonly instruments: readonly Instrument[] }
  | {
    readonly kind: "score";
    readonly file: string;
    readonly store: string;
    readonly by: string;
    readonly largestBytes: number;
  };

/** What it says: that it is there, and how a score went. */
export type FromWorker =
  | { readonly kind: "ready" }
  | { readonly kind: "done"; readonly hash: string; readonly failed: boolean };

const say = (message: FromWorker) => parentPort!.postMessage(message);

parentPort!.on("message", async (data: ToWorker) => {
  if (data.kind === "instruments") return data.instruments.forEach((one) => addInstrument(one));
  const { file, store, by, largestBytes } = data;
  let hash = "";
  let rows: ContentRows;
  try {
    const bytes = await readBytes(file, {
      action: "read the score",
      largestBytes,
      ifMissing: "It was there when the survey began",
      ifFolder: "Name a file in it",
      ifLarge: "Split the score into movements",
    });
    hash = hashOf(bytes);
    // Without the file's name: the rows belong to the content, wherever it lies.
    rows = contentRows(readScoreBytes(bytes, { largestBytes }), hash);
  } catch (error) {
    rows = errorRows(hash, error instanceof InputError ? error.message : unexpected(error));
  }
  if (hash !== "") await keepRows(store, rows, { hash, by });
  say({ kind: "done", hash, failed: rows.scores[0]!["error"] !== null });
});

/** A fault of ours: it is said, and the survey goes on. */
function unexpected(error: unknown): string {
  const [line] = (error instanceof Error ? error.message : String(error)).split("\n");
  return `Cannot measure the score: the library failed over it (${line}). Please report it with the score.`;
}

say({ kind: "ready" });
