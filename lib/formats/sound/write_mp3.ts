/** Sound as an MP3 file. */
import { checkArgument, checkOptions, oneOfNumbers } from "../../base/arguments.ts";
import { joinedBytes } from "../files/joined_bytes.ts";
import { A_SOUND, type SampledSound, type SoundEncoder, type SoundFormat } from "./sampled_sound.ts";

/** Rates at which MP3 can be written, in thousands of bits a second. */
export const MP3_RATES = [32, 40, 48, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320] as const;

/** Options of {@linkcode writeMp3}. */
export interface WriteMp3Options {
  /** Thousands of bits a second. @default {128} */
  readonly kilobits?: 32 | 40 | 48 | 64 | 80 | 96 | 112 | 128 | 160 | 192 | 224 | 256 | 320;
}

/** The encoder makes everything softer by this factor, 0.45 dB; it is taken out, so that levels stay what they are. */
const ENCODER_SCALE = 0.95;
/** Samples that are handed over at once. */
const PIECE = 65_536;

/**
 * By how many samples an MP3 that is decoded is later than what was encoded, at the rate of the file: the delay of the
 * encoder (576) and of every decoder (529). No file says so; players of several files in step begin that much later in each.
 */
export const MP3_DELAY_SAMPLES = 1105;

/** Sample rates that MP3 has. */
const SAMPLE_RATES = [8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000] as const;

/**
 * Sound as an MP3 file, at a constant rate of bits and at the sample rate it has. The encoder is loaded when it is asked for.
 * Decoded, the sound begins 1,105 samples late.
 *
 * @param sound samples of one channel or two, at a sample rate that MP3 has, such as 24000 or 44100
 * @param options rate of bits
 * @returns the file
 * @throws {InputError} when the sound is none, or has a sample rate that MP3 does not have
 *
 * @example
 * ```ts
 * import { writeMp3 } from "ripieno/formats";
 * import { assertEquals } from "@std/assert";
 * const file = await writeMp3({ sampleRate: 24000, channels: [new Float32Array(24000)] }, { kilobits: 48 });
 * assertEquals(file[0], 0xff); // an MP3 frame begins with eleven bits of ones
 * ```
 */
export async function writeMp3(
  sound: SampledSound,
  options: WriteMp3Options = {},
): Promise<Uint8Array<ArrayBuffer>> {
  checkArgument("write the sound", sound, A_SOUND);
  checkOptions("write the sound", options, { kilobits: oneOfNumbers(MP3_RATES) });
  checkOptions("write the sound", { sampleRate: sound.sampleRate }, {
    sampleRate: oneOfNumbers(SAMPLE_RATES),
  });
  const encoder = await mp3Encoder({
    ...options,
    sampleRate: sound.sampleRate,
    channels: sound.channels.length,
  });
  encoder.add(sound.channels);
  return encoder.end();
}

/** Writes an MP3 file from pieces of sound that come one after another. */
export async function mp3Encoder(
  { sampleRate, channels, kilobits = 128, quality }: WriteMp3Options & SoundFormat & {
    /** From 0, the best, to 9: as many bits as it takes, in place of a constant rate. */
    readonly quality?: number;
  },
): Promise<SoundEncoder> {
  const { createMp3Encoder } = await import("wasm-media-encoders");
  const encoder = await createMp3Encoder();
  encoder.configure({
    sampleRate,
    channels: channels === 1 ? 1 : 2,
    ...(quality === undefined ? { bitrate: kilobits } : { vbrQuality: quality }),
    outputSampleRate: sampleRate as (typeof SAMPLE_RATES)[number],
  });
  const pieces: Uint8Array[] = [];
  return {
    add: (piece) => {
      for (let at = 0; at < piece[0]!.length; at += PIECE) {
        // What the encoder gives is its own, and gone with the next call.
        const own = piece.map((one) => one.subarray(at, at + PIECE).map((sample) => sample / ENCODER_SCALE));
        pieces.push(encoder.encode(own).slice());
      }
    },
    end: () => joinedBytes([...pieces, encoder.finalize().slice()]),
  };
}
