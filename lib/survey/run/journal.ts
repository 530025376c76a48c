/**
 * What a survey began and ended, line by line, so that after the process was killed the next one knows what was under
 * way. A score that eats all memory takes the whole process with it: what was under way then is tried again last and
 * alone, and given up where the process ends twice more while it is at work on nothing else.
 */
import { closeSync, openSync, readFileSync, rmSync, writeSync } from "node:fs";

/** What is known of a content that was begun and not ended. */
interface BegunBefore {
  /** How often it was begun. */
  readonly times: number;
  /** How often of these nothing else was under way. */
  readonly alone: number;
}

/** A journal, open. */
export interface Journal {
  /** Contents that were begun by earlier processes and not ended, by hash. */
  readonly begunBefore: ReadonlyMap<string, BegunBefore>;
  /** Notes that work on a content begins; returns when it is written. */
  readonly begin: (hash: string, options: { readonly alone: boolean }) => void;
  /** Notes that it has ended, in whatever way. */
  readonly end: (hash: string) => void;
  /** Notes that the work was stopped by hand: what is under way is not to blame. */
  readonly stop: () => void;
  readonly close: () => void;
  /** Closes and removes it: there is nothing left to do. */
  readonly finish: () => void;
}

type Line =
  | { readonly run: true }
  | { readonly begun: string; readonly alone: boolean }
  | { readonly ended: string }
  | { readonly stopped: true };

/** Opens the journal of a survey, new or begun before. Half a line at its end is as good as none. */
export function openJournal(path: string): Journal {
  const begunBefore = readJournal(path);
  const file = openSync(path, "a");
  const add = (line: Line) => void writeSync(file, `${JSON.stringify(line)}\n`);
  writeSync(file, "\n"); // after half a line
  add({ run: true });
  return {
    begunBefore,
    begin: (hash, { alone }) => add({ begun: hash, alone }),
    end: (hash) => add({ ended: hash }),
    stop: () => add({ stopped: true }),
    close: () => closeSync(file),
    finish: () => {
      closeSync(file);
      rmSync(path, { force: true });
    },
  };
}

function readJournal(path: string): ReadonlyMap<string, BegunBefore> {
  const begun = new Map<string, BegunBefore>();
  let before = new Map<string, BegunBefore | undefined>(); // what is under way, with what was known of it
  for (const line of linesOf(path)) {
    if ("run" in line) before = new Map();
    else if ("begun" in line) {
      const known = begun.get(line.begun);
      before.set(line.begun, known);
      begun.set(line.begun, {
        times: (known?.times ?? 0) + 1,
        alone: (known?.alone ?? 0) + (line.alone ? 1 : 0),
      });
    } else if ("ended" in line) {
      begun.delete(line.ended);
      before.delete(line.ended);
    } else {
      for (const [hash, known] of before) known ? begun.set(hash, known) : begun.delete(hash);
      before = new Map();
    }
  }
  return begun;
}

function linesOf(path: string): readonly Line[] {
  let text = "";
  try {
    text = readFileSync(path, "utf8");
  } catch {
    return []; // none yet
  }
  return text.split("\n").flatMap((line) => {
    try {
      const read: unknown = JSON.parse(line);
      return typeof read === "object" && read !== null ? [read as Line] : [];
    } catch {
      return [];
    }
  });
}
