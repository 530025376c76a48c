/** Lines: the tune itself, a second line against it, and the bass. */
import { pitchClassOf } from "../../../base/modulo.ts";
import type { Note } from "../../../score/model.ts";
import type { Harmony } from "../../plan/sketch.ts";
import { spellAs } from "../../../score/spelling.ts";
import { beatTicks, fullBarTicks, isCompound } from "../../../score/time.ts";
import {
  cheapest,
  chordNote,
  type LayerPart,
  type LayerTask,
  type LayerWriter,
  onDownbeats,
  type PlacedStroke,
  placeStrokes,
  type PlainNote,
  tied,
  tonesWithin,
} from "./task.ts";

/** The tune's notes that begin in the layer's bars. */
function tuneOf(task: LayerTask): readonly Note[] {
  const { bars } = task.sketch.score;
  const start = bars[task.fromBarIndex]!.startTicks;
  const last = bars[task.toBarIndex]!;
  return task.sketch.tune.filter((n) =>
    n.onsetTicks >= start && n.onsetTicks < last.startTicks + last.durationTicks
  );
}

/**
 * Octave in which most of a line lies in a part's range. Where several will do, the one that suits the whole tune,
 * so that a part keeps its octave from passage to passage; then the smallest shift.
 */
function bestOctave(line: readonly Note[], wholeTune: readonly Note[], part: LayerPart): number {
  const inside = (notes: readonly Note[], octave: number) =>
    notes.filter((n) =>
      n.soundingPitch + 12 * octave >= part.range.low && n.soundingPitch + 12 * octave <= part.range.high
    ).length;
  return [0, 1, -1, 2, -2, 3, -3].reduce((best, o) => {
    const better = inside(line, o) - inside(line, best);
    return better > 0 || better === 0 && inside(wholeTune, o) > inside(wholeTune, best) ? o : best;
  });
}

/** Slides and glissandi of a note that lead to a note before the end of the layer. */
function glissandiWithin(n: Note, end: number): Pick<PlainNote, "glissandi"> {
  const within = n.glissandi?.filter((g) => n.onsetTicks + g.lengthTicks < end) ?? [];
  return within.length > 0 ? { glissandi: within } : {};
}

/** Copies the tune, in the octave asked for or the one that fits the part best. */
export const writeTune: LayerWriter = (task) => {
  const tune = tuneOf(task);
  const last = task.sketch.score.bars[task.toBarIndex]!;
  const end = last.startTicks + last.durationTicks;
  return task.parts.flatMap((part) => {
    const octave = task.octave ?? bestOctave(tune, task.sketch.tune, part);
    return tune.map((n): PlainNote => ({
      part: part.index,
      onsetTicks: n.onsetTicks,
      durationTicks: Math.min(n.durationTicks, end - n.onsetTicks),
      soundingPitch: n.soundingPitch + 12 * octave,
      ...(n.spelling ? { spelling: { ...n.spelling, octave: n.spelling.octave + octave } } : {}),
      articulations: n.articulations,
      ...glissandiWithin(n, end),
    }));
  });
};

/** Beats of 6/8, 9/8 and 12/8, where half notes would fall across them. */
const DOTTED_QUARTERS = { cellQuarters: 3 / 2, strokes: [{ at: 0, length: 3 / 2 }] };

/** Halves of a bar of two quarters: one note to a bar would be held. */
const QUARTERS = { cellQuarters: 1, strokes: [{ at: 0, length: 1 }] };

/** Semitones of movement that a second line takes on rather than strike its tone again: it moves where the tune stands still. Common practice, no source. */
const STANDING_STILL = 5;

/** Semitones of movement that a second line takes on rather than cross a lead above it. Common practice, no source. */
const CROSSING = 24;

/**
 * Chord tones in half notes, in dotted quarters where the metre counts them, in quarters where a bar has two, that go the other way when the tune moves, and avoid the tune's own note. A part that lies
 * lower than the lead stays below it.
 */
