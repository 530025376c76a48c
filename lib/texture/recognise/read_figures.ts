/** Which figure every part plays in every bar, whatever the part is for. */
import {
  A_RECORD,
  A_SCORE,
  A_SHARE,
  checkArgument,
  checkOptions,
  listOf,
  weightsWith,
} from "../../base/arguments.ts";
import type { Articulation, Note, Score } from "../../score/model.ts";
import type { Share } from "../../base/units.ts";
import { type FigureShape, roleOfShape } from "../figure_shapes.ts";
import { definedFigures } from "../define_figure.ts";
import type { Figure, FigureName } from "../figures.ts";
import { contourOf, type LineContour } from "../features/contour.ts";
import { type CellFeatures, givenFeatures } from "../features/features.ts";
import { chordOf, type ChordTones, pitchClassesOf } from "../features/harmony_tones.ts";
import { cellOnPage } from "../features/page.ts";
import type { TextureWeights } from "../judge/weights.ts";
import { judgedPage } from "./judged_page.ts";
import { leadsInATune } from "./lead.ts";
import { nameFigure } from "./name_figure.ts";
import { ownFigureIn } from "./own_figures.ts";
import { readShapes, type ShapeOptions } from "./read_shapes.ts";
import { type RhythmCell, rhythmCell } from "../features/rhythm_cell.ts";
import { RULES } from "../rules.ts";

/** How the notes of a figure are played. */
export type FigureTouch =
  | "slurred"
  | "staccato"
  | "accented"
  | "tenuto"
  | "plucked"
  | "measured tremolo"
  | "unmeasured tremolo"
  | "trilled"
  | "separate";

/** The figure of one part in one bar. */
export interface FigureReading {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** Part index. */
  readonly part: number;
  /** What the notes do; `none` in silence, and where no shape is likely enough to be worth a name. */
  readonly shape: FigureShape | "none";
  /** How sure the likeliest shape is, 0 to 1. */
  readonly confidence: Share;
  /** The figure in the words of the table of figures, such as `broken chord in eighths`; `none` where no shape is worth a name. */
  readonly name: FigureName;
  /** What a musician would add, such as `rocking thirds` or `low, high, middle, high`; often empty. */
  readonly detail: string;
  /** The rhythm that makes up the bar. */
  readonly rhythm: RhythmCell;
  /** Which way the notes go. */
  readonly contour: LineContour;
  /** Pitch classes in order of entry, 0 for C. */
  readonly pitchClasses: readonly number[];
  /** The chord they spell, where they spell one. */
  readonly chord?: ChordTones;
  /** How they are played. */
  readonly touch: FigureTouch;
}

/** What figures may be read by instead. */
export interface ReadFiguresOptions extends ShapeOptions {
  /** Features of the same score, where they have been worked out before. */
  readonly features?: readonly CellFeatures[];
  /** Figures of one's own, made by `defineFigure`: a bar they fill is named by them. */
  readonly figures?: readonly Figure[];
  /** Weights that tell who leads; those of `data/texture_weights.json` unless given. */
  readonly textureWeights?: TextureWeights;
}

const INTERVALS: Readonly<Record<number, string>> = {
  1: "semitones",
  2: "whole tones",
  3: "thirds",
  4: "thirds",
  5: "fourths",
  7: "fifths",
  8: "sixths",
  9: "sixths",
  12: "octaves",
};

/** What a musician would add to the name of an alternation. */
function swing(line: readonly Note[]): string {
  if (line.length < 4) return "";
  const sizes = new Set(line.slice(1).map((n, i) => Math.abs(n.soundingPitch - line[i]!.soundingPitch)));
  const words = new Set([...sizes].map((size) => INTERVALS[size]));
  const [word] = words;
  return words.size === 1 && word ? `rocking ${word}` : "";
}

/** The order in which a broken chord of up to four notes goes through its tones, where it keeps to it. */
function walk(line: readonly Note[]): string {
  const heights = [...new Set(line.map((n) => n.soundingPitch))].sort((a, b) => a - b);
  if (line.length < 4 || heights.length !== 3) return "";
  const names = ["low", "middle", "high"];
  const cell = line.slice(0, 4).map((n) => heights.indexOf(n.soundingPitch));
  if (new Set(cell).size < 3 || !line.every((n, i) => heights[cell[i % 4]!] === n.soundingPitch)) return "";
  return cell.map((h) => names[h]).join(", ");
}

