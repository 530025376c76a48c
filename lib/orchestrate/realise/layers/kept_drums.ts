/** Drums that are tuned once for a layer. */
import { pitchClassOf } from "../../../base/modulo.ts";
import type { SoundingPitch } from "../../../base/units.ts";
import { timpaniDrums, timpaniTuning } from "../../../instruments/special/timpani.ts";
import type { ChordTone } from "../../plan/sketch.ts";
import { cheapest, type LayerPart, tonesWithin } from "./task.ts";

/** The tones of a chord that drums are tuned to: root and fifth. */
export function rootAndFifth(tones: readonly ChordTone[]): readonly ChordTone[] {
  return tones.filter((_, tone) => tone === 0 || tone === 2);
}

/**
 * The pitches a set of kettledrums is tuned to for some chords: one at a time the root or fifth that most chords have which
 * have none yet, the root rather than the fifth, as near as can be to where the drums lie best, as long as there are drums that have them all together.
 */
export function keptDrums(
  { range: { low, high, home = (low + high) / 2 } }: Pick<LayerPart, "range">,
  chords: readonly (readonly ChordTone[])[],
): ReadonlySet<SoundingPitch> {
  const all = chords.map((tones) => tonesWithin(rootAndFifth(tones), low, high));
  const pitches = [...new Set(all.flat())];
  const roots = chords.map((tones) => tones[0]?.pitchClass);
  const kept: SoundingPitch[] = [];
  for (let drum = 0; drum < timpaniDrums().length; drum++) {
    const open = all.filter((own) => !own.some((p) => kept.includes(p)));
    const serves = (p: SoundingPitch) => open.filter((own) => own.includes(p)).length;
    const asRoot = (p: SoundingPitch) => roots.filter((root) => root === pitchClassOf(p)).length;
    const useful = pitches.filter((p) => serves(p) > 0 && timpaniTuning([...kept, p]).possible);
    if (useful.length === 0) break;
    kept.push(
      cheapest(useful, (p) => Math.abs(p - home) / 100 - serves(p) - asRoot(p) / (2 * chords.length)),
    );
  }
  return new Set(kept);
}
