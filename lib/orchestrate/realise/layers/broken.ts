/** Broken chords and alternations. */
import type { Harmony } from "../../plan/sketch.ts";
import {
  type LayerPart,
  type LayerWriter,
  placeStrokes,
  type PlainNote,
  spellIn,
  tonesWithin,
} from "./task.ts";

/** All chord tones within a part's range, from low to high. */
function ladder({ range }: LayerPart, harmony: Harmony): readonly number[] {
  return tonesWithin(harmony.tones, range.low, range.high);
}

/** Up and down the chord, from near the middle of the range: 0 1 2 3 2 1 0 1 … over at most four tones. */
export const writeBroken: LayerWriter = (task) => {
  const strokes = placeStrokes(task);
  return task.parts.flatMap((part, which) =>
    strokes.flatMap((s): PlainNote[] => {
      const steps = ladder(part, s.harmony);
      if (steps.length === 0) return [];
      const span = Math.min(4, steps.length);
      const base = Math.max(0, Math.floor((steps.length - span) / 2));
      const turn = Math.max(1, 2 * (span - 1));
      // Parts of the same layer start at different tones, so that together they sound the chord.
      const k = (s.inBar + which) % turn;
      const soundingPitch = steps[base + (k < span ? k : turn - k)]!;
      return [{
        part: part.index,
        onsetTicks: s.onsetTicks,
        durationTicks: s.durationTicks,
        soundingPitch,
        ...spellIn(s.harmony.tones, soundingPitch),
      }];
    })
  );
};

/** Two neighbouring chord tones in turn. */
export const writeAlternating: LayerWriter = (task) => {
  const strokes = placeStrokes(task);
  return task.parts.flatMap((part, which) =>
    strokes.flatMap((s): PlainNote[] => {
      const steps = ladder(part, s.harmony);
      if (steps.length === 0) return [];
      const base = Math.min(Math.floor(steps.length / 2) + which % 2, Math.max(0, steps.length - 2));
      const soundingPitch = steps[Math.min(steps.length - 1, base + s.inBar % 2)]!;
      return [{
        part: part.index,
        onsetTicks: s.onsetTicks,
        durationTicks: s.durationTicks,
        soundingPitch,
        ...spellIn(s.harmony.tones, soundingPitch),
      }];
    })
  );
};
