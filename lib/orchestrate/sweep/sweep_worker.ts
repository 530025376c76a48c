/** A thread of a sweep: is given the job once, then settings by the handful, and sends back their rows. */
import { parentPort } from "node:worker_threads";
import { addInstrument, type Instrument } from "../../instruments/catalogue.ts";
import { settingMeasurer, type SweepJob } from "./sweep_setting.ts";
import type { SweepRow } from "./sweep_rows.ts";

export type ToThread =
  | { readonly kind: "job"; readonly job: SweepJob; readonly ownInstruments: readonly Instrument[] }
  | { readonly kind: "settings"; readonly settings: readonly number[] };

export type FromThread =
  | { readonly kind: "rows"; readonly rows: readonly SweepRow[] }
  | { readonly kind: "failed"; readonly setting: number; readonly message: string };

let measure: ((setting: number) => SweepRow) | undefined;

const say = (message: FromThread) => parentPort!.postMessage(message);

parentPort!.on("message", (data: ToThread) => {
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
      return say({ kind: "failed", setting, message });
    }
  }
  say({ kind: "rows", rows });
});
