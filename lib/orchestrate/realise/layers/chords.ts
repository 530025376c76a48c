/** Layers in which each part has one tone of the chord: pads, pulses, trills, tremolos, strokes. */
import { barIndexOf, beatTicks } from "../../../score/time.ts";
import { voiceChord } from "./voice_chord.ts";
import type { Harmony } from "../../plan/sketch.ts";
import {
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

/**
 * One pitch per part for every harmony, led smoothly from one to the next. Each family has a chord of its own,
 * as handbooks advise, so that players of one colour do not meet on one pitch; small groups fill in what the
 * larger ones lack.
 */
function voicings(task: LayerTask): ReadonlyMap<Harmony, readonly number[]> {
  const result = new Map<Harmony, readonly number[]>();
  const families = [...Map.groupBy(task.parts.keys(), (i) => task.parts[i]!.family).values()]
    .sort((a, b) => b.length - a.length);
  let before: { symbol: string; pitches: readonly number[] } | undefined;
  for (const harmony of task.harmonies) {
    let pitches: readonly number[];
    if (before?.symbol === harmony.symbol) pitches = before.pitches;
    else {
      const ceiling = task.ceilingOf(harmony);
      const previous = before?.pitches;
      const chosen = new Array<number>(task.parts.length).fill(NaN);
      const besides = [...task.bassOf(harmony)];
      for (const family of families) {
        const own = voiceChord(harmony.tones, family.map((i) => task.parts[i]!.range), {
          ...(previous ? { previous: family.map((i) => previous[i]!) } : {}),
          ...(ceiling === undefined ? {} : { ceiling }),
          besides,
        });
        family.forEach((i, k) => chosen[i] = own[k]!);
        besides.push(...own.filter((p) => !Number.isNaN(p)));
      }
      pitches = chosen;
    }
    result.set(harmony, pitches);
    before = { symbol: harmony.symbol, pitches };
  }
  return result;
}

/** Lowest note of a chord in one hand below which close tones blur. Model assumption. */
const LOWEST_IN_HAND = 48;

/** Notes of a hand's chord: its top note and up to two tones of the chord below it, within an octave. */
function inHand(top: number, part: LayerPart, harmony: Harmony): readonly number[] {
  const pitches = [top];
  const lowest = Math.max(part.range.low, LOWEST_IN_HAND, top - 11);
  for (const p of tonesWithin(harmony.tones, lowest, top).toReversed()) {
    // A second in a close chord would blur it.
    if (pitches.length < 3 && pitches.at(-1)! - p >= 3) pitches.push(p);
  }
  return pitches;
}

/** A chord to be written: its tone for each part, where and how long. */
interface ChordStroke extends Omit<PlacedStroke, "inBar"> {
  readonly pitches: readonly number[];
}

/** One note for each part that has a tone, a hand's chord for keys and harp. */
function chordNotes({ parts, figure }: LayerTask, stroke: ChordStroke): readonly PlainNote[] {
  const isOrnament = figure.trill || figure.tremoloSlashes > 0;
  return parts.flatMap((part, i) => {
    const top = stroke.pitches[i]!;
    if (Number.isNaN(top)) return [];
    const chord = part.playsChords && !isOrnament ? inHand(top, part, stroke.harmony) : [top];
    return chord.map((pitch) => chordNote(part, stroke, pitch));
  });
}

/** The stretch of a harmony as a stroke, or a part of it. */
function strokeOf(
  harmony: Harmony,
  chords: ReadonlyMap<Harmony, readonly number[]>,
  { onsetTicks, durationTicks }: Pick<Harmony, "onsetTicks" | "durationTicks"> = harmony,
): ChordStroke {
  return { harmony, pitches: chords.get(harmony)!, onsetTicks, durationTicks };
}

/**
 * Each part holds its tone as long as it belongs to the harmony, over bar lines and changes of chord alike; what dies away
 * is struck again in every bar.
 */
export const writeHeld: LayerWriter = (task) => tied(task, chordsHeld(task));

/** A trill or tremolo on a tone of the chord, bar by bar, through a change of harmony within the bar where the tone stays. */
export const writeShaken: LayerWriter = (task) => {
  const byBar = Map.groupBy(chordsHeld(task), (n) => barIndexOf(task.sketch.score, n.onsetTicks));
  return [...byBar.values()].flatMap((notes) => tied(task, notes));
};

/** The tones of each harmony as long as it lasts within its bar. */
function chordsHeld(task: LayerTask): readonly PlainNote[] {
  const chords = voicings(task);
  return task.harmonies.flatMap((h) => chordNotes(task, strokeOf(h, chords)));
}

/** Each part repeats its tone in the figure's rhythm. */
export const writeRepeated: LayerWriter = (task) => {
  const chords = voicings(task);
  return placeStrokes(task).flatMap((s) => chordNotes(task, strokeOf(s.harmony, chords, s)));
};

/** A short chord at the start of every bar. */
export const writeDownbeat: LayerWriter = (task) => {
  const chords = voicings(task);
  const length = Math.round((task.figure.strokes[0]?.length ?? 0.5) * task.sketch.score.ticksPerQuarter);
  return onDownbeats(task).flatMap((h) => {
    const durationTicks = Math.min(length, h.durationTicks);
    return chordNotes(task, strokeOf(h, chords, { onsetTicks: h.onsetTicks, durationTicks }));
  });
};

/** Each part repeats its tone on every beat of the bar but the first. */
export const writeAfterBeats: LayerWriter = (task) => {
  const { bars, ticksPerQuarter } = task.sketch.score;
  const chords = voicings(task);
  return task.harmonies.flatMap((harmony) => {
    const bar = bars[harmony.barIndex]!;
    const beat = beatTicks(bar, ticksPerQuarter);
    const end = harmony.onsetTicks + harmony.durationTicks;
    const notes: PlainNote[] = [];
    for (let onsetTicks = bar.startTicks + beat; onsetTicks < end; onsetTicks += beat) {
      if (onsetTicks < harmony.onsetTicks) continue;
      const durationTicks = Math.min(beat, end - onsetTicks);
      notes.push(...chordNotes(task, strokeOf(harmony, chords, { onsetTicks, durationTicks })));
    }
    return notes;
  });
};
