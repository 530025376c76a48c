/** Sound as numbers, and what it has to be to be written. */
import type { Kind } from "../../base/arguments.ts";

/** Sound as samples, one list for each channel. */
export interface SampledSound {
  /** Samples a second. */
  readonly sampleRate: number;
  /** One list of samples for each channel, left before right, all of one length; full scale is from -1 to 1. */
  readonly channels: readonly Float32Array[];
}

/** What the samples of a file are. */
export interface SoundFormat {
  readonly sampleRate: number;
  /** One or two. */
  readonly channels: number;
}

/** Takes pieces of sound, one after another, and gives a file. */
export interface SoundEncoder {
  readonly add: (piece: readonly Float32Array[]) => void;
  readonly end: () => Uint8Array<ArrayBuffer>;
}

/** What a sound has to be. */
export const A_SOUND: Kind = {
  noun: "a sound",
  give: "Give what audition(score) gives, or { sampleRate, channels } with a Float32Array for each channel",
  fits: (thing: unknown): boolean => {
    if (typeof thing !== "object" || thing === null) return false;
    const { sampleRate, channels } = thing as { readonly sampleRate?: unknown; readonly channels?: unknown };
    return typeof sampleRate === "number" && sampleRate > 0 && Array.isArray(channels) &&
      (channels.length === 1 || channels.length === 2) &&
      channels.every((one) => one instanceof Float32Array && one.length === channels[0].length);
  },
};
