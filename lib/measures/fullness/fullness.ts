/** How full the sound is beside the lead: chords complete or wanting, holes, doublings, weight low and high, how many play. */
// @ts-types="@types/d3-array"
import { mean } from "d3-array";
import { A_LIST, A_SCORE, A_TEXTURE, checkArgument, checkOptions } from "../../base/arguments.ts";
import { modulo, pitchClassOf } from "../../base/modulo.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import { counted } from "../../base/words.ts";
import type { ChordSymbol, Note, Score } from "../../score/model.ts";
import { beatTicks, clockOf, endOfBar } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { notesInBars } from "../notes_in_bars.ts";
import { playersOfNotes } from "../players_at.ts";
import { chordsOfBars, type ChordSpan, type EssentialTones } from "./chords_of_bars.ts";
import type { Fullness, FullnessBar } from "./fullness_results.ts";

/** Constants of {@linkcode fullness}, with their units and sources. */
export const FULLNESS_CONSTANTS = {
  overBassSemitones: {
    value: 19,
    unit: "semitones",
    above: 0,
    source: "common practice, no source; Rimsky-Korsakov 1922, ch. III, rarely more than 12",
    meaning: "how far the second pitch from below may lie above the bass without a hole",
  },
  apartSemitones: {
    value: 16,
    unit: "semitones",
    above: 0,
    source: "common practice of four-part writing: a tenth",
    meaning: "how far neighbouring pitches may lie apart elsewhere",
  },
  lowBelowPitch: {
    value: 48,
    unit: "MIDI pitch",
    source: "model assumption: C3",
    meaning: "below it players count as low",
  },
  highFromPitch: {
    value: 72,
    unit: "MIDI pitch",
    source: "model assumption: C5",
    meaning: "from it on players count as high",
  },
} as const;

type FullnessSettings = Settings<typeof FULLNESS_CONSTANTS>;

