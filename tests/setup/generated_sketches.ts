/** Tunes with chords in any metre and key, made by a small generator: for checks that need more than a few of our own. */
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import { type Sketch, sketchOf } from "../../lib/orchestrate/plan/sketch.ts";

/** Metres that sketches are made in. */
export const METRES = ["2/4", "3/4", "4/4", "6/8", "9/8", "12/8", "5/4", "7/8"] as const;

/** One of {@linkcode METRES}. */
export type Metre = (typeof METRES)[number];

/** Rhythms of a bar of a tune, in eighths, and the quarters a minute it may go at (common practice, no source). */
const TUNES: Readonly<
  Record<Metre, { readonly bars: readonly string[]; readonly tempos: readonly number[] }>
> = {
  "2/4": { bars: ["31", "22", "211", "4", "112"], tempos: [72, 96, 120] },
  "3/4": { bars: ["42", "222", "312", "3111", "6", "2112"], tempos: [84, 108, 144] },
  "4/4": { bars: ["3122", "422", "62", "224", "31211", "8", "2114", "44"], tempos: [66, 92, 132] },
  "6/8": { bars: ["2121", "33", "321", "213", "6", "111111", "2112"], tempos: [72, 90, 120] },
  "9/8": { bars: ["33111", "21213", "63", "333", "2133", "321111"], tempos: [72, 90, 120] },
  "12/8": { bars: ["332112", "6321", "21212121", "633", "213213"], tempos: [72, 90, 120] },
  "5/4": { bars: ["2224", "3124", "64", "42211", "4222"], tempos: [84, 108, 132] },
  "7/8": { bars: ["223", "43", "1123", "22111", "421"], tempos: [96, 120, 144] },
};

/** Keys by their major scale; the chords of a key by degree. */
const SCALES: readonly string[] = [
  "C D E F G A B",
  "D E F# G A B C#",
  "Eb F G Ab Bb C D",
  "E F# G# A B C# D#",
  "F G A Bb C D E",
  "G A B C D E F#",
  "A B C# D E F# G#",
  "Bb C D Eb F G A",
];
/** The keys that are left, so that there are twelve. */
const FURTHER_SCALES: readonly string[] = [
  "Db Eb F Gb Ab Bb C",
  "F# G# A# B C# D# E#",
  "Ab Bb C Db Eb F G",
  "B C# D# E F# G# A#",
];
const MAJOR = ["", "m", "m", "", "", "m", "dim"];
/** Courses of harmony in degrees, a bar each; in minor the sixth degree of the scale is the first. */
const COURSES: readonly string[] = [
  "1 6 4 5 1 2 5 1",
  "1 4 1 5 6 2 5 1",
  "1 5 6 3 4 1 4 5",
  "6 4 1 5 6 2 3 6",
  "6 2 5 1 4 2 3 6",
];

/** A number of a list. */
export function pick<Value>(values: readonly Value[], next: () => number): Value {
  return values[Math.floor(next() * values.length)]!;
}

/** An ABC pitch: steps above middle C in the letters of the scale. */
function letterOf(step: number): string {
  const letter = "CDEFGAB"[((step % 7) + 7) % 7]!;
  const octave = Math.floor(step / 7);
  return octave <= 0 ? letter + ",".repeat(-octave) : letter.toLowerCase() + "'".repeat(octave - 1);
}

/** Steps of a walk that comes to a chord tone on every note that lasts and is free to pass between. */
function nextStep(
  at: number,
  { length, root, tonic }: { length: number; root: number; tonic: number },
  next: () => number,
): number {
  const to = at + pick([-2, -1, -1, 1, 1, 2], next);
  if (length < 2) return to;
  const inChord = (step: number) => [0, 2, 4].includes((((step - tonic - root) % 7) + 7) % 7);
  return [0, 1, -1, 2, -2].map((d) => to + d).find(inChord)!;
}

/** What a sketch may be asked for. */
export interface SketchChoices {
  /** Whether all twelve keys may come; by default the eight that orchestras meet most. */
  readonly anyKey?: boolean;
  /** Tempo; by default one that suits the metre. */
  readonly quartersPerMinute?: number;
}

/**
 * A tune of sixteen bars with chords: two bars of rhythm that come back, a walk over chord tones, at times two chords to
 * a bar.
 */
export function generatedSketch(
  metre: Metre,
  next: () => number,
  { anyKey = false, quartersPerMinute }: SketchChoices = {},
): Sketch {
  const { bars, tempos } = TUNES[metre];
  const scale = pick(anyKey ? [...SCALES, ...FURTHER_SCALES] : SCALES, next).split(" ");
  const tonic = "CDEFGAB".indexOf(scale[0]![0]!);
  const course = pick(COURSES, next).split(" ").map(Number);
  const chordOf = (degree: number) =>
    `"${scale[degree - 1]}${course[0] === 6 && degree === 3 ? "" : MAJOR[degree - 1]}"`;
  const motive = [pick(bars, next), pick(bars, next), pick(bars, next), pick(bars, next)];
  const rhythms = [0, 1, 0, 2, 0, 1, 3, 2].map((m) => motive[m]!);
  let step = 9 + Math.floor(next() * 4);
  const text = [...rhythms, ...rhythms].map((rhythm, b) => {
    const degree = course[b % 8]!;
    const second = next() < 0.15 ? pick([1, 4, 5], next) : degree;
    let at = 0;
    const half = [...rhythm].reduce((sum, n) => sum + Number(n), 0) / 2;
    let said = degree;
    const notes = [...rhythm].map((digit, i) => {
      const length = Number(digit);
      const changes = said === degree && second !== degree && at >= half;
      if (changes) said = second;
      step = nextStep(step, { length, root: said - 1, tonic }, next);
      if (step > 16) step -= 7;
      if (step < 4) step += 7;
      at += length;
      return `${i === 0 || changes ? chordOf(said) : ""}${letterOf(step)}${length}`;
    });
    return notes.join(" ");
  }).join(" | ");
  const abc = `X:1\nT:Generated in ${metre}\nM:${metre}\nL:1/8\nQ:1/4=${
    quartersPerMinute ?? pick(tempos, next)
  }\nK:${scale[0]}\n${text} |]\n`;
  return sketchOf(readAbc(abc, { file: "generated.abc" }));
}
