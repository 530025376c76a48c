/** Figures read off short lines, in the words a player would use (common practice, no source). */
import { assert, assertEquals, assertGreater, assertThrows } from "@std/assert";
import { InputError } from "../../lib/base/errors.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import { chordOf } from "../../lib/texture/features/harmony_tones.ts";
import { FIGURES } from "../../lib/texture/figures.ts";
import { roleOfShape } from "../../lib/texture/figure_shapes.ts";
import { nameFigure } from "../../lib/texture/recognise/name_figure.ts";
import { type NoteChains, noteChains } from "../../lib/texture/features/note_chains.ts";
import {
  type FigureReading,
  readFigures,
  type ReadFiguresOptions,
} from "../../lib/texture/recognise/read_figures.ts";
import { cellFeatures } from "../../lib/texture/features/features.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { writtenTexture } from "../../lib/texture/written.ts";
import { practiceSettings } from "../setup/practice_settings.ts";
import { comesToRest } from "../setup/read_back.ts";
import { SKETCHES, wholePlan } from "../orchestrate/sketches.ts";
import { example, QUARTER, type Signs } from "./examples.ts";

/** Reading of a violin's second bar of four, all with the same music. */
function figure(
  bar: string,
  { signs = {}, quartersPerBar = 4 }: { signs?: Signs; quartersPerBar?: number } = {},
) {
  const readings = readFigures(example([["violin", `(${bar})x4`, signs]], { quartersPerBar }));
  return readings[1]!;
}

const inWords = ({ name, detail }: FigureReading) => detail === "" ? name : `${name}, ${detail}`;

const NAMED: Readonly<Record<string, string>> = {
  "C5:1/4 D5:1/4 E5:1/4 F5:1/4 G5:1/4 A5:1/4 B5:1/4 C6:1/4 D6:1/4 C6:1/4 B5:1/4 A5:1/4 G5:1/4 F5:1/4 E5:1/4 D5:1/4":
    "running scale, arch",
  "r:2 C5:1/4 D5:1/4 E5:1/4 F5:1/4 G5:1/4 A5:1/4 B5:1/4 C6:1/4": "scale into the bar, rising",
  "C4:1/2 G4:1/2 E4:1/2 G4:1/2 C4:1/2 G4:1/2 E4:1/2 G4:1/2":
    "Alberti figure in eighths, low, high, middle, high",
  "C4:1/3 E4:1/3 G4:1/3 C5:1/3 G4:1/3 E4:1/3 C4:1/3 E4:1/3 G4:1/3 C5:1/3 G4:1/3 E4:1/3":
    "broken chord in triplets, up and down",
  "C4:1 E4:1 G4:1 C5:1": "broken chord in quarters, rising",
  "C5:1/2 E5:1/2 C5:1/2 E5:1/2 C5:1/2 E5:1/2 C5:1/2 E5:1/2": "alternation in eighths, rocking thirds",
  "C4:1/4 C5:1/4 C4:1/4 C5:1/4 C4:1/4 C5:1/4 C4:1/4 C5:1/4 C4:1/4 C5:1/4 C4:1/4 C5:1/4 C4:1/4 C5:1/4 C4:1/4 C5:1/4":
    "alternation in sixteenths, rocking octaves",
  "D4:3/4 D4:1/4 D4:3/4 D4:1/4 D4:3/4 D4:1/4 D4:3/4 D4:1/4": "dotted eighth and sixteenth",
  "r:1/2 D4:1/2 r:1/2 D4:1/2 r:1/2 D4:1/2 r:1/2 D4:1/2": "off-beats",
  "D4:1/2 D4:1/2 D4:1/2 D4:1/2 E4:1/2 E4:1/2 E4:1/2 E4:1/2": "repeated eighths, the pitch changes",
  "D4:4": "held chord",
  "D4:1/2 r:7/2": "stroke on the downbeat",
  "r:1 D4:1/2 r:1/2 E4:1/2 r:3/2": "separate strokes",
  "r:1 D4:1/2 r:3/2 E4:1/2 r:1/2": "after-beats on two and four",
  "A5:3/2 G5:1/2 F5:1 D6:1": "tune",
};

