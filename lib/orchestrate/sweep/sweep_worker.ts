/** A thread of a sweep: is given the job once, then settings by the handful, and sends back their rows. */
import { addInstrument, type Instrument } from "../../instruments/catalogue.ts";
import { settingMeasurer, type SweepJob } from "./sweep_setting.ts";
import type { SweepRow } from "./sweep_rows.ts";

/** What a thread is told. */
export type ToThread =
  | { readonly kind: "job"; readonly job: SweepJob; readonly ownInstruments: readonly Instrument[] }
  | { readonly kind: "settings"; readonly settings: readonly number[] };

/** What a thread says. */
export type FromThread =
  | { readonly kind: "rows"; readonly rows: readonly SweepRow[] }
  | { readonly kind: "failed"; readonly setting: number; readonly message: string };

/** The part of a thread's own world that is used here; the types know only a window's. */
interface Thread {
  onmessage: (event: MessageEvent<ToThread>) => void;
  readonly postMessage: (message: FromThread) => void;
}

const thread = globalThis as unknown as Thread;
let measure: ((setting: number) => SweepRow) | undefined;

thread.onmessage = ({ data }) => {
  if (data.kind === "job") {
    data.ownInstruments.forEach(addInstrument);
    measure = settingMeasurer(data.job);
    return;
  }
  const rows: SweepRow[] = [];
  for (const setting of data.settings) {
    try {
      rows.push(measure!(setting));
    } catch (error) {
      const message = error instanceof Error ? error.stack ?? error.message : String(error);
      return thread.postMessage({ kind: "failed", setting, message });
    }
  }
  thread.postMessage({ kind: "rows", rows });
};