function detailOf(shape: FigureReading["shape"], line: readonly Note[], contour: LineContour): string {
  if (line.some((n) => n.unpitched)) return "";
  switch (shape) {
    case "alternation":
      return swing(line) || walk(line);
    case "broken chord":
      return walk(line) || (contour === "waves" ? "up and down" : contour);
    case "scale":
      return contour === "waves" ? "up and down" : contour;
    case "repeated notes":
      return new Set(line.map((n) => n.soundingPitch)).size > 1 ? "the pitch changes" : "";
    default:
      return "";
  }
}

function touchOf(
  { trill, tremolo, slurred, line }: CellFeatures,
  shape: FigureReading["shape"],
): FigureTouch {
  const share = (has: (note: Note) => boolean) => line.filter(has).length > line.length / 2;
  const signed = (...signs: readonly Articulation[]) =>
    share((n) => n.articulations.some((a) => signs.includes(a)));
  return trill >= RULES.ornamentedFrom
    ? "trilled"
    : tremolo >= RULES.ornamentedFrom
    ? shape === "tremolo" ? "unmeasured tremolo" : "measured tremolo"
    : share((n) => n.technique === "pizzicato")
    ? "plucked"
    : slurred > 0.5 && !signed("portato")
    ? "slurred"
    : signed("staccato", "staccatissimo", "spiccato")
    ? "staccato"
    : signed("accent", "marcato")
    ? "accented"
    : signed("tenuto", "portato")
    ? "tenuto"
    : "separate";
}

const OPTIONS = {
  features: listOf(A_RECORD, "a list of features"),
  figures: listOf(A_RECORD, "a list of figures, each made by defineFigure"),
  weights: weightsWith("shapes rarity evenness model"),
  textureWeights: weightsWith("kinds kind lead phrase broad"),
  evenness: A_SHARE,
  leastConfidence: A_SHARE,
};

/**
 * The figure of every part in every bar: a tune that runs up a scale is a scale here and a lead in
 * {@linkcode recognise}. The shape is told by a small linear model of named clues, in the bar and around it, whose weights
 * are data (`FigureWeights.about` says how they were fitted); rhythm cell, contour, harmony tones and touch are counted.
 * Tunes go through chords as often as accompaniments break them, note for note alike: there it counts who is followed,
 * and what leads beside others is called a tune.
 *
 * @param score the score
 * @param options features worked out before, other weights
 * @returns one reading per bar and part, by bar, then part
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { readFigures } from "ripieno/texture";
 * import { assertEquals } from "@std/assert";
 * const score = demoScore();
 * const violas = score.parts.findIndex((p) => p.name === "Violas");
 * const inRapids = readFigures(score)[20 * score.parts.length + violas]!;
 * assertEquals(inRapids.shape, "repeated notes");
 * assertEquals(inRapids.rhythm.strokes.map((s) => s.length), [1 / 4, 1 / 4, 1 / 4, 1 / 4]);
 * ```
 */
export function readFigures(score: Score, options: ReadFiguresOptions = {}): readonly FigureReading[] {
  checkArgument("read the figures", score, A_SCORE);
  checkOptions("read the figures", options, OPTIONS);
  const { features: given, textureWeights, figures = [], ...how } = options;
  const defined = definedFigures(figures);
  const features = givenFeatures("read the figures", score, given);
  const { page, judgement } = judgedPage(score, textureWeights);
  const parts = score.parts.length;
  const leads = (cell: number) => {
    const onPage = cellOnPage(page, { barIndex: Math.floor(cell / parts), part: cell % parts });
    return onPage !== undefined && leadsInATune(judgement, onPage);
  };
  const shapes = readShapes(score, features, { ...how, leads });
  const { ticksPerQuarter } = score;
  return features.map((f, cell): FigureReading => {
    const own = defined.length > 0 ? ownFigureIn(f, defined, ticksPerQuarter) : undefined;
    const { shape, confidence } = own ? { shape: own.shape, confidence: 1 } : shapes[cell]!;
    const contour = contourOf(f.line);
    const pitchClasses = pitchClassesOf(f.line);
    const chord = chordOf(pitchClasses);
    return {
      barIndex: f.barIndex,
      part: f.part,
      shape,
      confidence,
      name: own
        ? own.id
        : shape === "none"
        ? "none"
        : nameFigure(f, roleOfShape(shape), { ticksPerQuarter, shape }),
      detail: detailOf(shape, f.line, contour),
      rhythm: rhythmCell(f.line, { ...score.bars[f.barIndex]!, ticksPerQuarter }),
      contour,
      pitchClasses,
      ...(chord === undefined ? {} : { chord }),
      touch: touchOf(f, shape),
    };
  });
}