for (const [music, expected] of Object.entries(NAMED)) {
  Deno.test(`${music} is called ${expected}`, () => assertEquals(inWords(figure(music)), expected));
}

Deno.test("signs decide: trill, tremolo too quick to count, and slashes that can be counted", () => {
  assertEquals(figure("D5:4", { signs: { trill: true } }).name, "trill");
  const tremolo = figure("D5:4", { signs: { tremoloSlashes: 3 } });
  assertEquals([tremolo.shape, tremolo.name, tremolo.touch], ["tremolo", "tremolo", "unmeasured tremolo"]);
  const measured = figure("D5:2 D5:2", { signs: { tremoloSlashes: 1 } });
  assertEquals([measured.shape, measured.name, measured.touch], [
    "repeated notes",
    "measured tremolo in eighths",
    "measured tremolo",
  ]);
});

Deno.test("the rhythm cell is the shortest that makes up the bar, slashes written out", () => {
  const cell = (bar: string, options = {}) => {
    const { quarters, strokes } = figure(bar, options).rhythm;
    return [quarters, strokes.map((s) => [s.at, s.length])];
  };
  assertEquals(cell("D4:1/2 D4:1/4 D4:1/4 D4:1/2 D4:1/4 D4:1/4 D4:1/2 D4:1/4 D4:1/4 D4:1/2 D4:1/4 D4:1/4"), [
    1,
    [
      [0, 1 / 2],
      [1 / 2, 1 / 4],
      [3 / 4, 1 / 4],
    ],
  ]);
  assertEquals(cell("D4:1 E4:1/2 D4:1 E4:1/2", { quartersPerBar: 3 }), [3 / 2, [[0, 1], [1, 1 / 2]]]);
  assertEquals(cell("D4:1 r:1 D4:1 r:1"), [2, [[0, 1]]]);
  assertEquals(cell("D4:3 E4:1"), [4, [[0, 3], [3, 1]]]);
  assertEquals(cell("D4:2 D4:2", { signs: { tremoloSlashes: 1 } }), [1, [[0, 1 / 2], [1 / 2, 1 / 2]]]);
});

Deno.test("contour, harmony tones and touch are counted", () => {
  const facts = ({ contour, pitchClasses, chord }: FigureReading) => [contour, pitchClasses, chord];
  assertEquals(facts(figure("C4:1 E4:1 G4:1 C5:1")), ["rising", [0, 4, 7], { root: 0, kind: "major" }]);
  assertEquals(facts(figure("A4:1 C5:1 A4:1 r:1")), ["arch", [9, 0], undefined]);
  assertEquals(facts(figure("D5:1 B4:1 G#4:1 F5:1")), ["valley", [2, 11, 8, 5], {
    root: 2,
    kind: "diminished seventh",
  }]);
  assertEquals(figure("D4:1 D4:1 D4:1 D4:1").contour, "level");
  assertEquals(figure("D4:1 E4:1 D4:1 E4:1").contour, "waves");
  const touch = (signs: Signs) =>
    figure("C4:1/2 E4:1/2 G4:1/2 E4:1/2 C4:1/2 E4:1/2 G4:1/2 E4:1/2", { signs }).touch;
  assertEquals(touch({}), "separate");
  assertEquals(touch({ slurred: true }), "slurred");
  assertEquals(touch({ articulations: ["staccato"] }), "staccato");
  assertEquals(touch({ articulations: ["accent"] }), "accented");
  assertEquals(touch({ technique: "pizzicato", articulations: ["staccato"] }), "plucked");
});

Deno.test("a triad is taken before a seventh chord that lacks a tone; two tones spell no chord, and clusters none", () => {
  assertEquals(chordOf([9, 0, 4]), { root: 9, kind: "minor" });
  assertEquals(chordOf([7, 11, 2, 5]), { root: 7, kind: "seventh" });
  assertEquals([chordOf([0, 7]), chordOf([0, 1, 2])], [undefined, undefined]);
});

