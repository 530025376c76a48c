/** Steps of the key that chords stand on, as theory teachers write them. */
import { CHORD_TYPES, type ChordType } from "../score/chord_types.ts";
import { modulo12 } from "./chord_space.ts";
import type { LocalKey } from "./harmony_results.ts";

/** Names of the roots by semitones above the tonic. */
const MAJOR_STEPS = ["I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII"];
const MINOR_STEPS = ["I", "bII", "II", "III", "#III", "IV", "#IV", "V", "VI", "#VI", "VII", "#VII"];
/** Figures of the inversions of triads and of seventh chords. */
const FIGURES = [["", "6", "64"], ["7", "65", "43", "42"]];
const SIGNS: Readonly<Record<string, string>> = {
  "diminished": "°",
  "augmented": "+",
  "diminished seventh": "°",
  "half-diminished seventh": "ø",
  "major seventh": "maj",
};
const SMALL = new Set([
  "minor",
  "minor seventh",
  ...Object.keys(SIGNS).filter((kind) => /^(half-)?dim/.test(kind)),
]);

/** Triads that belong to a key: semitones above the tonic and kind. */
const OF_KEY = {
  major: ["0 major", "2 minor", "4 minor", "5 major", "7 major", "9 minor", "11 diminished"],
  minor: [
    "0 minor",
    "2 diminished",
    "3 major",
    "5 minor",
    "7 major",
    "7 minor",
    "8 major",
    "10 major",
    "11 diminished",
  ],
};
/** Triad below each seventh chord. */
const TRIADS: Readonly<Record<string, string>> = {
  "seventh": "major",
  "major seventh": "major",
  "minor seventh": "minor",
  "diminished seventh": "diminished",
  "half-diminished seventh": "diminished",
};

/** What is placed in its key. */
export interface ToPlace {
  readonly root: number;
  /** An index into the chord types. */
  readonly kind: number;
  /** The chord as it is called, with what stands beside its kind. */
  readonly type: ChordType;
  /** 0 to 3; null with a foreign bass. */
  readonly inversion: number | null;
  /** The chord after it, where there is one. */
  readonly next?: { readonly root: number; readonly kind: number; readonly bass: number | null } | undefined;
  /** What it is called if it is an augmented sixth. */
  readonly sixth: string;
}

/**
 * Step of the key with the chord's figure: `V7`, `ii6`, `vii°7/V`, `bVI`, `Vsus4`. Dominants and diminished chords that are
 * not of the key are named after the step they lead to, and so are augmented sixths, `It6`, `Ger65` and `Fr43`: what sounds
 * as a dominant seventh chord and falls by a semitone to a dominant or to the sixth-four chord before it. Common practice,
 * no source.
 */
export function degreeOf(chord: ToPlace, key: LocalKey): string {
  const { quality } = CHORD_TYPES[chord.kind]!;
  const up = modulo12(chord.root - key.tonic);
  if (isSuspended(chord)) return `${stepName(up, quality, key.mode)}${chord.type.suffix}`;
  if (isAugmentedSixth(chord)) {
    const tonic = (up + 4) % 12;
    const led = stepName(tonic, triadOn(tonic, key.mode), key.mode);
    return tonic === 0 ? chord.sixth : `${chord.sixth}/${led}`;
  }
  const led = targetOf(up, quality, key.mode);
  // A major tonic in minor is the parallel key's, unless it does lead on.
  const isTonic = up === 0 && quality === "major" && chord.next?.root !== (key.tonic + 5) % 12;
  const target = isTonic ? undefined : led;
  if (target === undefined) return inFigures(stepName(up, quality, key.mode), chord);
  const leading = quality.includes("dim") ? "vii" : "V";
  return `${inFigures(leading, chord)}/${stepName(target, triadOn(target, key.mode), key.mode)}`;
}

function isSuspended({ type }: ToPlace): boolean {
  return type.suffix.endsWith("sus4");
}

function isAugmentedSixth({ root, kind, next }: ToPlace): boolean {
  if (CHORD_TYPES[kind]!.quality !== "seventh" || next === undefined) return false;
  const dominant = modulo12(root - 1);
  const { quality } = CHORD_TYPES[next.kind]!;
  if (next.root === dominant) return quality === "major" || quality === "seventh";
  return next.root === (root + 4) % 12 && next.bass === dominant;
}

function stepName(up: number, quality: string, mode: LocalKey["mode"]): string {
  // The leading note of a minor key carries its chord without a sign.
  const name = mode === "minor" && up === 11 ? "VII" : (mode === "major" ? MAJOR_STEPS : MINOR_STEPS)[up]!;
  return SMALL.has(quality) ? name.replace(/[IV]+/, (letters) => letters.toLowerCase()) : name;
}

function inFigures(step: string, { kind, inversion }: Pick<ToPlace, "kind" | "inversion">): string {
  const { quality, semitones } = CHORD_TYPES[kind]!;
  return `${step}${SIGNS[quality] ?? ""}${FIGURES[semitones.length - 3]?.[inversion ?? 0] ?? ""}`;
}

function triadOn(up: number, mode: LocalKey["mode"]): string {
  return OF_KEY[mode].find((triad) => triad.startsWith(`${up} `))?.split(" ")[1] ?? "major";
}

/** The step an applied chord leads to, or undefined for chords that stand for themselves. */
function targetOf(up: number, quality: string, mode: LocalKey["mode"]): number | undefined {
  const triad = TRIADS[quality] ?? quality;
  const isOfKey = OF_KEY[mode].includes(`${up} ${triad}`);
  const isDominant = quality === "seventh" || quality === "major";
  if (isOfKey && !(quality === "seventh" && up !== 7)) return undefined;
  const target = isDominant ? (up + 5) % 12 : triad === "diminished" ? (up + 1) % 12 : undefined;
  const isStep = target !== undefined && target !== 0 &&
    OF_KEY[mode].some((one) => one.startsWith(`${target} `));
  return isStep && triadOn(target, mode) !== "diminished" ? target : undefined;
}