/** Options of {@linkcode fullness}. */
export interface FullnessOptions {
  /** Texture to use instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Chords, where they are known better than by the score's symbols, for example from `readHarmony`. */
  readonly chords?: readonly ChordSymbol[];
  /** Constants that differ from {@linkcode FULLNESS_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof FULLNESS_CONSTANTS>>;
}

const OPTIONS = { texture: A_TEXTURE, chords: A_LIST, constants: undefined };

/**
 * Fullness of a score: how complete and how well spaced the chord is that stands beside the lead, bar by bar.
 *
 * - *Completeness*: of the tones that make a chord (root and third, and the seventh where it has one; a fifth may be left
 *   out) the share that sounds outside the lead, at any place while the chord lasts, so that a broken chord counts like a
 *   held one.
 * - *Spacing*: in each beat the pitches that sound outside the lead, from low to high; a gap wider than a pad may have (a
 *   twelfth over the bass, a tenth elsewhere) makes it the limit over the gap, the widest one counting.
 * - *Fullness* is the one times the other, mean over the beats, and 0 where nothing sounds beside the lead. That is no
 *   fault: a tune may be meant to stand alone.
 *
 * Beside it stand figures that have no good or bad: shares of the players on the third, on the leading note in dominants of
 * the key signature (major or minor), low and high, and how many play. Percussion without pitch counts as players alone.
 *
 * @param score the score; its chord symbols say the chords, and without them the notes do
 * @param options texture, chords, constants
 * @returns whole, per bar, in words
 * @throws {InputError} when a constant is unknown or not a number
 *
 * Sources: limits of gaps as for `voiceLeading`; that chords want their third and may want their fifth is common practice
 * of four-part writing, no source.
 *
 * @example
 * ```ts
 * import { demoPlans, demoSketch, realise, vary } from "ripieno";
 * import { fullness } from "ripieno/measures";
 * import { assert } from "@std/assert";
 * const { held } = demoPlans();
 * const bare = vary(held, { remove: true }, { role: "pad" });
 * const of = (plan: typeof held) => fullness(realise(demoSketch(), plan)).whole.fullness;
 * assert(of(bare) < of(held));
 * ```
 */
export function fullness(score: Score, options: FullnessOptions = {}): Fullness {
  checkArgument("measure fullness", score, A_SCORE);
  checkOptions("measure fullness", options, OPTIONS);
  const settings = applySettings("fullness", FULLNESS_CONSTANTS, options.constants);
  const texture = givenTexture("measure fullness", score, options.texture);
  const notes = notesInBars(score);
  const pitched = notes.map((own) => own.filter((n) => !n.unpitched));
  const chords = chordsOfBars(score, options.chords ?? score.chords, pitched);
  const clock = clockOf(score);
  const parts = score.parts.length;
  const playersOf = playersOfNotes(score);
  const perBar = score.bars.map((bar, b): FullnessBar => {
    const isLead = (n: Note) => texture.cells[b * parts + n.part]!.role === "lead";
    return {
      barIndex: b,
      bar: bar.number,
      onsetSeconds: clock(bar.startTicks),
      ...ofBar({
        beats: beatsOf(score, b),
        all: notes[b]!,
        beside: pitched[b]!.filter((n) => !isLead(n)),
        chords: chords[b]!,
        dominant: dominantOf(bar.keyFifths),
        playersOf,
        settings,
      }),
    };
  });
  const sounding = perBar.filter((_, b) => notes[b]!.length > 0);
  return {
    whole: {
      fullness: mean(sounding, (b) => b.fullness) ?? 0,
      completeness: mean(sounding, (b) => b.completeness ?? undefined) ?? null,
      spacing: mean(sounding, (b) => b.spacing ?? undefined) ?? null,
      players: mean(sounding, (b) => b.players) ?? 0,
    },
    perBar,
    description: inWords(perBar, settings),
    settings,
  };
}

/** A stretch of time. */
interface BeatSpan {
  readonly fromTicks: number;
  readonly toTicks: number;
}

function beatsOf(score: Score, b: number): readonly BeatSpan[] {
  const bar = score.bars[b]!;
  const end = endOfBar(score, b);
  const step = beatTicks(bar, score.ticksPerQuarter);
  const beats: BeatSpan[] = [];
  for (let from = bar.startTicks; from < end; from += step) {
    beats.push({ fromTicks: from, toTicks: Math.min(end, from + step) });
  }
  return beats;
}

const isIn = (note: Note, { fromTicks, toTicks }: BeatSpan) =>
  note.onsetTicks < toTicks && note.onsetTicks + note.durationTicks > fromTicks;

/** Roots of the dominants of a key signature, major and minor, with their leading notes. */
function dominantOf(fifths: number): ReadonlyMap<number, number> {
  const tonic = modulo(7 * fifths, 12);
  return new Map([tonic, modulo(tonic - 3, 12)].map((t) => [modulo(t + 7, 12), modulo(t - 1, 12)]));
}

interface BarInput {
  readonly beats: readonly BeatSpan[];
  /** Everything that sounds. */
  readonly all: readonly Note[];
  /** What has a pitch and does not lead. */
  readonly beside: readonly Note[];
  readonly chords: readonly ChordSpan[];
  readonly dominant: ReadonlyMap<number, number>;
  readonly playersOf: (note: Note) => number;
  readonly settings: FullnessSettings;
}

type BarFigures = Omit<FullnessBar, "barIndex" | "bar" | "onsetSeconds">;

function ofBar(input: BarInput): BarFigures {
  const { beats, all, beside, chords, playersOf, settings } = input;
  const told = chords.map((span) => toldBy(span, input));
  const gaps = beats.map((beat) => gapIn(beside.filter((n) => isIn(n, beat)), settings));
  const values = beats.map((beat, i) => {
    if (!beside.some((n) => isIn(n, beat))) return 0;
    const chord = told.find((_, k) =>
      chords[k]!.fromTicks <= beat.fromTicks && chords[k]!.toTicks > beat.fromTicks
    );
    return (chord?.completeness ?? 1) * gaps[i]!.spacing;
  });
  const widest = gaps.reduce((a, b) => b.semitones > a.semitones ? b : a, NO_GAP);
  const weigh = (isIt: (pitch: number) => boolean) =>
    shareOf(beside, (n) => isIt(n.soundingPitch), playersOf);
  const missing = [...new Set(told.flatMap((t) => t.missing))];
  return {
    fullness: mean(values) ?? 0,
    completeness: beside.length === 0 ? null : mean(told, (t) => t.completeness) ?? null,
    missing: missing.join(", "),
    spacing: beside.length === 0 ? null : mean(gaps, (g) => g.spacing) ?? null,
    widestGap: widest.semitones === 0 ? null : widest.semitones,
    gapFrom: widest.from,
    thirdShare: mean(told, (t) => t.thirdShare ?? undefined) ?? null,
    leadingNoteShare: mean(told, (t) => t.leadingNoteShare ?? undefined) ?? null,
    lowShare: weigh((pitch) => pitch < settings.lowBelowPitch),
    highShare: weigh((pitch) => pitch >= settings.highFromPitch),
    players: mean(beats, (beat) => playersIn(all.filter((n) => isIn(n, beat)), playersOf)) ?? 0,
  };
}

/** Players of the parts that sound; one who plays several notes is one. */
function playersIn(notes: readonly Note[], playersOf: (note: Note) => number): number {
  const most = new Map<number, number>();
  for (const note of notes) most.set(note.part, Math.max(most.get(note.part) ?? 0, playersOf(note)));
  return most.values().reduce((sum, players) => sum + players, 0);
}

/** By players and length; null where nothing is. */
function shareOf(
  notes: readonly Note[],
  isIt: (note: Note) => boolean,
  playersOf: (note: Note) => number,
): number | null {
  let all = 0;
  let those = 0;
  for (const note of notes) {
    const weight = playersOf(note) * note.durationTicks;
    all += weight;
    if (isIt(note)) those += weight;
  }
  return all > 0 ? those / all : null;
}

/** What a chord has and wants outside the lead. */
interface ToldChord {
  readonly completeness: number;
  readonly missing: readonly string[];
  readonly thirdShare: number | null;
  readonly leadingNoteShare: number | null;
}

function toldBy(span: ChordSpan, { beside, dominant, playersOf }: BarInput): ToldChord {
  const { tones } = span;
  const own = beside.filter((n) => isIn(n, span));
  if (tones === undefined || own.length === 0) {
    return { completeness: own.length === 0 ? 0 : 1, missing: [], thirdShare: null, leadingNoteShare: null };
  }
  const sounds = new Set(own.map((n) => pitchClassOf(n.soundingPitch)));
  const wanted = (["root", "third", "seventh"] as const).filter((name) => tones[name] !== undefined);
  const missing = wanted.filter((name) => !sounds.has(tones[name]!));
  const leading = leadingNoteOf(tones, dominant);
  const share = (pitchClass: number) =>
    shareOf(own, (n) => pitchClassOf(n.soundingPitch) === pitchClass, playersOf);
  return {
    completeness: 1 - missing.length / wanted.length,
    missing,
    thirdShare: share(tones.third),
    leadingNoteShare: leading === undefined ? null : share(leading),
  };
}

/** The third of a dominant, where it is the leading note. */
function leadingNoteOf(
  { root, third }: EssentialTones,
  dominant: ReadonlyMap<number, number>,
): number | undefined {
  return dominant.get(root) === third ? third : undefined;
}

interface WidestGap {
  readonly semitones: number;
  readonly from: number | null;
  readonly spacing: number;
}
const NO_GAP: WidestGap = { semitones: 0, from: null, spacing: 1 };

function gapIn(notes: readonly Note[], c: FullnessSettings): WidestGap {
  const pitches = [...new Set(notes.map((n) => n.soundingPitch))].sort((a, b) => a - b);
  return pitches.slice(1).reduce((widest: WidestGap, pitch, i) => {
    const semitones = pitch - pitches[i]!;
    const limit = i === 0 ? c.overBassSemitones : c.apartSemitones;
    return {
      ...(semitones > widest.semitones ? { semitones, from: pitches[i]! } : widest),
      spacing: Math.min(widest.spacing, limit / semitones),
    };
  }, NO_GAP);
}

/** Bars counted in words. */
function inWords(perBar: readonly FullnessBar[], settings: FullnessSettings): readonly string[] {
  const bars = (is: (bar: FullnessBar) => boolean) => perBar.filter(is);
  const told = (rows: readonly FullnessBar[], say: (first: FullnessBar) => string) =>
    rows.length === 0 ? [] : [say(rows[0]!)];
  const empty = bars((b) => b.completeness === null && b.players > 0);
  const wanting = bars((b) => b.missing.includes("third"));
  const open = bars((b) =>
    b.widestGap !== null && b.widestGap > Math.max(settings.overBassSemitones, settings.apartSemitones)
  );
  return [
    ...told(
      empty,
      (b) => `Nothing sounds beside the lead in ${counted(empty.length, "bar")}, first in bar ${b.bar}.`,
    ),
    ...told(
      wanting,
      (b) =>
        `The chord wants its third outside the lead in ${
          counted(wanting.length, "bar")
        }, first in bar ${b.bar}.`,
    ),
    ...told(
      open,
      (b) =>
        `A hole wider than a twelfth stands in ${
          counted(open.length, "bar")
        }, first in bar ${b.bar} (${b.widestGap} semitones).`,
    ),
  ];
}
