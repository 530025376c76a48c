/** One stroke as samples for the left and the right ear. */
import { hzOf } from "../../base/units.ts";
import type { AuditionSettings } from "./audition_options.ts";
import { chance } from "./chance.ts";
import { envelopeOf, STEP } from "./envelope.ts";
import type { Sources } from "./sources.ts";
import type { SoundStroke } from "./strokes.ts";
import { type WayOfSounding, wayOfSounding } from "./ways_of_sounding.ts";

/** What strokes are played with. */
export interface Player {
  readonly sources: Sources;
  readonly sampleRate: number;
  readonly seed: number;
  readonly settings: AuditionSettings;
}

/** Samples of a stroke, in lists that are taken again for the next. */
interface PlayedStroke {
  readonly left: Float32Array;
  readonly right: Float32Array;
  readonly length: number;
}

/** How far to either side the voices of a section sit from its middle. */
const SECTION_WIDTH = 0.2;
/** How often a second pitch sways, and after how many seconds it begins to. Common practice, no source. */
const SWAY_HZ = 5.4, SWAY_FROM_SECONDS = 0.2;

/** Plays strokes, each brought to its energy. What was given is overwritten by the next. */
export function strokePlayer(player: Player): (stroke: SoundStroke, seat: number) => PlayedStroke {
  const { sampleRate } = player;
  let left = new Float32Array(0), right = new Float32Array(0);
  return (stroke, seat) => {
    const way = wayOfSounding(stroke.instrument, stroke.note.technique);
    const envelope = envelopeOf(stroke, way, sampleRate);
    const spread = Math.ceil(player.settings.spreadSeconds * sampleRate);
    const length = envelope.amplitude.length * STEP + spread;
    if (left.length < length) {
      left = new Float32Array(2 * length);
      right = new Float32Array(2 * length);
    }
    left.fill(0, 0, length);
    right.fill(0, 0, length);
    const voices = voicesOf(stroke, seat, player);
    const noise = player.sources.percussion(stroke.instrument, soundAt(stroke));
    for (const voice of voices) {
      if (noise) addNoise({ left, right }, noise, envelope.amplitude, { ...voice, gain: 1 });
      else addTone({ left, right }, { stroke, way, envelope, voice, player });
    }
    if (!noise) addOwnNoise({ left, right }, { stroke, way, amplitude: envelope.amplitude, seat, player });
    bringTo(stroke.energy * sampleRate, left, right, length);
    return { left, right, length };
  };
}

const soundAt = ({ soundingPitch, dynamics, note: { technique } }: SoundStroke, dynamic = dynamics[0]!) => ({
  soundingPitch,
  dynamic,
  technique,
});

/** Where samples are added. */
interface Ears {
  readonly left: Float32Array;
  readonly right: Float32Array;
}

/** One of the players that are heard. */
interface HeardVoice {
  /** Numbers that stand for the stroke and for the player in it. */
  readonly keys: readonly [number, number];
  readonly cents: number;
  readonly delay: number;
  readonly toLeft: number;
  readonly toRight: number;
}

/** How many cents off the pitch each of the players is that are heard. A player's own pitch stays with the player. */
export function centsOf({ players, note }: SoundStroke, { settings, seed }: Player): readonly number[] {
  const count = Math.max(1, Math.min(Math.round(settings.mostVoices), Math.round(players)));
  return Array.from({ length: count }, (_, v) => {
    const own = chance(seed, note.part, v, 1) - 0.5;
    return (count === 1 ? own : (2 * v + 1 + own) / count - 1) * settings.detuneCents;
  });
}

function voicesOf(stroke: SoundStroke, seat: number, player: Player): readonly HeardVoice[] {
  const { settings, sampleRate, seed } = player, { number } = stroke;
  const all = centsOf(stroke, player), count = all.length;
  return all.map((cents, v): HeardVoice => {
    const late = count === 1 ? 0 : (v + chance(seed, number, v, 2)) / count;
    const own = count === 1 ? seat : seat + ((2 * v + 1) / count - 1) * SECTION_WIDTH;
    return {
      keys: [number, v],
      cents,
      delay: Math.round(late * settings.spreadSeconds * sampleRate),
      ...panned(own),
    };
  });
}

/** Equal powers from left to right. */
function panned(seat: number): { readonly toLeft: number; readonly toRight: number } {
  const angle = (Math.min(1, Math.max(-1, seat)) + 1) * Math.PI / 4;
  return { toLeft: Math.cos(angle), toRight: Math.sin(angle) };
}

/** Adds one voice of a pitched sound. */
function addTone(ears: Ears, { stroke, way, envelope, voice, player }: {
  readonly stroke: SoundStroke;
  readonly way: WayOfSounding;
  readonly envelope: ReturnType<typeof envelopeOf>;
  readonly voice: HeardVoice;
  readonly player: Player;
}): void {
  const { sources, seed } = player;
  const { instrument, dynamics } = stroke;
  const low = sources.period(instrument, soundAt(stroke, Math.min(...dynamics)));
  const high = envelope.loudness &&
    sources.period(instrument, soundAt(stroke, Math.max(...dynamics)));
  const size = low.length - 1;
  const increments = incrementsOf(stroke, { way, voice, player, size, steps: envelope.amplitude.length });
  const phase = chance(seed, ...voice.keys, 3) * size;
  if (high === undefined) {
    addPeriod(ears, low, { ...voice, amplitude: envelope.amplitude, increments, phase });
  } else {
    const { loudness, amplitude } = envelope;
    const louder = amplitude.map((a, k) => a * loudness![k]!);
    const softer = amplitude.map((a, k) => a * (1 - loudness![k]!));
    // Both periods have the same phases: the sum is one sound that grows brighter.
    addPeriod(ears, high, { ...voice, amplitude: louder, increments, phase });
    addPeriod(ears, low, { ...voice, amplitude: softer, increments, phase });
  }
}

