/** What each percussion key of General MIDI strikes. From `data/percussion_keys.csv`. */
import { once } from "../base/memo.ts";
import keysText from "../../data/percussion_keys.csv" with { type: "text" };
import { aNumber, anyText, readTable, someText, sourced } from "./data_table.ts";

/** Catalogue id of what is struck, by key. */
export const percussionKeys = once<ReadonlyMap<number, string>>(() =>
  new Map(
    readTable(keysText, {
      file: "data/percussion_keys.csv",
      columns: { percussionKeyMidi: aNumber, instrument: someText, ...sourced, note: anyText },
    }).map((row) => [row.percussionKeyMidi, row.instrument]),
  )
);
