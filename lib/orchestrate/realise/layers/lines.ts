/** Lines: the tune itself, a second line against it, and the bass. */
import { pitchClassOf } from "../../../base/modulo.ts";
import type { Bar, Note, Spelling } from "../../../score/model.ts";
import type { Harmony } from "../../plan/sketch.ts";
import type { TuneSpan } from "../../plan/place_assignments.ts";
import { spellAs } from "../../../score/spelling.ts";
import { beatTicks } from "../../../score/time.ts";
import { leadOctave } from "./lead_octave.ts";
import { scaleFor } from "./scale.ts";
import type { Ticks } from "../../../base/units.ts";
import {
  beatsInTurn,
  foldInto,
  groupsIn,
  type LayerPart,
  type LayerTask,
  type LayerWriter,
  onDownbeats,
  type PlacedStroke,
  placeStrokes,
  type PlainNote,
  tied,
} from "./task.ts";

/** The stretch of the tune that a layer has: a lead's own, or that of its bars. */
function spanOf({ tune, sketch, fromBarIndex, toBarIndex }: LayerTask): TuneSpan {
  const { bars } = sketch.score;
  const last = bars[toBarIndex]!;
  return tune ?? { fromTicks: bars[fromBarIndex]!.startTicks, toTicks: last.startTicks + last.durationTicks };
}

/** The tune's notes that begin in a layer's stretch of it, in order. */
export function tuneOf(task: LayerTask): readonly Note[] {
  const { fromTicks, toTicks } = spanOf(task);
  return task.sketch.tune.filter((n) => n.onsetTicks >= fromTicks && n.onsetTicks < toTicks);
}

/** Slides and glissandi of a note that lead to a note before the end of the layer. */
function glissandiWithin(n: Note, end: number): Pick<PlainNote, "glissandi"> {
  const within = n.glissandi?.filter((g) => n.onsetTicks + g.lengthTicks < end) ?? [];
  return within.length > 0 ? { glissandi: within } : {};
}

/** Copies the tune, in the octave asked for or the one that fits the part best. */
export const writeTune: LayerWriter = (task) => {
  const tune = tuneOf(task);
  const { toTicks: end } = spanOf(task);
  return task.parts.flatMap((part) => {
    const octave = task.octave ?? leadOctave(task, tune, part);
    return tune.map((n): PlainNote => ({
      part: part.index,
      onsetTicks: n.onsetTicks,
      durationTicks: Math.min(n.durationTicks, end - n.onsetTicks),
      soundingPitch: n.soundingPitch + 12 * octave,
      ...(n.spelling ? { spelling: { ...n.spelling, octave: n.spelling.octave + octave } } : {}),
      articulations: n.articulations,
      slurred: n.slurred,
      slurStart: n.slurStart,
      ...glissandiWithin(n, end),
    }));
  });
};

/** Semitones above its lowest note at which a part plays the bass by choice. */
const BASS_ABOVE_LOWEST = 12;

/**
 * The bass of each chord in the lowest part's low register, nearest to where the line was; the others double it. A
 * sustained one is held over bar lines.
 */
export const writeBass: LayerWriter = (task) =>
  task.figure.cellQuarters > 0 ? bassNotes(task, oneForEachGroup(task)) : tied(
    task,
    bassNotes(
      task,
      task.harmonies.map((h) => ({ onsetTicks: h.onsetTicks, durationTicks: h.durationTicks, harmony: h })),
    ),
  );

/** A figure's strokes; in bars of unequal groups, as 7/8 has them, one for each group and harmony, or for as many groups as one lasts. */
function oneForEachGroup(task: LayerTask): readonly PlacedStroke[] {
  const { bars, ticksPerQuarter } = task.sketch.score;
  const [most = 0] = task.figure.strokes.map((s) => s.length * ticksPerQuarter);
  return [...Map.groupBy(placeStrokes(task), (s) => s.harmony)].flatMap(([harmony, strokes]) => {
    const groups = groupsIn(bars[harmony.barIndex]!, ticksPerQuarter);
    if (groups.length === 1) return strokes;
    const end = harmony.onsetTicks + harmony.durationTicks;
    const within = groups.map(([from, to]) =>
      [Math.max(from, harmony.onsetTicks), Math.min(to, end)] as const
    )
      .filter(([from, to]) => from < to);
    const joined: [from: Ticks, to: Ticks][] = [];
    for (const [from, to] of within) {
      const last = joined.at(-1);
      if (last !== undefined && to - last[0] <= most) last[1] = to;
      else joined.push([from, to]);
    }
    return joined.map(([onsetTicks, to], i) => ({
      ...strokes[Math.min(i, strokes.length - 1)]!,
      onsetTicks,
      durationTicks: to - onsetTicks,
    }));
  });
}

/** The same on the first beat of every bar, and no more; a quarter where beats are shorter, as in 7/8. */
export const writeBassOnDownbeat: LayerWriter = (task) => {
  const { bars, ticksPerQuarter } = task.sketch.score;
  return bassNotes(
    task,
    onDownbeats(task).map((harmony) => ({
      onsetTicks: harmony.onsetTicks,
      durationTicks: Math.min(downbeatTicks(bars[harmony.barIndex]!, ticksPerQuarter), harmony.durationTicks),
      harmony,
    })),
  );
};

