/** How rough the sound is, bar by bar. */
import { A_NUMBER, checkOptions, oneOf } from "../../base/arguments.ts";
import { roughness, ROUGHNESS_MODELS, type RoughnessModel } from "../../hearing/model/roughness.ts";
import { type Memo, memo } from "../../base/memo.ts";
import { atPlace } from "../../base/errors.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Bar, Note, Score } from "../../score/model.ts";
import { barBeatOf, clockOf } from "../../score/time.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import { notesAt, type SoundingNote } from "./chord_partials.ts";
import { type BarsToHear, beatsOfBar, checkedBars } from "../balance/listening.ts";
import { notesInBars } from "../notes_in_bars.ts";
import type { RoughBar } from "./chord_results.ts";

/** Constants of {@linkcode roughBars}, with their units and sources. */
export const ROUGHNESS_CONSTANTS = {
  samplesPerBeat: {
    value: 2,
    unit: "instants",
    least: 1,
    most: 100,
    source: "model assumption",
    meaning: "how many instants of a beat are listened to",
  },
} as const;

/** Options of {@linkcode roughBars}. */
export interface RoughBarsOptions extends BarsToHear {
  /** Whose model of roughness. Default `hutchinson_knopoff`, which does not depend on loudness. */
  readonly model?: RoughnessModel;
  /** Constants that differ from {@linkcode ROUGHNESS_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof ROUGHNESS_CONSTANTS>>;
}

/** Chords of one score whose roughness is kept. */
const CHORDS_KEPT = 20_000;

const OPTIONS = {
  fromBarIndex: A_NUMBER,
  toBarIndex: A_NUMBER,
  model: oneOf(ROUGHNESS_MODELS),
  constants: undefined,
};

/**
 * Roughness of the sound bar by bar: how much the partials of everything that sounds at an instant beat against
 * each other. By Hutchinson and Knopoff it is relative to the power, 0.12 for a major triad of harmonic tones around
 * middle C and near 0.5 for a bare semitone; the other models grow with loudness. Compare values of one model only.
 *
 * Taken from average spectra of single notes: the beating of players of one section against each other, vibrato and
 * intonation are not in it, nor is percussion.
 *
 * @param score the score
 * @param options bars, model and constants
 * @returns one row per bar
 * @throws {InputError} when the bars are not in the score, the model is unknown, or an option is
 *
 * Sources: as for `roughness`.
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { roughBars } from "ripieno/measures";
 * import { assertEquals } from "@std/assert";
 * const rows = roughBars(demoScore(), { fromBarIndex: 16, toBarIndex: 23 });
 * assertEquals([rows.length, rows[0]!.barIndex, rows[0]!.bar], [8, 16, "17"]);
 * ```
 */
export function roughBars(score: Score, options: RoughBarsOptions = {}): readonly RoughBar[] {
  const action = "work out roughness";
  checkOptions(action, options, OPTIONS);
  const { model = "hutchinson_knopoff" } = options;
  const { fromBarIndex, toBarIndex } = checkedBars(action, score, options);
  const { samplesPerBeat } = applySettings("roughness", ROUGHNESS_CONSTANTS, options.constants);
  const read = instantReader(score);
  const clock = clockOf(score);
  const known = memo<number>(CHORDS_KEPT);
  const rough = (bar: Bar, i: number): RoughBar => {
    let sum = 0;
    let count = 0;
    let peak: number | null = null;
    let peakTicks = 0;
    for (const ticks of instantsOf(score, fromBarIndex + i, samplesPerBeat)) {
      const sounding = read(fromBarIndex + i, ticks);
      if (sounding.length === 0) continue;
      const value = kept(known, sounding, model);
      sum += value;
      count++;
      if (peak === null || value > peak) [peak, peakTicks] = [value, ticks];
    }
    return {
      barIndex: fromBarIndex + i,
      bar: bar.number,
      onsetSeconds: clock(bar.startTicks),
      roughness: count === 0 ? null : sum / count,
      peak,
      peakBeat: peak === null ? null : barBeatOf(score, peakTicks).beat,
    };
  };
  return score.bars.slice(fromBarIndex, toBarIndex + 1).map((bar, i) =>
    atPlace({ bar: bar.number }, () => rough(bar, i))
  );
}

/** Instants of a bar, in ticks, which may lie between those of the grid. */
function instantsOf(score: Score, bar: number, samplesPerBeat: number): readonly number[] {
  const samples = Math.max(1, Math.round(samplesPerBeat));
  return beatsOfBar(score, bar).flatMap(({ from, to }) =>
    Array.from({ length: samples }, (_, k) => from + k * (to - from) / samples)
  );
}

/** Reads what sounds at an instant. */
export type InstantReader = (bar: number, ticks: number) => readonly SoundingNote[];

/** Prepares the reading of instants. */
export function instantReader(score: Score): InstantReader {
  const byBar = notesInBars(score);
  const instruments = score.parts.map((p) => instrumentById(p.instrument));
  const clock = clockOf(score);
  const reach = Math.max(1, score.ticksPerQuarter);
  return (bar, ticks) =>
    notesAt(score, {
      ticks,
      notes: (byBar[bar] ?? []).filter((n) =>
        n.onsetTicks <= ticks && ticks < n.onsetTicks + n.durationTicks
      ),
      instruments,
      secondsPerTick: (clock(ticks + reach) - clock(ticks)) / reach,
    });
}

/** Roughness of some notes together. */
export function roughnessOf(notes: readonly SoundingNote[], model: RoughnessModel): number {
  const hz = notes.flatMap((n) => n.partials.hz);
  const amplitudes = notes.flatMap((n) => n.partials.amplitudes);
  return roughness(hz, amplitudes, { model });
}

/** Held and repeated chords are worked out once. */
function kept(known: Memo<number>, notes: readonly SoundingNote[], model: RoughnessModel): number {
  const key = notes.map(({ note, partials }) => `${keyOf(note)} ${partials.amplitudes[0]!}`).sort().join("|");
  return known(key, () => roughnessOf(notes, model));
}

const keyOf = (n: Note) => `${n.part} ${n.soundingPitch} ${n.dynamic}`;
