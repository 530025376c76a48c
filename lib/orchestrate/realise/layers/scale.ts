/** Runs: scales through the key, bent to the chord, that land on their target on time. */
import { nameAtFifths, pitchClassOfName } from "../../../score/spelling.ts";
import type { ChordTone, Harmony } from "../../plan/sketch.ts";
import {
  cheapest,
  chordNote,
  type LayerPart,
  type LayerWriter,
  placeStrokes,
  type PlainNote,
  spellIn,
  tonesWithin,
} from "./task.ts";

/** Steps of a major scale, from its tonic upwards, as fifths above it. */
const MAJOR_SCALE = [0, 2, 4, -1, 1, 3, 5];

/**
 * The seven notes of the key, each replaced by the chord's tone on the same letter where the chord has one: in D
 * minor over A major, C gives way to C sharp.
 */
export function scaleFor(keyFifths: number, harmony: Harmony): readonly ChordTone[] {
  return MAJOR_SCALE.map((fifths) => {
    const name = nameAtFifths(keyFifths + fifths);
    const bent = harmony.tones.find((t) => t.name[0] === name[0])?.name ?? name;
    return { name: bent, pitchClass: pitchClassOfName(bent) };
  });
}

/** Chord tone nearest to the upper third of the part's range: where a run arrives. */
function targetOf({ range: { low, high } }: LayerPart, harmony: Harmony): number | undefined {
  const wish = low + (high - low) * 0.75;
  const tones = tonesWithin(harmony.tones, low, high);
  return tones.length === 0 ? undefined : cheapest(tones, (p) => Math.abs(p - wish));
}

/**
 * Through the second half of every other bar (the second, fourth, … of the passage) upwards to a chord tone on
 * the next downbeat, even where that is the bar after the layer's last; where another layer has a note for the part
 * there, that note is the landing.
 */
export const writeRunIntoBar: LayerWriter = (task) => {
  const { score } = task.sketch;
  const step = score.ticksPerQuarter / task.figure.strokes.length;
  const notes: PlainNote[] = [];
  for (let b = task.fromBarIndex + 1; b <= task.toBarIndex; b += 2) {
    const bar = score.bars[b]!;
    const count = Math.floor(bar.durationTicks / 2 / step);
    const end = bar.startTicks + bar.durationTicks;
    const here = task.harmonies.findLast((h) => h.barIndex === b);
    const next = score.bars[b + 1];
    // A run needs somewhere to land: none leads out of the end of the piece.
    if (!here || !next || count < 2) continue;
    const target = task.sketch.harmonies.find((h) => h.onsetTicks === end) ?? here;
    const scale = scaleFor(bar.keyFifths, here);
    for (const part of task.parts) {
      const goal = targetOf(part, target);
      if (goal === undefined) continue;
      const below = tonesWithin(scale, part.range.low, goal - 1);
      const climb = below.slice(-count);
      climb.forEach((soundingPitch, i) => {
        const onsetTicks = end - (climb.length - i) * step;
        notes.push({
          part: part.index,
          onsetTicks,
          durationTicks: step,
          soundingPitch,
          ...spellIn(scale, soundingPitch),
        });
      });
      const durationTicks = Math.min(score.ticksPerQuarter, next.durationTicks);
      notes.push(chordNote(part, { onsetTicks: end, durationTicks, harmony: target }, goal));
    }
  }
  return notes;
};

/** An unbroken scale that turns at the ends of the part's range; parts of the layer move together. */
export const writeRunningScale: LayerWriter = (task) => {
  const strokes = placeStrokes(task);
  return task.parts.flatMap((part) => {
    const notes: PlainNote[] = [];
    const middle = (part.range.low + part.range.high) / 2;
    const low = Math.max(part.range.low, middle - 9);
    const high = Math.min(part.range.high, middle + 9);
    let before: number | undefined;
    let up = true;
    for (const s of strokes) {
      const scale = scaleFor(task.sketch.score.bars[s.harmony.barIndex]!.keyFifths, s.harmony);
      const steps = tonesWithin(scale, low, high);
      if (steps.length < 2) continue;
      const from = before;
      const reach = (rising: boolean) =>
        from === undefined
          ? steps[0]
          : rising
          ? steps.find((p) => p > from)
          : steps.findLast((p) => p < from);
      let pitch = reach(up);
      if (pitch === undefined) {
        up = !up;
        pitch = reach(up);
      }
      if (pitch === undefined) continue;
      notes.push({ ...chordNote(part, s, pitch), ...spellIn(scale, pitch) });
      before = pitch;
    }
    return notes;
  });
};
