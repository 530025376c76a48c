/** Whether lists of numbers are the same. */

/** Whether two lists have the same numbers in the same order. */
export function areSameNumbers(a: readonly number[], b: readonly number[]): boolean {
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}
