/**
 * The figures a layer can play, as data. Writing reads this table to know what to write; recognition reads
 * the same table to name what it finds, so the two share one vocabulary.
 */
import { A_TEXT, checkArgument } from "../base/arguments.ts";
import type { Role } from "./roles.ts";

/** One stroke of a rhythm cell. */
export interface FigureStroke {
  /** Start within the cell, in quarter notes. */
  readonly at: number;
  /** Length in quarter notes. */
  readonly length: number;
}

/**
 * How a figure chooses its pitches: `tune` copies the sketch's tune; `held` and `repeated` keep one chord tone
 * per part; `broken` walks through the chord; `alternating` swings between two chord tones; `scale` moves by
 * step towards a target; `root` takes the bass of the chord.
 */
export type PitchPattern = "tune" | "held" | "repeated" | "broken" | "alternating" | "scale" | "root";

/** One figure. */
export interface Figure {
  /** Name, as used in plans, tables and charts. */
  readonly id: string;
  /** The role it belongs to. */
  readonly role: Role;
  /** What it is, in one sentence. */
  readonly meaning: string;
  /** Length of the rhythm cell in quarter notes; 0 where it has no cell of its own and lasts as long as the harmony. */
  readonly cellQuarters: number;
  /** Strokes of the cell. */
  readonly strokes: readonly FigureStroke[];
  /** How pitches are chosen. */
  readonly pitches: PitchPattern;
  /** Slashes through the stem (3 for an unmeasured tremolo). */
  readonly tremoloSlashes: number;
  /** Trill sign. */
  readonly trill: boolean;
}

/** Strokes of equal length filling one quarter note. */
function even(perQuarter: number): readonly FigureStroke[] {
  return Array.from({ length: perQuarter }, (_, i) => ({ at: i / perQuarter, length: 1 / perQuarter }));
}

function figure(
  id: string,
  role: Role,
  meaning: string,
  cellQuarters: number,
  strokes: readonly FigureStroke[],
  pitches: PitchPattern,
  signs: { readonly tremoloSlashes?: number; readonly trill?: boolean } = {},
): Figure {
  return { id, role, meaning, cellQuarters, strokes, pitches, tremoloSlashes: 0, trill: false, ...signs };
}

/** All figures, by role. */
export const FIGURES: readonly Figure[] = [
  figure("tune", "lead", "the sketch's tune", 0, [], "tune"),
  figure("second line", "counterline", "a line in half notes on chord tones, against the tune", 2, [
    { at: 0, length: 2 },
  ], "broken"),
  figure(
    "held chord",
    "pad",
    "each part holds a chord tone while the harmony lasts, begun anew in every bar; a tone of two chords in a bar is held on",
    0,
    [],
    "held",
  ),
  figure("repeated quarters", "pulse", "one pitch on every quarter", 1, even(1), "repeated"),
  figure("repeated eighths", "pulse", "one pitch in eighths", 1, even(2), "repeated"),
  figure("repeated triplets", "pulse", "one pitch in eighth-note triplets", 1, even(3), "repeated"),
  figure("repeated sixteenths", "pulse", "one pitch in sixteenths", 1, even(4), "repeated"),
  figure("eighth and two sixteenths", "pulse", "one pitch, long short short", 1, [
    { at: 0, length: 1 / 2 },
    { at: 1 / 2, length: 1 / 4 },
    { at: 3 / 4, length: 1 / 4 },
  ], "repeated"),
  figure("two sixteenths and eighth", "pulse", "one pitch, short short long", 1, [
    { at: 0, length: 1 / 4 },
    { at: 1 / 4, length: 1 / 4 },
    { at: 1 / 2, length: 1 / 2 },
  ], "repeated"),
  figure("dotted eighth and sixteenth", "pulse", "one pitch, long short", 1, [
    { at: 0, length: 3 / 4 },
    { at: 3 / 4, length: 1 / 4 },
  ], "repeated"),
  figure("off-beats", "pulse", "one pitch on the second half of every quarter", 1, [
    { at: 1 / 2, length: 1 / 2 },
  ], "repeated"),
  figure("quarter and eighth", "pulse", "one pitch, long short, on every beat of 6/8, 9/8 or 12/8", 3 / 2, [
    { at: 0, length: 1 },
    { at: 1, length: 1 / 2 },
  ], "repeated"),
  figure("after-beats", "pulse", "one pitch on every beat of the bar but the first", 0, [], "repeated"),
  figure(
    "off-beats in threes",
    "pulse",
    "one pitch on the second and third eighth of every dotted quarter",
    3 / 2,
    [
      { at: 1 / 2, length: 1 / 2 },
      { at: 1, length: 1 / 2 },
    ],
    "repeated",
  ),
  figure(
    "broken chord in eighths",
    "figuration",
    "chord tones one after another in eighths",
    1,
    even(2),
    "broken",
  ),
  figure(
    "broken chord in triplets",
    "figuration",
    "chord tones one after another in triplets",
    1,
    even(3),
    "broken",
  ),
  figure(
    "broken chord in sixteenths",
    "figuration",
    "chord tones one after another in sixteenths",
    1,
    even(4),
    "broken",
  ),
  figure(
    "alternation in eighths",
    "figuration",
    "two chord tones in turn, in eighths",
    1,
    even(2),
    "alternating",
  ),
  figure(
    "alternation in sixteenths",
    "figuration",
    "two chord tones in turn, in sixteenths",
    1,
    even(4),
    "alternating",
  ),
  figure(
    "scale into the bar",
    "run",
    "a scale in sixteenths through the second half of the bar, landing on the next downbeat",
    0,
    even(4),
    "scale",
  ),
  figure(
    "running scale",
    "run",
    "an unbroken scale in sixteenths, turning at the ends of its range",
    1,
    even(4),
    "scale",
  ),
  figure("trill", "trill", "a trill on a chord tone, bar by bar", 0, [], "held", { trill: true }),
  figure("tremolo", "trill", "an unmeasured tremolo on a chord tone, bar by bar", 0, [], "held", {
    tremoloSlashes: 3,
  }),
  figure("sustained bass", "bass", "the bass of the chord held, begun anew in every bar", 0, [], "root"),
  figure("bass on every quarter", "bass", "the bass of the chord on every quarter", 1, even(1), "root"),
  figure(
    "bass in half notes",
    "bass",
    "the bass of the chord every two quarters",
    2,
    [{ at: 0, length: 2 }],
    "root",
  ),
  figure(
    "bass on every dotted quarter",
    "bass",
    "the bass of the chord on every beat of 6/8, 9/8 or 12/8",
    3 / 2,
    [
      { at: 0, length: 3 / 2 },
    ],
    "root",
  ),
  figure(
    "bass on the downbeat",
    "bass",
    "the bass of the chord on the first beat of every bar",
    0,
    [],
    "root",
  ),
  figure("stroke on the downbeat", "punctuation", "a short chord at the start of every bar", 0, [
    { at: 0, length: 1 / 2 },
  ], "held"),
];

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
export function figureById(id: string): Figure | undefined {
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
 * assertEquals(figuresFor("pad").map((f) => f.id), ["held chord"]);
 * ```
 */
export function figuresFor(role: Role): readonly Figure[] {
  checkArgument("find the figures", role, A_TEXT, "the role");
  return FIGURES.filter((f) => f.role === role);
}
