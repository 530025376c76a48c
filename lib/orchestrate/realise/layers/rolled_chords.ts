/** Chords of both hands under an arpeggio sign. */
import type { Harmony } from "../../plan/sketch.ts";
import { inHand, LOWEST_IN_HAND, strokeOf, voicings, writeHeld } from "./chords.ts";
import { chordNote, type LayerPart, type LayerWriter, type PlainNote, tonesWithin } from "./task.ts";

/** Semitones below the top note of one hand from which the other plays, and how far it reaches. Common practice, no source. */
const OTHER_HAND = { below: 12, reach: 12 } as const;

/** Each harmony as a rolled chord, bar by bar; a part that has no hand for chords holds its tone as in any chord. */
export const writeRolled: LayerWriter = (task) => {
  const chords = voicings(task);
  const isRolled = (index: number) => task.parts.find((p) => p.index === index)!.playsChords;
  const held = writeHeld(task).filter((n) => !isRolled(n.part));
  const rolled = task.harmonies.flatMap((harmony) => {
    const stroke = strokeOf(harmony, chords);
    return task.parts.flatMap((part, i): readonly PlainNote[] => {
      const top = stroke.pitches[i]!;
      if (Number.isNaN(top) || !part.playsChords) return [];
      const low = inHands(top, part, harmony);
      const isThin = low.length < FEWEST && top + 12 <= part.range.high;
      const chord = isThin ? inHands(top + 12, part, harmony) : low;
      return chord.map((pitch) => ({ ...chordNote(part, stroke, pitch), signs: ["arpeggiate"] }));
    });
  });
  return [...held, ...rolled];
};

/** Notes of a chord worth rolling: with fewer it lies an octave higher, where it can. */
const FEWEST = 3;

/** The chord of both hands below its top note. */
function inHands(top: number, part: LayerPart, harmony: Harmony): readonly number[] {
  return [...inHand(top, part, harmony), ...inOtherHand(top, part, harmony)];
}

/** What the other hand adds below: the root, with the fifth above it where that does not blur. */
function inOtherHand(top: number, { lowest }: LayerPart, { tones }: Harmony): readonly number[] {
  const highest = top - OTHER_HAND.below;
  const root = tonesWithin(tones.slice(0, 1), lowest, highest).at(-1);
  if (root === undefined || root < LOWEST_IN_HAND) return root === undefined ? [] : [root];
  const above = tonesWithin(tones.slice(2, 3), root + 1, Math.min(highest, root + OTHER_HAND.reach)).at(-1);
  return above === undefined ? [root] : [root, above];
}
