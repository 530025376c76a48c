/** What a layer's writer is given and gives back. */
import { pitchClassOf } from "../../../base/modulo.ts";
import type { Articulation, Bar, Glissando, PlayingSign, Spelling } from "../../../score/model.ts";
import { seamsOf } from "../../../score/playing_order.ts";
import { spellAs } from "../../../score/spelling.ts";
import { beatsCounted, beatTicks, fullBarTicks, isCompound, shortGroupTicks } from "../../../score/time.ts";
import type { Figure } from "../../../texture/figures.ts";
import type { Ticks } from "../../../base/units.ts";
import type { Voicing } from "../../plan/extra_columns.ts";
import type { TuneSpan } from "../../plan/place_assignments.ts";
import type { ChordTone, Harmony, Sketch } from "../../plan/sketch.ts";

export interface VoiceRange {
  /** Lowest sounding pitch. */
  readonly low: number;
  /** Highest sounding pitch. */
  readonly high: number;
  /** Pitch it lies best at; by default the middle. */
  readonly home?: number;
  /** True where only root and fifth are wanted, as of kettledrums; by default any tone of the chord. */
  readonly rootOrFifth?: boolean;
  /** Lowest pitch where nobody else fills the space above the bass; by default `low`. */
  readonly deep?: number;
}

export interface LayerPart {
  /** Index of the part in the score being written. */
  readonly index: number;
  /** Where the part is placed. */
  readonly range: VoiceRange;
  /** Which of the groups into which the part divides, from the highest, 0; left out where it plays as one. */
  readonly group?: number;
  /** Of the lower note of a double stop: whether the two lie well. */
  readonly stopsWith?: (above: number, own: number) => boolean;
  /** Family: parts of one family are voiced as a chord of their own. */
  readonly family: string;
  /** Kind of instrument, for example `flute`. */
  readonly kind: string;
  /** Lowest sounding pitch at which it is at ease. */
  readonly lowest: number;
  /** Whether one player has a hand for a whole chord: keys and harp. */
  readonly playsChords: boolean;
  /** Whether a note speaks on the instrument at the layer's loudness. */
  readonly speaks: (soundingPitch: number) => boolean;
  /** Whether the instrument has a note at all. */
  readonly plays: (soundingPitch: number) => boolean;
  /** Whether its notes die away once they are struck or plucked. */
  readonly diesAway: boolean;
}

/** What the parts of a bass have where a chord begins, where it ends, and how deep they go. */
export interface BassMoves {
  readonly first: readonly number[];
  readonly last: readonly number[];
  /** The lowest that each has between. */
  readonly lowest: readonly number[];
}

export interface LayerTask {
  /** The sketch, on the grid of the score being written. */
  readonly sketch: Sketch;
  readonly figure: Figure;
  /** The layer's parts, the highest first; a part that divides is there once for each group. */
  readonly parts: readonly LayerPart[];
  /** How its chords are to lie; by default as the library chooses. */
  readonly voicing?: Voicing | undefined;
  readonly fromBarIndex: number;
  readonly toBarIndex: number;
  readonly harmonies: readonly Harmony[];
  /** The stretch of the tune that a lead plays. */
  readonly tune?: TuneSpan;
  /** Octaves from the tune, for lead and counterline; null where the library may choose. */
  readonly octave: number | null;
  /** Pitches to stay below while a harmony lasts, from low to high: the lowest note of each part that leads. */
  readonly ceilingsOf: (harmony: Harmony) => readonly number[];
  /** Pitches that leads have through half a stretch at least and leave it with. */
  readonly ledTo: (fromTicks: Ticks, toTicks: Ticks) => readonly number[];
  /** Pitch from which on a lead leaves the pads in its bars room below it; 0 where there are none. */
  readonly padFloor: number;
  /** Whether it is written beside music that stands: a second line goes against its tune, a bass with its bass. */
  readonly isBeside?: boolean;
  /** Pitches of the bass while a harmony lasts. */
  readonly bassOf: (harmony: Harmony) => readonly number[];
  /** The first and the last pitch of each part of the bass in a stretch, always in the same order. */
  readonly bassMoves: (fromTicks: Ticks, toTicks: Ticks) => BassMoves;
  /** Of inner voices: parts of other layers in the same bars that have their share of them. */
  readonly sharers?: readonly LayerPart[];
  /** Whose turn it is, where the players of the layer hand its figure over. */
  readonly turns?: readonly LayerTurn[];
}

/** Who of a layer has its figure, and until when. */
export interface LayerTurn {
  readonly fromTicks: Ticks;
  readonly toTicks: Ticks;
  /** Indexes of the parts that play. */
  readonly parts: readonly number[];
}

