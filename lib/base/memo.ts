/**
 * The library's one way of keeping what was worked out. A memo may hold only what a pure function makes of readonly
 * data, under a key that tells all it was made of: results are the same with it, without it, and in any order of asking.
 */

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
