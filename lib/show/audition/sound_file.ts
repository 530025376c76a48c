/** A score as a sound file, rendered piece by piece. */
import { A_RECORD, A_SCORE, checkArgument, checkOptions, oneOf, oneOfNumbers } from "../../base/arguments.ts";
import { MP3_RATES, mp3Encoder, type WriteMp3Options } from "../../formats/sound/write_mp3.ts";
import { wavEncoder } from "../../formats/sound/write_wav.ts";
import { dbOfPower } from "../../hearing/decibels.ts";
import type { Score } from "../../score/model.ts";
import { addTo, louder } from "./audition.ts";
import { type AuditionOptions, auditionSettings } from "./audition_options.ts";
import { type Rendering, renderingOf } from "./render.ts";
import { truePeak } from "./true_peak.ts";
import { whatIsHeard } from "./what_is_heard.ts";

/** Options of {@linkcode soundFile}. */
export interface SoundFileOptions extends Omit<AuditionOptions, "stemsBy">, WriteMp3Options {
  /** Kind of file. @default {"mp3"} */
  readonly format?: "mp3" | "wav";
}

const ACTION = "write the sound";
/** Samples that a true peak at the edge of a piece hangs on. */
const EDGE = 32;

/**
 * A score, or a passage of it, as an MP3 or WAV file: what {@linkcode audition} plays, rendered piece by piece, twice (to find
 * the loudest place, and to write), so that the length of the score does not matter. An hour needs no more memory than a
 * minute, but for the file itself.
 *
 * @param score the score
 * @param options those of {@linkcode audition}, without stems; kind of file and rate of bits
 * @returns the file
 * @throws {InputError} for bars, layers, roles or parts that there are none of
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { soundFile } from "ripieno/show";
 * import { assert } from "@std/assert";
 * const file = await soundFile(demoScore(), { fromBar: 17, toBar: 18, format: "wav" });
 * assert(file.length > 100_000);
 * ```
 */
export async function soundFile(
  score: Score,
  options: SoundFileOptions = {},
): Promise<Uint8Array<ArrayBuffer>> {
  checkArgument(ACTION, score, A_SCORE);
  const { rendering, gainDb } = readyFile(score, options);
  const { format = "mp3", kilobits } = options;
  const { sampleRate } = rendering;
  const encoder = format === "wav"
    ? wavEncoder({ sampleRate, channels: 2 })
    : await mp3Encoder({ sampleRate, channels: 2, ...(kilobits === undefined ? {} : { kilobits }) });
  for (const piece of wholePieces(rendering)) {
    for (const channel of piece) louder(channel, gainDb);
    encoder.add(piece);
  }
  return encoder.end();
}

/** The gain that brings a score's loudest place to where it should be, as {@linkcode AuditionOptions} has it. */
export function gainOf(score: Score, options: SoundFileOptions = {}): number {
  return readyFile(score, options).gainDb;
}

function readyFile(score: Score, options: SoundFileOptions) {
  checkArgument(ACTION, options, A_RECORD, "the options");
  const { format, kilobits, ...playing } = options;
  checkOptions(ACTION, { format, kilobits }, {
    format: oneOf(["mp3", "wav"]),
    kilobits: oneOfNumbers(MP3_RATES),
  });
  const settings = auditionSettings(ACTION, playing);
  const heard = whatIsHeard(ACTION, score, { ...playing, stemsBy: "none" });
  const rendering = renderingOf(heard, playing, settings);
  return { rendering, gainDb: options.gainDb ?? settings.peakDb - peakDbOf(rendering) };
}

/** Pieces of the whole, left and right. */
function* wholePieces(rendering: Rendering): Generator<readonly Float32Array[]> {
  for (const { stems, length } of rendering.pieces()) {
    const piece = [new Float32Array(length), new Float32Array(length)];
    for (const stem of stems) addTo(piece, stem, 0);
    yield piece;
  }
}

/** True peak of a rendering, against its own full scale. */
function peakDbOf(rendering: Rendering): number {
  let peak = 0;
  let before: readonly Float32Array[] = [new Float32Array(EDGE), new Float32Array(EDGE)];
  for (const piece of wholePieces(rendering)) {
    piece.forEach((channel, ear) => {
      const joined = new Float32Array(EDGE + channel.length);
      joined.set(before[ear]!);
      joined.set(channel, EDGE);
      peak = Math.max(peak, truePeak(joined));
    });
    before = piece.map((channel) => channel.slice(-EDGE));
  }
  return peak > 0 ? dbOfPower(peak ** 2) : 0;
}
