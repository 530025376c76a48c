/** Changing the grid a score counts on. */
import { A_SCORE, A_WHOLE, checkArgument } from "../base/arguments.ts";
import { commonDivisor } from "../base/common_divisor.ts";
import type { Note, Part, Score } from "./model.ts";
import type { Ticks } from "../base/units.ts";

/**
 * The same score on a finer grid: the least common multiple of its own and the one asked for, so that no
 * position is rounded.
 *
 * @param score the score; not changed
 * @param ticksPerQuarter divisions of the quarter note that must be possible, for example 12 for sixteenths and triplets
 * @returns a score whose grid is a multiple of both
 *
 * @example
 * ```ts
 * import { demoSketch } from "ripieno";
 * import { refineGrid } from "ripieno/score";
 * import { assertEquals } from "@std/assert";
 * assertEquals(refineGrid(demoSketch().score, 7).ticksPerQuarter % 7, 0);
 * ```
 */
export function refineGrid(score: Score, ticksPerQuarter: Ticks): Score {
  checkArgument("refine the grid", score, A_SCORE);
  checkArgument("refine the grid", ticksPerQuarter, A_WHOLE, "ticks");
  const factor = ticksPerQuarter / commonDivisor(score.ticksPerQuarter, ticksPerQuarter);
  if (factor === 1) return score;
  const all = <T extends object>(list: readonly T[]): readonly T[] => list.map((each) => finer(each, factor));
  return {
    ...score,
    ticksPerQuarter: score.ticksPerQuarter * factor,
    bars: all(score.bars),
    tempos: all(score.tempos),
    ...(score.tempoBends ? { tempoBends: all(score.tempoBends) } : {}),
    parts: score.parts.map((part) => finerPart(part, factor)),
    chords: all(score.chords),
    notes: score.notes.map((note) => finerNote(note, factor)),
  };
}

/** A copy of a record whose times, which are all called `…Ticks`, stand on the finer grid. */
function finer<T extends object>(record: T, factor: number): T {
  const copy = { ...record } as Record<string, unknown>;
  for (const name in copy) {
    const value = copy[name];
    if (typeof value === "number" && name.endsWith("Ticks")) copy[name] = value * factor;
  }
  return copy as T;
}

/** The same of every list in a record. */
function finerLists<T extends object>(record: T, factor: number): T {
  const entries = Object.entries(record).map(([name, value]) =>
    [name, Array.isArray(value) ? value.map((each) => finer(each, factor)) : value] as const
  );
  return Object.fromEntries(entries) as T;
}

function finerNote(note: Note, factor: number): Note {
  const { glissandi, notation } = note;
  return {
    ...finer(note, factor),
    ...(glissandi ? { glissandi: glissandi.map((g) => finer(g, factor)) } : {}),
    ...(notation?.heads
      ? { notation: { ...notation, heads: notation.heads.map((ticks) => ticks * factor) } }
      : {}),
  };
}

function finerPart(part: Part, factor: number): Part {
  const { notation, ...rest } = finerLists(part, factor);
  return { ...rest, ...(notation ? { notation: finerLists(notation, factor) } : {}) };
}
