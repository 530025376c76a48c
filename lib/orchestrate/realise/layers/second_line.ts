/** A second line against the tune. */
import { pitchClassOf } from "../../../base/modulo.ts";
import { fullBarTicks, isCompound } from "../../../score/time.ts";
import type { ChordTone } from "../../plan/sketch.ts";
import { tuneOf } from "./lines.ts";
import { scaleFor } from "./scale.ts";
import { strokesAgainst } from "./strokes_against.ts";
import {
  type LayerPart,
  type LayerTask,
  type LayerWriter,
  type PlacedStroke,
  placeStrokes,
  type PlainNote,
  spellIn,
  tonesWithin,
} from "./task.ts";

/** Beats of 6/8, 9/8 and 12/8, where half notes would fall across them. */
const DOTTED_QUARTERS = { cellQuarters: 3 / 2, strokes: [{ at: 0, length: 3 / 2 }] };

/** Halves of a bar of two quarters: one note to a bar would be held. */
const QUARTERS = { cellQuarters: 1, strokes: [{ at: 0, length: 1 }] };

/** Costs of a second line, as semitones of a leap. Common practice, no source. */
const COSTS = {
  /** By the semitones of a move, from staying to an octave: steps are sung, what is struck again is no line. */
  moves: [7, 0, 0, 1.5, 2, 3, 9, 4, 6, 8, 9, 12, 5],
  /** A move the same way as the tune. */
  similar: 2,
  /** On the tune's own note, or into a fifth or octave with it from one. */
  tunesNote: 5,
  parallel: 8,
  /** A note between chord tones, a note held on against the new chord. */
  passing: 0.7,
  suspended: 6,
  /** Each semitone away from where the part lies best. */
  fromHome: 0.2,
  /** Above a lead that lies higher than the part. */
  crossing: 24,
  /** Beside a tune that stands, turning back: a line that swings to and fro is a figure. */
  turn: 2,
} as const;

/** Semitones a part has below a lead that stands for its line to lie there. Model assumption. */
const ROOM_BELOW = 7;

/** A note the line may have on a stroke. */
interface LineTone {
  readonly pitch: number;
  /** Of the chord, between two of its tones, or held on from the chord before. */
  readonly kind: "chord" | "passing" | "suspended";
}

/** A stroke with what sounds against it. */
interface LineStroke extends PlacedStroke {
  /** Whether the harmony begins here. */
  readonly isNew: boolean;
  /** The tune's pitch here, if it has begun. */
  readonly tune: number | undefined;
  readonly scale: readonly ChordTone[];
  readonly tones: readonly LineTone[];
}

/** The best way to a tone of a stroke that comes up to it, comes down to it or stays. */
interface LineWay {
  /** Index of the tone among those of its stroke. */
  readonly tone: number;
  /** 1 from below, -1 from above, 0 from itself or from nowhere. */
  readonly direction: number;
  readonly cost: number;
  /** Index among the ways of the stroke before. */
  readonly from: number;
}

/**
 * A line in half notes, in dotted quarters where the metre counts them, in quarters where a bar has two: of all the ways through chord tones, notes
 * passing between them and notes held on and resolved, the one that goes most by step and against the tune, in one register. A
 * part that lies lower than the lead stays below it; several parts play one line, in octaves where they have to. Beside a tune
 * that stands it moves where that holds, and stays below it wherever the part has room.
 */
export const writeSecondLine: LayerWriter = (task) => {
  const lines: (readonly PlainNote[])[] = [];
  for (const part of task.parts) {
    const shared = lines.map((line) => inOctave(line, part)).find((line) => line !== undefined);
    lines.push(shared ?? lineFor(task, part));
  }
  return lines.flat();
};

/** A line another part has, in an octave in which this one can play all of it. */
function inOctave(
  line: readonly PlainNote[],
  { index, range: { low, high } }: LayerPart,
): readonly PlainNote[] | undefined {
  const octave = [0, -1, 1, -2, 2].find((o) =>
    line.every((n) => n.soundingPitch + 12 * o >= low && n.soundingPitch + 12 * o <= high)
  );
  if (octave === undefined) return undefined;
  return line.map(({ spelling, ...n }) => ({
    ...n,
    part: index,
    soundingPitch: n.soundingPitch + 12 * octave,
    ...(spelling ? { spelling: { ...spelling, octave: spelling.octave + octave } } : {}),
  }));
}