export const writeSecondLine: LayerWriter = (task) => {
  const tune = tuneOf(task);
  const { bars, ticksPerQuarter } = task.sketch.score;
  const first = bars[task.fromBarIndex]!;
  const value = isCompound(first)
    ? DOTTED_QUARTERS
    : fullBarTicks(first, ticksPerQuarter) <= 2 * ticksPerQuarter
    ? QUARTERS
    : {};
  const strokes = placeStrokes({ ...task, figure: { ...task.figure, ...value } });
  const tuneAt = (ticks: number) => tune.findLast((n) => n.onsetTicks <= ticks)?.soundingPitch;
  return task.parts.flatMap((part) => {
    const { low, high } = part.range;
    const middle = (low + high) / 2;
    let before = middle;
    let tuneBefore: number | undefined;
    return strokes.flatMap((stroke) => {
      const tune = tuneAt(stroke.onsetTicks);
      const moves = tune === undefined || tuneBefore === undefined ? 0 : Math.sign(tune - tuneBefore);
      const wish = before - moves * 3;
      const ceiling = task.ceilingsOf(stroke.harmony)[0] ?? Infinity;
      const tones = tonesWithin(stroke.harmony.tones, low, high)
        .filter((p) => tune === undefined || pitchClassOf(p - tune) !== 0);
      if (tones.length === 0) return [];
      const cost = (p: number) =>
        Math.abs(p - wish) + (p === before ? STANDING_STILL : 0) +
        (middle < ceiling && p >= ceiling ? CROSSING : 0);
      before = cheapest(tones, cost);
      tuneBefore = tune;
      return [chordNote(part, stroke, before)];
    });
  });
};

/** Semitones above its lowest note at which a part plays the bass by choice. */
const BASS_ABOVE_LOWEST = 12;

/**
 * The bass of each chord in the lowest part's low register, nearest to where the line was; the others double it. A
 * sustained one is held over bar lines.
 */
export const writeBass: LayerWriter = (task) =>
  task.figure.cellQuarters > 0 ? bassNotes(task, placeStrokes(task)) : tied(
    task,
    bassNotes(
      task,
      task.harmonies.map((h) => ({ onsetTicks: h.onsetTicks, durationTicks: h.durationTicks, harmony: h })),
    ),
  );

/** The same on the first beat of every bar, and no more. */
export const writeBassOnDownbeat: LayerWriter = (task) => {
  const { bars, ticksPerQuarter } = task.sketch.score;
  return bassNotes(
    task,
    onDownbeats(task).map((harmony) => ({
      onsetTicks: harmony.onsetTicks,
      durationTicks: Math.min(beatTicks(bars[harmony.barIndex]!, ticksPerQuarter), harmony.durationTicks),
      harmony,
    })),
  );
};

function bassNotes(
  task: LayerTask,
  strokes: readonly Pick<PlacedStroke, "onsetTicks" | "durationTicks" | "harmony">[],
): readonly PlainNote[] {
  if (task.parts.length === 0) return [];
  const lowest = task.parts.reduce((a, b) => b.range.low < a.range.low ? b : a);
  const line = bassLine(strokes.map((s) => s.harmony), lowest);
  const mean = line.reduce((sum, p) => sum + p, 0) / line.length;
  return task.parts.flatMap((part) => {
    const wish = part.range.low + BASS_ABOVE_LOWEST;
    const octave = part !== lowest && Math.abs(mean + 12 - wish) < Math.abs(mean - wish) ? 12 : 0;
    return strokes.map((s, i): PlainNote => {
      const soundingPitch = foldInto(part, line[i]! + octave);
      return {
        part: part.index,
        onsetTicks: s.onsetTicks,
        durationTicks: s.durationTicks,
        soundingPitch,
        spelling: spellAs(s.harmony.bass.name, soundingPitch),
      };
    });
  });
}

/** One pitch per harmony within an octave and a third of the part's lowest note. */
function bassLine(harmonies: readonly Harmony[], part: LayerPart): readonly number[] {
  let before = part.range.low + BASS_ABOVE_LOWEST;
  return harmonies.map((harmony) => {
    const lowest = part.range.low + pitchClassOf(harmony.bass.pitchClass - part.range.low);
    const higher = lowest + 12;
    const reach = Math.min(part.range.high, part.range.low + 16);
    before = higher <= reach && Math.abs(higher - before) < Math.abs(lowest - before) ? higher : lowest;
    return before;
  });
}

/** The pitch in the octave nearest to it that lies in the part's range. */
function foldInto(part: LayerPart, pitch: number): number {
  let folded = pitch;
  while (folded < part.range.low) folded += 12;
  while (folded > part.range.high && folded - 12 >= part.range.low) folded -= 12;
  return folded;
}
