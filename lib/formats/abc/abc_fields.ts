/** The fields of an ABC tune: metre, unit length, tempo, key, voice. Each gives undefined for what it can't read. */
import { type Fraction, fraction, plus, times, ZERO } from "./abc_fraction.ts";
import { alterInKey } from "../../score/spelling.ts";
import { TEMPO_WORDS } from "../../score/tempo_words.ts";

/** Metre of `M:`. */
export interface AbcMetre {
  readonly beats: number;
  readonly beatUnit: number;
  /** Groups in units of the lower figure, where the field has them: `M:3+2+2/8`. */
  readonly groups?: readonly number[];
}

const MAX_FIGURE = 128;

/** Reads `M:`; `free` for no metre; undefined where it cannot be read. */
export function readMetre(text: string): AbcMetre | "free" | undefined {
  const value = text.trim();
  if (value === "none" || value === "") return "free";
  if (value === "C") return { beats: 4, beatUnit: 4 };
  if (value === "C|") return { beats: 2, beatUnit: 2 };
  const found = /^\(?(\d+(?:\s*\+\s*\d+)*)\)?\s*\/\s*(\d+)$/.exec(value);
  if (!found) return undefined;
  const groups = found[1]!.split("+").map(Number);
  const beats = groups.reduce((sum, n) => sum + n, 0);
  const beatUnit = Number(found[2]);
  const fits = beats >= 1 && beats <= MAX_FIGURE && beatUnit <= MAX_FIGURE && Math.log2(beatUnit) % 1 === 0;
  return fits ? { beats, beatUnit, ...(groups.length > 1 ? { groups } : {}) } : undefined;
}

/** Reads `L:`, in whole notes; undefined where it cannot be read. */
export function readUnitLength(text: string): Fraction | undefined {
  const found = /^(\d{1,3})(?:\s*\/\s*(\d{1,3}))?$/.exec(text.trim());
  if (!found || Number(found[1]) === 0 || found[2] === "0") return undefined;
  return fraction(Number(found[1]), Number(found[2] ?? 1));
}

/**
 * Unit length, in whole notes, where `L:` is missing: a sixteenth where the metre, as a decimal, is below
 * 0.75, else an eighth (ABC standard 2.1, section 3.1.7, from memory).
 */
export function usualUnitLength(metre: AbcMetre | "free"): Fraction {
  return metre !== "free" && metre.beats / metre.beatUnit < 0.75 ? fraction(1, 16) : fraction(1, 8);
}

/** Tempo of `Q:`. */
interface AbcTempo {
  /** Quarter notes a minute; undefined where only words are given. */
  readonly quartersPerMinute: number | undefined;
  readonly beatsPerMinute: number | undefined;
  readonly words: string | undefined;
}

/**
 * Reads `Q:`, for example `1/4=132`, `"Allegro" 3/8=60`; `120` in the old form counts unit lengths. Undefined
 * where it cannot be read.
 */
export function readTempo(text: string, unit: Fraction): AbcTempo | undefined {
  const words = /"([^"]*)"/.exec(text)?.[1]?.trim() || undefined;
  const figures = text.replace(/"[^"]*"/g, "").trim();
  const word = words?.toLowerCase().split(/[ ,.;:(-]/)[0] ?? "";
  const beatsPerMinute = TEMPO_WORDS[word];
  if (figures === "") {
    return words === undefined ? undefined : { quartersPerMinute: undefined, beatsPerMinute, words };
  }
  const bare = /^(\d+(?:\.\d+)?)$/.exec(figures);
  const full = /^((?:\d+\s*\/\s*\d+\s*)+)=\s*(\d+(?:\.\d+)?)$/.exec(figures);
  let beat = unit;
  if (full) {
    beat = full[1]!.match(/\d+\s*\/\s*\d+/g)!.map((f) => readUnitLength(f) ?? ZERO).reduce(plus, ZERO);
  } else if (!bare) return undefined;
  const perMinute = Number((full ?? bare)!.at(-1));
  return { quartersPerMinute: perMinute * 4 * beat.top / beat.bottom, beatsPerMinute: undefined, words };
}

/** Key of `K:`. */
export interface AbcKey {
  /** Sharps positive, flats negative. */
  readonly fifths: number;
  /** Alteration of each letter. */
  readonly alters: Readonly<Record<string, number>>;
}

const TONIC_FIFTHS: Readonly<Record<string, number>> = { F: -1, C: 0, G: 1, D: 2, A: 3, E: 4, B: 5 };
const MODE_FIFTHS: Readonly<Record<string, number>> = {
  "": 0,
  "maj": 0,
  "ion": 0,
  "m": -3,
  "min": -3,
  "aeo": -3,
  "mix": -1,
  "dor": -2,
  "phr": -4,
  "lyd": 1,
  "loc": -5,
};

