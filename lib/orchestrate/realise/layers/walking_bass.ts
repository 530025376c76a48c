/** A walking bass: from the bass of each chord over its tones to the next, which is approached by step. */
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

/** One pitch for each stroke. */
function walkingLine(
  task: LayerTask,
  strokes: readonly StruckHarmony[],
  { range }: LayerPart,
): readonly BassStep[] {
  const low = range.low;
  const line: BassStep[] = [];
  let [before, up] = [low + 7, true];
  strokes.forEach(({ harmony }, i) => {
    const high = Math.max(low + LEAST_COMPASS, Math.min(range.high, low + COMPASS, ...task.bassOf(harmony)));
    const next = strokes[i + 1]?.harmony;
    const isFirst = strokes[i - 1]?.harmony !== harmony;
    const bass = tonesWithin([harmony.bass], low, high);
    const scale = scaleFor(task.sketch.score.bars[harmony.barIndex]!.keyFifths, harmony);
    const step = (): BassStep => {
      if (isFirst) return { pitch: nearest(bass, before), tones: [harmony.bass] };
      if (next !== undefined && next !== harmony) {
        const pitch = approach(before, tonesWithin(scale, low, high), {
          targets: tonesWithin([next.bass], low, high),
          leading: tonesWithin(harmony.tones.filter((_, tone) => tone === 1 || tone === 3), low, high),
        });
        if (pitch !== undefined) return { pitch, tones: scale };
      }
      const tones = tonesWithin(harmony.tones, low, high).filter((p) => p !== before);
      if (tones.every((p) => up ? p < before : p > before)) up = !up;
      const ahead = tones.filter((p) => up ? p > before : p < before);
      return { pitch: nearest(ahead.length > 0 ? ahead : bass, before), tones: harmony.tones };
    };
    const found = step();
    line.push(found);
    before = found.pitch;
  });
  return line;
}

const nearest = (pitches: readonly number[], to: number) => cheapest(pitches, (p) => Math.abs(p - to));

/** Semitones that a step may lie further off rather than go along with a voice above. Common practice, no source. */
const OUT_OF_THE_WAY = 6;

/**
 * The step of the scale beside the next bass, in whichever octave, that lies nearest to where the line is, and is not where
 * it is; rather not the chord's third or seventh, which lead on in the voices above.
 */
function approach(
  before: number,
  scale: readonly number[],
  { targets, leading }: { readonly targets: readonly number[]; readonly leading: readonly number[] },
): number | undefined {
  const steps = scale.filter((p) =>
    p !== before && targets.some((target) => Math.abs(p - target) >= 1 && Math.abs(p - target) <= 2)
  );
  if (steps.length === 0) return undefined;
  return cheapest(steps, (p) => Math.abs(p - before) + (leading.includes(p) ? OUT_OF_THE_WAY : 0));
}
