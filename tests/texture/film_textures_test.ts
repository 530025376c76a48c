/**
 * Short textures of our own, as a cue to pictures has them: harp, percussion, keyboards, voices, ostinati, layers that
 * symphonies of 1800 lack. Four bars each, written by hand for our river piece; what each part is for, and what its
 * notes look like, is what an orchestrator would say (common practice, no source).
 */
import { assert, assertEquals, assertGreater } from "@std/assert";
import { readFigures } from "../../lib/texture/recognise/read_figures.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import type { Role } from "../../lib/texture/roles.ts";
import { example, type Signs } from "./examples.ts";

/** One part: instrument, music, what it is for (any of these), what its notes look like (any of these), signs. */
type Expected = readonly [
  instrument: string,
  music: string,
  role: Role | readonly Role[],
  shape: string | readonly string[],
  signs?: Signs,
];

interface FilmTexture {
  readonly name: string;
  readonly quartersPerBar?: number;
  readonly quartersPerMinute?: number;
  readonly parts: readonly Expected[];
}

const soft = { dynamic: 3 };
const loud = { dynamic: 7 };

const TEXTURES: readonly FilmTexture[] = [
  {
    name: "mist on the water: alto flute over a harp's triplets and held strings",
    quartersPerMinute: 66,
    parts: [
      ["alto flute", "A4:3 G4:1 F4:2 A4:1 C5:1 D5:3 C5:1 A4:4", "lead", "tune", { dynamic: 5 }],
      ["harp", "(D3:1/3 A3:1/3 D4:1/3 F4:1/3 D4:1/3 A3:1/3)x8", "figuration", "broken chord", soft],
      ["violin", "F5:4 F5:4 G5:4 F5:4", "pad", "held notes", { dynamic: 2 }],
      ["viola", "D4:4 D4:4 D4:4 D4:4", "pad", "held notes", { dynamic: 2 }],
      ["double bass", "D2:4 D2:4 Bb1:4 D2:4".replaceAll("Bb1", "A#1"), "bass", "held notes", { dynamic: 2 }],
    ],
  },
  {
    name: "paddling: a cello ostinato in two tones, a horn call, a soft drum",
    quartersPerMinute: 112,
    parts: [
      ["horn in F", "D4:1 A4:3 G4:1 F4:1 E4:2 D4:1 F4:1 A4:2 D4:4", "lead", "tune", { dynamic: 6 }],
      ["cello", "(D3:1/2 A3:1/2)x16", "figuration", "alternation", soft],
      ["bass drum", "(X:1/2 r:3/2)x8", ["punctuation", "pulse"], ["isolated notes", "repeated notes"], soft],
      ["double bass", "(D2:4)x4", "bass", "held notes", soft],
    ],
  },
  {
    name: "rapids: trumpets lead, strings in sixteenths, snare, trombones off the beat, timpani",
    quartersPerMinute: 138,
    parts: [
      [
        "trumpet in C",
        "D5:3/2 E5:1/2 F5:1 A5:1 G5:3/2 F5:1/2 E5:2 D5:3/2 F5:1/2 A5:1 C6:1 A5:4",
        "lead",
        "tune",
        loud,
      ],
      ["violin", "(A4:1/4)x64", "pulse", "repeated notes", loud],
      ["viola", "(F4:1/4)x64", "pulse", "repeated notes", loud],
      ["snare drum", "(X:1/2 X:1/4 X:1/4)x16", "pulse", "repeated notes", { dynamic: 6 }],
      ["tenor trombone", "(r:1/2 D4:1/2)x16", "pulse", "repeated notes", { dynamic: 6 }],
      ["timpani", "(D2:1)x16", ["pulse", "bass"], "repeated notes", loud],
      ["double bass", "(D2:1)x16", "bass", "repeated notes", loud],
    ],
  },
  {
    name: "over the weir: woodwind sweep into every other bar above a brass tune",
    quartersPerMinute: 126,
    parts: [
      [
        "piccolo",
        "(r:2 D5:1/4 E5:1/4 F5:1/4 G5:1/4 A5:1/4 A#5:1/4 C6:1/4 C#6:1/4 D6:1 r:3)x2",
        "run",
        "scale",
        loud,
      ],
      [
        "clarinet in Bb",
        "(r:2 D4:1/4 E4:1/4 F4:1/4 G4:1/4 A4:1/4 A#4:1/4 C5:1/4 C#5:1/4 D5:1 r:3)x2",
        "run",
        "scale",
        loud,
      ],
      ["horn in F", "A3:2 D4:1 E4:1 F4:3 E4:1 D4:2 C4:1 A3:1 D4:4", "lead", "tune", loud],
      ["violin", "(A4:1/2)x32", "pulse", "repeated notes", { dynamic: 6 }],
      ["tuba", "(D2:4)x4", "bass", "held notes", loud],
    ],
  },
  {
    name: "the far bank: a choir holds chords under an oboe",
    quartersPerMinute: 60,
    parts: [
      ["oboe", "A5:3/2 G5:1/2 F5:1 E5:1 F5:2 D5:2 E5:3/2 F5:1/2 G5:1 A5:1 F5:4", "lead", "tune", {
        dynamic: 5,
      }],
      ["soprano", "D5:4 D5:4 C#5:4 D5:4", "pad", "held notes", soft],
      ["alto", "A4:4 A#4:4 A4:4 A4:4", "pad", "held notes", soft],
      ["tenor", "F4:4 F4:4 E4:4 F4:4", "pad", "held notes", soft],
      ["bass voice", "D3:4 A#2:4 A2:4 D3:4", "bass", "held notes", soft],
    ],
  },
  {
    name: "children on the jetty: sopranos sing over a piano's broken chords",
    quartersPerMinute: 96,
    parts: [
      ["soprano", "F4:1 A4:1 C5:3/2 A#4:1/2 A4:1 G4:1 F4:2 G4:1 A4:1 A#4:3/2 A4:1/2 G4:4", "lead", "tune", {
        dynamic: 5,
      }],
      [
        "piano",
        "(F3:1/2 C4:1/2 A3:1/2 C4:1/2)x4 (E3:1/2 C4:1/2 A#3:1/2 C4:1/2)x4",
        "figuration",
        "alternation",
        soft,
      ],
      ["glockenspiel", "(C6:1/2 r:7/2)x4", "punctuation", "isolated notes", soft],
      ["cello", "F2:4 F2:4 C3:4 C3:4", "bass", "held notes", soft],
    ],
  },
  {
    name: "clockwork of the lock: marimba in rocking thirds, celesta in broken chords, bass clarinet leads",
    quartersPerMinute: 120,
    parts: [
      ["marimba", "(D4:1/4 F4:1/4)x32", "figuration", "alternation", { dynamic: 4 }],
      ["celesta", "(D5:1/2 F5:1/2 A5:1/2 D6:1/2)x8", "figuration", "broken chord", soft],
      [
        "bass clarinet",
        "D3:3/2 E3:1/2 F3:1 A3:1 G3:3/2 F3:1/2 E3:1 C3:1 D3:3/2 F3:1/2 A3:1 C4:1 A3:4",
        "lead",
        "tune",
        { dynamic: 6 },
      ],
      ["violin", "(A4:4)x4", "pad", "held notes", { dynamic: 2 }],
    ],
  },
  {
    name: "evening chorale: trumpet on top of horns and trombones in one rhythm",
    quartersPerMinute: 72,
    parts: [
      ["trumpet in C", "A4:1 A#4:1 C5:2 D5:1 C5:1 A#4:2 A4:1 G4:1 A4:1 A#4:1 A4:4", "lead", "tune", {
        dynamic: 5,
      }],
      ["horn in F", "F4:4 F4:4 E4:4 F4:4", "pad", "held notes", { dynamic: 4 }],
      ["tenor trombone", "C4:4 D4:4 C4:4 C4:4", "pad", "held notes", { dynamic: 4 }],
      ["bass trombone", "F3:4 A#2:4 C3:4 F2:4", "bass", "held notes", { dynamic: 4 }],
    ],
  },
  {
    name: "under the surface: tremolo strings, a tam-tam, a low line in bassoon and cello",
    quartersPerMinute: 80,
    parts: [
      ["violin", "D5:4 D#5:4 D5:4 C#5:4", "trill", "tremolo", { tremoloSlashes: 3, dynamic: 3 }],
      ["viola", "A4:4 A4:4 G#4:4 A4:4", "trill", "tremolo", { tremoloSlashes: 3, dynamic: 3 }],
      ["bassoon", "D3:1 F3:1 E3:3/2 C#3:1/2 D3:2 A2:2 A#2:1 D3:1 F3:3/2 E3:1/2 D3:4", "lead", "tune", {
        dynamic: 6,
      }],
      ["cello", "D3:1 F3:1 E3:3/2 C#3:1/2 D3:2 A2:2 A#2:1 D3:1 F3:3/2 E3:1/2 D3:4", "lead", "tune", {
        dynamic: 6,
      }],
      ["tam-tam", "X:4 r:12", ["punctuation", "pad"], "held notes", { dynamic: 3 }],
      ["double bass", "(D2:4)x4", ["bass", "pad"], "held notes", { dynamic: 3 }],
    ],
  },
  {
    name: "market at the landing: plucked bass on the beat, violas after it, clarinet tune, triangle",
    quartersPerMinute: 116,
    parts: [
      [
        "clarinet in Bb",
        "A4:1/2 A#4:1/2 C5:1 F5:1 E5:1 D5:1/2 C5:1/2 A#4:1 A4:2 G4:1/2 A4:1/2 A#4:1 D5:1 C5:1 A4:4",
        "lead",
        ["tune", "scale"],
        { dynamic: 5 },
      ],
      [
        "triangle",
        "(r:1 X:1/2 r:1/2)x8",
        ["pulse", "punctuation"],
        ["isolated notes", "repeated notes"],
        soft,
      ],
      ["viola", "(r:1/2 C4:1/2)x16", "pulse", "repeated notes", { technique: "pizzicato", dynamic: 3 }],
      [
        "double bass",
        "F2:1 C2:1 F2:1 C2:1 F2:1 C2:1 F2:1 C2:1 C2:1 G2:1 C2:1 G2:1 F2:1 C2:1 F2:1 C2:1",
        "bass",
        "alternation",
        { technique: "pizzicato", dynamic: 4 },
      ],
    ],
  },
  {
    name: "hand over hand: oboe asks, cello answers, harp and held horns below",
    quartersPerMinute: 84,
    parts: [
      ["oboe", "D5:3/2 E5:1/2 F5:1 A5:1 G5:1 F5:1 E5:2 r:8", "lead", "tune", { dynamic: 5 }],
      ["solo cello", "r:8 A3:3/2 G3:1/2 F3:1 E3:1 D3:1 E3:1 F3:2", "lead", ["tune", "scale"], { dynamic: 6 }],
      [
        "harp",
        "(D3:1/4 A3:1/4 D4:1/4 F4:1/4 A4:1/4 F4:1/4 D4:1/4 A3:1/4)x8",
        "figuration",
        "broken chord",
        soft,
      ],
      ["horn in F", "A3:4 A3:4 A3:4 A3:4", "pad", "held notes", soft],
      ["double bass", "D2:4 D2:4 D2:4 D2:4", "bass", "held notes", soft],
    ],
  },
  {
    name: "two currents: violins sing, cellos answer in halves, clarinets hold",
    quartersPerMinute: 92,
    parts: [
      [
        "violin",
        "A5:3/2 G5:1/2 F5:1 D6:1 C6:3/2 A5:1/2 G5:1 E5:1 F5:3/2 G5:1/2 A5:1 C6:1 A#5:2 A5:2",
        "lead",
        "tune",
        { dynamic: 6 },
      ],
      ["clarinet in Bb", "F4:4 E4:4 F4:4 D4:4", "pad", "held notes", soft],
      ["cello", "D3:2 C4:2 A#3:2 G3:2 A3:2 F3:2 G3:2 D3:2", ["counterline", "bass"], "held notes", {
        dynamic: 4,
      }],
      ["double bass", "D2:4 C2:4 F2:4 G2:4", "bass", "held notes", { dynamic: 4 }],
    ],
  },
  {
    name: "five in a boat: an ostinato in five, taiko, low brass in long notes leads",
    quartersPerBar: 5,
    quartersPerMinute: 132,
    parts: [
      [
        "viola",
        "(D4:1/2 A4:1/2 F4:1/2 A4:1/2 D4:1/2 A4:1/2 F4:1/2 A4:1/2 G4:1/2 A4:1/2)x4",
        "figuration",
        "alternation",
        { dynamic: 5 },
      ],
      ["taiko", "(X:1 r:1 X:1/2 X:1/2 X:1 r:1)x4", ["pulse", "punctuation"], [
        "repeated notes",
        "isolated notes",
      ], {
        dynamic: 6,
      }],
      ["tenor trombone", "D3:3 F3:2 E3:3 C3:2 D3:3 A3:2 G3:5", "lead", "tune", loud],
      ["violin", "(D5:5)x4", "pad", "held notes", { dynamic: 3 }],
    ],
  },
  {
    name: "open lake: everybody in octaves over rolling arpeggios of the piano",
    quartersPerMinute: 76,
    parts: [
      ["flute", "A5:2 C6:1 D6:1 E6:3 D6:1 C6:2 A5:1 G5:1 A5:4", "lead", "tune", loud],
      ["violin", "A5:2 C6:1 D6:1 E6:3 D6:1 C6:2 A5:1 G5:1 A5:4", "lead", "tune", loud],
      ["cello", "A3:2 C4:1 D4:1 E4:3 D4:1 C4:2 A3:1 G3:1 A3:4", "lead", "tune", loud],
      ["piano", "(A2:1/4 E3:1/4 A3:1/4 C4:1/4 E4:1/4 C4:1/4 A3:1/4 E3:1/4)x8", "figuration", "broken chord", {
        dynamic: 5,
      }],
      ["double bass", "(A1:4)x4", "bass", "held notes", loud],
    ],
  },
  {
    name: "night: a trill in the flutes, a harmonium's chord, a vibraphone line",
    quartersPerMinute: 58,
    parts: [
      ["vibraphone", "A4:3/2 C5:1/2 E5:2 D5:1 C5:1 A4:2 G4:3/2 A4:1/2 C5:2 A4:4", "lead", "tune", {
        dynamic: 5,
      }],
      ["flute", "(E5:4)x4", "trill", "trill", { trill: true, dynamic: 2 }],
      ["harmonium", "(A3+C4+E4:4)x4", "pad", "held notes", soft],
      ["double bass", "(A1:4)x4", "bass", "held notes", { dynamic: 2 }],
    ],
  },
  {
    name: "storm: timpani roll, cymbal strokes, strings run up and down, horns call",
    quartersPerMinute: 144,
    parts: [
      ["horn in F", "D4:2 A4:2 G4:3 F4:1 E4:2 C4:2 D4:4", "lead", "tune", loud],
      [
        "violin",
        `(${
          "D5 E5 F5 G5 A5 A#5 C6 D6 C6 A#5 A5 G5 F5 E5 D5 C#5".split(" ").map((p) => `${p}:1/4`).join(" ")
        })x4`,
        "run",
        "scale",
        { dynamic: 6 },
      ],
      ["timpani", "(D2:4)x4", "trill", "tremolo", { tremoloSlashes: 3, dynamic: 6 }],
      ["cymbals", "(X:1 r:3)x4", "punctuation", "isolated notes", loud],
    ],
  },
];

