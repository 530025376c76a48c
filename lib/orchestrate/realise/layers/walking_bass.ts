/** A walking bass: from the bass of each chord over its tones to the next, which is approached by step. */
import { pitchClassOf } from "../../../base/modulo.ts";
import type { ChordTone } from "../../plan/sketch.ts";
import { doubledBass } from "./lines.ts";
import { scaleFor } from "./scale.ts";
import {
  beatStarts,
  cheapest,
  type LayerPart,
  type LayerTask,
  type LayerWriter,
  spellIn,
  type StruckHarmony,
  tonesWithin,
} from "./task.ts";

/** Semitones a walking bass has from the lowest note of the part: common practice, no source. */
const COMPASS = 19;

/** Semitones it is left where another bass stands, below which it goes where it can: an octave. */
const LEAST_COMPASS = 12;

/** A pitch of the line with the tones it is spelt by. */
interface BassStep {
  readonly pitch: number;
  readonly tones: readonly ChordTone[];
}

/** The walking line in the lowest part's low register; the others double it. */
export const writeWalkingBass: LayerWriter = (task) => {
  if (task.parts.length === 0) return [];
  const strokes = strokesOnBeats(task);
  const lowest = task.parts.reduce((a, b) => b.range.low < a.range.low ? b : a);
  const line = walkingLine(task, strokes, lowest);
  return doubledBass(task, strokes, {
    line: line.map((step) => step.pitch),
    spellingOf: (i, pitch) => spellIn(line[i]!.tones, pitch).spelling,
  });
};

/** A stroke where each harmony begins and on every beat of it. */
function strokesOnBeats({ harmonies, sketch: { score: { bars, ticksPerQuarter } } }: LayerTask) {
  return harmonies.flatMap((harmony): readonly StruckHarmony[] => {
    const { onsetTicks, durationTicks } = harmony;
    const end = onsetTicks + durationTicks;
    const beats = beatStarts(bars[harmony.barIndex]!, ticksPerQuarter).filter((at) =>
      at > onsetTicks && at < end
    );
    return [onsetTicks, ...beats].map((at, i) => ({
      onsetTicks: at,
      durationTicks: (beats[i] ?? end) - at,
      harmony,
    }));
  });
}

/** Costs of a walking line, in semitones of a move. Common practice, no source. */
const COSTS = {
  /** Moves by their semitones: what is struck again does not walk, tritones and sevenths are awkward, octaves usual. */
  moves: [20, 1, 1, 2, 3, 4, 9, 6, 11, 11, 16, 18, 7],
  /** Turning back: a line goes on through a chord as far as it can. */
  turn: 2,
  /** The chord's third or seventh as a step to the next bass: they lead on in the voices above, and would go along with it. */
  goesAlong: 14,
  /** Each semitone away from the middle of its compass. */
  fromMiddle: 0.1,
} as const;

/** The best way to a pitch of a stroke that comes up to it or down. */
interface BassWay extends BassStep {
  readonly direction: number;
  readonly cost: number;
  readonly from: BassWay | undefined;
}

/** One pitch for each stroke: of all lines from the bass of each chord through its tones to a step beside the next the one that walks best. */
function walkingLine(
  task: LayerTask,
  strokes: readonly StruckHarmony[],
  { range: { low, high } }: LayerPart,
): readonly BassStep[] {
  let ways: readonly BassWay[] = [];
  strokes.forEach(({ harmony }, i) => {
    const top = Math.max(low + LEAST_COMPASS, Math.min(high, low + COMPASS, ...task.bassOf(harmony)));
    const isFirst = strokes[i - 1]?.harmony !== harmony;
    const next = strokes[i + 1]?.harmony;
    const [bass, chord] = [[harmony.bass], harmony.tones].map((tones) => tonesWithin(tones, low, top));
    const scale = scaleFor(task.sketch.score.bars[harmony.barIndex]!.keyFifths, harmony);
    const beside = isFirst || next === undefined || next === harmony
      ? []
      : stepsBeside(tonesWithin(scale, low, top), tonesWithin([next.bass], low, top));
    const leading = harmony.tones.filter((_, tone) => tone === 1 || tone === 3).map((t) => t.pitchClass);
    const goesAlong = (pitch: number) => beside.length > 0 && leading.includes(pitchClassOf(pitch));
    const pitches = isFirst ? bass! : beside.length > 0 ? beside : chord!;
    const tones = isFirst ? [harmony.bass] : beside.length > 0 ? scale : harmony.tones;
    ways = pitches.flatMap((pitch) => {
      const own = COSTS.fromMiddle * Math.abs(pitch - (low + top) / 2) +
        (goesAlong(pitch) ? COSTS.goesAlong : 0);
      return waysTo({ pitch, tones }, own, ways);
    });
  });
  const line: BassStep[] = [];
  let way = ways.length === 0 ? undefined : cheapest(ways, ({ cost }) => cost);
  for (; way !== undefined; way = way.from) line.unshift(way);
  return line;
}

/** The best ways to a step from those before it, upwards and downwards. */
function waysTo(step: BassStep, own: number, ways: readonly BassWay[]): readonly BassWay[] {
  if (ways.length === 0) return [{ ...step, direction: 1, cost: own, from: undefined }];
  const reached = ways.map((from): BassWay => {
    const move = step.pitch - from.pitch;
    const size = Math.abs(move);
    const direction = Math.sign(move) || from.direction;
    const moving = COSTS.moves[size] ?? size + COSTS.moves.at(-1)!;
    const turning = direction === from.direction ? 0 : COSTS.turn;
    return { ...step, direction, cost: from.cost + own + moving + turning, from };
  });
  return [1, -1].map((direction) => reached.filter((way) => way.direction === direction))
    .filter((some) => some.length > 0).map((some) => cheapest(some, ({ cost }) => cost));
}

/** Steps of a scale beside some pitches. */
function stepsBeside(scale: readonly number[], targets: readonly number[]): readonly number[] {
  return scale.filter((p) => targets.some((target) => [1, 2].includes(Math.abs(p - target))));
}
