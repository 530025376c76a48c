/** Changing the grid a score counts on. */
import { A_SCORE, A_WHOLE, checkArgument } from "../base/arguments.ts";
import type { Note, Part, PartNotation, Score } from "./model.ts";
import type { Ticks } from "../base/units.ts";

/** Greatest common divisor of two whole numbers. */
function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}

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
  const factor = ticksPerQuarter / gcd(score.ticksPerQuarter, ticksPerQuarter);
  if (factor === 1) return score;
  return {
    ...score,
    ticksPerQuarter: score.ticksPerQuarter * factor,
    bars: score.bars.map((b) => ({
      ...b,
      startTicks: b.startTicks * factor,
      durationTicks: b.durationTicks * factor,
    })),
    tempos: score.tempos.map((t) => ({ ...t, onsetTicks: t.onsetTicks * factor })),
    ...(score.tempoBends
      ? {
        tempoBends: score.tempoBends.map((b) => ({
          ...b,
          onsetTicks: b.onsetTicks * factor,
          ...(b.endTicks === undefined ? {} : { endTicks: b.endTicks * factor }),
        })),
      }
      : {}),
    parts: score.parts.map((part) => finerPart(part, factor)),
    chords: score.chords.map((c) => ({ ...c, onsetTicks: c.onsetTicks * factor })),
    notes: score.notes.map((note) => finerNote(note, factor)),
  };
}

/** A note on the finer grid. */
function finerNote(note: Note, factor: number): Note {
  return {
    ...note,
    onsetTicks: note.onsetTicks * factor,
    durationTicks: note.durationTicks * factor,
    ...(note.glissandi
      ? { glissandi: note.glissandi.map((g) => ({ ...g, lengthTicks: g.lengthTicks * factor })) }
      : {}),
    ...(note.notation?.heads
      ? { notation: { ...note.notation, heads: note.notation.heads.map((ticks) => ticks * factor) } }
      : {}),
  };
}

/** What is printed of a part, on the finer grid. */
function finerNotation(notation: PartNotation, factor: number): PartNotation {
  const from = <T extends { readonly fromTicks: Ticks }>(list: readonly T[]): readonly T[] =>
    list.map((each) => ({ ...each, fromTicks: each.fromTicks * factor }));
  const onset = <T extends { readonly onsetTicks: Ticks }>(list: readonly T[]): readonly T[] =>
    list.map((each) => ({ ...each, onsetTicks: each.onsetTicks * factor }));
  return {
    staves: notation.staves,
    clefs: from(notation.clefs),
    keys: from(notation.keys),
    transpositions: from(notation.transpositions),
    words: onset(notation.words),
    lines: onset(notation.lines),
    tuplets: from(notation.tuplets).map((t) => ({ ...t, lengthTicks: t.lengthTicks * factor })),
    pauses: onset(notation.pauses).map((p) => ({ ...p, lengthTicks: p.lengthTicks * factor })),
  };
}

/** A part whose changes stand on the finer grid. */
function finerPart(part: Part, factor: number): Part {
  const { playing, instrumentChanges, writtenDynamics, notation } = part;
  const finer = <T extends { readonly fromTicks: Ticks }>(list: readonly T[]): readonly T[] =>
    list.map((each) => ({ ...each, fromTicks: each.fromTicks * factor }));
  return {
    ...part,
    ...(playing ? { playing: finer(playing) } : {}),
    ...(instrumentChanges ? { instrumentChanges: finer(instrumentChanges) } : {}),
    ...(writtenDynamics
      ? { writtenDynamics: writtenDynamics.map((d) => ({ ...d, onsetTicks: d.onsetTicks * factor })) }
      : {}),
    ...(notation ? { notation: finerNotation(notation, factor) } : {}),
  };
}
