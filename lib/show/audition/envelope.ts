/** How strong a stroke is along its way. */
import { soundPowerDb } from "../../instruments/sound/sound_power.ts";
import type { SoundStroke } from "./strokes.ts";
import type { WayOfSounding } from "./ways_of_sounding.ts";

/** Samples from one figure of an envelope to the next. */
export const STEP = 32;

/** The envelope of a stroke. */
interface Envelope {
  /** Amplitude every {@linkcode STEP} samples, from the stroke's start to where it is gone. */
  readonly amplitude: Float32Array;
  /** How far the dynamic is on its way from the softest to the loudest of the stroke, at the same places. */
  readonly loudness: Float32Array | undefined;
}

/** Share of a stroke that may be taken by its rise, so that short ones are heard too. */
const MOST_RISE = 0.3;
/** Seconds in which the bite of an attack is over. */
const BITE_SECONDS = 0.05;
/** Share of a note by which players part it from the next stroke, and the most of it in seconds. */
const PARTED = 0.15, MOST_PARTED_SECONDS = 0.03;
/** Seconds of a slurred change: no tongue, no new bow. */
const SLURRED_SECONDS = 0.03;
/** Flutes, clarinets and brass flutter the tongue about so often a second; common practice, no source. */
const FLUTTER_HZ = 25;

/** How strong a stroke is along its way; its level is set afterwards, by its energy. */
export function envelopeOf(stroke: SoundStroke, way: WayOfSounding, sampleRate: number): Envelope {
  const { decaySeconds, slurred, slurredOn, note } = stroke;
  const seconds = stroke.endSeconds - stroke.startSeconds;
  const rise = Math.min(slurred ? SLURRED_SECONDS : way.riseSeconds, MOST_RISE * seconds);
  const isHeld = decaySeconds === null;
  const parted = isHeld && !slurredOn ? Math.min(MOST_PARTED_SECONDS, PARTED * seconds) : 0;
  const fall = slurredOn ? SLURRED_SECONDS : way.fallSeconds + parted;
  const end = seconds - parted;
  const steps = Math.ceil((end + fall) * sampleRate / STEP) + 1;
  const amplitude = new Float32Array(steps + 1);
  const bite = slurred ? 0 : way.bite;
  for (let k = 0; k < steps; k++) {
    const t = k * STEP / sampleRate;
    // Equal powers: what rises while another falls keeps the sum.
    let level = t < rise ? Math.sin(Math.PI / 2 * t / rise) : 1;
    if (t > end) level *= t < end + fall ? Math.cos(Math.PI / 2 * (t - end) / fall) : 0;
    if (bite > 0) level *= 1 + bite * Math.exp(-t / BITE_SECONDS);
    if (!isHeld) level *= Math.exp(-Math.max(0, t - rise) / (2 * decaySeconds));
    if (note.technique === "flutter") level *= 0.75 + 0.25 * Math.cos(2 * Math.PI * FLUTTER_HZ * t);
    amplitude[k] = level;
  }
  return { amplitude, loudness: swell(stroke, amplitude, { seconds, sampleRate }) };
}

/** Lets an envelope follow the dynamics of its stroke, where they move; gives how far they are on their way. */
export function swell(
  { dynamics, instrument, note: { soundingPitch } }: SoundStroke,
  amplitude: Float32Array,
  { seconds, sampleRate }: { readonly seconds: number; readonly sampleRate: number },
): Float32Array | undefined {
  const low = Math.min(...dynamics), high = Math.max(...dynamics);
  if (high === low) return undefined;
  const db = dynamics.map((dynamic) => soundPowerDb(instrument, dynamic, { soundingPitch }));
  const loudest = Math.max(...db);
  const loudness = new Float32Array(amplitude.length);
  for (let k = 0; k < amplitude.length; k++) {
    const at = k * STEP / sampleRate / seconds * dynamics.length - 0.5;
    const held = Math.min(dynamics.length - 1, Math.max(0, at));
    const below = Math.min(dynamics.length - 2, Math.floor(held)), share = held - below;
    const between = (list: readonly number[]) => list[below]! + share * (list[below + 1]! - list[below]!);
    amplitude[k]! *= 10 ** ((between(db) - loudest) / 20);
    loudness[k] = (between(dynamics) - low) / (high - low);
  }
  return loudness;
}
