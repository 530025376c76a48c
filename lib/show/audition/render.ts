/** Stems of a score, rendered piece by piece, so that only some seconds are held at once. */
import { hzOf } from "../../base/units.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import { BALANCE_CONSTANTS } from "../../measures/balance/balance_options.ts";
import { directShares, type Hall } from "../../measures/balance/listening_place.ts";
import type { Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import type { AuditionOptions, AuditionSettings } from "./audition_options.ts";
import { type HallResponse, hallResponse, tailOf } from "./hall.ts";
import { centsOf, type Player, strokePlayer } from "./play_stroke.ts";
import { seatsOf } from "./seats.ts";
import { sourcesOf } from "./sources.ts";
import { soundFontPlayer } from "./sound_font_player.ts";
import { type SoundStroke, strokesOf } from "./strokes.ts";
import { wayOfSounding } from "./ways_of_sounding.ts";
import type { WhatIsHeard } from "./what_is_heard.ts";

/** Some seconds of every stem, left and right; gone when the next piece is asked for. */
interface RenderedPiece {
  /** First sample, from the start of the sound. */
  readonly from: number;
  readonly length: number;
  readonly stems: readonly (readonly [left: Float32Array, right: Float32Array])[];
}

/** A score ready to be rendered. */
export interface Rendering {
  readonly sampleRate: number;
  /** Samples in all. */
  readonly length: number;
  /** The bars' starts in seconds. */
  readonly startOf: (ticks: number) => number;
  /** Renders it, from the beginning; levels are those at the listener: mean square 1 is 0 dB SPL. */
  readonly pieces: () => Generator<RenderedPiece>;
}

/** Seconds of a piece. */
const PIECE_SECONDS = 8;
/** What is left to fade where no hall rings on. */
const DRY_TAIL_SECONDS = 0.15;

/** Prepares a rendering. */
export function renderingOf(
  heard: WhatIsHeard,
  options: AuditionOptions,
  settings: AuditionSettings,
): Rendering {
  const { score, bars } = heard;
  const { sampleRate = 44_100, seed = 1, hall } = options;
  const clock = clockOf(score);
  const startSeconds = clock(bars.startTicks), endSeconds = clock(bars.endTicks);
  const place = hall === undefined || hall === "none" ? {} : { hall };
  const strokes = strokesIn(strokesOf(score, heard.notes, place), startSeconds, endSeconds);
  const reverberation = hall === "none" ? 0 : reverberationOf(hall, settings);
  const tail = Math.max(reverberation, DRY_TAIL_SECONDS);
  const length = Math.ceil((endSeconds - startSeconds + tail) * sampleRate);
  const player: Player = { sources: sourcesOf(sampleRate, seed), sampleRate, seed, settings };
  const response = reverberation > 0 ? hallResponse(sampleRate, reverberation) : undefined;
  return {
    sampleRate,
    length,
    startOf: (ticks) => clock(ticks) - startSeconds,
    pieces: () =>
      rendered({
        heard,
        strokes,
        length,
        sampleRate,
        seats: seatsOf(score.parts, score.parts.map((p) => instrumentById(p.instrument)), options.seating),
        play: options.soundFont === undefined ? strokePlayer(player) : soundFontPlayer(player, {
          soundFont: options.soundFont,
          lastSeconds: endSeconds - startSeconds + DRY_TAIL_SECONDS,
        }),
        halls: heard.stems.map(() => response && tailOf(sampleRate, reverberation, response.gain)),
        gainsOf: gainsBy(player, response, sharesOf(score, hall, settings)),
      }),
  };
}

function reverberationOf(hall: Hall | undefined, settings: AuditionSettings): number {
  return hall?.reverberationSeconds ?? settings.reverberationSeconds;
}

/** Share of each part that comes straight from the stage. */
function sharesOf(
  { parts }: Score,
  hall: Hall | "none" | undefined,
  { directShare }: AuditionSettings,
): readonly number[] {
  if (hall === "none") return parts.map(() => 1);
  if (hall === undefined) return parts.map(() => directShare);
  const placed = parts.map((part) => ({ part, instrument: instrumentById(part.instrument) }));
  return directShares(placed, { hall }, BALANCE_CONSTANTS.hallStrengthDb.value);
}

/** Strokes of a passage, from its start on: what is held into it begins with it, what was struck before is left out. */
function strokesIn(strokes: readonly SoundStroke[], from: number, to: number): readonly SoundStroke[] {
  return strokes.flatMap((stroke): readonly SoundStroke[] => {
    const { startSeconds, endSeconds, energy, dynamics, decaySeconds } = stroke;
    if (startSeconds >= to || endSeconds <= from) return [];
    if (startSeconds < from && decaySeconds !== null) return [];
    const start = Math.max(from, startSeconds), end = Math.min(to, endSeconds);
    const share = (end - start) / (endSeconds - startSeconds);
    if (share === 1) return [{ ...stroke, startSeconds: start - from, endSeconds: end - from }];
    const first = Math.floor((start - startSeconds) / (endSeconds - startSeconds) * dynamics.length);
    const count = Math.max(1, Math.round(share * dynamics.length));
    return [{
      ...stroke,
      startSeconds: start - from,
      endSeconds: end - from,
      energy: decaySeconds === null ? energy * share : energy,
      dynamics: dynamics.slice(first, first + count),
      slurred: stroke.slurred && startSeconds >= from,
      slurredOn: stroke.slurredOn && endSeconds <= to,
    }];
  });
}

/** How strong a stroke is straight from the stage, and in what is sent into the hall. */
interface Gains {
  readonly direct: number;
  readonly sent: number;
}

/** Harmonics with less of the energy than this are not asked for. */
const LEAST_SHARE = 0.003;

/** Gains by which a hall leaves every note the energy it has in the model, whatever it does to its pitch. */
function gainsBy(
  player: Player,
  response: HallResponse | undefined,
  shares: readonly number[],
): (stroke: SoundStroke) => Gains {
  const { vibratoCents } = player.settings;
  return (stroke) => {
    const { instrument, soundingPitch, dynamics, startSeconds, endSeconds, note: { part, technique } } =
      stroke;
    const share = shares[part]!;
    if (response === undefined) return { direct: 1, sent: 0 };
    let energy = 0, asked = 0;
    if (!instrument.unpitched) {
      const sways = wayOfSounding(instrument, technique).sways;
      const harmonics = player.sources.shares(instrument, {
        soundingPitch,
        dynamic: dynamics[0]!,
        technique,
      });
      const cents = centsOf(stroke, player);
      for (let k = 0; k < harmonics.length; k++) {
        if (harmonics[k]! < LEAST_SHARE) continue;
        for (const own of cents) {
          const hz = hzOf(soundingPitch + own / 100) * (k + 1);
          const wide = 0.5 / (endSeconds - startSeconds) +
            (sways ? hz * vibratoCents / 100 * Math.LN2 / 12 : 0);
          energy += harmonics[k]! * response.heardAt(hz, share, wide);
          asked += harmonics[k]!;
        }
      }
    }
    const heard = asked > 0 ? energy / asked : 1;
    return { direct: Math.sqrt(share / heard), sent: Math.sqrt((1 - share) / heard) };
  };
}

interface ToRender {
  readonly heard: WhatIsHeard;
  readonly strokes: readonly SoundStroke[];
  readonly length: number;
  readonly sampleRate: number;
  readonly seats: readonly number[];
  readonly play: ReturnType<typeof strokePlayer>;
  readonly halls: readonly (ReturnType<typeof tailOf> | undefined)[];
  readonly gainsOf: (stroke: SoundStroke) => Gains;
}

/** A stem while it is rendered: what comes straight, and what is sent into the hall, left and right. */
interface Bus {
  readonly direct: readonly [Float32Array, Float32Array];
  readonly sent: readonly [Float32Array, Float32Array] | undefined;
}

function* rendered(work: ToRender): Generator<RenderedPiece> {
  const { heard, strokes, length, sampleRate, halls } = work;
  const size = Math.round(PIECE_SECONDS * sampleRate);
  // A stroke that is begun in a piece is played to its end, however far that lies beyond.
  const longest = strokes.reduce((most, s) => Math.max(most, s.endSeconds - s.startSeconds), 0);
  const room = size + Math.ceil((longest + 1) * sampleRate);
  const pair = (): [Float32Array, Float32Array] => [new Float32Array(room), new Float32Array(room)];
  const buses = heard.stems.map((_, s): Bus => ({ direct: pair(), sent: halls[s] ? pair() : undefined }));
  let next = 0;
  for (let from = 0; from < length; from += size) {
    const to = Math.min(length, from + size);
    for (; next < strokes.length && strokes[next]!.startSeconds * sampleRate < to; next++) {
      addStroke(buses, strokes[next]!, from, work);
    }
    buses.forEach(({ direct, sent }, s) => {
      if (sent === undefined) return;
      halls[s]!.through(sent[0], sent[1], to - from);
      for (const ear of [0, 1] as const) {
        for (let i = 0; i < to - from; i++) direct[ear][i]! += sent[ear][i]!;
      }
    });
    yield {
      from,
      length: to - from,
      stems: buses.map(({ direct: [left, right] }) =>
        [left.subarray(0, to - from), right.subarray(0, to - from)] as const
      ),
    };
    for (const { direct, sent } of buses) for (const one of [...direct, ...sent ?? []]) moveOn(one, size);
  }
}

function addStroke(buses: readonly Bus[], stroke: SoundStroke, from: number, work: ToRender): void {
  const { left, right, length } = work.play(stroke, work.seats[stroke.note.part]!);
  const { direct, sent } = buses[work.heard.stemOf(stroke.note)]!;
  const at = Math.round(stroke.startSeconds * work.sampleRate) - from;
  const gains = work.gainsOf(stroke);
  add(direct, { left, right, length, at, gain: gains.direct });
  if (sent) add(sent, { left, right, length, at, gain: gains.sent });
}

function add(
  [l, r]: readonly [Float32Array, Float32Array],
  { left, right, length, at, gain }: {
    readonly left: Float32Array;
    readonly right: Float32Array;
    readonly length: number;
    readonly at: number;
    readonly gain: number;
  },
): void {
  const first = Math.max(0, -at), last = Math.min(length, l.length - at);
  for (let i = first; i < last; i++) {
    l[at + i]! += left[i]! * gain;
    r[at + i]! += right[i]! * gain;
  }
}

/** Moves what is still to come to the front. */
function moveOn(samples: Float32Array, by: number): void {
  samples.copyWithin(0, by);
  samples.fill(0, Math.max(0, samples.length - by));
}