Deno.test("chains: repeated notes do not break a scale, silence does, and a turn begins a new one", () => {
  const line = (music: string) => cellFeatures(example([["violin", music]], { quartersPerBar: 8 }))[0]!.line;
  const chains = (kind: keyof NoteChains, music: string) => {
    const notes = line(music);
    const endOf = (i: number) => notes[i]!.onsetTicks + notes[i]!.durationTicks;
    return [...noteChains(notes, (i) => notes[i]!.onsetTicks - endOf(i - 1) > QUARTER, [kind])[kind]];
  };
  assertEquals(chains("scale", "C5:1/2 D5:1/2 D5:1/2 E5:1/2 F5:1/2"), [4, 4, 4, 4, 4]);
  assertEquals(chains("scale", "C5:1/2 D5:1/2 r:2 E5:1/2 F5:1/2"), [2, 2, 2, 2]);
  assertEquals(chains("scale", "C5:1/2 D5:1/2 E5:1/2 D5:1/2"), [3, 3, 3, 2]);
  assertEquals(chains("winding", "C5:1/2 D5:1/2 E5:1/2 D5:1/2"), [4, 4, 4, 4]);
  assertEquals(chains("arpeggio", "C4:1/2 E4:1/2 G4:1/2 C5:1/2 G4:1/2"), [4, 4, 4, 4, 2]);
  assertEquals(chains("leaping", "C4:1/2 E4:1/2 G4:1/2 C5:1/2 G4:1/2"), [5, 5, 5, 5, 5]);
});

Deno.test("notes through a chord are a broken chord, and a tune where they lead beside others, unless all shapes count alike", () => {
  const tune =
    "Eb3:2 G3:1 Eb3:2 Bb2:1 Eb3:1 G3:1 Bb3:1 Eb3:2 D3:1 F3:2 Ab3:1 F3:2 D3:1 Bb2:1 D3:1 F3:1 Eb3:3";
  const led = example([
    ["violin", "(G4:1/2)x24 (Ab4:1/2)x18 (G4:1/2)x6"],
    ["viola", "(Bb3:1/2)x48"],
    ["cello", tune],
  ], { quartersPerBar: 3 });
  const cell = 2 * led.parts.length + 2; // the cello's third bar
  assertEquals(readFigures(led)[cell]!.shape, "tune");
  assertEquals(readFigures(led, { evenness: 1 })[cell]!.shape, "broken chord");
  const under = example([
    [
      "flute",
      "G5:3/2 Ab5:1/2 Bb5:1 C6:2 Bb5:1 Ab5:3/2 G5:1/2 F5:1 G5:3 F5:3/2 G5:1/2 Ab5:1 G5:2 Eb5:1 F5:3 Eb5:3",
    ],
    ["viola", "(Bb3:3)x8"],
    ["cello", "(Eb3:1 G3:1 Bb3:1)x3 (Bb2:1 D3:1 F3:1)x2 (Eb3:1 G3:1 Bb3:1)x3"],
  ], { quartersPerBar: 3 });
  assertEquals(readFigures(under)[cell]!.shape, "broken chord");
});

Deno.test("a pulse whose notes move is not called repeated, unless its rhythm is worth naming", () => {
  const pulse = (bar: string) =>
    nameFigure(cellFeatures(example([["cello", bar]]))[0]!, "pulse", { ticksPerQuarter: QUARTER });
  assertEquals(pulse("(D3:1/2)x8"), "repeated eighths");
  assertEquals(pulse("D3:1/2 D3:1/2 D3:1/2 D3:1/2 E3:1/2 E3:1/2 E3:1/2 E3:1/2"), "repeated eighths");
  assertEquals(pulse("D3:1/2 F3:1/2 E3:1/2 C3:1/2 D3:1/2 A3:1/2 F3:1/2 G3:1/2"), "moving eighths");
  assertEquals(pulse("D3:1/2 E3:1/2 F3:1/2 G3:1/2 A3:1/2 B3:1/2 C4:1/2 D4:1/2"), "running scale");
  assertEquals(pulse("(r:1/2 D3:1/2 r:1/2 F3:1/2)x2"), "off-beats");
});

