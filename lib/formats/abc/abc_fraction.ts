/** Exact fractions of a whole note, for lengths in ABC. */

/** A fraction in lowest terms; the denominator is positive. */
export interface Fraction {
  readonly top: number;
  readonly bottom: number;
}

/** Nothing. */
export const ZERO: Fraction = { top: 0, bottom: 1 };

/** A fraction in lowest terms. */
export function fraction(top: number, bottom: number): Fraction {
  let [a, b] = [Math.abs(top), bottom];
  while (b !== 0) [a, b] = [b, a % b];
  return a === 0 ? ZERO : { top: top / a, bottom: bottom / a };
}

/** Sum of two fractions. */
export function plus(a: Fraction, b: Fraction): Fraction {
  return fraction(a.top * b.bottom + b.top * a.bottom, a.bottom * b.bottom);
}

/** Product of two fractions. */
export function times(a: Fraction, b: Fraction): Fraction {
  return fraction(a.top * b.top, a.bottom * b.bottom);
}

/** Which of two fractions is larger. */
export function compare(a: Fraction, b: Fraction): number {
  return a.top * b.bottom - b.top * a.bottom;
}
