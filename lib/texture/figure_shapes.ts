/**
 * What the notes of a part do, whoever it is for: the shape of its figure. The words are explained here once; the table
 * of figures, the rows of the models and what is read off the notes take them from here.
 */
import { InputError } from "../base/errors.ts";
import type { Broad } from "./broad_kinds.ts";

/** What the notes of a part do, whoever it is for. */
export type FigureShape =
  | "tune"
  | "second line"
  | "rhythmic pattern"
  | "repeated notes"
  | "alternation"
  | "broken chord"
  | "scale"
  | "trill"
  | "tremolo"
  | "held notes"
  | "isolated notes";

/** What is known of a shape. */
export interface FigureShapeDescription {
  /** The shape. */
  readonly shape: FigureShape;
  /** What it is, in one sentence. */
  readonly meaning: string;
  /** What it comes down to. */
  readonly broad: Broad;
}

/** All shapes, from the foreground to the background. */
export const FIGURE_SHAPES: readonly FigureShapeDescription[] = [
  { shape: "tune", meaning: "a melodic line that keeps to no figure", broad: "melody" },
  { shape: "second line", meaning: "a melodic line beside the tune", broad: "line" },
  { shape: "rhythmic pattern", meaning: "a rhythm that is kept, whatever its pitches do", broad: "moving" },
  {
    shape: "repeated notes",
    meaning: "one pitch again and again in quick or patterned values",
    broad: "moving",
  },
  {
    shape: "alternation",
    meaning: "two chord tones in turn, or one that comes back after each other",
    broad: "moving",
  },
  { shape: "broken chord", meaning: "the tones of a chord one after another", broad: "moving" },
  { shape: "scale", meaning: "steps in one direction", broad: "moving" },
  { shape: "trill", meaning: "a note and its neighbour in quick turn, by a sign", broad: "moving" },
  { shape: "tremolo", meaning: "strokes too quick to count", broad: "moving" },
  { shape: "held notes", meaning: "notes that last", broad: "held" },
  { shape: "isolated notes", meaning: "single strokes with silence around them", broad: "isolated" },
];

const BY_SHAPE: ReadonlyMap<string, FigureShapeDescription> = new Map(FIGURE_SHAPES.map((s) => [s.shape, s]));

/** What a shape comes down to. */
export function broadOf(shape: FigureShape): Broad {
  return BY_SHAPE.get(shape)!.broad;
}

/**
 * The rows of a model, which must be words for shapes.
 *
 * @param words names of the rows; two may be of one shape
 * @returns the same words
 * @throws {InputError} for a word that is no shape
 */
export function shapesNamed(words: readonly string[]): readonly FigureShape[] {
  const isShapes = (all: readonly string[]): all is readonly FigureShape[] =>
    all.every((w) => BY_SHAPE.has(w));
  if (isShapes(words)) return words;
  throw new InputError({
    action: "take the weights",
    problem: `they have a row for "${words.find((w) => !BY_SHAPE.has(w))}", which is no shape of a figure`,
    remedy: `Name each row by one of ${FIGURE_SHAPES.map((s) => s.shape).join(", ")}`,
  });
}