/** How long a bass on the downbeat lasts. */
function downbeatTicks(bar: Bar, quarter: Ticks): Ticks {
  const least = bar.durationTicks >= 2 * quarter ? quarter : 0;
  return Math.max(least, beatTicks(bar, quarter));
}

/**
 * A bass a beat long on the first of every two beats: the chord's bass, and, where the chord goes on over its root, its fifth on the
 * next, as a march has them; the last bar stays on its root. In bars of two or three beats the first alone.
 */
export const writeBassOnOneAndThree: LayerWriter = (task) => {
  const { bars, ticksPerQuarter } = task.sketch.score;
  return bassNotes(
    task,
    task.harmonies.flatMap((harmony) => {
      const bar = bars[harmony.barIndex]!;
      const { beat, ofBass } = beatsInTurn(bar, ticksPerQuarter);
      const length = ofBass.length > 1 ? beat : downbeatTicks(bar, ticksPerQuarter);
      const end = harmony.onsetTicks + harmony.durationTicks;
      return ofBass.filter((at) => at >= harmony.onsetTicks && at < end).map((onsetTicks, i) => ({
        onsetTicks,
        durationTicks: Math.min(length, end - onsetTicks),
        harmony: i % 2 === 1 && harmony.barIndex < bars.length - 1 ? onItsFifth(harmony) : harmony,
      }));
    }),
  );
};

/** A chord over its root with its fifth in the bass, where that is a perfect one; else as it is. */
function onItsFifth(harmony: Harmony): Harmony {
  const [root, ...others] = harmony.tones;
  if (root === undefined || harmony.bass.pitchClass !== root.pitchClass) return harmony;
  const fifth = others.find((t) => t.pitchClass === pitchClassOf(root.pitchClass + PERFECT_FIFTH));
  return fifth === undefined ? harmony : { ...harmony, bass: fifth };
}

/** Semitones. */
const PERFECT_FIFTH = 7;

function bassNotes(
  task: LayerTask,
  strokes: readonly Pick<PlacedStroke, "onsetTicks" | "durationTicks" | "harmony">[],
): readonly PlainNote[] {
  if (task.parts.length === 0) return [];
  const lowest = task.parts.reduce((a, b) => b.range.low < a.range.low ? b : a);
  const harmonies = strokes.map((s) => task.isBeside ? onStandingBass(task, s) : s.harmony);
  return doubledBass(task, strokes, {
    line: task.isBeside ? underBass(task, harmonies, lowest) : bassLine(harmonies, lowest),
    spellingOf: (i, pitch) =>
      harmonies[i]!.bass.name === "" ? undefined : spellAs(harmonies[i]!.bass.name, pitch),
  });
}

/**
 * The harmony of a stroke over what the bass that stands has there: two basses go in octaves, also where a passing note of
 * the one is no tone of the chord.
 */
function onStandingBass(
  task: LayerTask,
  { harmony, onsetTicks, durationTicks }: Pick<PlacedStroke, "onsetTicks" | "durationTicks" | "harmony">,
): Harmony {
  const { first } = task.bassMoves(onsetTicks, onsetTicks + durationTicks);
  if (first.length === 0) return harmony;
  const pitchClass = pitchClassOf(Math.min(...first));
  const scale = scaleFor(task.sketch.score.bars[harmony.barIndex]!.keyFifths, harmony);
  const named = [...harmony.tones, ...scale].find((t) => t.pitchClass === pitchClass);
  return { ...harmony, bass: named ?? { pitchClass, name: "" } };
}

/** One pitch per harmony, under the bass that stands where the part has it so low, at an octave with it where not. */
function underBass(task: LayerTask, harmonies: readonly Harmony[], part: LayerPart): readonly number[] {
  return bassLine(harmonies, part).map((pitch, i) => {
    const stands = Math.min(...task.bassOf(harmonies[i]!));
    let under = pitch;
    while (under > stands && under - 12 >= part.range.low) under -= 12;
    return under;
  });
}

/** A bass line in each part of a layer, in the octave that suits the part. */
export function doubledBass(
  task: LayerTask,
  strokes: readonly Pick<PlacedStroke, "onsetTicks" | "durationTicks">[],
  { line, spellingOf }: {
    /** A pitch for each stroke, where the lowest part has it. */
    readonly line: readonly number[];
    readonly spellingOf: (stroke: number, pitch: number) => Spelling | undefined;
  },
): readonly PlainNote[] {
  const lowest = task.parts.reduce((a, b) => b.range.low < a.range.low ? b : a);
  const mean = line.reduce((sum, p) => sum + p, 0) / line.length;
  return task.parts.flatMap((part) => {
    const wish = part.range.low + BASS_ABOVE_LOWEST;
    const octave = part !== lowest && Math.abs(mean + 12 - wish) < Math.abs(mean - wish) ? 12 : 0;
    return strokes.map((s, i): PlainNote => {
      const soundingPitch = foldInto(part, line[i]! + octave);
      const spelling = spellingOf(i, soundingPitch);
      return {
        part: part.index,
        onsetTicks: s.onsetTicks,
        durationTicks: s.durationTicks,
        soundingPitch,
        ...(spelling === undefined ? {} : { spelling }),
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
