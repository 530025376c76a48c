/**
 * The figures a layer can play, as data. Writing reads this table to know what to write; recognition reads
 * the same table to name what it finds, so the two share one vocabulary.
 */
import { A_TEXT, checkArgument } from "../base/arguments.ts";
import type { FigureShape } from "./figure_shapes.ts";
import { type Role, ROLE_NAMES } from "./roles.ts";

/** One stroke of a rhythm cell. */
export interface FigureStroke {
  /** Start within the cell, in quarter notes. */
  readonly at: number;
  /** Length in quarter notes. */
  readonly length: number;
  /** Whether it bears an accent. */
  readonly accent?: boolean;
}

/** Name of a figure of the table, as used in plans, tables and charts. */
export type FigureId =
  | "tune"
  | "second line"
  | "inner voices"
  | "held chord"
  | "rolled chords"
  | "stab with a swell"
  | "repeated quarters"
  | "repeated eighths"
  | "repeated triplets"
  | "repeated sixteenths"
  | "eighth and two sixteenths"
  | "two sixteenths and eighth"
  | "dotted eighth and sixteenth"
  | "off-beats"
  | "quarter and eighth"
  | "after-beats"
  | "after-beats on two and four"
  | "off-beats in threes"
  | "march rhythm"
  | "measured tremolo in eighths"
  | "measured tremolo in sixteenths"
  | "broken chord in eighths"
  | "broken chord in triplets"
  | "broken chord in sixteenths"
  | "Alberti figure in eighths"
  | "Alberti figure in sixteenths"
  | "wide broken chord in eighths"
  | "wide broken chord in triplets"
  | "wave in eighths"
  | "wave in triplets"
  | "wave in sixteenths"
  | "alternation in eighths"
  | "alternation in sixteenths"
  | "ostinato in eighths"
  | "ostinato in sixteenths"
  | "scale into the bar"
  | "scale into the bar in triplets"
  | "scale into the bar in sextuplets"
  | "scale into the bar in thirty-seconds"
  | "scale down into the bar"
  | "running scale"
  | "running scale in triplets"
  | "running scale in sextuplets"
  | "running scale in thirty-seconds"
  | "trill"
  | "trill with a turn"
  | "tremolo"
  | "two-note tremolo"
  | "roll into the bar"
  | "sustained bass"
  | "bass line"
  | "bass on every quarter"
  | "walking bass"
  | "bass in half notes"
  | "bass on every dotted quarter"
  | "bass on the downbeat"
  | "bass on one and three"
  | "stroke on the downbeat"
  | "off-beat stab";

/**
 * Which tones of the chord the strokes of a cell take: the part's tone of the voiced chord on every stroke; the lowest or
 * the highest of the part's register; two in turn; or for each stroke how many chord tones above the lowest of the cell
 * it lies, as `[0, 2, 1, 2]` for low, high, middle, high.
 */
export type FigureTones = "chord tone" | "lowest" | "highest" | "alternating" | readonly number[];

/** One figure. */
export interface Figure {
  /** Its name: one of the table, or one of your own from {@linkcode defineFigure}. */
  readonly id: FigureId | OwnFigure;
  /** The role it belongs to. */
  readonly role: Role;
  /** What it is, in one sentence. */
  readonly meaning: string;
  /** Length of the rhythm cell in quarter notes; 0 where it has no cell of its own and lasts as long as the harmony. */
  readonly cellQuarters: number;
  /** Strokes of the cell. */
  readonly strokes: readonly FigureStroke[];
  /** What its notes do. */
  readonly shape: FigureShape;
  /** Which tones its strokes take, where they keep to a pattern. */
  readonly tones?: FigureTones;
  /** Slashes through the stem: 3 for an unmeasured tremolo, 1 or 2 for eighths or sixteenths that are counted. */
  readonly tremoloSlashes: number;
  /** Trill sign. */
  readonly trill: boolean;
  /** Whether it is a line of the sketch as it is written, so that only a sketch that has such a line can be set with it. */
  readonly asWritten?: true;
  /** Whether each of its chords has a hairpin of its own: from `sfp` up to the layer's dynamic, or softly up to the stroke it leads to. */
  readonly swell?: "from sfp" | "to the landing";
}

