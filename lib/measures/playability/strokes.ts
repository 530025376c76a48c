/** Notes as strokes of tongue, bow or hand, and the quick runs among them. */
import type { Instrument } from "../../instruments/catalogue.ts";
import { rateLimits, repeatedNoteLimit } from "../../instruments/rates.ts";
import { registerOf } from "../../instruments/registers.ts";
import type { Note } from "../../score/model.ts";
import {
  isUnmeasuredTremolo,
  strokesPerSecond,
  strokeTicks,
  type TremoloRates,
} from "../../score/tremolo.ts";
import type { Judge } from "./judge.ts";
import { runsOf } from "../runs.ts";

/** How a stroke is made, as far as it binds the rate. */
export type Manner = "ordinary" | "pizzicato" | "col legno";

/** One stroke of tongue, bow or hand, or one change of note under a slur. */
interface Stroke {
  readonly ticks: number;
  readonly end: number;
  readonly pitch: number;
  /** Reached under a slur, without a stroke of its own. */
  readonly slurred: boolean;
  readonly manner: Manner;
  /** Unmeasured tremolo, roll or trill: says nothing about single strokes. */
  readonly blurred: boolean;
  readonly note: Note;
}

/** Strokes that follow each other quickly. */
export type StrokeRun = readonly Stroke[];

/** Rates are only judged over at least this many steps: four quick notes into a beat are a flick, not a rate. */
export const FEWEST_STEPS = 5;

/** A step slower than this share of the rate that can be kept up is a rest for the player and ends a run. */
const RESTING_SHARE = 2 / 3;

/** Slashes from which a drum or a bar is rolled, whatever the tempo. */
const ROLL_SLASHES = 3;

/**
 * Whether slashes are played without counting strokes: an unmeasured tremolo; three slashes and more on what is struck;
 * and, unless they are called measured, slashes faster than the instrument keeps up in single strokes, where drums roll
 * and bows go as quickly as they like (common practice, no source).
 */
export function isBlurred(
  n: Note,
  perSecond: number,
  { settings, instrument }: { readonly settings: TremoloRates; readonly instrument: Instrument },
): boolean {
  if (n.tremoloAlternates || isUnmeasuredTremolo(n, perSecond, settings)) return true;
  const struck = instrument.soundProduction === "struck";
  if (struck && n.tremoloSlashes >= ROLL_SLASHES) return true;
  // A triangle cannot be struck that fast, but it is rolled: its catalogue row says so.
  const rolls = struck && rateLimits(instrument).some((limit) => limit.kind === "roll");
  const isBowed = instrument.soundProduction === "bowed" && n.technique !== "pizzicato";
  return (rolls || isBowed) && n.tremolo === undefined &&
    perSecond > (repeatedNoteLimit(instrument)?.sustainedPerSecond ?? Infinity);
}

/**
 * Notes as strokes, measured tremolo written out. Blurred slashes and trills are one stroke each that says nothing.
 */
export function strokesOf(line: readonly Note[], judge: Judge): readonly Stroke[] {
  const { clock, score: { ticksPerQuarter } } = judge;
  const strokes: Stroke[] = [];
  for (const n of line) {
    const perSecond = strokesPerSecond(n, { ticksPerQuarter, clock });
    const measured = n.tremoloSlashes > 0 && !isBlurred(n, perSecond, judge);
    const step = measured ? strokeTicks(n, ticksPerQuarter) : n.durationTicks;
    const count = measured ? Math.round(n.durationTicks / step) : 1;
    for (let k = 0; k < count; k++) {
      strokes.push({
        ticks: n.onsetTicks + k * step,
        end: n.onsetTicks + (k + 1) * step,
        pitch: n.soundingPitch,
        slurred: n.slurred && !measured && !n.articulations.includes("portato"),
        manner: n.technique === "pizzicato" || n.technique === "col legno" ? n.technique : "ordinary",
        blurred: n.trill || n.tremoloSlashes > 0 && !measured,
        note: n,
      });
    }
  }
  return strokes;
}

/** Runs of strokes that follow each other quickly enough to matter. */
export function quickRuns(
  strokes: readonly Stroke[],
  { clock }: Pick<Judge, "clock">,
  options: {
    readonly sustainedPerSecond: number;
    readonly joins?: (before: Stroke, after: Stroke) => boolean;
  },
): readonly StrokeRun[] {
  const { sustainedPerSecond, joins = () => true } = options;
  const runs = runsOf(strokes, (before, stroke) => {
    const gap = clock(stroke.ticks) - clock(before.ticks);
    return gap > 0 && gap <= 1 / (RESTING_SHARE * sustainedPerSecond) && !before.blurred &&
      !stroke.blurred && joins(before, stroke);
  });
  return runs.filter((run) => run.length > FEWEST_STEPS);
}

/** Share of the steps of a run that change the pitch. */
export function movingShare(run: StrokeRun): number {
  return run.filter((s, i) => i > 0 && s.pitch !== run[i - 1]!.pitch).length / (run.length - 1);
}

/**
 * The two notes a run alternates between, as a written-out trill or tremolo does. Gives the semitones between them, or
 * null for any other run.
 */
export function alternationOf(run: StrokeRun): number | null {
  const pitches = new Set(run.map((s) => s.pitch));
  if (pitches.size !== 2 || movingShare(run) < 1) return null;
  return Math.max(...pitches) - Math.min(...pitches);
}

/** How fast the registers of a run speak against the best one. */
export function speedFactorOf(run: StrokeRun, judge: Judge): number {
  const factors = run.map((s) => registerOf(judge.instrument, s.pitch).register?.speedFactor ?? 1);
  return factors.reduce((sum, f) => sum + f, 0) / factors.length;
}

/** Periods of its sound that a note must last for its pitch to be told. Model assumption. */
const FEWEST_PERIODS = 8;

/**
 * Whether a run lies so low and goes so fast that no pitch of it lasts long enough to be told: basses in a storm.
 */
export function isRumble(run: StrokeRun, perSecond: number): boolean {
  const mean = run.reduce((sum, s) => sum + s.pitch, 0) / run.length;
  return 440 * 2 ** ((mean - 69) / 12) / perSecond < FEWEST_PERIODS;
}
