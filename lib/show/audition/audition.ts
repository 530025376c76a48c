/** A score as sound, from what the balance knows of it. */
import { A_SCORE, checkArgument } from "../../base/arguments.ts";
import { dbOfPower } from "../../hearing/decibels.ts";
import type { BarsFound } from "../../orchestrate/rewrite/bars_asked.ts";
import type { Score } from "../../score/model.ts";
import { type AuditionOptions, auditionSettings } from "./audition_options.ts";
import type { Audition, SoundBar, SoundStem } from "./audition_results.ts";
import { type Rendering, renderingOf } from "./render.ts";
import { truePeak } from "./true_peak.ts";
import { type WhatIsHeard, whatIsHeard } from "./what_is_heard.ts";

const ACTION = "play the score";

/**
 * A score, a passage of it or some of its layers as sound: the whole, and a stem for each layer, role or part. What is heard is
 * what {@linkcode balance} hears: its spectra, sound powers, registers, dynamics, articulations and decays, its players, the same
 * energy for every note. Added are how notes begin and end, breath, bow and hammer noise, a few voices for a section, seats from left
 * to right and a plain hall, all of them model assumptions. It is a sketch to judge who is heard when, and what happens when a
 * layer is gone; it is no recording, and says nothing of how players would shape a line.
 *
 * Notes are played as written: repeats and bent tempos by {@linkcode unfoldRepeats} and {@linkcode bendTempo} before. A layer
 * has within 1 dB the level of the balance over a passage; single bars in which solo winds double each other may stray further, since
 * tones in unison add as they please. A note that is held on belongs to the layer it begins in, also where the balance counts the
 * next bar to another; an `sf` lasts its eighth, where the balance looks once a beat. Stems sum to the whole. The same options give the same samples.
 *
 * With `soundFont` the sounds are those of a bank, one note at a time, brought to the same energies: stems, their starts and
 * lengths, seats and the hall stay what they are.
 *
 * All samples are held at once: some 20 MB for a minute of each stem. Long scores as a file need less: {@linkcode soundFile}.
 *
 * @param score the score
 * @param options bars, layers, stems, hall, seats, sample rate, seed, gain, a SoundFont, constants
 * @returns the whole as left and right channel, its stems, where the bars are
 * @throws {InputError} for bars, layers, roles or parts that there are none of, and where nothing sounds
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { audition } from "ripieno/show";
 * import { assert } from "@std/assert";
 * const sound = audition(demoScore(), { fromBar: 17, toBar: 18, sampleRate: 24000 });
 * assert(sound.truePeakDb <= -1 && sound.stems.length > 2);
 * ```
 */
export function audition(score: Score, options: AuditionOptions = {}): Audition {
  checkArgument(ACTION, score, A_SCORE);
  return auditionBars(score, options);
}

/** A passage of a score as sound, by the indexes of its bars; by default what the options say. */
export function auditionBars(score: Score, options: AuditionOptions, bars?: BarsFound): Audition {
  const settings = auditionSettings(ACTION, options);
  const heard = whatIsHeard(ACTION, score, options, bars);
  const rendering = renderingOf(heard, options, settings);
  const { sampleRate, length } = rendering;
  const whole = [new Float32Array(length), new Float32Array(length)] as const;
  const withStems = options.stemsBy !== "none";
  const stems = withStems
    ? heard.stems.map(() => [new Float32Array(length), new Float32Array(length)] as const)
    : [];
  for (const { from, stems: pieces } of rendering.pieces()) {
    pieces.forEach((piece, s) => {
      stems[s]?.forEach((channel, ear) => channel.set(piece[ear]!, from));
      addTo(whole, piece, from);
    });
  }
  const gainDb = options.gainDb ?? gainFor([...whole, ...stems.flat()], settings.peakDb);
  for (const channel of [...whole, ...stems.flat()]) louder(channel, gainDb);
  return {
    sampleRate,
    channels: whole,
    seconds: length / sampleRate,
    bars: barsOf(heard, rendering),
    stems: stems.map((channels, s): SoundStem => ({ ...heard.stems[s]!, sampleRate, channels })),
    gainDb,
    truePeakDb: dbOfPower(Math.max(...whole.map(truePeak)) ** 2),
    soundFont: options.soundFont?.name ?? null,
    settings,
  };
}

/** The gain that brings the loudest of some channels to a true peak. */
export function gainFor(channels: readonly Float32Array[], peakDb: number): number {
  const peak = Math.max(...channels.map(truePeak));
  return peak > 0 ? peakDb - dbOfPower(peak ** 2) : 0;
}

/** Adds a piece of a stem to the whole. */
export function addTo(
  whole: readonly Float32Array[],
  piece: readonly Float32Array[],
  from: number,
): void {
  whole.forEach((channel, ear) => {
    const own = piece[ear]!;
    for (let i = 0; i < own.length; i++) channel[from + i]! += own[i]!;
  });
}

/** Makes samples louder, or softer. */
export function louder(samples: Float32Array, gainDb: number): void {
  const gain = 10 ** (gainDb / 20);
  for (let i = 0; i < samples.length; i++) samples[i]! *= gain;
}

/** Where the bars of a passage are in its sound. */
function barsOf({ score, bars }: WhatIsHeard, { startOf }: Rendering): readonly SoundBar[] {
  return score.bars.slice(bars.fromBarIndex, bars.toBarIndex + 1).map((bar, i): SoundBar => ({
    barIndex: bars.fromBarIndex + i,
    bar: bar.number,
    startSeconds: startOf(bar.startTicks),
  }));
}
