/** Layers in which each part has one tone of the chord: pads, pulses, trills, tremolos, strokes. */
import type { Ticks } from "../../../base/units.ts";
import type { Bar } from "../../../score/model.ts";
import { barIndexOf, beatTicks } from "../../../score/time.ts";
import { type ChordStyle, type ChordToVoice, voiceChords, type VoicedPart } from "./voice_chords.ts";
import { keptDrums } from "./kept_drums.ts";
import { isArranged, isWind } from "../../plan/arrangement.ts";
import type { Voicing } from "../../plan/extra_columns.ts";
import type { Harmony } from "../../plan/sketch.ts";
import {
  beatsInTurn,
  chordNote,
  type LayerPart,
  type LayerTask,
  type LayerWriter,
  onDownbeats,
  placeStrokes,
  type PlainNote,
  startsEvery,
  type StruckHarmony,
  tied,
  tonesWithin,
} from "./task.ts";

/**
 * One pitch per part for every harmony, led smoothly from one to the next. A family of three parts or more has a chord of
 * its own, as handbooks advise, so that players of one colour do not meet on one pitch; all others together have another.
 */
export function voicings(task: LayerTask): ReadonlyMap<Harmony, readonly number[]> {
  const stretches = chordsOf(task.harmonies);
  const pitches = stretches.map(() => new Array<number>(task.parts.length).fill(NaN));
  const chords = stretches.map((harmonies): ChordToVoice => {
    const { onsetTicks, durationTicks } = harmonies.at(-1)!;
    const [from, to] = [harmonies[0]!.onsetTicks, onsetTicks + durationTicks] as const;
    const bassMoves = task.bassMoves(from, to);
    // Over a bass that walks, a chord is one over the note it begins with.
    const bass = [...new Set(bassMoves.first)];
    return {
      tones: harmonies[0]!.tones,
      ceilings: lowestOfEach(harmonies.map(task.ceilingsOf)),
      mayCross: task.figure.role !== "pad",
      besides: bass,
      bass,
      bassMoves,
      led: task.ledTo(from, to),
    };
  });
  for (const { own: group, style } of choirsOf(task.parts, task.voicing)) {
    const beside = chords.map((chord, k): ChordToVoice => ({
      ...chord,
      besides: [...chord.besides!, ...pitches[k]!.filter((p) => !Number.isNaN(p))],
    }));
    voiceChords(beside, group.map((i) => voicedPart(task.parts[i]!, chords)), style)
      .forEach((own, k) => group.forEach((i, g) => pitches[k]![i] = own[g]!));
  }
  return new Map(stretches.flatMap((harmonies, k) => harmonies.map((h) => [h, pitches[k]!] as const)));
}

function voicedPart(part: LayerPart, chords: readonly ChordToVoice[]): VoicedPart {
  const isDivided = part.group !== undefined;
  if (!part.range.rootOrFifth) return { ...part, isDivided };
  return { ...part, isDivided, kept: keptDrums(part, chords.map((chord) => chord.tones)) };
}

/** What stays below all of some ceilings, line by line. */
function lowestOfEach(ceilings: readonly (readonly number[])[]): readonly number[] {
  const lines = Math.min(...ceilings.map((some) => some.length));
  return Array.from({ length: lines }, (_, line) => Math.min(...ceilings.map((some) => some[line]!)));
}

/** Stretches of one chord, however many bars and changes of bass they go over. */
function chordsOf(harmonies: readonly Harmony[]): readonly (readonly Harmony[])[] {
  const chords: Harmony[][] = [];
  for (const h of harmonies) {
    if (chords.at(-1)?.[0]?.symbol === h.symbol) chords.at(-1)!.push(h);
    else chords.push([h]);
  }
  return chords;
}

/** Parts from which a family has a chord of its own. */
const CHOIR = 3;

/** Parts that make up a chord together, by index, and how it is to lie. */
interface Choir {
  readonly own: readonly number[];
  readonly style: ChordStyle;
}

/**
 * The choirs of a layer, the larger first: families large enough for a chord, all others together; winds whose order the plan
 * gives are one, and all parts where families are to blend.
 */
function choirsOf(parts: readonly LayerPart[], voicing: Voicing | undefined): readonly Choir[] {
  const all = [...parts.keys()];
  if (voicing === "family blends") return [{ own: all, style: {} }];
  const isOrdered = isArranged(voicing);
  const winds = isOrdered ? all.filter((i) => isWind(parts[i]!)) : [];
  const rest = all.filter((i) => !winds.includes(i));
  const families = [...Map.groupBy(rest, (i) => parts[i]!.family).values()];
  const choirs = families.filter((family) => family.length >= CHOIR);
  const others = families.filter((family) => family.length < CHOIR).flat().sort((a, b) => a - b);
  const style: ChordStyle = isOrdered || !voicing ? {} : { spacing: voicing };
  return [
    { own: winds, style: { ordered: true } },
    ...choirs.sort((a, b) => b.length - a.length).map((own) => ({ own, style })),
    { own: others, style },
  ].filter(({ own }) => own.length > 0);
}

