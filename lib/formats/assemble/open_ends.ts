/** Beginnings of slurs and lines that wait for their ends, many at once. */
import { addTo } from "../../base/add_to.ts";

/** A beginning, under the key its end will have. */
export interface OpenEnd<K> {
  /** What an end has to have in common with it: its number, or its kind and number. */
  readonly key: K;
}

/** Beginnings that wait. */
interface OpenEnds<T extends OpenEnd<unknown>> {
  /** Those of one key, in the order in which they were added. */
  readonly of: (key: T["key"]) => readonly T[];
  readonly add: (end: T) => void;
  readonly close: (end: T) => void;
  /** All that wait, in the order in which they were added. */
  readonly all: () => Iterable<T>;
}

/**
 * Starts an empty store. A file may leave tens of thousands open: each is found by its key, without a look at
 * the others.
 */
export function openEnds<T extends OpenEnd<unknown>>(): OpenEnds<T> {
  const all = new Set<T>();
  const byKey = new Map<T["key"], T[]>();
  return {
    of: (key) => byKey.get(key) ?? [],
    add: (end) => {
      all.add(end);
      addTo(byKey, end.key, end);
    },
    close: (end) => {
      all.delete(end);
      const same = byKey.get(end.key)!;
      if (same.length === 1) byKey.delete(end.key);
      else same.splice(same.lastIndexOf(end), 1);
    },
    all: () => all,
  };
}