/** A figure of the table. */
export type TableFigure = Figure & { readonly id: FigureId };

/** Strokes of equal length filling one quarter note. */
function even(perQuarter: number): readonly FigureStroke[] {
  return Array.from({ length: perQuarter }, (_, i) => ({ at: i / perQuarter, length: 1 / perQuarter }));
}

function figure(
  role: Role,
  meaning: string,
  cellQuarters: number,
  strokes: readonly FigureStroke[],
  shape: FigureShape,
  more: Partial<Pick<Figure, "tremoloSlashes" | "trill" | "tones" | "swell" | "asWritten">> = {},
): Omit<Figure, "id"> {
  return { role, meaning, cellQuarters, strokes, shape, tremoloSlashes: 0, trill: false, ...more };
}

/** Strokes of equal length filling a cell of so many quarters. */
function evenOver(strokes: number, quarters: number): readonly FigureStroke[] {
  const length = quarters / strokes;
  return Array.from({ length: strokes }, (_, i) => ({ at: i * length, length }));
}

/** Low, high, middle, high. */
const ALBERTI = [0, 2, 1, 2];
/** A tone, the one above, the one above that, and back: of the kept tones of an ostinato. */
const OSTINATO = [0, 1, 2, 1];

const wave = (value: string) => `up and down the chord over more than an octave in ${value}, without a break`;
const ostinato = (value: string) =>
  `a tone, its fifth and ninth, and back, in ${value}, kept over the harmony`;
const running = (value: string) => `an unbroken scale in ${value}, turning at the ends of its range`;
const intoTheBar = (value: string) =>
  `a scale in ${value} through the second half of the bar, landing on the next downbeat`;