/** How far a period is read on from sample to sample, one figure for each step: vibrato and slides. */
function incrementsOf(
  { soundingPitch, startSeconds, endSeconds, slide }: SoundStroke,
  { way, voice, player, size, steps }: {
    readonly way: WayOfSounding;
    readonly voice: HeardVoice;
    readonly player: Player;
    readonly size: number;
    readonly steps: number;
  },
): Float64Array {
  const { sampleRate, seed, settings: { vibratoCents } } = player;
  const plain = hzOf(soundingPitch + voice.cents / 100) * size / sampleRate;
  const increments = new Float64Array(steps).fill(plain);
  const seconds = endSeconds - startSeconds;
  const sways = way.sways && vibratoCents > 0 && seconds > SWAY_FROM_SECONDS;
  if (!sways && slide === undefined) return increments;
  const phase = chance(seed, ...voice.keys, 4), hz = SWAY_HZ * (0.95 + 0.1 * chance(seed, ...voice.keys, 5));
  for (let k = 0; k < steps; k++) {
    const t = k * STEP / sampleRate;
    let semitones = 0;
    if (sways && t > SWAY_FROM_SECONDS) {
      const grown = Math.min(1, (t - SWAY_FROM_SECONDS) / SWAY_FROM_SECONDS);
      semitones = grown * vibratoCents / 100 * Math.sin(2 * Math.PI * (phase + hz * t));
    }
    if (slide !== undefined) {
      const way = Math.min(1, t / seconds) * slide.semitones;
      semitones += slide.kind === "slide" ? way : Math.trunc(way);
    }
    increments[k] = plain * 2 ** (semitones / 12);
  }
  return increments;
}

/** Reads a period over and over. The innermost loop of all: it counts. */
function addPeriod(
  { left, right }: Ears,
  period: Float32Array,
  { amplitude, increments, phase: start, delay, toLeft, toRight }:
    & Pick<HeardVoice, "delay" | "toLeft" | "toRight">
    & {
      readonly amplitude: Float32Array;
      readonly increments: Float64Array;
      readonly phase: number;
    },
): void {
  const size = period.length - 1;
  let phase = start;
  let at = delay;
  for (let k = 0; k + 1 < amplitude.length; k++) {
    const increment = increments[k]!;
    let level = amplitude[k]!;
    const change = (amplitude[k + 1]! - level) / STEP;
    for (let i = 0; i < STEP; i++) {
      const index = phase | 0;
      const below = period[index]!;
      const sample = level * (below + (phase - index) * (period[index + 1]! - below));
      left[at]! += sample * toLeft;
      right[at]! += sample * toRight;
      at++;
      level += change;
      phase += increment;
      if (phase >= size) phase -= size;
    }
  }
}

/** Adds noise from a loop, begun somewhere. */
function addNoise(
  { left, right }: Ears,
  loop: Float32Array,
  amplitude: Float32Array,
  { keys, delay, toLeft, toRight, gain }: Omit<HeardVoice, "cents"> & { readonly gain: number },
): void {
  const size = loop.length - 1;
  let from = Math.floor(chance(...keys, 6) * size);
  let at = delay;
  for (let k = 0; k + 1 < amplitude.length; k++) {
    let level = amplitude[k]! * gain;
    const change = (amplitude[k + 1]! * gain - level) / STEP;
    for (let i = 0; i < STEP; i++) {
      const sample = level * loop[from]!;
      left[at]! += sample * toLeft;
      right[at]! += sample * toRight;
      at++;
      level += change;
      if (++from >= size) from = 0;
    }
  }
}

/** Adds what breath, bow or hammer give besides the tone. */
function addOwnNoise(ears: Ears, { stroke, way, amplitude, seat, player }: {
  readonly stroke: SoundStroke;
  readonly way: WayOfSounding;
  readonly amplitude: Float32Array;
  readonly seat: number;
  readonly player: Player;
}): void {
  const { sampleRate, settings: { noiseDb }, sources, seed } = player;
  const onset = stroke.slurred ? 0 : 10 ** ((way.onsetNoiseDb + noiseDb) / 20);
  const held = stroke.decaySeconds === null ? 10 ** ((way.heldNoiseDb + noiseDb) / 20) : 0;
  if (onset === 0 && held === 0) return;
  const steps = held > 0
    ? amplitude.length
    : Math.min(amplitude.length, Math.ceil(8 * way.onsetNoiseSeconds * sampleRate / STEP));
  const own = new Float32Array(steps);
  for (let k = 0; k < steps; k++) {
    const fading = Math.exp(-k * STEP / sampleRate / way.onsetNoiseSeconds);
    own[k] = amplitude[k]! * (held + onset * fading);
  }
  own[steps - 1] = 0;
  const keys = [stroke.number, seed] as const;
  addNoise(ears, sources.beside(way.noise), own, { keys, delay: 0, ...panned(seat), gain: 1 });
}

/** Brings a stroke to its energy, both ears together. */
export function bringTo(energy: number, left: Float32Array, right: Float32Array, length: number): void {
  let own = 0;
  for (let i = 0; i < length; i++) own += left[i]! * left[i]! + right[i]! * right[i]!;
  if (own <= 0) return;
  const gain = Math.sqrt(energy / own);
  for (let i = 0; i < length; i++) {
    left[i]! *= gain;
    right[i]! *= gain;
  }
}
