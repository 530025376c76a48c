/** Greatest common divisor of two positive whole numbers. */
export function commonDivisor(a: number, b: number): number {
  while (b !== 0) [a, b] = [b, a % b];
  return a;
}