/** Rows by name, in the order of roles. */
const TABLE: Readonly<Record<FigureId, Omit<Figure, "id">>> = {
  "tune": figure("lead", "the sketch's tune", 0, [], "tune"),
  "second line": figure(
    "counterline",
    "a line in half notes, in quarters in 2/4, against the tune, by step where it can",
    2,
    [
      { at: 0, length: 2 },
    ],
    "second line",
  ),
  "inner voices": figure(
    "counterline",
    "the sketch's inner voices as they are written, shared out to the parts from the highest down",
    0,
    [],
    "second line",
    { asWritten: true },
  ),
  "held chord": figure(
    "pad",
    "each part holds a chord tone as long as it belongs to the harmony",
    0,
    [],
    "held notes",
  ),
  "rolled chords": figure(
    "pad",
    "chords of both hands under an arpeggio sign, struck anew with each harmony; single lines hold a tone",
    0,
    [],
    "held notes",
  ),
  "stab with a swell": figure(
    "pad",
    "a chord with each harmony, struck sfp, swelling to the layer's dynamic and cut off before the next",
    0,
    [],
    "held notes",
    { swell: "from sfp" },
  ),
  "repeated quarters": figure("pulse", "one pitch on every quarter", 1, even(1), "repeated notes"),
  "repeated eighths": figure("pulse", "one pitch in eighths", 1, even(2), "repeated notes"),
  "repeated triplets": figure("pulse", "one pitch in eighth-note triplets", 1, even(3), "repeated notes"),
  "repeated sixteenths": figure("pulse", "one pitch in sixteenths", 1, even(4), "repeated notes"),
  "eighth and two sixteenths": figure("pulse", "one pitch, long short short", 1, [
    { at: 0, length: 1 / 2 },
    { at: 1 / 2, length: 1 / 4 },
    { at: 3 / 4, length: 1 / 4 },
  ], "repeated notes"),
  "two sixteenths and eighth": figure("pulse", "one pitch, short short long", 1, [
    { at: 0, length: 1 / 4 },
    { at: 1 / 4, length: 1 / 4 },
    { at: 1 / 2, length: 1 / 2 },
  ], "repeated notes"),
  "dotted eighth and sixteenth": figure("pulse", "one pitch, long short", 1, [
    { at: 0, length: 3 / 4 },
    { at: 3 / 4, length: 1 / 4 },
  ], "repeated notes"),
  "off-beats": figure("pulse", "one pitch on the second half of every quarter", 1, [
    { at: 1 / 2, length: 1 / 2 },
  ], "repeated notes"),
  "quarter and eighth": figure("pulse", "one pitch, long short, on every beat of 6/8, 9/8 or 12/8", 3 / 2, [
    { at: 0, length: 1 },
    { at: 1, length: 1 / 2 },
  ], "repeated notes"),
  "after-beats": figure("pulse", "one pitch on every beat of the bar but the first", 0, [], "repeated notes"),
  "after-beats on two and four": figure(
    "pulse",
    "one pitch on every second beat, after a bass on the first and third; in bars of three on all beats but the first",
    0,
    [],
    "repeated notes",
  ),
  "off-beats in threes": figure(
    "pulse",
    "one pitch on the second and third eighth of every dotted quarter",
    3 / 2,
    [
      { at: 1 / 2, length: 1 / 2 },
      { at: 1, length: 1 / 2 },
    ],
    "repeated notes",
  ),
  "march rhythm": figure("pulse", "one pitch in the rhythm long, short short, long, long of a side drum", 2, [
    { at: 0, length: 1 / 2 },
    { at: 1 / 2, length: 1 / 4 },
    { at: 3 / 4, length: 1 / 4 },
    { at: 1, length: 1 / 2 },
    { at: 3 / 2, length: 1 / 2 },
  ], "repeated notes"),
  "measured tremolo in eighths": figure(
    "pulse",
    "one pitch in eighths, written as long notes with one slash",
    0,
    even(2),
    "repeated notes",
    { tremoloSlashes: 1 },
  ),
  "measured tremolo in sixteenths": figure(
    "pulse",
    "one pitch in sixteenths, written as long notes with two slashes",
    0,
    even(4),
    "repeated notes",
    { tremoloSlashes: 2 },
  ),
  "broken chord in eighths": figure(
    "figuration",
    "chord tones one after another in eighths",
    1,
    even(2),
    "broken chord",
  ),
  "broken chord in triplets": figure(
    "figuration",
    "chord tones one after another in triplets",
    1,
    even(3),
    "broken chord",
  ),
  "broken chord in sixteenths": figure(
    "figuration",
    "chord tones one after another in sixteenths",
    1,
    even(4),
    "broken chord",
  ),
  "Alberti figure in eighths": figure(
    "figuration",
    "three neighbouring chord tones low, high, middle, high in eighths",
    2,
    evenOver(4, 2),
    "broken chord",
    { tones: ALBERTI },
  ),
  "Alberti figure in sixteenths": figure(
    "figuration",
    "three neighbouring chord tones low, high, middle, high in sixteenths",
    1,
    even(4),
    "broken chord",
    { tones: ALBERTI },
  ),
  "wide broken chord in eighths": figure(
    "figuration",
    "every second chord tone over an octave or more, up and back, in eighths",
    2,
    evenOver(4, 2),
    "broken chord",
    { tones: [0, 2, 4, 2] },
  ),
  "wide broken chord in triplets": figure(
    "figuration",
    "every second chord tone over an octave or more, upwards, in triplets",
    1,
    even(3),
    "broken chord",
    { tones: [0, 2, 4] },
  ),
  "wave in eighths": figure("figuration", wave("eighths"), 1, even(2), "broken chord"),
  "wave in triplets": figure("figuration", wave("triplets"), 1, even(3), "broken chord"),
  "wave in sixteenths": figure("figuration", wave("sixteenths"), 1, even(4), "broken chord"),
  "alternation in eighths": figure(
    "figuration",
    "two chord tones in turn, in eighths",
    1,
    even(2),
    "alternation",
  ),
  "alternation in sixteenths": figure(
    "figuration",
    "two chord tones in turn, in sixteenths",
    1,
    even(4),
    "alternation",
  ),
  "ostinato in eighths": figure("figuration", ostinato("eighths"), 2, evenOver(4, 2), "broken chord", {
    tones: OSTINATO,
  }),
  "ostinato in sixteenths": figure("figuration", ostinato("sixteenths"), 1, even(4), "broken chord", {
    tones: OSTINATO,
  }),
  "scale into the bar": figure(
    "run",
    intoTheBar("sixteenths"),
    0,
    even(4),
    "scale",
  ),
  "scale into the bar in triplets": figure("run", intoTheBar("triplets"), 0, even(3), "scale"),
  "scale into the bar in sextuplets": figure("run", intoTheBar("sextuplets"), 0, even(6), "scale"),
  "scale into the bar in thirty-seconds": figure("run", intoTheBar("thirty-seconds"), 0, even(8), "scale"),
  "scale down into the bar": figure(
    "run",
    "a scale downwards in sixteenths through the second half of the bar, landing on the next downbeat",
    0,
    even(4),
    "scale",
  ),
  "running scale": figure(
    "run",
    running("sixteenths"),
    1,
    even(4),
    "scale",
  ),
  "running scale in triplets": figure("run", running("triplets"), 1, even(3), "scale"),
  "running scale in sextuplets": figure("run", running("sextuplets"), 1, even(6), "scale"),
  "running scale in thirty-seconds": figure("run", running("thirty-seconds"), 1, even(8), "scale"),
  "trill": figure("trill", "a trill on a chord tone, bar by bar", 0, [], "trill", { trill: true }),
  "trill with a turn": figure(
    "trill",
    "a trill on a chord tone, bar by bar, that ends in a turn from below into the next; the last bar is where it resolves",
    0,
    [],
    "trill",
    { trill: true },
  ),
  "tremolo": figure("trill", "an unmeasured tremolo on a chord tone, bar by bar", 0, [], "tremolo", {
    tremoloSlashes: 3,
  }),
  "two-note tremolo": figure(
    "trill",
    "two neighbouring chord tones in unmeasured turn, bar by bar, fingered on strings",
    0,
    [],
    "tremolo",
    { tremoloSlashes: 3, tones: "alternating" },
  ),
  "roll into the bar": figure(
    "trill",
    "a roll of drums or cymbals through the second half of every bar, growing into a stroke on the next downbeat",
    0,
    [],
    "tremolo",
    { tremoloSlashes: 3, swell: "to the landing" },
  ),
  "sustained bass": figure(
    "bass",
    "the bass of the chord, held",
    0,
    [],
    "held notes",
  ),
  "bass line": figure("bass", "the sketch's bass line as it is written", 0, [], "second line", {
    asWritten: true,
  }),
  "bass on every quarter": figure(
    "bass",
    "the bass of the chord on every quarter",
    1,
    even(1),
    "repeated notes",
  ),
  "walking bass": figure(
    "bass",
    "a line in beats from the bass of each chord over its tones to the next, which it approaches by step",
    0,
    even(1),
    "second line",
  ),
  "bass in half notes": figure(
    "bass",
    "the bass of the chord every two quarters",
    2,
    [{ at: 0, length: 2 }],
    "held notes",
  ),
  "bass on every dotted quarter": figure(
    "bass",
    "the bass of the chord on every beat of 6/8, 9/8 or 12/8",
    3 / 2,
    [
      { at: 0, length: 3 / 2 },
    ],
    "repeated notes",
  ),
  "bass on the downbeat": figure(
    "bass",
    "the bass of the chord on the first beat of every bar",
    0,
    [],
    "isolated notes",
  ),
  "bass on one and three": figure(
    "bass",
    "the bass of the chord on the first beat and its fifth on the third, a beat long each; in bars of two or three the first alone",
    0,
    [],
    "isolated notes",
  ),
  "stroke on the downbeat": figure("punctuation", "a short chord at the start of every bar", 0, [
    { at: 0, length: 1 / 2 },
  ], "isolated notes"),
  "off-beat stab": figure("punctuation", "a short chord in every bar, half a beat before its middle", 0, [
    { at: 0, length: 1 / 2 },
  ], "isolated notes"),
};

