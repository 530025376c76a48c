/** Exact fractions of a whole note, for lengths in ABC. */
import { commonDivisor } from "../../base/common_divisor.ts";

/** A fraction in lowest terms; the denominator is positive. */
export interface Fraction {
  readonly top: number;
  readonly bottom: number;
}

/** Nothing. */
export const ZERO: Fraction = { top: 0, bottom: 1 };

/** A fraction in lowest terms. */
export function fraction(top: number, bottom: number): Fraction {
  const common = commonDivisor(Math.abs(top), bottom);
  return top === 0 ? ZERO : { top: top / common, bottom: bottom / common };
}

/** Sum of two fractions. */
export function plus(a: Fraction, b: Fraction): Fraction {
  return fraction(a.top * b.bottom + b.top * a.bottom, a.bottom * b.bottom);
}

/** What is left of one fraction without another. */
export function minus(a: Fraction, b: Fraction): Fraction {
  return plus(a, { top: -b.top, bottom: b.bottom });
}

/** Product of two fractions. */
export function times(a: Fraction, b: Fraction): Fraction {
  return fraction(a.top * b.top, a.bottom * b.bottom);
}

/** Which of two fractions is larger. */
export function compare(a: Fraction, b: Fraction): number {
  return a.top * b.bottom - b.top * a.bottom;
}
