/**
 * Settings of our own to fit by, beside the annotated movements: tunes in horns, cellos, woodwind under broken chords,
 * tremolos and off-beats, which symphonies of 1800 lack. The tunes and plans are used for nothing else; the checks
 * that read settings back use others.
 */
import { readAbc } from "../../lib/formats/abc/read_abc.ts";
import { assign, type AssignmentInput } from "../../lib/orchestrate/plan/plan.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import { sketchOf } from "../../lib/orchestrate/plan/sketch.ts";
import type { Score } from "../../lib/score/model.ts";
import type { FigureId } from "../../lib/texture/figures.ts";
import { writtenTexture } from "../../lib/texture/written.ts";

const TUNES: readonly string[] = [
  `M:2/2\nL:1/4\nQ:1/2=58\nK:Dm
"Dm" D3 F | E2 D A | "Gm" B3 A | G2 B d | "A7" ^c3 B | A G F E | "Bb" F2 E D | "Dm" D4 |]`,
  `M:3/4\nL:1/8\nQ:1/4=108\nK:Bb
"Bb" d2 f2 e2 | "Gm" d4 B2 | "Cm" c3 d e2 | "F7" c6 | "Dm" f2 d2 a2 | "Eb" g4 e2 | "F7" c2 d2 e2 | "Bb" d6 |]`,
  `M:2/4\nL:1/8\nQ:1/4=120\nK:A
"A" c2 e>f | "E" e2 B2 | "F#m" c3 A | "D" d2 f2 | "Bm" d2 c>B | "E7" G2 B2 | "A" c4 | "A" A4 |]`,
];

const bass = (figure: FigureId): AssignmentInput => ({ role: "bass", figure, parts: ["Double basses"] });

/** Who does what: leads in every family, over what film and concert scores lay under them (common practice, no source). */
const PLANS: readonly (readonly AssignmentInput[])[] = [
  [
    { role: "lead", parts: ["Horn 1"], octave: -1, dynamic: "mf" },
    { role: "figuration", figure: "alternation in eighths", parts: ["Violins I"], dynamic: "p" },
    { role: "pad", parts: ["Violins II", "Violas", "Cellos"], dynamic: "p" },
    bass("sustained bass"),
  ],
  [
    { role: "lead", parts: ["Horns"], octave: -1, dynamic: "f" },
    { role: "figuration", figure: "broken chord in sixteenths", parts: ["Violins I"], dynamic: "mf" },
    { role: "run", figure: "scale into the bar", parts: ["Flute 1", "Oboe 1"] },
    { role: "pad", parts: ["Clarinets", "Violas"] },
    bass("bass on every quarter"),
  ],
  [
    { role: "lead", parts: ["Cellos"], octave: -1 },
    { role: "figuration", figure: "broken chord in triplets", parts: ["Violins II"], dynamic: "p" },
    { role: "pad", parts: ["Horns", "Violins I"], dynamic: "pp" },
    bass("sustained bass"),
  ],
  [
    { role: "lead", parts: ["Violins I", "Flute 1"] },
    { role: "pulse", figure: "repeated sixteenths", parts: ["Violins II", "Violas"] },
    { role: "figuration", figure: "broken chord in eighths", parts: ["Clarinets"] },
    { role: "pad", parts: ["Horns"] },
    bass("bass on every quarter"),
  ],
  [
    { role: "lead", parts: ["Oboe 1"] },
    { role: "counterline", figure: "second line", parts: ["Clarinet 1"] },
    { role: "pad", parts: ["Violins I", "Violins II", "Violas"], dynamic: "p" },
    bass("sustained bass"),
  ],
  [
    { role: "lead", parts: ["Trumpet 1"], dynamic: "f" },
    { role: "punctuation", parts: ["Horns"], dynamic: "f" },
    { role: "run", figure: "running scale", parts: ["Violins I"] },
    { role: "pulse", figure: "eighth and two sixteenths", parts: ["Violas"] },
    bass("bass in half notes"),
  ],
  [
    { role: "lead", parts: ["Violas"], octave: -1 },
    { role: "pulse", figure: "off-beats", parts: ["Horns"] },
    { role: "pad", parts: ["Flute 1", "Oboe 1"], dynamic: "p" },
    bass("bass on every quarter"),
  ],
  [
    { role: "lead", parts: ["Bassoon 1"], octave: -1 },
    { role: "pulse", figure: "repeated eighths", parts: ["Violins I", "Violins II"], dynamic: "p" },
    { role: "punctuation", parts: ["Flute 1", "Oboe 1"] },
    bass("sustained bass"),
  ],
  [
    { role: "lead", parts: ["Clarinet 1"] },
    { role: "figuration", figure: "alternation in sixteenths", parts: ["Violins II"], dynamic: "p" },
    { role: "counterline", figure: "second line", parts: ["Cellos"] },
    { role: "pulse", figure: "two sixteenths and eighth", parts: ["Violas"], dynamic: "p" },
    bass("bass in half notes"),
  ],
  [
    { role: "lead", parts: ["Violins I", "Violins II"] },
    { role: "pad", parts: ["Horns", "Clarinets", "Violas", "Cellos"], dynamic: "p" },
    bass("sustained bass"),
  ],
  [
    { role: "lead", parts: ["Flute 1"] },
    {
      role: "figuration",
      figure: "broken chord in sixteenths",
      parts: ["Violins I", "Violas"],
      dynamic: "pp",
    },
    { role: "pulse", figure: "repeated triplets", parts: ["Trumpets"], dynamic: "p" },
    bass("sustained bass"),
  ],
  [
    { role: "lead", parts: ["Horns"], octave: -1, dynamic: "f" },
    { role: "run", figure: "running scale", parts: ["Violins I"], dynamic: "mf" },
    { role: "trill", figure: "tremolo", parts: ["Violins II", "Violas"], dynamic: "mf" },
    bass("bass on the downbeat"),
  ],
  [
    { role: "lead", parts: ["Oboe 1"] },
    { role: "trill", figure: "tremolo", parts: ["Violins I", "Violins II", "Violas"], dynamic: "pp" },
    { role: "trill", figure: "trill", parts: ["Flute 1"], dynamic: "p" },
    bass("sustained bass"),
  ],
];