/** All figures, by role. */
export const FIGURES: readonly TableFigure[] = (Object.keys(TABLE) as FigureId[])
  .map((id) => ({ id, ...TABLE[id] }));

/** Note value that a figure without a row in the table is named by. */
export type FigureValue =
  | "whole notes"
  | "half notes"
  | "quarters"
  | "eighths"
  | "triplets"
  | "sixteenths"
  | "sextuplets"
  | "thirty-seconds";

/** All note values of figures, with their length in quarter notes. */
export const FIGURE_VALUES: readonly (readonly [FigureValue, number])[] = [
  ["whole notes", 4],
  ["half notes", 2],
  ["quarters", 1],
  ["eighths", 1 / 2],
  ["triplets", 1 / 3],
  ["sixteenths", 1 / 4],
  ["sextuplets", 1 / 6],
  ["thirty-seconds", 1 / 8],
];

/** What a figure without a row in the table is called before its note value. */
export type PlainFigure = "repeated" | "moving" | "broken chord in" | "alternation in" | "bass in";

const PLAIN_FIGURES: readonly PlainFigure[] = [
  "repeated",
  "moving",
  "broken chord in",
  "alternation in",
  "bass in",
];

/** A figure in somebody's own words, as in a texture that was corrected by hand. */
export type OwnFigure = string & { readonly __figure: "own" };