Deno.test("in 7/8 a pulse in threes is named by the strokes it has in twos and threes, in whichever order they come", () => {
  const pulse = (bar: string, groups?: readonly number[]) => {
    const score = example([["viola", bar]], { quartersPerBar: 7 / 2 });
    const bars = score.bars.map((b) => ({ ...b, beats: 7, beatUnit: 8, ...(groups ? { groups } : {}) }));
    return nameFigure(cellFeatures({ ...score, bars })[0]!, "pulse", { ticksPerQuarter: QUARTER });
  };
  assertEquals(pulse("r:1/2 D4:1/2 r:1/2 D4:1/2 r:1/2 D4:1/2 D4:1/2"), "off-beats in threes");
  assertEquals(pulse("D4:1 D4:1 D4:1 D4:1/2"), "quarter and eighth");
  assertEquals(pulse("r:1/2 D4:1/2 D4:1/2 r:1/2 D4:1/2 r:1/2 D4:1/2", [3, 2, 2]), "off-beats in threes");
  assertEquals(pulse("(D4:1/2)x7"), "repeated eighths");
});

Deno.test("a player who breathes at the end of every bar leaves out the last stroke, and the rhythm is named all the same", () => {
  const score = example([["horn in F", "(D4:1 D4:1/2 D4:1 D4:1/2 D4:1 D4:1/2 D4:1 r:1/2)x2"]], {
    quartersPerBar: 6,
  });
  const bars = score.bars.map((b) => ({ ...b, beats: 12, beatUnit: 8 }));
  const [bar] = cellFeatures({ ...score, bars });
  assertEquals(nameFigure(bar!, "pulse", { ticksPerQuarter: QUARTER }), "quarter and eighth");
});

Deno.test("a bar with a note left out goes on in the figure of the full bars around, and they not in its", () => {
  const [full, breath] = ["(D4:1 D4:1/2)x3", "(D4:1 D4:1/2)x2 D4:1 r:1/2"];
  const score = example([
    ["flute", "(A5:3/2 G5:1 F5:1/2 D6:3/2 C6:3/2 B5:1 C6:1/2 A5:3/2)x4"],
    ["viola", `${full} ${breath} ${full} ${breath} ${full} ${breath} ${full} ${breath}`],
    ["double bass", "(D2:9/2)x8"],
  ], { quartersPerBar: 9 / 2 });
  const bars = score.bars.map((b) => ({ ...b, beats: 9, beatUnit: 8 }));
  const violas = recognise({ ...score, bars }).cells.filter((c) => c.part === 1);
  assertEquals(
    violas.slice(0, 7).map((c) => `${c.role}: ${c.figure}`),
    Array(7).fill("pulse: quarter and eighth"),
  );
});

Deno.test("broken chords, scales and repeated notes whose eighths are slashed are no tremolo", () => {
  const role = (bar: string) => {
    const parts = [["flute", "(A5:3/2 G5:1/2 F5:1 D6:1)x4"], ["violin", `(${bar})x4`, {
      tremoloSlashes: 1,
    }]] as const;
    const { cells } = recognise(example([...parts, ["double bass", "(D2:4)x4"]], { quartersPerMinute: 180 }));
    return `${cells[4]!.role}: ${cells[4]!.figure}`;
  };
  assertEquals(
    role("D4:1/2 F4:1/2 A4:1/2 F4:1/2 D4:1/2 F4:1/2 A4:1/2 F4:1/2"),
    "figuration: broken chord in eighths",
  );
  assertEquals(role("D4:1/2 E4:1/2 F4:1/2 G4:1/2 A4:1/2 B4:1/2 C5:1/2 D5:1/2"), "run: running scale");
  assertEquals(role("D4:1/2 D4:1/2 E4:1/2 E4:1/2 F4:1/2 F4:1/2 D4:1/2 D4:1/2"), "pulse: repeated sixteenths");
  assertEquals(role("D4:4"), "pulse: measured tremolo in eighths"); // one slash on a whole note can be counted
});

