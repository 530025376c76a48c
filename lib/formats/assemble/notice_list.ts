/** Collecting what a reader could not use, so that nothing is dropped in silence. */
import { shortClause } from "../../base/short_message.ts";
import type { Notice } from "../../score/model.ts";

/** Grows a list of notices: one entry for each thing, with a count and the place of the first. */
export interface NoticeList {
  /** Notes one occurrence; `part` and `bar` are those printed. */
  readonly add: (what: string, part?: string, bar?: string) => void;
  /** The notices so far, the most frequent first. */
  readonly list: () => readonly Notice[];
}

/** Most kinds that are told apart, so that a broken file does not fill the memory with names. */
const MOST_KINDS = 1000;

/** Starts an empty list of notices. */
export function noticeList(file?: string): NoticeList {
  const found = new Map<string, { count: number; part: string | undefined; bar: string | undefined }>();
  return {
    add(said, part, bar) {
      const kind = shortClause(said);
      const what = found.size < MOST_KINDS || found.has(kind) ? kind : "further kinds of things: not used";
      const before = found.get(what);
      if (before) before.count++;
      else found.set(what, { count: 1, part, bar });
    },
    list() {
      return [...found].sort((a, b) => b[1].count - a[1].count).map(([what, { count, part, bar }]) => ({
        what,
        count,
        ...(file === undefined ? {} : { file }),
        ...(part === undefined ? {} : { part }),
        ...(bar === undefined ? {} : { bar }),
      }));
    },
  };
}
