/**
 * Parncutt, A Perceptual Model of Pulse Salience and Metrical Accent in Musical Rhythms, Music Perception 11
 * (1994) 409-464: equation 3 (accent by length, tau 0.5 s, exponent 2) and equation 6 (comfort of a period, mu
 * 0.6 s, sigma 0.2). The constants are quoted; the rows are evaluated from the equations outside this project,
 * to six decimals (confidence: derived).
 */
import { assertAlmostEquals, assertEquals, assertLess } from "@std/assert";
import { durationalAccent, MOMENTUM_CONSTANTS, pulsePeriodSalience } from "ripieno/measures";

const ACCENT: readonly (readonly [seconds: number, accent: number])[] = [
  [0.1, 0.032859],
  [0.2, 0.108689],
  [0.25, 0.154818],
  [0.5, 0.399576],
  [0.6, 0.48833],
  [1, 0.747645],
  [2, 0.963704],
];

const COMFORT: readonly (readonly [periodSeconds: number, comfort: number])[] = [
  [0.1, 0.000516],
  [0.2, 0.058102],
  [0.3, 0.32215],
  [0.4, 0.678683],
  [0.5, 0.924621],
  [0.6, 1],
  [0.7, 0.945517],
  [0.9, 0.678683],
  [1.2, 0.32215],
  [1.8, 0.058102],
  [2.4, 0.01077],
];

Deno.test("durationalAccent() gives the rows of Parncutt's equation 3 to six decimals", () => {
  for (const [seconds, accent] of ACCENT) assertAlmostEquals(durationalAccent(seconds), accent, 6e-7);
});

Deno.test("pulsePeriodSalience() gives the rows of Parncutt's equation 6 to six decimals", () => {
  for (const [period, comfort] of COMFORT) assertAlmostEquals(pulsePeriodSalience(period), comfort, 6e-7);
});

Deno.test("the constants of momentum are Parncutt's", () => {
  const of = (name: keyof typeof MOMENTUM_CONSTANTS) => MOMENTUM_CONSTANTS[name].value;
  assertEquals(
    [of("pulseCentreSeconds"), of("pulseSpreadLog10"), of("accentSaturationSeconds"), of("accentExponent")],
    [0.6, 0.2, 0.5, 2],
  );
});

Deno.test("an instant gives no accent, a period of no length no pulse, and other constants other curves", () => {
  assertEquals(durationalAccent(0), 0);
  assertEquals(pulsePeriodSalience(0), 0);
  assertEquals(pulsePeriodSalience(0.7, { centreSeconds: 0.7 }), 1);
  assertLess(durationalAccent(0.5, { saturationSeconds: 1 }), durationalAccent(0.5));
  assertLess(pulsePeriodSalience(1.2, { spreadLog10: 0.1 }), pulsePeriodSalience(1.2));
});
