/** Words of MusicXML 4.0 that are both read and written. */
import type { Articulation, PlayingSign } from "../../score/model.ts";

/** What files written here name as their software. */
export const OWN_SOFTWARE = "ripieno";

/** Note values, by their share of a whole note (type `note-type-value`). */
export const NOTE_VALUES: readonly (readonly [name: string, wholes: number])[] = [
  ["maxima", 8],
  ["long", 4],
  ["breve", 2],
  ["whole", 1],
  ["half", 1 / 2],
  ["quarter", 1 / 4],
  ["eighth", 1 / 8],
  ["16th", 1 / 16],
  ["32nd", 1 / 32],
  ["64th", 1 / 64],
  ["128th", 1 / 128],
  ["256th", 1 / 256],
  ["512th", 1 / 512],
  ["1024th", 1 / 1024],
];

/** Elements of articulations. */
export const ARTICULATION_ELEMENTS: Readonly<Record<Articulation, string>> = {
  accent: "accent",
  marcato: "strong-accent",
  staccato: "staccato",
  staccatissimo: "staccatissimo",
  tenuto: "tenuto",
  portato: "detached-legato",
  spiccato: "spiccato",
  breath: "breath-mark",
};

/** Signs that are kept under their element's name, by the element they stand in. */
export const ARTICULATION_SIGNS: readonly PlayingSign[] = [
  "scoop",
  "plop",
  "doit",
  "falloff",
  "caesura",
  "stress",
  "unstress",
  "soft-accent",
];
export const ORNAMENT_SIGNS: readonly PlayingSign[] = [
  "turn",
  "inverted-turn",
  "delayed-turn",
  "mordent",
  "inverted-mordent",
  "schleifer",
];
export const TECHNICAL_SIGNS: readonly PlayingSign[] = [
  "up-bow",
  "down-bow",
  "open-string",
  "thumb-position",
  "double-tongue",
  "triple-tongue",
  "snap-pizzicato",
];

/** Kinds of chord (element `kind`) with a suffix that the chord library reads; kinds without a common one are missing. */
export const CHORD_KINDS: readonly (readonly [kind: string, suffix: string])[] = [
  ["major", ""],
  ["minor", "m"],
  ["augmented", "aug"],
  ["diminished", "dim"],
  ["dominant", "7"],
  ["major-seventh", "maj7"],
  ["minor-seventh", "m7"],
  ["diminished-seventh", "dim7"],
  ["augmented-seventh", "7#5"],
  ["half-diminished", "m7b5"],
  ["major-minor", "mMaj7"],
  ["major-sixth", "6"],
  ["minor-sixth", "m6"],
  ["dominant-ninth", "9"],
  ["major-ninth", "maj9"],
  ["minor-ninth", "m9"],
  ["dominant-11th", "11"],
  ["major-11th", "maj11"],
  ["minor-11th", "m11"],
  ["dominant-13th", "13"],
  ["major-13th", "maj13"],
  ["minor-13th", "m13"],
  ["suspended-second", "sus2"],
  ["suspended-fourth", "sus4"],
  ["power", "5"],
];
