/** Chords that every book of harmony lists for a key: of its scale, and those that lead to them. */
import { CHORD_TYPES } from "../score/chord_types.ts";
import { chordAt } from "./chord_space.ts";

/** Scales as semitones above the tonic; of minor the natural and the harmonic one. */
const SCALES = {
  major: [[0, 2, 4, 5, 7, 9, 11]],
  minor: [[0, 2, 3, 5, 7, 8, 10], [0, 2, 3, 5, 7, 8, 11]],
};

/** A mode of a key. */
export type Mode = keyof typeof SCALES;

/** Triads and seventh chords in thirds on each step of the scale, as they stand to the tonic. */
export function scaleChords(mode: Mode): ReadonlySet<number> {
  const chords = SCALES[mode].flatMap((scale) =>
    scale.flatMap((root, step) =>
      [3, 4].flatMap((size) => {
        const ups = Array.from({ length: size }, (_, third) =>
          (scale[(step + 2 * third) % 7]! - root + 12) % 12);
        const kind = CHORD_TYPES.findIndex(({ semitones }) =>
          semitones.join() === ups.join()
        );
        return kind < 0 ? [] : [chordAt(root, kind)];
      })
    )
  );
  return new Set(chords);
}

/** Kinds by name. */
const kindNamed = (quality: string): number => CHORD_TYPES.findIndex((type) => type.quality === quality);
const [MAJOR, MINOR, SEVENTH] = [kindNamed("major"), kindNamed("minor"), kindNamed("seventh")];
const LEADING = [kindNamed("diminished seventh"), kindNamed("half-diminished seventh")];

/**
 * Dominants and leading-note chords of the major and minor triads of the scale, chords borrowed from the parallel key, and
 * the major triad on the flattened second step.
 */
export function relatedChords(mode: Mode): ReadonlySet<number> {
  const own = [...scaleChords(mode)];
  const leading = own.flatMap((chord) => {
    const target = Array.from({ length: 12 }, (_, up) => up).find((up) =>
      [chordAt(up, MAJOR), chordAt(up, MINOR)].includes(chord)
    );
    if (target === undefined) return [];
    return [MAJOR, SEVENTH].map((kind) => chordAt(target + 7, kind)).concat(
      LEADING.map((kind) => chordAt(target + 11, kind)),
    );
  });
  return new Set([...leading, ...scaleChords(mode === "major" ? "minor" : "major"), chordAt(1, MAJOR)]);
}
