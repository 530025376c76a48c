/** Strokes as a SoundFont plays them, each brought to the energy that the balance gives it. */
import type { SoundFont } from "../../formats/sound/read_sound_font.ts";
import { velocityOf } from "../../formats/midi/midi_dynamics.ts";
import { programFor } from "../../formats/midi/midi_programs.ts";
import { chance } from "./chance.ts";
import { STEP, swell } from "./envelope.ts";
import { bringTo, type Player, strokePlayer } from "./play_stroke.ts";
import type { SoundStroke } from "./strokes.ts";

/** Seconds that a note of a bank may ring on; what is longer is a hall, and there is one already. */
const MOST_RING_SECONDS = 0.8;
/** Energy under which a bank has no sound for a note, per sample: 120 dB under full scale. */
const NO_SOUND = 1e-12;

/** Plays strokes by a SoundFont; those it has no sound for by the library's own. What was given is overwritten by the next. */
export function soundFontPlayer(
  player: Player,
  { soundFont, lastSeconds }: {
    readonly soundFont: SoundFont;
    /** Where the sound ends: nothing rings beyond. */
    readonly lastSeconds: number;
  },
): ReturnType<typeof strokePlayer> {
  const { sampleRate, seed, settings } = player;
  const own = strokePlayer(player), play = soundFont.player(sampleRate);
  return (stroke, seat) => {
    const { instrument, note, soundingPitch, startSeconds, endSeconds, dynamics, slide, number } = stroke;
    const cents = (2 * chance(seed, note.part, 1) - 1) * settings.detuneCents;
    const { left, right, length } = play({
      program: note.unpitched || instrument.unpitched ? "kit" : programFor(instrument, note.technique),
      // Parts in unison may have one sample: in step to the last of them, they would be heard as one that is too loud.
      pitch: soundingPitch + cents / 100,
      lateSeconds: chance(seed, number, 2) * settings.spreadSeconds,
      velocity: velocityOf(Math.max(...dynamics)),
      seconds: endSeconds - startSeconds,
      ringSeconds: Math.max(
        0,
        Math.min(MOST_RING_SECONDS, lastSeconds - endSeconds - settings.spreadSeconds),
      ),
      seat,
      slideSemitones: slide?.semitones,
    });
    let energy = 0;
    for (let i = 0; i < length; i++) energy += left[i]! ** 2 + right[i]! ** 2;
    if (energy < NO_SOUND * length) return own(stroke, seat);
    follow(stroke, [left, right], { length, sampleRate });
    bringTo(stroke.energy * sampleRate, left, right, length);
    return { left, right, length };
  };
}

/** Lets a note follow the dynamics of its stroke. */
function follow(
  stroke: SoundStroke,
  channels: readonly Float32Array[],
  { length, sampleRate }: { readonly length: number; readonly sampleRate: number },
): void {
  const level = new Float32Array(Math.ceil(length / STEP) + 2).fill(1);
  const seconds = stroke.endSeconds - stroke.startSeconds;
  if (swell(stroke, level, { seconds, sampleRate }) === undefined) return;
  for (let i = 0; i < length; i++) {
    const k = Math.floor(i / STEP), share = i / STEP - k;
    const gain = level[k]! + share * (level[k + 1]! - level[k]!);
    for (const channel of channels) channel[i]! *= gain;
  }
}