Deno.test("silence has no figure, and a note held over is held", () => {
  const readings = readFigures(example([["horn in F", "F4:8 r:4"]]));
  assertEquals(readings.map((r) => [r.shape, r.name]), [["held notes", "held chord"], [
    "held notes",
    "held chord",
  ], [
    "none",
    "none",
  ]]);
  assertEquals(readings[2]!.contour, "none");
  assertEquals(JSON.parse(JSON.stringify(readings)), readings.map((r) => ({ ...r })));
});

Deno.test("what a setting was written with is read off its notes, whoever leads", () => {
  let cells = 0;
  let named = 0;
  for (const sketch of Object.values(SKETCHES)) {
    for (const figure of FIGURES.filter((f) => !["lead", "bass", "counterline"].includes(f.role))) {
      const score = realise(
        sketch,
        wholePlan(
          sketch,
          { role: "lead", parts: ["Violins I"], octave: 1 },
          { role: figure.role, figure: figure.id, parts: ["Violins II", "Violas"] },
          { role: "bass", parts: ["Double basses"] },
        ),
        { refuseImpossible: false },
      );
      const readings = readFigures(score);
      for (const [i, cell] of writtenTexture(score)!.cells.entries()) {
        if (cell.role !== figure.role) continue;
        // Where a scale or a roll lands or a trill is resolved, one note is a stroke; so is one after-beat in a bar of two beats.
        if (
          /^scale|^after-beats|with a turn$|^roll into/.test(figure.id) &&
          readings[i]!.rhythm.strokes.length === 1
        ) continue;
        // Bows hold what hands would roll.
        if (figure.id === "rolled chords") continue;
        if (comesToRest(score, cell)) continue;
        // Of three notes in a beat, low, high and middle is a broken chord by any name.
        if (
          score.bars[0]!.beatUnit === 8 && /^(Alberti figure|wide broken chord) in eighths$/.test(figure.id)
        ) continue;
        // What is no bar of four has one way of after-beats.
        const isOneOf = figure.id === "after-beats on two and four" && score.bars[0]!.beats !== 4;
        const name = isOneOf ? "after-beats" : cell.figure;
        cells++;
        if (readings[i]!.name === name) named++;
      }
    }
  }
  console.log(`  ${named} of ${cells} cells`);
  assert(cells > 1000);
  assertGreater(named / cells, 0.975);
});

Deno.test("a shape that is not sure enough has no name; all are named at once, and rare ones sooner, where that is asked for", () => {
  const score = practiceSettings()[0]!.score;
  const shapes = (options: ReadFiguresOptions) => readFigures(score, options).map((r) => r.shape);
  const named = (options: ReadFiguresOptions) => shapes(options).filter((s) => s !== "none").length;
  assertEquals(named({ leastConfidence: 1 }) < named({}), true);
  assertEquals(named({}) <= named({ leastConfidence: 0 }), true);
  for (const { shape, confidence } of readFigures(score)) {
    if (shape !== "none") assert(confidence >= 0.35, shape);
  }
  const rare = (evenness: number) =>
    shapes({ evenness, leastConfidence: 0 }).filter((s) => s === "alternation" || s === "scale").length;
  assert(rare(0) <= rare(1), `${rare(0)} ${rare(1)}`);
  assertThrows(() => readFigures(score, { evenness: 2 }), InputError, "a share from 0 to 1");
});

Deno.test("a part has one figure: where its role is that of its shape, a texture and the figures call it the same", () => {
  let cells = 0;
  for (const { score } of practiceSettings()) {
    const figures = readFigures(score);
    recognise(score).cells.forEach(({ role, figure, barIndex, part }, i) => {
      const { shape, name, rhythm } = figures[i]!;
      if (shape === "none" || role !== roleOfShape(shape) || role === "lead" || rhythm.strokes.length === 0) {
        return;
      }
      // What a run lands on, and a trill that is held over, go by the bar before.
      if (role === "run" && rhythm.strokes.length === 1) return;
      cells++;
      assertEquals(figure, name, `bar ${barIndex + 1}, ${score.parts[part]!.name}`);
    });
  }
  assert(cells > 500, String(cells));
});
