/** Puts neighbours together that belong together: one list for each run of items that follow each other. */
export function runsOf<T>(items: Iterable<T>, follows: (before: T, item: T) => boolean): T[][] {
  const runs: T[][] = [];
  let before: T | undefined;
  for (const item of items) {
    if (before !== undefined && follows(before, item)) runs.at(-1)!.push(item);
    else runs.push([item]);
    before = item;
  }
  return runs;
}
