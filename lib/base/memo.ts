/**
 * The library's one way of keeping what was worked out. A memo may hold only what a pure function makes of readonly
 * data, under a key that tells all it was made of: results are the same with it, without it, and in any order of asking.
 */
import { areSameNumbers } from "./same_numbers.ts";

/** Gives what is kept under a key, or else makes it. What throws is not kept. */
export type Memo<Value, Key = string> = (key: Key, make: () => Value) => Value;

/**
 * Keeps values by key: by text, by number or by the object itself. What was longest not asked for is forgotten: half of
 * the room at a time, so that finding costs no more than one look. The last `most / 2` asked for are always there.
 *
 * @param most values kept
 */
export function memo<Value, Key = string>(most: number): Memo<Value, Key> {
  let young = new Map<Key, Value>();
  let old = new Map<Key, Value>();
  return (key, make) => {
    let value = young.get(key);
    if (value !== undefined || young.has(key)) return value as Value;
    value = old.get(key);
    if (value === undefined && !old.has(key)) value = make();
    if (young.size >= most / 2) {
      old = young;
      young = new Map();
    }
    young.set(key, value as Value);
    return value as Value;
  };
}

/**
 * Makes a value when it is first asked for, and keeps it. Tables are read so: who loads the library does not wait for
 * those that are not needed.
 *
 * @param make what makes the value
 */
export function once<Value>(make: () => Value): () => Value {
  let kept: { readonly value: Value } | undefined;
  return () => (kept ??= { value: make() }).value;
}

/**
 * Keeps one value for each object, for as long as the object itself is in use.
 *
 * @param make what is made of an object that never changes
 */
export function memoOf<Of extends object, Value>(make: (of: Of) => Value): (of: Of) => Value {
  const kept = new WeakMap<Of, Value>();
  return (of) => {
    let value = kept.get(of);
    if (value === undefined && !kept.has(of)) kept.set(of, value = make(of));
    return value as Value;
  };
}

/**
 * Keeps values by lists of figures. They are found by a hash and compared one by one, since to write thousands of them
 * out as text would take longer than what is in most of them. What is kept is a copy, so that one list may ask for all.
 *
 * @param most lists kept
 */
export function memoOfFigures<Value>(most: number): Memo<Value, readonly number[]> {
  let young = new Map<number, KeptFigures<Value>>();
  let old = new Map<number, KeptFigures<Value>>();
  let count = 0;
  return (figures, make) => {
    const hash = hashOf(figures);
    const known = alike(young.get(hash), figures);
    if (known) return known.value;
    const before = alike(old.get(hash), figures);
    // The list may be filled anew by what `make` asks for.
    const own = before ? before.figures : figures.slice();
    const value = before ? before.value : make();
    if (count++ >= most / 2) {
      old = young;
      young = new Map();
      count = 0;
    }
    young.set(hash, { figures: own, value, next: young.get(hash) });
    return value;
  };
}

/** A value and its figures; those of one hash stand in a chain. */
interface KeptFigures<Value> {
  readonly figures: readonly number[];
  readonly value: Value;
  readonly next: KeptFigures<Value> | undefined;
}

function alike<Value>(
  first: KeptFigures<Value> | undefined,
  figures: readonly number[],
): KeptFigures<Value> | undefined {
  for (let one = first; one !== undefined; one = one.next) {
    if (areSameNumbers(one.figures, figures)) return one;
  }
  return undefined;
}

const float = new Float64Array(1);
const halves = new Uint32Array(float.buffer);

function hashOf(figures: readonly number[]): number {
  let hash = figures.length;
  for (let i = 0; i < figures.length; i++) {
    const figure = figures[i]!;
    const whole = figure | 0;
    if (whole === figure) {
      hash = Math.imul(hash ^ (hash >>> 15) ^ whole, 0x9e3779b1);
    } else {
      float[0] = figure;
      hash = Math.imul(hash ^ (hash >>> 15) ^ halves[0]!, 0x9e3779b1);
      hash = Math.imul(hash ^ (hash >>> 15) ^ halves[1]!, 0x85ebca77);
    }
  }
  return (hash ^ (hash >>> 13)) & 0x3fffffff; // a small integer: larger ones are made anew for each look
}