/** Lowest note of a chord in one hand below which close tones blur. Model assumption. */
export const LOWEST_IN_HAND = 48;

/** Notes of a hand's chord: its top note and up to two tones of the chord below it, within an octave. */
export function inHand(top: number, part: LayerPart, harmony: Harmony): readonly number[] {
  const pitches = [top];
  const lowest = Math.max(part.range.low, LOWEST_IN_HAND, top - 11);
  for (const p of tonesWithin(harmony.tones, lowest, top).toReversed()) {
    // A second in a close chord would blur it.
    if (pitches.length < 3 && pitches.at(-1)! - p >= 3) pitches.push(p);
  }
  return pitches;
}

/** A chord to be written: its tone for each part, where and how long. */
export interface ChordStroke extends StruckHarmony {
  readonly pitches: readonly number[];
}

/** One note for each part that has a tone, a hand's chord for keys and harp. */
export function chordNotes({ parts, figure }: LayerTask, stroke: ChordStroke): readonly PlainNote[] {
  const isOrnament = figure.trill || figure.tremoloSlashes > 0;
  return parts.flatMap((part, i) => {
    const top = stroke.pitches[i]!;
    if (Number.isNaN(top) || isDropped(i, parts, stroke.pitches)) return [];
    const chord = part.playsChords && !isOrnament ? inHand(top, part, stroke.harmony) : [top];
    return chord.map((pitch) => chordNote(part, stroke, pitch));
  });
}

/** Whether a group of a part has nothing of its own: on a pitch of a group above, or as a double stop that does not lie well. */
function isDropped(i: number, parts: readonly LayerPart[], pitches: readonly number[]): boolean {
  const { index, group = 0, stopsWith } = parts[i]!;
  if (group === 0) return false;
  if (stopsWith?.(pitches[i - 1]!, pitches[i]!) === false) return true;
  return parts.slice(0, i).some((other, k) => other.index === index && pitches[k] === pitches[i]);
}

/** The stretch of a harmony as a stroke, or a part of it. */
export function strokeOf(
  harmony: Harmony,
  chords: ReadonlyMap<Harmony, readonly number[]>,
  { onsetTicks, durationTicks, accent }: Omit<StruckHarmony, "harmony"> = harmony,
): ChordStroke {
  return { harmony, pitches: chords.get(harmony)!, onsetTicks, durationTicks, accent };
}

/**
 * Each part holds its tone as long as it belongs to the harmony, over bar lines and changes of chord alike; what dies away
 * is struck again in every bar.
 */
export const writeHeld: LayerWriter = (task) => tied(task, chordsHeld(task));

/**
 * A trill or tremolo on a tone of the chord, bar by bar, through a change of harmony within the bar where the tone stays; the
 * groups of a divided line begin theirs together with each harmony.
 */
export const writeShaken: LayerWriter = (task) => {
  const byBar = Map.groupBy(chordsHeld(task), (n) => barIndexOf(task.sketch.score, n.onsetTicks));
  return [...byBar.values()].flatMap((notes) => [
    ...tied(task, notes.filter((n) => n.group === undefined)),
    ...notes.filter((n) => n.group !== undefined),
  ]);
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
export const writeAfterBeats: LayerWriter = (task) =>
  onBeats(task, (bar, quarter) => {
    const beat = beatTicks(bar, quarter);
    return { beat, starts: startsEvery(bar, beat).slice(1) };
  });

/** The same on every second beat, the second and the fourth of four; in bars of three beats on all but the first. */
export const writeSecondBeats: LayerWriter = (task) =>
  onBeats(task, (bar, quarter) => {
    const { beat, ofChords } = beatsInTurn(bar, quarter);
    return { beat, starts: ofChords };
  });

/** A chord as long as a beat where some beats of every bar begin. */
function onBeats(
  task: LayerTask,
  beatsOf: (bar: Bar, quarter: Ticks) => { readonly beat: Ticks; readonly starts: readonly Ticks[] },
): readonly PlainNote[] {
  const { bars, ticksPerQuarter } = task.sketch.score;
  const chords = voicings(task);
  return task.harmonies.flatMap((harmony) => {
    const { beat, starts } = beatsOf(bars[harmony.barIndex]!, ticksPerQuarter);
    const end = harmony.onsetTicks + harmony.durationTicks;
    return starts.filter((at) => at >= harmony.onsetTicks && at < end).flatMap((onsetTicks) => {
      const durationTicks = Math.min(beat, end - onsetTicks);
      return chordNotes(task, strokeOf(harmony, chords, { onsetTicks, durationTicks }));
    });
  });
}
