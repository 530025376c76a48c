/** Broken chords and alternations. */
import {
  cheapest,
  chordNote,
  type LayerTask,
  type LayerWriter,
  placeStrokes,
  type PlainNote,
  tonesWithin,
} from "./task.ts";

/** Which of the tones a part plays, from the lowest up, on a stroke of its bar; `middle` is the tone it lies best at. */
type Pattern = (tones: number, inBar: number, middle: number) => number;

/** Chord tones of each part's range, one on each stroke; parts are counted, so that together they sound the chord. */
function writeInTurn(task: LayerTask, patternOf: (part: number) => Pattern): readonly PlainNote[] {
  const strokes = placeStrokes(task);
  return task.parts.flatMap((part, which) => {
    const pattern = patternOf(which);
    return strokes.flatMap((stroke) => {
      const tones = tonesWithin(stroke.harmony.tones, part.range.low, part.range.high);
      if (tones.length === 0) return [];
      const { low, high, home = (low + high) / 2 } = part.range;
      const middle = tones.indexOf(cheapest(tones, (p) => Math.abs(p - home)));
      return [chordNote(part, stroke, tones[pattern(tones.length, stroke.inBar, middle)]!)];
    });
  });
}

/** Up and down the chord, around where the part lies best: 0 1 2 3 2 1 0 1 … over at most four tones. */
export const writeBroken: LayerWriter = (task) =>
  writeInTurn(task, (part) => (tones, inBar, middle) => {
    const span = Math.min(4, tones);
    const base = Math.max(0, Math.min(tones - span, middle - Math.floor(span / 2)));
    const turn = Math.max(1, 2 * (span - 1));
    const k = (inBar + part) % turn;
    return base + (k < span ? k : turn - k);
  });

/** Two neighbouring chord tones in turn. */
export const writeAlternating: LayerWriter = (task) =>
  writeInTurn(task, (part) => (tones, inBar, middle) => {
    const base = Math.min(middle + part % 2, Math.max(0, tones - 2));
    return Math.min(tones - 1, base + inBar % 2);
  });
