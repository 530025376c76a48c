/** Lines: the tune itself, a second line against it, and the bass. */
import type { Note } from "../../score/model.ts";
import {
  type LayerPart,
  type LayerTask,
  type LayerWriter,
  placeStrokes,
  type PlainNote,
  spell,
  spellIn,
} from "./task.ts";

/** The tune's notes that begin in the layer's bars. */
function tuneOf(task: LayerTask): readonly Note[] {
  const { bars } = task.sketch.score;
  const start = bars[task.fromBar]!.startTicks;
  const last = bars[task.toBar]!;
  return task.sketch.tune.filter((n) =>
    n.onsetTicks >= start && n.onsetTicks < last.startTicks + last.durationTicks
  );
}

/** Octave in which most of a line lies in a range; the smallest shift wins a tie. */
function bestOctave(line: readonly Note[], part: LayerPart): number {
  const inside = (octave: number) =>
    line.filter((n) =>
      n.soundingPitch + 12 * octave >= part.range.low && n.soundingPitch + 12 * octave <= part.range.high
    )
      .length;
  return [0, 1, -1, 2, -2, 3, -3].reduce((best, o) => inside(o) > inside(best) ? o : best);
}

/** Copies the tune, in the octave asked for or the one that fits the part best. */
export const writeTune: LayerWriter = (task) => {
  const tune = tuneOf(task);
  const last = task.sketch.score.bars[task.toBar]!;
  const end = last.startTicks + last.durationTicks;
  return task.parts.flatMap((part) => {
    const octave = task.octave ?? bestOctave(tune, part);
    return tune.map((n): PlainNote => ({
      part: part.index,
      onsetTicks: n.onsetTicks,
      durationTicks: Math.min(n.durationTicks, end - n.onsetTicks),
      soundingPitch: n.soundingPitch + 12 * octave,
      ...(n.spelling ? { spelling: { ...n.spelling, octave: n.spelling.octave + octave } } : {}),
      articulations: n.articulations,
    }));
  });
};

/** Chord tones in half notes that go the other way when the tune moves, and avoid the tune's own note. */
export const writeSecondLine: LayerWriter = (task) => {
  const tune = tuneOf(task);
  const strokes = placeStrokes(task);
  const tuneAt = (ticks: number) => tune.findLast((n) => n.onsetTicks <= ticks)?.soundingPitch;
  return task.parts.flatMap((part) => {
    const notes: PlainNote[] = [];
    let before = (part.range.low + part.range.high) / 2;
    let tuneBefore: number | undefined;
    for (const s of strokes) {
      const tune = tuneAt(s.onsetTicks);
      const wish = tune !== undefined && tuneBefore !== undefined
        ? before - Math.sign(tune - tuneBefore) * 3
        : before;
      const classes = s.harmony.tones.map((t) => t.pitchClass);
      let best: number | undefined;
      for (let p = Math.ceil(part.range.low); p <= part.range.high; p++) {
        if (!classes.includes(((p % 12) + 12) % 12)) continue;
        if (tune !== undefined && ((p - tune) % 12 + 12) % 12 === 0) continue;
        const cost = (q: number) => Math.abs(q - wish) + (q === before ? 1.5 : 0);
        if (best === undefined || cost(p) < cost(best)) best = p;
      }
      if (best === undefined) continue;
      notes.push({
        part: part.index,
        onsetTicks: s.onsetTicks,
        durationTicks: s.durationTicks,
        soundingPitch: best,
        ...spellIn(s.harmony.tones, best),
      });
      before = best;
      tuneBefore = tune;
    }
    return notes;
  });
};

/** The bass of each chord in the part's low register, nearest to where the line was. */
export const writeBass: LayerWriter = (task) => {
  const strokes = task.figure.cellQuarters === 0
    ? task.harmonies.map((h) => ({ onsetTicks: h.onsetTicks, durationTicks: h.durationTicks, harmony: h }))
    : placeStrokes(task);
  return task.parts.flatMap((part) => {
    const notes: PlainNote[] = [];
    // An octave above the lowest note, where a part that can go lower doubles the double basses an octave up.
    let before = part.range.low + 12;
    for (const s of strokes) {
      let best: number | undefined;
      for (let p = Math.ceil(part.range.low); p <= Math.min(part.range.high, part.range.low + 16); p++) {
        if (((p % 12) + 12) % 12 !== s.harmony.bass.pitchClass) continue;
        if (best === undefined || Math.abs(p - before) < Math.abs(best - before)) best = p;
      }
      if (best === undefined) continue;
      notes.push({
        part: part.index,
        onsetTicks: s.onsetTicks,
        durationTicks: s.durationTicks,
        soundingPitch: best,
        spelling: spell(s.harmony.bass.name, best),
      });
      before = best;
    }
    return notes;
  });
};
