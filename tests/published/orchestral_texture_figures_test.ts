/**
 * Shapes of figures, against human annotations of orchestral texture: Le, Giraud, Levé, Accornero et al., "A Corpus
 * Describing Orchestral Texture in First Movements of Classical and Early-Romantic Symphonies", DLfM 2022 (scores:
 * OpenScore Orchestra, CC0; Mozart: iis-mctl/mctl-symphony-dataset, MIT).
 *
 * The annotators name what a layer is for and what it plays in one word, so a tune that goes up a scale is called
 * melody, and counts as a false scale here; recall, precision and the share of false ones are therefore reported side by
 * side. Cells they call rhythm may have any shape, and are left out where repeated notes are judged. Every movement is
 * read with weights that were fitted without it (`tests/setup/fit_figure_weights.ts`; who leads by those fitted without its
 * work, `tests/setup/fit_texture_weights.ts`), and in two ways: as figures are
 * read by default, where a name should be right, and with all shapes alike, where none should be missed.
 */
import { assert, assertEquals, assertGreater, assertGreaterOrEqual, assertLess } from "@std/assert";
import { cellFeatures } from "../../lib/texture/features/features.ts";
import { readFigures, type ReadFiguresOptions } from "../../lib/texture/recognise/read_figures.ts";
import type { Score } from "../../lib/score/model.ts";
import {
  type AnnotatedCell,
  annotatedCells,
  corpusFolders,
  MOVEMENTS,
  scoreOf,
  textureAnnotation,
} from "../setup/texture_corpus.ts";
import { ANNOTATED_SHAPES } from "../setup/texture_labels.ts";
import { example } from "../texture/examples.ts";
import { FIGURE_WEIGHTS_WITHOUT, weightsWithout } from "../setup/left_out_weights.ts";

/** The annotators' words for our shapes. */
const WORDS: Readonly<Record<string, readonly string[]>> = Object.fromEntries(
  (["repeated notes", "broken chord", "alternation", "scale", "held notes", "isolated notes"] as const).map((
    shape,
  ) => [shape, Object.keys(ANNOTATED_SHAPES).filter((word) => ANNOTATED_SHAPES[word] === shape)]),
);

/** A tremolo is repeated notes to the annotators, a trill an oscillation. */
const READ_AS: Readonly<Record<string, string>> = { tremolo: "repeated notes", trill: "alternation" };

interface Read {
  /** The annotators' word. */
  readonly word: string;
  /** The shape that was read. */
  readonly shape: string;
  /** How sure that is. */
  readonly confidence: number;
  /** Share of the notes' steps that go by a tone or semitone, of those that move. */
  readonly bySteps: number;
}

/** Shapes beside the annotators' words; the first part of a cell that sounds stands for it. */
function read(
  score: Score,
  cells: readonly AnnotatedCell[],
  options: ReadFiguresOptions = {},
): readonly Read[] {
  const features = cellFeatures(score);
  const readings = readFigures(score, { ...options, features });
  return cells.map((cell): Read => {
    const indexes = cell.parts.map((p) => cell.barIndex * score.parts.length + p);
    const index = indexes.find((i) => features[i]!.sounds) ?? indexes[0]!;
    const { shape, confidence } = readings[index]!;
    const pitches = features[index]!.line.map((n) => n.soundingPitch);
    const moves = pitches.slice(1).map((p, i) => Math.abs(p - pitches[i]!)).filter((size) => size > 0);
    const bySteps = moves.filter((size) => size <= 2).length / Math.max(1, moves.length);
    return { word: cell.fine, shape: READ_AS[shape] ?? shape, confidence, bySteps };
  });
}

interface Judgement {
  readonly cells: number;
  readonly recall: number;
  readonly precision: number;
  readonly falsePositives: number;
}

/** How well a shape is told. */
function judge(all: readonly Read[], shape: string): Judgement {
  const rows = shape === "repeated notes" ? all.filter((r) => r.word !== "rhythm") : all;
  const right = rows.filter((r) => WORDS[shape]!.includes(r.word));
  const named = rows.filter((r) => r.shape === shape).length;
  const hits = right.filter((r) => r.shape === shape).length;
  return {
    cells: right.length,
    recall: hits / right.length,
    precision: hits / named,
    falsePositives: (named - hits) / (rows.length - right.length),
  };
}

Deno.test("a small example of our own is counted as by hand", () => {
  const score = example([
    ["violin", "(D4:1/4 E4:1/4 F4:1/4 G4:1/4 A4:1/4 B4:1/4 C5:1/4 D5:1/4)x2"],
    ["viola", "(D4:1/4)x16"],
    ["horn in F", "F4:4"],
    ["clarinet in Bb", "(D4:1/2 F4:1/2 A4:1/2 F4:1/2)x2"],
  ]);
  const row = (part: number, role: string) => ({
    part_numbers: String(part),
    score_measure: "1",
    sounds_in_bar: "1",
    layer: "a",
    role,
    relation: "",
    mel: "1",
    rhythm: "0",
    harm: "0",
  });
  // As if the annotators called the horn a scale too.
  const rows = [row(1, "scale"), row(2, "repeat_note"), row(3, "scale"), row(4, "arp")];
  const all = read(score, annotatedCells(score, rows));
  assertEquals(all.map((r) => r.shape), ["scale", "repeated notes", "held notes", "broken chord"]);
  assertEquals(judge(all, "scale"), { cells: 2, recall: 1 / 2, precision: 1, falsePositives: 0 });
  assertEquals(judge(all, "broken chord"), { cells: 1, recall: 1, precision: 1, falsePositives: 0 });
});