/** The annotators' word for a role and figure; none for what they have no word for. */
const WORDS: Readonly<Record<string, string>> = {
  lead: "mel",
  counterline: "decmel",
  pad: "harm",
  pulse: "repeat_note",
  run: "scale",
  punctuation: "sparse",
  "sustained bass": "harm",
  "bass on every quarter": "rhythm",
  "bass in half notes": "harm",
};

/** A practice setting with what it was written with. */
export interface PracticeSetting {
  /** Its notes. */
  readonly score: Score;
  /** Per cell, the annotators' word, where they have one. */
  readonly words: readonly (string | undefined)[];
  /** Per bar, the part that leads: the first of its layer that sounds. */
  readonly leads: readonly (number | undefined)[];
}

/** All practice settings: every tune by every plan. */
export function practiceSettings(): readonly PracticeSetting[] {
  return TUNES.flatMap((body, t) => {
    const sketch = sketchOf(readAbc(`X:1\nT:Practice ${t + 1}\n${body}\n`, { file: "practice.abc" }));
    const { bars } = sketch.score;
    return PLANS.map((layers): PracticeSetting => {
      const score = realise(sketch, {
        name: "practice",
        passages: [{
          name: "All",
          fromBar: Number(bars[0]!.number),
          toBar: Number(bars.at(-1)!.number),
          assignments: layers.map(assign),
        }],
      }, { refuseImpossible: false });
      const { cells } = writtenTexture(score)!;
      const words = cells.map(({ role, figure }) =>
        role === "figuration"
          ? (figure.startsWith("alternation") ? "batt" : "arp")
          : WORDS[figure] ?? WORDS[role]
      );
      const leads = score.bars.map((_, b) => cells.find((c) => c.barIndex === b && c.role === "lead")?.part);
      return { score, words, leads };
    });
  });
}
