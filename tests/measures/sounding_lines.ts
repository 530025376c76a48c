/** Leads and accompaniments for tests of properties. */
import fc from "fast-check";
import { type Line, repeatedNotes } from "./small_scores.ts";

export const SEED = 1997;

/** One to five voices of repeated notes on some of these instruments, each in a layer of its own. */
export function accompanimentOf(...instruments: readonly string[]): fc.Arbitrary<readonly Line[]> {
  return fc.array(
    fc.record({
      instrument: fc.constantFrom(...instruments),
      pitch: fc.integer({ min: 45, max: 76 }),
      dynamic: fc.integer({ min: 2, max: 7 }),
      every: fc.constantFrom(0.25, 0.5, 1, 4),
    }),
    { minLength: 1, maxLength: 5 },
  ).map((voices) =>
    voices.map((v, i): Line => ({
      instrument: v.instrument,
      role: "pulse",
      layer: `layer ${i}`,
      notes: repeatedNotes(v.pitch, v.every, { dynamic: v.dynamic }),
    }))
  );
}

/** The same on instruments that hold their notes. */
export const accompaniment = accompanimentOf(
  "clarinet in Bb",
  "horn in F",
  "viola",
  "trumpet in C",
  "bassoon",
  "cello",
);

/** A melody instrument that repeats a note. */
export const leads = fc.record({
  instrument: fc.constantFrom("flute", "oboe", "violin", "trumpet in C"),
  pitch: fc.integer({ min: 67, max: 84 }),
  dynamic: fc.integer({ min: 2, max: 7 }),
}).map((v): Line => ({
  instrument: v.instrument,
  role: "lead",
  layer: "lead",
  notes: repeatedNotes(v.pitch, 2, { dynamic: v.dynamic }),
}));
