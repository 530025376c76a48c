/** What can be listened to. */
import type { SampledSound } from "../../formats/sound/sampled_sound.ts";
import type { Role } from "../../texture/roles.ts";
import type { AuditionSettings } from "./audition_options.ts";

/** Where a bar is in a sound. */
export interface SoundBar {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** As printed. */
  readonly bar: string;
  /** Start in seconds from the start of the sound. */
  readonly startSeconds: number;
}

/** One layer, role or part of a sound, alone. */
export interface SoundStem extends SampledSound {
  /** Id of the layer, the role, or the name of the part. */
  readonly name: string;
  /** Role of a layer; null for a part. */
  readonly role: Role | null;
  /** Parts in it, by name. */
  readonly parts: readonly string[];
}

/** A score, or some of it, as sound. */
export interface Audition extends SampledSound {
  /** Length in seconds, the hall's tail included. */
  readonly seconds: number;
  /** The bars in it. */
  readonly bars: readonly SoundBar[];
  /** Its stems, in the order in which they come in; they sum to the whole. */
  readonly stems: readonly SoundStem[];
  /** What was added to the level at the listener, in dB SPL, to have it against full scale. */
  readonly gainDb: number;
  /** True peak of the whole against full scale, in dB. */
  readonly truePeakDb: number;
  /** Name of the SoundFont whose sounds are heard; null for the library's own. */
  readonly soundFont: string | null;
  /** Constants that were used. */
  readonly settings: AuditionSettings;
}