const folders = corpusFolders();
if (folders) {
  /** What is read in all annotated movements, each with weights that have not seen it. */
  const readAll = (options: ReadFiguresOptions) =>
    MOVEMENTS.filter((m) => m.texture !== undefined).map((movement) => {
      const score = scoreOf(movement, folders);
      const weights = FIGURE_WEIGHTS_WITHOUT[movement.name];
      assert(weights, movement.name);
      const textureWeights = weightsWithout(movement.work);
      const cells = textureAnnotation(movement, score, folders);
      return { name: movement.name, all: read(score, cells, { ...options, weights, textureWeights }) };
    });
  type All = ReturnType<typeof readAll>;
  const of = (all: All, prefix = "") => all.filter((r) => r.name.startsWith(prefix)).flatMap((r) => r.all);
  const inWords = (all: readonly Read[], shape: string) => {
    const { cells, recall, precision, falsePositives } = judge(all, shape);
    return `${cells} cells, recall ${recall.toFixed(2)}, precision ${precision.toFixed(2)}, false ${
      falsePositives.toFixed(3)
    }`;
  };

  /** Least precision and recall of names, over all five movements. What leaps through a chord is melody to the annotators as often as not. */
  const NAMED: Readonly<Record<string, readonly [precision: number, recall: number]>> = {
    "repeated notes": [0.76, 0.68],
    "broken chord": [0.6, 0.6],
    "alternation": [0.62, 0.66],
    "scale": [0.62, 0.69],
    "held notes": [0.77, 0.8],
    "isolated notes": [0.72, 0.78],
  };

  Deno.test("what is called by a shape has it, as a rule, in movements the weights have not seen", () => {
    const all = readAll({});
    console.log("  four movements of Beethoven; with one of Mozart read from MIDI, which has no slashes");
    for (const [shape, [precision, recall]] of Object.entries(NAMED)) {
      console.log(`  ${shape}: ${inWords(of(all, "Beethoven"), shape)}; ${inWords(of(all), shape)}`);
      const judged = judge(of(all), shape);
      assertGreaterOrEqual(judged.precision, precision, shape);
      assertGreaterOrEqual(judged.recall, recall, shape);
    }
    // A tune through a chord or up a scale is melody to the annotators, whatever its notes do.
    const besideTunes = of(all).filter((r) => !["mel", "decmel"].includes(r.word));
    for (const shape of ["broken chord", "alternation", "scale"]) {
      const { precision } = judge(besideTunes, shape);
      console.log(`  ${shape} where the annotators hear no melody: precision ${precision.toFixed(2)}`);
      assertGreater(precision, 0.7, shape);
    }
    // How sure a broken chord is, is how often the annotators call it so.
    const broken = of(all).filter((r) => r.shape === "broken chord");
    for (const [fifth, rows] of Map.groupBy(broken, (r) => Math.floor(r.confidence * 5))) {
      const said = rows.reduce((sum, r) => sum + r.confidence, 0) / rows.length;
      const found = rows.filter((r) => r.word === "arp").length / rows.length;
      console.log(
        `  broken chord, said ${said.toFixed(2)}, found ${found.toFixed(2)} in ${rows.length} cells`,
      );
      if (rows.length >= 50) assertLess(Math.abs(said - found), 0.15, `from ${fifth / 5} on`);
    }
  });

  Deno.test("repeated, broken, alternating, running, held and isolated notes are found in movements the weights have not seen", () => {
    const readings = readAll({ evenness: 1, leastConfidence: 0 });
    const beethoven = of(readings, "Beethoven");
    console.log("  four movements of Beethoven, and one of Mozart read from MIDI, which has no slashes");
    for (const shape of Object.keys(WORDS)) {
      const { recall, falsePositives } = judge(beethoven, shape);
      console.log(
        `  ${shape}: ${inWords(beethoven, shape)}; Mozart recall ${
          judge(of(readings, "Mozart"), shape).recall.toFixed(2)
        }`,
      );
      assertGreater(recall, 0.785, shape);
      assertLess(falsePositives, 0.075, shape);
    }
    // What is called a scale where the annotators say otherwise does go by step, as a rule.
    const falseScales = beethoven.filter((r) => r.shape === "scale" && r.word !== "scale");
    const bySteps = falseScales.reduce((sum, r) => sum + r.bySteps, 0) / falseScales.length;
    const melodies = falseScales.filter((r) => ["mel", "decmel"].includes(r.word)).length;
    console.log(
      `  of ${falseScales.length} scales the annotators call otherwise, ${melodies} are melody; ${
        (100 * bySteps).toFixed(0)
      } % of their moves are steps`,
    );
    assertGreater(bySteps, 0.75);
  });
}
