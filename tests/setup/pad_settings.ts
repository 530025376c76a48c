/** Settings of held chords over progressions with sevenths, in all keys: for checks of how voices lie and are led. */
import { orchestra } from "../../lib/instruments/orchestra.ts";
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import type { Divisi, Voicing } from "../../lib/orchestrate/plan/extra_columns.ts";
import { assign, type AssignmentInput } from "../../lib/orchestrate/plan/plan.ts";
import { type Sketch, sketchOf } from "../../lib/orchestrate/plan/sketch.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import type { Score } from "../../lib/score/model.ts";
import { pick } from "./generated_sketches.ts";
import { random } from "./random.ts";

const SCALES = [
  "C D E F G A B",
  "D E F# G A B C#",
  "Eb F G Ab Bb C D",
  "E F# G# A B C# D#",
  "F G A Bb C D E",
  "G A B C D E F#",
  "Ab Bb C Db Eb F G",
  "A B C# D E F# G#",
  "Bb C D Eb F G A",
];

/** Phrases of eight bars: degree of the scale and kind of chord. */
const PHRASES = [
  "1 6m 4 57 1 2m7 57 1",
  "1 4 57 1 6m 2m7 57 1",
  "1maj7 4maj7 2m7 57 3m7 6m7 57 1",
  "6m 2m7 57 1 4 7m7b5 37 6m",
  "1 57 1 17 4 2m 57 1",
  "6m 37 6m 4 1 57 37 6m",
  "1 27 57 1 67 2m 57 1",
];

/** Steps of a tune above the tonic's octave that belong to a chord on a degree. */
const TONES = [0, 2, 4];

/** A slow tune of chord tones over two phrases. */
export function padSketch(next: () => number): Sketch {
  const scale = pick(SCALES, next).split(" ");
  const letters = "CDEFGAB";
  const tonic = letters.indexOf(scale[0]![0]!);
  const metre = pick(["4/4", "3/4"], next);
  const quarters = Number(metre[0]);
  const phrases = [pick(PHRASES, next), pick(PHRASES, next)].join(" ").split(" ");
  let step = tonic + 7 + Math.floor(next() * 3);
  const bars = phrases.map((chord) => {
    const [, degree, kind] = /^(\d)(.*)$/.exec(chord)!;
    const root = tonic + Number(degree) - 1;
    const wanted = (at: number) => TONES.includes((((at - root) % 7) + 7) % 7);
    step = [0, 1, -1, 2, -2].map((d) => step + d).find((at) => wanted(at) && at >= 6 && at <= 15) ?? 9;
    const octave = Math.floor(step / 7);
    const letter = letters[((step % 7) + 7) % 7]!;
    const name = octave <= 0 ? letter : letter.toLowerCase() + "'".repeat(octave - 1);
    return `"${scale[Number(degree) - 1]}${kind}"${name}${quarters}`;
  });
  const abc = `X:1\nT:Pads\nM:${metre}\nL:1/4\nQ:1/4=${pick([60, 72, 96], next)}\nK:${scale[0]}\n${
    bars.join(" | ")
  } |]\n`;
  return sketchOf(readAbc(abc, { file: "pads.abc" }));
}

/** Who holds chords: choirs and mixed groups as they are written, from two parts to eight. */
const PADS: readonly (readonly string[])[] = [
  ["Violins II", "Violas", "Cellos"],
  ["Violins I", "Violins II", "Violas", "Cellos"],
  ["Horns"],
  ["Clarinets", "Bassoons"],
  ["Flutes", "Clarinets"],
  ["Oboes", "Bassoons"],
  ["Flutes", "Oboes", "Clarinets", "Bassoons"],
  ["Trumpets", "Trombone 1", "Trombone 2", "Bass trombone"],
  ["Horn 1", "Horn 2", "Violas"],
  ["Flutes", "Violins II"],
  ["Clarinets", "Horns", "Violas", "Cellos"],
];

const BASSES: readonly (readonly string[])[] = [["Double basses"], ["Bassoon 2"], ["Tuba"], [
  "Double basses",
  "Contrabassoon",
]];

/** What is asked of the chords. */
export interface PadWish {
  readonly divisi?: Divisi;
  readonly voicing?: Voicing;
}

/** The same, and the figure of the bass, held by default. */
export interface PadSettingOptions extends PadWish {
  readonly bassFigure?: "sustained bass" | "walking bass";
}

/** A setting with what it was made of. */
export interface PadSetting {
  readonly sketch: Sketch;
  readonly score: Score;
  readonly parts: readonly string[];
}

/** A pad under a tune over a bass, by its seed. */
export function padSetting(
  seed: number,
  { bassFigure = "sustained bass", ...wish }: PadSettingOptions = {},
): PadSetting {
  const next = random(seed);
  const sketch = padSketch(next);
  const bass = pick(BASSES, next);
  const parts = pick(PADS, next).filter((name) => !bass.includes(name));
  const isFree = (part: string) => !bass.includes(part);
  const named = parts.flatMap((name) =>
    orchestra().map((p) => p.name).filter((p) => p === name || `${p.replace(/ \d$/, "")}s` === name)
  ).filter(isFree);
  const lead = named.includes("Violins I") || named.includes("Flute 1") ? "Oboe 1" : "Violins I";
  const layers: readonly AssignmentInput[] = [
    { role: "lead", parts: [lead], octave: 1, dynamic: "f" },
    { role: "bass", figure: bassFigure, parts: bass, dynamic: "p" },
    { role: "pad", parts: named.filter((p) => p !== lead), dynamic: "p", ...wish },
  ];
  const plan = {
    name: `pads ${seed}`,
    passages: [{ name: "All", fromBar: 1, toBar: sketch.score.bars.length, assignments: layers.map(assign) }],
  };
  return { sketch, score: realise(sketch, plan, { refuseImpossible: false }), parts: named };
}
