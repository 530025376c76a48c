/** The octave in which a part plays the tune where nobody has said which. */
import type { Note } from "../../../score/model.ts";
import type { LayerPart, LayerTask } from "./task.ts";

/** Octaves from the tune that are tried, nearest first. */
export const OCTAVES = [0, 1, -1, 2, -2, 3, -3] as const;

/** Semitones that a lead keeps above the bass: in less the two blur. Common practice, no source. */
const ABOVE_BASS = 3;

/** Share of a line that has to lie above where its pads begin. Model assumption. */
const MOST = 3 / 4;

/**
 * The octave in which most notes of a line can be played at all; of several that in which most are at ease, then most are
 * clear of the bass, then most speak at the layer's loudness, then the pads have room below it, then the one that suits the
 * whole tune, so that a part keeps its octave from passage to passage; then the smallest shift.
 */
export function leadOctave(task: LayerTask, line: readonly Note[], part: LayerPart): number {
  const { range, speaks, plays } = part;
  const share = (notes: readonly Note[], fits: (pitch: number, n: Note) => boolean) => (octave: number) =>
    notes.filter((n) => fits(n.soundingPitch + 12 * octave, n)).length;
  const isAtEase = (pitch: number) => pitch >= range.low && pitch <= range.high;
  const bassUnder = bassAt(task);
  const isClear = (pitch: number, n: Note) => pitch >= bassUnder(n) + ABOVE_BASS;
  const isAbovePads = share(line, (pitch) => pitch >= task.padFloor);
  const ranks = [
    share(line, plays),
    share(line, isAtEase),
    share(line, isClear),
    share(line, speaks),
    (octave: number) => isAbovePads(octave) >= MOST * line.length ? 1 : 0,
    share(task.sketch.tune, isAtEase),
  ];
  return OCTAVES.reduce<number>((best, octave) => {
    const difference = ranks.map((rank) => rank(octave) - rank(best)).find((d) => d !== 0) ?? 0;
    return difference > 0 ? octave : best;
  }, 0);
}

/** The highest pitch of the bass under a note; below all where there is none. */
function bassAt({ harmonies, bassOf }: LayerTask): (n: Note) => number {
  const tops = harmonies.map((h) => ({ ...h, top: Math.max(-Infinity, ...bassOf(h)) }));
  return ({ onsetTicks, durationTicks }) =>
    Math.max(
      -Infinity,
      ...tops.filter((h) =>
        h.onsetTicks < onsetTicks + durationTicks && h.onsetTicks + h.durationTicks > onsetTicks
      ).map((h) => h.top),
    );
}