function lineFor(task: LayerTask, part: LayerPart): readonly PlainNote[] {
  const strokes = strokesFor(task, part).filter((s) => s.tones.length > 0);
  const ceilings = strokes.map((s) => task.ceilingsOf(s.harmony)[0] ?? Infinity);
  const { low, high, home = (low + high) / 2 } = part.range;
  const staysBelow = (ceiling: number) => task.isBeside ? low + ROOM_BELOW < ceiling : home < ceiling;
  const costIn = (k: number, { pitch, kind }: LineTone) => {
    const { tune } = strokes[k]!;
    return COSTS.fromHome * Math.abs(pitch - home) +
      (kind === "passing" ? COSTS.passing : kind === "suspended" ? COSTS.suspended : 0) +
      (tune !== undefined && pitchClassOf(pitch - tune) === 0 ? COSTS.tunesNote : 0) +
      (staysBelow(ceilings[k]!) && pitch >= ceilings[k]! ? COSTS.crossing : 0);
  };
  const turning = task.isBeside ? COSTS.turn : 0;
  /** For every tone of every stroke, reached by each kind of move, what the best way to it costs, and from where it comes. */
  const ways: LineWay[][] = [];
  strokes.forEach((stroke, k) => {
    ways.push(stroke.tones.flatMap((tone, t) => {
      const own = costIn(k, tone);
      if (k === 0) {
        return [{ tone: t, direction: 0, cost: tone.kind === "chord" ? own : Infinity, from: -1 }];
      }
      const best = new Map<number, LineWay>();
      ways[k - 1]!.forEach((way, from) => {
        const before = strokes[k - 1]!.tones[way.tone]!;
        const direction = Math.sign(tone.pitch - before.pitch);
        const cost = way.cost + own + moveCost([before, tone], [strokes[k - 1]!, stroke]) +
          (direction * way.direction < 0 ? turning : 0);
        if (cost < (best.get(direction)?.cost ?? Infinity)) {
          best.set(direction, { tone: t, direction, cost, from });
        }
      });
      return [...best.values()];
    }));
  });
  const notes: PlainNote[] = [];
  let held = 0;
  // The last note is one of its chord.
  let at = bestOf(ways.at(-1) ?? [], ({ tone }) => strokes.at(-1)!.tones[tone]!.kind === "chord");
  for (let k = strokes.length - 1; k >= 0 && at >= 0; k--) {
    const { onsetTicks, durationTicks, harmony, scale, tones } = strokes[k]!;
    const { tone, from } = ways[k]![at]!;
    const { pitch: soundingPitch, kind } = tones[tone]!;
    at = from;
    // What is held on against the new chord is one note with what prepares it.
    if (kind === "suspended") {
      held = durationTicks;
      continue;
    }
    notes.unshift({
      part: part.index,
      onsetTicks,
      durationTicks: durationTicks + held,
      soundingPitch,
      ...spellIn([...harmony.tones, ...scale], soundingPitch),
    });
    held = 0;
  }
  return notes;
}

function bestOf(ways: readonly LineWay[], isAllowed: (way: LineWay) => boolean): number {
  return ways.reduce(
    (best, way, i) =>
      isAllowed(way) && way.cost < Infinity && (best < 0 || way.cost < ways[best]!.cost) ? i : best,
    -1,
  );
}

/** The strokes of the layer, with the notes a part may have on each. */
function strokesFor(task: LayerTask, { range: { low, high } }: LayerPart): readonly LineStroke[] {
  const tune = tuneOf(task);
  const { bars, ticksPerQuarter } = task.sketch.score;
  const first = bars[task.fromBarIndex]!;
  const value = isCompound(first)
    ? DOTTED_QUARTERS
    : fullBarTicks(first, ticksPerQuarter) <= 2 * ticksPerQuarter
    ? QUARTERS
    : {};
  const placed = task.isBeside
    ? strokesAgainst(task)
    : placeStrokes({ ...task, figure: { ...task.figure, ...value } });
  return placed.map((stroke): LineStroke => {
    const { harmony, onsetTicks } = stroke;
    const scale = scaleFor(bars[harmony.barIndex]!.keyFifths, harmony);
    const chord = new Set(tonesWithin(harmony.tones, low, high));
    const isNew = onsetTicks === harmony.onsetTicks;
    const between = tonesWithin(scale, low, high).filter((p) => !chord.has(p));
    return {
      ...stroke,
      isNew,
      tune: tune.findLast((n) => n.onsetTicks <= onsetTicks)?.soundingPitch,
      scale,
      tones: [
        ...[...chord].map((pitch): LineTone => ({ pitch, kind: "chord" })),
        ...between.map((pitch): LineTone => ({ pitch, kind: isNew ? "suspended" : "passing" })),
      ],
    };
  });
}

/** What a move costs; endless where a note between chord tones is not reached and left as such notes are. */
function moveCost(
  [before, tone]: readonly [LineTone, LineTone],
  [from, to]: readonly [LineStroke, LineStroke],
): number {
  const move = tone.pitch - before.pitch;
  const size = Math.abs(move);
  // Not continued across a silence.
  const isApart = from.onsetTicks + from.durationTicks < to.onsetTicks;
  if (isApart) return tone.kind === "chord" && before.kind === "chord" ? 0 : Infinity;
  if (before.kind === "suspended" && (tone.kind !== "chord" || move >= 0 || size > 2)) return Infinity;
  if (before.kind === "passing" && (tone.kind !== "chord" || size === 0 || size > 2)) return Infinity;
  if (tone.kind === "passing" && (size === 0 || size > 2)) return Infinity;
  if (tone.kind === "suspended") return size === 0 ? 0 : Infinity;
  const [a, b] = [from.tune, to.tune];
  const isSimilar = a !== undefined && b !== undefined && (b - a) * move > 0;
  const interval = (pitch: number, tune: number) => pitchClassOf(pitch - tune);
  const isParallel = isSimilar && [0, 5, 7].includes(interval(tone.pitch, b)) &&
    interval(tone.pitch, b) === interval(before.pitch, a);
  return COSTS.moves[Math.min(size, COSTS.moves.length - 1)]! + (size > 12 ? size : 0) +
    (isSimilar ? COSTS.similar : 0) + (isParallel ? COSTS.parallel : 0);
}
