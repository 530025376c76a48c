/**
 * What the notes of a part do, whoever it is for: the shape of its figure. The words are explained here once; the table
 * of figures, the rows of the models and what is read off the notes take them from here.
 */
import { InputError } from "../base/errors.ts";
import type { Broad } from "./broad_kinds.ts";
import type { Role } from "./roles.ts";

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
  /** The role that notes of this shape are for as a rule: a figure that is read off notes alone is named in its words. */
  readonly role: Role;
}

/** All shapes, from the foreground to the background. */
export const FIGURE_SHAPES: readonly FigureShapeDescription[] = [
  { shape: "tune", meaning: "a melodic line that keeps to no figure", broad: "melody", role: "lead" },
  { shape: "second line", meaning: "a melodic line beside the tune", broad: "line", role: "counterline" },
  {
    shape: "rhythmic pattern",
    meaning: "a rhythm that is kept, whatever its pitches do",
    broad: "moving",
    role: "pulse",
  },
  {
    shape: "repeated notes",
    meaning: "one pitch again and again in quick or patterned values",
    broad: "moving",
    role: "pulse",
  },
  {
    shape: "alternation",
    meaning: "two chord tones in turn, or one that comes back after each other",
    broad: "moving",
    role: "figuration",
  },
  {
    shape: "broken chord",
    meaning: "the tones of a chord one after another",
    broad: "moving",
    role: "figuration",
  },
  { shape: "scale", meaning: "steps in one direction", broad: "moving", role: "run" },
  {
    shape: "trill",
    meaning: "a note and its neighbour in quick turn, by a sign",
    broad: "moving",
    role: "trill",
  },
  { shape: "tremolo", meaning: "strokes too quick to count", broad: "moving", role: "trill" },
  { shape: "held notes", meaning: "notes that last", broad: "held", role: "pad" },
  {
    shape: "isolated notes",
    meaning: "single strokes with silence around them",
    broad: "isolated",
    role: "punctuation",
  },
];

const BY_SHAPE: ReadonlyMap<string, FigureShapeDescription> = new Map(FIGURE_SHAPES.map((s) => [s.shape, s]));

/** What a shape comes down to. */
export function broadOf(shape: FigureShape): Broad {
  return BY_SHAPE.get(shape)!.broad;
}

/** The role in whose words a shape is named. */
export function roleOfShape(shape: FigureShape): Role {
  return BY_SHAPE.get(shape)!.role;
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