/** A note before dynamics and signs are put on it. */
export interface PlainNote {
  readonly part: number;
  /** Group of a divided part, from the highest, 0. */
  readonly group?: number;
  readonly onsetTicks: Ticks;
  readonly durationTicks: Ticks;
  readonly soundingPitch: number;
  readonly spelling?: Spelling;
  /** Signs the source already had. */
  readonly articulations?: readonly Articulation[];
  /** Whether the source slurs the note to the one before it. */
  readonly slurred?: boolean;
  /** Whether a slur of the source begins on the note. */
  readonly slurStart?: boolean;
  /** Slides and glissandi the source already had. */
  readonly glissandi?: readonly Glissando[];
  /** Further signs on the note. */
  readonly signs?: readonly PlayingSign[];
  /** True on a note of a trilled or rolled layer that is not, such as the turn at the end or the stroke it leads to. */
  readonly untrilled?: true;
  /** True on both of two notes in quick turn. */
  readonly alternates?: true;
}

/** What stands for the chord symbol where parts have no definite pitch. */
export const UNPITCHED = "unpitched";

export type LayerWriter = (task: LayerTask) => readonly PlainNote[];

/** A note of a part on a pitch, spelt as the chord has it where that has it. */
export function chordNote(
  part: LayerPart,
  { onsetTicks, durationTicks, harmony, accent }: StruckHarmony,
  soundingPitch: number,
): PlainNote {
  return {
    part: part.index,
    ...(part.group === undefined ? {} : { group: part.group }),
    onsetTicks,
    durationTicks,
    soundingPitch,
    ...spellIn(harmony.tones, soundingPitch),
    ...(accent ? { articulations: ["accent"] } : {}),
  };
}

/** The spelling of a MIDI pitch that belongs to a chord or scale; an empty record where it does not. */
export function spellIn(tones: readonly ChordTone[], pitch: number): { readonly spelling?: Spelling } {
  const tone = tones.find((t) => t.pitchClass === pitchClassOf(pitch));
  return tone ? { spelling: spellAs(tone.name, pitch) } : {};
}

/**
 * Makes one note of two wherever a part, or a group of it, keeps its pitch without a gap. Parts whose notes die away strike theirs anew, and
 * all do where a repeat ends or an ending begins.
 */
export function tied({ parts, sketch }: LayerTask, notes: readonly PlainNote[]): readonly PlainNote[] {
  const struck = new Set(parts.filter((p) => p.diesAway).map((p) => p.index));
  const seams = seamsOf(sketch.score);
  const joined: PlainNote[] = [];
  const lastOf = new Map<string, number>();
  for (const n of notes) {
    const key = `${n.part} ${n.group ?? 0} ${n.soundingPitch}`;
    const at = lastOf.get(key);
    const held = at === undefined || struck.has(n.part) ? undefined : joined[at]!;
    const goesOn = held !== undefined && held.onsetTicks + held.durationTicks === n.onsetTicks;
    if (goesOn && !seams.has(n.onsetTicks)) {
      joined[at!] = { ...held, durationTicks: held.durationTicks + n.durationTicks };
    } else {
      lastOf.set(key, joined.length);
      joined.push(n);
    }
  }
  return joined;
}

/** The first of some values, which are not none, that costs least. */
export function cheapest<Value>(values: readonly Value[], cost: (value: Value) => number): Value {
  return values.reduce((best, value) => cost(value) < cost(best) ? value : best);
}

/** The pitch in the octave nearest to it that lies in the part's range. */
export function foldInto(part: Pick<LayerPart, "range">, pitch: number): number {
  let folded = pitch;
  while (folded < part.range.low) folded += 12;
  while (folded > part.range.high && folded - 12 >= part.range.low) folded -= 12;
  return folded;
}

/** MIDI pitches of a chord or scale within a range, from low to high. */
export function tonesWithin(tones: readonly ChordTone[], low: number, high: number): readonly number[] {
  const classes = new Set(tones.map((t) => t.pitchClass));
  const list: number[] = [];
  for (let p = Math.ceil(low); p <= high; p++) if (classes.has(pitchClassOf(p))) list.push(p);
  return list;
}

/** Harmonies that begin with their bar. */
export function onDownbeats({ harmonies, sketch: { score: { bars } } }: LayerTask): readonly Harmony[] {
  return harmonies.filter((h) => h.onsetTicks === bars[h.barIndex]!.startTicks);
}

/** A stretch in which a harmony is struck. */
export interface StruckHarmony {
  readonly onsetTicks: Ticks;
  readonly durationTicks: Ticks;
  /** Harmony it falls in. */
  readonly harmony: Harmony;
  /** Whether it bears an accent. */
  readonly accent?: boolean | undefined;
}

export interface PlacedStroke extends StruckHarmony {
  /** Index of the stroke within the bar, from 0. */
  readonly inBar: number;
  /** Index of the stroke within its cell, from 0. */
  readonly inCell: number;
}

/** From where to where the groups of a bar last that is counted in groups of short values; else the whole bar. */
export function groupsIn(bar: Bar, quarter: Ticks): readonly (readonly [from: Ticks, to: Ticks])[] {
  const starts = shortGroupTicks(bar, quarter);
  return starts.map((at, i) =>
    [bar.startTicks + at, bar.startTicks + (starts[i + 1] ?? bar.durationTicks)] as const
  );
}