/**
 * What a figure may be called: by its row in the table; by its note value where the table has none, such as
 * `broken chord in quarters`; by its role where nothing is known of the notes; `none` in silence; in somebody's own words
 * where it was given by hand.
 */
export type FigureName =
  | OwnFigure
  | FigureId
  | `${PlainFigure} ${FigureValue}`
  | "separate strokes"
  | Role
  | "none";

const NAMES: ReadonlySet<string> = new Set<Exclude<FigureName, OwnFigure>>([
  ...FIGURES.map((f) => f.id),
  ...PLAIN_FIGURES.flatMap((words) => FIGURE_VALUES.map(([value]) => `${words} ${value}` as const)),
  "separate strokes",
  ...ROLE_NAMES,
  "none",
]);

/** Whether a word is what a figure may be called: one of the table, or the name of one it has no row for. */
export function isFigureName(word: string): word is Exclude<FigureName, OwnFigure> {
  return NAMES.has(word);
}

/** A figure in the words of the table where they are, else in somebody's own. */
export function figureInWords(words: string): FigureName {
  return isFigureName(words) ? words : words as OwnFigure;
}

/**
 * The figure of a given name.
 *
 * @param id the figure's name
 * @returns the figure, or undefined when there is none of that name
 *
 * @example
 * ```ts
 * import { figureById } from "ripieno/texture";
 * import { assertEquals } from "@std/assert";
 * assertEquals(figureById("repeated sixteenths")?.strokes.length, 4);
 * ```
 */
export function figureById(id: string): TableFigure | undefined {
  checkArgument("find the figure", id, A_TEXT);
  return FIGURES.find((f) => f.id === id);
}

/**
 * The figures that serve a role, the usual one first.
 *
 * @param role the role
 * @returns figures in the table's order
 *
 * @example
 * ```ts
 * import { figuresFor } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * assertEquals(figuresFor("pad").map((f) => f.id), ["held chord", "rolled chords", "stab with a swell"]);
 * ```
 */
export function figuresFor(role: Role): readonly TableFigure[] {
  checkArgument("find the figures", role, A_TEXT, "the role");
  return FIGURES.filter((f) => f.role === role);
}
