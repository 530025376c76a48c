/** Sound as a WAV file. */
import { checkArgument, checkOptions, oneOfNumbers } from "../../base/arguments.ts";
import { joinedBytes } from "../files/joined_bytes.ts";
import { A_SOUND, type SampledSound, type SoundEncoder, type SoundFormat } from "./sampled_sound.ts";

/** Options of {@linkcode writeWav}. */
export interface WriteWavOptions {
  /** Bits of a sample: 16 or 24 as whole numbers, 32 as floating point. @default {16} */
  readonly bits?: 16 | 24 | 32;
}

const HEADER_BYTES = 44;
const WHOLE_NUMBERS = 1, FLOATING_POINT = 3;

/**
 * Sound as a WAV file that any player opens: 16 or 24 bits as whole numbers, rounded, or 32 bits as floating point, which
 * keeps every sample as it is. What goes beyond full scale is held there, except in floating point.
 *
 * @param sound samples of one channel or two
 * @param options bits of a sample
 * @returns the file
 * @throws {InputError} when the sound is none, or the bits are not 16, 24 or 32
 *
 * Source: Multimedia Programming Interface and Data Specifications 1.0 (IBM and Microsoft 1991), ch. 3, "WAVE": chunks
 * `RIFF`, `fmt ` and `data`, little-endian.
 *
 * @example
 * ```ts
 * import { writeWav } from "ripieno/formats";
 * import { assertEquals } from "@std/assert";
 * const file = writeWav({ sampleRate: 8000, channels: [new Float32Array(80)] });
 * assertEquals(file.length, 44 + 160);
 * ```
 */
export function writeWav(sound: SampledSound, options: WriteWavOptions = {}): Uint8Array<ArrayBuffer> {
  checkArgument("write the sound", sound, A_SOUND);
  checkOptions("write the sound", options, { bits: oneOfNumbers([16, 24, 32]) });
  const encoder = wavEncoder({ ...options, sampleRate: sound.sampleRate, channels: sound.channels.length });
  encoder.add(sound.channels);
  return encoder.end();
}

/** Writes a WAV file from pieces of sound that come one after another. */
export function wavEncoder(
  { sampleRate, channels, bits = 16 }: WriteWavOptions & SoundFormat,
): SoundEncoder {
  const pieces: Uint8Array[] = [];
  return {
    add: (piece) => pieces.push(samplesOf(piece, bits)),
    end: () => {
      const bytes = pieces.reduce((sum, piece) => sum + piece.length, 0);
      return joinedBytes([headerOf({ sampleRate, channels, bits }, bytes), ...pieces]);
    },
  };
}

function headerOf(
  { sampleRate, channels, bits }: Required<WriteWavOptions> & SoundFormat,
  bytes: number,
): Uint8Array {
  const header = new Uint8Array(HEADER_BYTES);
  const view = new DataView(header.buffer);
  const word = (at: number, text: string) => header.set(new TextEncoder().encode(text), at);
  const frameBytes = channels * bits / 8;
  word(0, "RIFF");
  view.setUint32(4, HEADER_BYTES - 8 + bytes, true);
  word(8, "WAVEfmt ");
  view.setUint32(16, 16, true);
  view.setUint16(20, bits === 32 ? FLOATING_POINT : WHOLE_NUMBERS, true);
  view.setUint16(22, channels, true);
  view.setUint32(24, sampleRate, true);
  view.setUint32(28, sampleRate * frameBytes, true);
  view.setUint16(32, frameBytes, true);
  view.setUint16(34, bits, true);
  word(36, "data");
  view.setUint32(40, bytes, true);
  return header;
}

function samplesOf(channels: readonly Float32Array[], bits: 16 | 24 | 32): Uint8Array {
  const frames = channels[0]!.length;
  const bytes = new Uint8Array(frames * channels.length * bits / 8);
  const put = writerOf(new DataView(bytes.buffer), bits);
  let at = 0;
  for (let i = 0; i < frames; i++) {
    for (const channel of channels) {
      put(at, channel[i]!);
      at += bits / 8;
    }
  }
  return bytes;
}

/** Writes one sample at a place. */
function writerOf(view: DataView, bits: 16 | 24 | 32): (at: number, sample: number) => void {
  if (bits === 32) return (at, sample) => view.setFloat32(at, sample, true);
  const most = 2 ** (bits - 1) - 1;
  const whole = (sample: number) => Math.round(Math.min(1, Math.max(-1, sample)) * most);
  if (bits === 16) return (at, sample) => view.setInt16(at, whole(sample), true);
  return (at, sample) => {
    const value = whole(sample);
    view.setUint16(at, value & 0xffff, true);
    view.setInt8(at + 2, value >> 16);
  };
}
