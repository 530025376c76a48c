/**
 * First of so many indexes at which something is reached that stays reached from there on; `length` where it is at
 * none. Looks at as many of them as `length` has binary digits.
 */
export function firstIndex(length: number, isReached: (index: number) => boolean): number {
  let low = 0;
  let high = length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (isReached(middle)) high = middle;
    else low = middle + 1;
  }
  return low;
}