/** Alterations of a key signature. */
function altersOf(fifths: number): Record<string, number> {
  return Object.fromEntries([..."ABCDEFG"].map((letter) => [letter, alterInKey(letter, fifths)]));
}

/** Semitones of an accidental in ABC. */
export const ACCIDENTALS: Readonly<Record<string, number>> = { "^^": 2, "^": 1, "=": 0, "_": -1, "__": -2 };

/**
 * Reads the key in `K:`, for example `Dm`, `A mixolydian`, `C exp _b`, `none`; undefined where it cannot be
 * read. Clefs and other voice properties are left to `readVoiceProperties`.
 */
export function readKey(text: string): AbcKey | undefined {
  const value = text.replace(PROPERTY, " ").replace(CLEF_WORD, " ").trim();
  if (value === "" || /^none$/i.test(value)) return { fifths: 0, alters: altersOf(0) };
  if (/^(HP|Hp)\b/.test(value)) return { fifths: 2, alters: altersOf(2) };
  const found = /^([A-G])([#b]?)\s*([A-Za-z]*)\s*((?:(?:\^\^?|=|__?)[A-Ga-g]\s*)*)$/.exec(value);
  if (!found) return undefined;
  const [, tonic, sign, modeText, changes] = found;
  const explicit = /^exp$/i.test(modeText!);
  const mode = modeText === "M" ? "" : modeText!.toLowerCase().slice(0, 3);
  const modeFifths = explicit ? 0 : MODE_FIFTHS[mode];
  if (modeFifths === undefined) return undefined;
  const fifths = explicit
    ? 0
    : TONIC_FIFTHS[tonic!]! + (sign === "#" ? 7 : sign === "b" ? -7 : 0) + modeFifths;
  const alters = altersOf(fifths);
  for (const [, accidental, letter] of changes!.matchAll(/(\^\^?|=|__?)([A-Ga-g])/g)) {
    alters[letter!.toUpperCase()] = ACCIDENTALS[accidental!]!;
  }
  return { fifths, alters };
}

const PROPERTY = /\b([A-Za-z]+)\s*=\s*("[^"]*"|[^\s"]+)/g;
const CLEF_WORD = /\b(treble|alto|tenor|bass|perc)(\d)?([+-]8)?(?=\s|$)/g;

/** Properties of `V:`, and of `K:` after the key. */
interface AbcVoiceProperties {
  readonly name?: string;
  /** Octaves that every note is moved up. */
  readonly octaves: number;
  /** Semitones from written to sounding. */
  readonly transpose?: number;
}

/** Reads the properties of a voice: what stands after its id or after the key. */
export function readVoiceProperties(text: string): AbcVoiceProperties {
  const found = new Map<string, string>();
  for (const [, key, value] of text.matchAll(PROPERTY)) {
    found.set(key!.toLowerCase(), value!.replace(/^"|"$/g, ""));
  }
  const name = found.get("name") ?? found.get("nm");
  const clef = found.get("clef") ?? [...text.replace(PROPERTY, " ").matchAll(CLEF_WORD)][0]?.[0] ?? "";
  const clefOctaves = clef.endsWith("+8") ? 1 : clef.endsWith("-8") ? -1 : 0;
  const whole = (text: string | undefined, limit: number) => {
    const value = Number(text ?? NaN);
    return Number.isInteger(value) && Math.abs(value) <= limit ? value : undefined;
  };
  const transpose = whole(found.get("transpose"), 48);
  return {
    ...(name === undefined || name.trim() === "" ? {} : { name: name.trim() }),
    octaves: (whole(found.get("octave"), 4) ?? 0) + clefOctaves,
    ...(transpose === undefined ? {} : { transpose }),
  };
}

/** Reads a length after a note, in unit lengths: `3`, `/2`, `3/2`, `//`; undefined for a division by nothing. */
export function readLength(text: string): Fraction | undefined {
  const found = /^(\d*)(\/*)(\d*)$/.exec(text);
  if (!found) return undefined;
  const [, top, slashes, bottom] = found;
  const upper = top === "" ? 1 : Number(top);
  const lower = bottom === "" ? 2 ** slashes!.length : Number(bottom) * 2 ** Math.max(0, slashes!.length - 1);
  if (lower === 0 || upper === 0 || upper > 10000 || lower > 10000) return undefined;
  return times(fraction(upper, 1), fraction(1, lower));
}
