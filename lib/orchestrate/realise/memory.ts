/** What was worked out before, kept by its key for as long as there is room. */
export interface Memory<T> {
  /** What is kept under the key, or else worked out now. */
  readonly recall: (key: string, work: () => T) => T;
}

/** A memory that forgets what was longest not asked for. */
export function memoryOf<T>(most: number): Memory<T> {
  const kept = new Map<string, T>();
  return {
    recall: (key, work) => {
      let value = kept.get(key);
      if (value === undefined && !kept.has(key)) {
        value = work();
        if (kept.size >= most) kept.delete(kept.keys().next().value!);
      } else kept.delete(key);
      // A map keeps its order: what was asked for last stands last.
      kept.set(key, value as T);
      return value as T;
    },
  };
}