/** Where the beats of a bar begin, or its groups where it is counted in short values of different number. */
export function beatStarts(bar: Bar, quarter: Ticks): readonly Ticks[] {
  const groups = groupsIn(bar, quarter);
  if (groups.length > 1) return groups.map(([from]) => from);
  const beat = bar.beatUnit >= 8 && !isCompound(bar) ? quarter : beatTicks(bar, quarter);
  return startsEvery(bar, beat);
}

/** Where stretches of one length begin that fill a bar. */
export function startsEvery(bar: Bar, length: Ticks): readonly Ticks[] {
  return Array.from(
    { length: Math.ceil(bar.durationTicks / length) },
    (_, i) => bar.startTicks + i * length,
  );
}

/**
 * The beats of a bar shared out in turn: the bass has one and three, chords two and four; where their number is odd, the bass has
 * the first and chords all others.
 */
export function beatsInTurn(
  bar: Bar,
  quarter: Ticks,
): { readonly beat: Ticks; readonly ofBass: readonly Ticks[]; readonly ofChords: readonly Ticks[] } {
  const beat = fullBarTicks(bar, quarter) / beatsCounted(bar);
  const starts = startsEvery(bar, beat);
  const ofBass = starts.filter((_, i) => starts.length % 2 === 0 ? i % 2 === 0 : i === 0);
  return { beat, ofBass, ofChords: starts.filter((at) => !ofBass.includes(at)) };
}

/** Whether a figure goes up and down a pattern of tones in even notes, as Alberti figures do. */
function isEvenPattern({ tones, strokes }: Figure): boolean {
  return tones !== undefined && typeof tones !== "string" && strokes.length > 2 &&
    strokes.every((s) => s.length === strokes[0]!.length);
}

/**
 * Stretches in which a figure's cell begins anew: the groups of the bar, or the whole bar; for a cell longer than a quarter that is
 * no pulse the harmony; for patterns of tones in 6/8 and the like every beat.
 */
function stretchesFor(
  figure: Figure,
  { bar, harmony, quarter }: { readonly bar: Bar; readonly harmony: Harmony; readonly quarter: Ticks },
): readonly (readonly [from: Ticks, to: Ticks])[] {
  const beat = beatTicks(bar, quarter);
  if (isEvenPattern(figure) && isCompound(bar) && beat % (figure.strokes[0]!.length * quarter) === 0) {
    return beatStarts(bar, quarter).map((from) => [from, from + beat] as const);
  }
  const isAnew = figure.cellQuarters > 1 && figure.role !== "pulse";
  return isAnew ? [[harmony.onsetTicks, harmony.onsetTicks + harmony.durationTicks]] : groupsIn(bar, quarter);
}

/** Strokes left out of a pattern's cell that is cut short by the end of its beat, so that it comes back to where it turns: low, high, middle, high, middle, high. */
function skipped(figure: Figure, quartersLeft: number): number {
  if (!isEvenPattern(figure)) return 0;
  return Math.max(0, figure.strokes.length - Math.round(quartersLeft / figure.strokes[0]!.length));
}

/**
 * Lays a figure's rhythm cell over the bars of a layer. It starts anew at each bar line, in 7/8 and the like with each group, a cell longer than a quarter
 * also with each harmony, unless it repeats a pitch and keeps the beat; strokes end with the bar and with the harmony
 * they began in. Strokes under no harmony are left out.
 */
export function placeStrokes(task: LayerTask): readonly PlacedStroke[] {
  const { score } = task.sketch;
  const quarter = score.ticksPerQuarter;
  const cellTicks = Math.round(task.figure.cellQuarters * quarter);
  const placed: PlacedStroke[] = [];
  for (let b = task.fromBarIndex; b <= task.toBarIndex; b++) {
    const bar = score.bars[b]!;
    let inBar = 0;
    for (const harmony of task.harmonies.filter((h) => h.barIndex === b)) {
      const end = harmony.onsetTicks + harmony.durationTicks;
      for (const [from, to] of stretchesFor(task.figure, { bar, harmony, quarter })) {
        for (let cell = from; cell < Math.min(to, end); cell += cellTicks) {
          const until = Math.min(to, end);
          for (const [inCell, stroke] of task.figure.strokes.entries()) {
            const onsetTicks = cell + Math.round(stroke.at * quarter);
            if (onsetTicks < harmony.onsetTicks || onsetTicks >= until) continue;
            const durationTicks = Math.min(Math.round(stroke.length * quarter), until - onsetTicks);
            placed.push({
              onsetTicks,
              durationTicks,
              harmony,
              accent: stroke.accent,
              inBar: inBar++,
              inCell: inCell + (cell > from ? skipped(task.figure, (to - cell) / quarter) : 0),
            });
          }
        }
      }
    }
  }
  return placed;
}
