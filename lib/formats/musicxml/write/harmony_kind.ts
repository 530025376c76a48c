/** Chord symbols as MusicXML writes them: root, kind, bass. */
import { Chord } from "tonal";

/** A letter with its alteration. */
export interface HarmonyStep {
  readonly step: string;
  readonly alter: number;
}

/** The parts of a chord symbol. */
export interface HarmonyParts {
  /** Root; missing for no chord. */
  readonly root?: HarmonyStep;
  /** Kind, a word of MusicXML 4.0 (element `kind`). */
  readonly kind: string;
  /** Symbol without root and bass, as printed. */
  readonly text: string;
  /** Bass where a slash names one. */
  readonly bass?: HarmonyStep;
}

/** A usual suffix for each kind. */
const KINDS: readonly (readonly [alias: string, kind: string])[] = [
  ["", "major"],
  ["M", "major"],
  ["m", "minor"],
  ["aug", "augmented"],
  ["dim", "diminished"],
  ["7", "dominant"],
  ["maj7", "major-seventh"],
  ["m7", "minor-seventh"],
  ["dim7", "diminished-seventh"],
  ["7#5", "augmented-seventh"],
  ["m7b5", "half-diminished"],
  ["mMaj7", "major-minor"],
  ["6", "major-sixth"],
  ["m6", "minor-sixth"],
  ["9", "dominant-ninth"],
  ["maj9", "major-ninth"],
  ["m9", "minor-ninth"],
  ["11", "dominant-11th"],
  ["maj11", "major-11th"],
  ["m11", "minor-11th"],
  ["13", "dominant-13th"],
  ["maj13", "major-13th"],
  ["m13", "minor-13th"],
  ["sus2", "suspended-second"],
  ["sus4", "suspended-fourth"],
  ["5", "power"],
];

/** What tells two kinds apart: the intervals over the root. */
const intervalsOf = (suffix: string): string => Chord.get(`C${suffix}`).intervals.join(" ");

const kindOf: ReadonlyMap<string, string> = new Map(KINDS.map(([alias, kind]) => [intervalsOf(alias), kind]));

function stepOf(text: string): HarmonyStep {
  const accidentals = text.slice(1);
  return { step: text[0]!, alter: accidentals.startsWith("b") ? -accidentals.length : accidentals.length };
}

/** Takes a chord symbol apart; the kind is `other` where MusicXML has no word for it, `none` for `N.C.` */
export function harmonyParts(symbol: string): HarmonyParts {
  const match = /^([A-G](?:#+|b+)?)(.*?)(?:\/([A-G](?:#+|b+)?))?$/.exec(symbol.trim());
  if (!match) return { kind: "none", text: symbol.trim() || "N.C." };
  const text = match[2]!;
  return {
    root: stepOf(match[1]!),
    kind: kindOf.get(intervalsOf(text)) ?? "other",
    text,
    ...(match[3] === undefined ? {} : { bass: stepOf(match[3]) }),
  };
}
