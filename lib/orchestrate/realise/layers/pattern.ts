/** Figures whose strokes keep to a pattern of tones, over each chord or, as an ostinato, over all of them. */
import { pitchClassOf } from "../../../base/modulo.ts";
import type { FigureTones } from "../../../texture/figures.ts";
import type { ChordTone, Harmony } from "../../plan/sketch.ts";
import { scaleFor } from "./scale.ts";
import {
  cheapest,
  chordNote,
  type LayerPart,
  type LayerTask,
  type LayerWriter,
  placeStrokes,
  spellIn,
  tonesWithin,
} from "./task.ts";

/** Tones of a chord that a pattern goes through: root, third, fifth, seventh; more would be clusters. */
const PATTERN_TONES = 4;

/** How many tones above the lowest of its cell each stroke lies. */
function stepsOf(tones: FigureTones): readonly number[] {
  return typeof tones !== "string" ? tones : tones === "alternating" ? [0, 1] : [0];
}

/** Index of the lowest tone of a pattern among those of a part: where the pattern lies best, every second part a tone higher. */
function lowestOf(
  { range: { low, high, home = (low + high) / 2 } }: LayerPart,
  pitches: readonly number[],
  { span, which, tones }: { readonly span: number; readonly which: number; readonly tones: FigureTones },
): number {
  if (tones === "lowest") return 0;
  if (tones === "highest") return pitches.length - 1;
  const starts = pitches.slice(0, Math.max(1, pitches.length - span)).map((_, i) => i);
  const middle = (i: number) => (pitches[i]! + pitches[Math.min(pitches.length - 1, i + span)]!) / 2;
  const best = cheapest(starts, (i) => Math.abs(middle(i) - home));
  return Math.min(starts.length - 1, best + which % 2);
}

/** Each stroke of a cell on its tone of the chord, in the part's register. */
export const writePattern: LayerWriter = (task) => {
  const { tones = [0] } = task.figure;
  const steps = stepsOf(tones);
  const span = Math.max(...steps);
  const strokes = placeStrokes(task);
  return task.parts.flatMap((part, which) =>
    strokes.flatMap((stroke) => {
      const chord = stroke.harmony.tones.slice(0, PATTERN_TONES);
      const pitches = tonesWithin(chord, part.range.low, part.range.high);
      if (pitches.length === 0) return [];
      const lowest = lowestOf(part, pitches, { span, which, tones });
      const index = lowest + steps[stroke.inCell % steps.length]!;
      return [chordNote(part, stroke, pitches[Math.min(pitches.length - 1, index)]!)];
    })
  );
};

/** Semitones of an ostinato above its lowest tone: a fifth, and the fifth above that. */
const FIFTH = 7;
const NINTH = 14;

/** The key's scale over a harmony, and the root from which an ostinato is made of its tones. */
interface KeptTones {
  readonly root: number;
  readonly scale: readonly ChordTone[];
}

/** The first root of the layer whose fifth and ninth are of its key; the key's tonic where there is none. */
function keptTonesOf({ harmonies, sketch: { score: { bars } } }: LayerTask): KeptTones | undefined {
  const found = harmonies.map((harmony): KeptTones => ({
    root: harmony.tones[0]!.pitchClass,
    scale: plainScale(bars[harmony.barIndex]!.keyFifths, harmony),
  }));
  const isOf = (scale: readonly ChordTone[], pitch: number) =>
    scale.some((t) => t.pitchClass === pitchClassOf(pitch));
  return found.find(({ root, scale }) => [0, FIFTH, NINTH].every((up) => isOf(scale, root + up))) ??
    found.map(({ scale }) => ({ root: scale[0]!.pitchClass, scale }))[0];
}

/** The scale of a key without what the chord bends. */
function plainScale(keyFifths: number, harmony: Harmony): readonly ChordTone[] {
  return scaleFor(keyFifths, { ...harmony, tones: [] });
}

/** A tone, its fifth and ninth, and back, the same over every chord; an octave lower where the part has no room. */
export const writeOstinato: LayerWriter = (task) => {
  const kept = keptTonesOf(task);
  if (kept === undefined) return [];
  const steps = stepsOf(task.figure.tones ?? [0]);
  const strokes = placeStrokes(task);
  return task.parts.flatMap((part) => {
    const { low, high, home = (low + high) / 2 } = part.range;
    const roots = tonesWithin([{ name: "", pitchClass: kept.root }], low, high);
    if (roots.length === 0) return [];
    const root = cheapest(roots, (p) => Math.abs(p + FIFTH - home) + (p + NINTH > high ? 24 : 0));
    return strokes.map((stroke) => {
      const wish = root + [0, FIFTH, NINTH][steps[stroke.inCell % steps.length]!]!;
      const soundingPitch = wish > high ? wish - 12 : wish;
      return { ...chordNote(part, stroke, soundingPitch), ...spellIn(kept.scale, soundingPitch) };
    });
  });
};
