/** Broken chords and alternations. */
import {
  chordNote,
  type LayerTask,
  type LayerWriter,
  placeStrokes,
  type PlainNote,
  tonesWithin,
} from "./task.ts";

/** Which of the tones a part plays, from the lowest up, on a stroke of its bar. */
type Pattern = (tones: number, inBar: number) => number;

/** Chord tones of each part's range, one on each stroke; parts are counted, so that together they sound the chord. */
function writeInTurn(task: LayerTask, patternOf: (part: number) => Pattern): readonly PlainNote[] {
  const strokes = placeStrokes(task);
  return task.parts.flatMap((part, which) => {
    const pattern = patternOf(which);
    return strokes.flatMap((stroke) => {
      const tones = tonesWithin(stroke.harmony.tones, part.range.low, part.range.high);
      if (tones.length === 0) return [];
      return [chordNote(part, stroke, tones[pattern(tones.length, stroke.inBar)]!)];
    });
  });
}

/** Up and down the chord, from near the middle of the range: 0 1 2 3 2 1 0 1 … over at most four tones. */
export const writeBroken: LayerWriter = (task) =>
  writeInTurn(task, (part) => (tones, inBar) => {
    const span = Math.min(4, tones);
    const base = Math.max(0, Math.floor((tones - span) / 2));
    const turn = Math.max(1, 2 * (span - 1));
    const k = (inBar + part) % turn;
    return base + (k < span ? k : turn - k);
  });

/** Two neighbouring chord tones in turn. */
export const writeAlternating: LayerWriter = (task) =>
  writeInTurn(task, (part) => (tones, inBar) => {
    const base = Math.min(Math.floor(tones / 2) + part % 2, Math.max(0, tones - 2));
    return Math.min(tones - 1, base + inBar % 2);
  });