interface Outcome {
  readonly texture: string;
  readonly part: string;
  readonly barIndex: number;
  readonly role: string;
  readonly shape: string;
  readonly isRole: boolean;
  readonly isShape: boolean;
}

function outcomes(
  { name, parts, quartersPerBar = 4, quartersPerMinute = 120 }: FilmTexture,
): readonly Outcome[] {
  const score = example(
    parts.map(([instrument, music, , , signs]) => [instrument, music, signs ?? {}] as const),
    { quartersPerBar, quartersPerMinute },
  );
  assertEquals(score.bars.length, 4, name);
  const { cells } = recognise(score);
  const figures = readFigures(score);
  return cells.filter((c) => c.role !== "rest").map((cell): Outcome => {
    const [instrument, , role, shape] = parts[cell.part]!;
    const figure = figures[cell.barIndex * parts.length + cell.part]!;
    const shapes = [shape].flat();
    return {
      texture: name,
      part: instrument,
      barIndex: cell.barIndex + 1,
      role: cell.role,
      shape: figure.shape,
      isRole: [role].flat().includes(cell.role),
      // A scale into the bar lands on a note of its own, and a long note of a tune is a held note.
      isShape: shapes.includes(figure.shape) ||
        (shapes.some((s) => s === "scale" || s === "tune") && figure.rhythm.strokes.length <= 2),
    };
  });
}

const ALL = TEXTURES.map((texture) => ({ texture, read: outcomes(texture) }));

for (const { texture, read } of ALL) {
  Deno.test(`${texture.name}: everybody's part is read`, () => {
    const wrong = read.filter((o) => !o.isRole || !o.isShape);
    for (const o of wrong) console.log(`  ${o.part}, bar ${o.barIndex}: ${o.role}, ${o.shape}`);
    assertGreater(read.filter((o) => o.isRole).length / read.length, 0.6, "roles");
    assertGreater(read.filter((o) => o.isShape).length / read.length, 0.7, "shapes");
  });
}

Deno.test("over all textures for pictures nearly every cell has its role and its shape", () => {
  const all = ALL.flatMap(({ read }) => read);
  const share = (right: (o: Outcome) => boolean) => all.filter(right).length / all.length;
  console.log(
    `  ${all.length} cells of ${TEXTURES.length} textures: role ${share((o) => o.isRole).toFixed(3)}, shape ${
      share((o) => o.isShape).toFixed(3)
    }`,
  );
  assert(TEXTURES.length >= 12);
  assertGreater(share((o) => o.isRole), 0.9);
  assertGreater(share((o) => o.isShape), 0.97);
});
