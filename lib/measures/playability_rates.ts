/** How fast tongue, bow, hands and fingers are asked to go, against what they can. */
import {
  legatoLimit,
  repeatedNoteLimit,
  separateNoteLimit,
  type SpeedLimit,
  speedOver,
} from "../instruments/rates.ts";
import type { Note } from "../score/model.ts";
import { strokeTicks } from "../score/tremolo.ts";
import { inTenths, type Judge, type Place } from "./playability_place.ts";

/** One stroke of tongue, bow or hand, or one change of note under a slur. */
interface Stroke {
  readonly ticks: number;
  readonly end: number;
  readonly pitch: number;
  readonly slurred: boolean;
  readonly plucked: boolean;
  /** Unmeasured tremolo or trill: says nothing about single strokes. */
  readonly blurred: boolean;
}

type Run = readonly Stroke[];

/** Rates are only judged over at least this many steps: four quick notes into a beat are a flick, not a rate. */
const FEWEST_STEPS = 5;

/** A step slower than this share of the rate that can be kept up is a rest for the player and ends a run. */
const RESTING_SHARE = 2 / 3;

/**
 * Places of one voice where strokes or changes of note come faster than the instrument allows: separate strokes
 * against the repeated-note rate, or, where the pitch moves, the rate of separate notes; runs with slurs in them,
 * and all moving notes of what is struck, plucked or sung, against the legato rate.
 *
 * @param line notes of one voice, one per onset
 * @param judge instrument, tempo and constants
 * @returns the places
 */
export function ratePlaces(line: readonly Note[], judge: Judge): Place[] {
  const { instrument } = judge;
  const strokes = strokesOf(line, judge);
  const stroked = instrument.soundProduction === "blown" || instrument.soundProduction === "bowed";
  const legato = legatoLimit(instrument);
  const places: Place[] = [];
  // Where every note needs its own stroke, all strokes count; keys, strings and bars only repeat one by one.
  for (const plucked of [false, true]) {
    const own = strokes.filter((s) => !s.slurred && s.plucked === plucked);
    const repeated = plucked && instrument.soundProduction === "bowed"
      ? repeatedNoteLimit(instrument, { technique: "pizzicato" })
      : repeatedNoteLimit(instrument);
    const moving = plucked || !stroked ? repeated : separateNoteLimit(instrument);
    const slowest = Math.min(
      repeated?.sustainedPerSecond ?? Infinity,
      moving?.sustainedPerSecond ?? Infinity,
    );
    for (const run of runsOf(own, judge, slowest, (a, b) => stroked || a.pitch === b.pitch)) {
      places.push(...judgeRun(run, "repeated-note rate", movingShare(run) < 0.5 ? repeated : moving, judge));
    }
  }
  for (const run of runsOf(strokes, judge, legato?.sustainedPerSecond ?? Infinity, () => true)) {
    const slurs = run.some((s, i) => i > 0 && s.slurred);
    if ((slurs || !stroked) && movingShare(run) >= 0.5) {
      places.push(...judgeRun(run, "legato rate", legato, judge));
    }
  }
  return places;
}

/** Notes as strokes, measured tremolo written out. */
function strokesOf(line: readonly Note[], judge: Judge): readonly Stroke[] {
  const { clock, settings, ticksPerQuarter } = judge;
  return line.flatMap((n) => {
    const step = strokeTicks(n, ticksPerQuarter);
    const perSecond = 1 / Math.max(1e-9, clock(n.onsetTicks + step) - clock(n.onsetTicks));
    const measured = n.tremoloSlashes > 0 && !n.tremoloAlternates &&
      perSecond < settings.tremoloFromPerSecond;
    const count = measured ? Math.round(n.durationTicks / step) : 1;
    return Array.from({ length: count }, (_, k): Stroke => ({
      ticks: n.onsetTicks + k * step,
      end: measured ? n.onsetTicks + (k + 1) * step : n.onsetTicks + n.durationTicks,
      pitch: n.soundingPitch,
      slurred: n.slurred && !measured,
      plucked: n.technique === "pizzicato",
      blurred: n.trill || n.tremoloSlashes > 0 && !measured,
    }));
  });
}

/** Runs of strokes that follow each other quickly enough to matter. */
function runsOf(
  strokes: readonly Stroke[],
  judge: Judge,
  sustainedPerSecond: number,
  joins: (before: Stroke, after: Stroke) => boolean,
): readonly Run[] {
  const runs: Stroke[][] = [];
  for (const stroke of strokes) {
    const run = runs.at(-1);
    const before = run?.at(-1);
    const gap = before ? judge.clock(stroke.ticks) - judge.clock(before.ticks) : 0;
    const follows = before && gap > 0 && gap <= 1 / (RESTING_SHARE * sustainedPerSecond) &&
      !before.blurred && !stroke.blurred && joins(before, stroke);
    if (follows) run!.push(stroke);
    else runs.push([stroke]);
  }
  return runs.filter((run) => run.length > FEWEST_STEPS);
}

/** Share of the steps of a run that change the pitch. */
function movingShare(run: Run): number {
  return run.filter((s, i) => i > 0 && s.pitch !== run[i - 1]!.pitch).length / (run.length - 1);
}

function judgeRun(
  run: Run,
  rule: "repeated-note rate" | "legato rate",
  limit: SpeedLimit | null,
  judge: Judge,
): Place[] {
  if (!limit) return [];
  const seconds = run.map((s) => judge.clock(s.ticks));
  const length = seconds.at(-1)! - seconds[0]!;
  const rate = (run.length - 1) / length;
  // The fastest few notes decide whether it can be done at all, the whole run whether it can be kept up.
  const fastest = Math.max(
    ...seconds.slice(FEWEST_STEPS).map((end, i) => FEWEST_STEPS / (end - seconds[i]!)),
  );
  const keptUp = speedOver(limit, length);
  const kind = rule === "legato rate" ? "fast slurred notes" : "fast repeated or separate notes";
  const base = {
    ...judge.at,
    onsetTicks: run[0]!.ticks,
    endTicks: run.at(-1)!.end,
    rule,
    unit: "notes per second",
    source: limit.source,
    remedy: rule === "legato rate"
      ? "Slow it down, thin it out, or share it between players in turn"
      : "Slur it in pairs, halve the rate, share it between players in turn, or give it to an instrument with a faster stroke",
  } as const;
  if (fastest > limit.burstPerSecond) {
    return [{
      ...base,
      severity: fastest > limit.burstPerSecond * judge.settings.impossibleFactor ? "impossible" : "risky",
      what: `${kind} at ${inTenths(fastest)} per second; ${limit.technique} reaches ${
        inTenths(limit.burstPerSecond)
      }`,
      figure: fastest,
      limit: limit.burstPerSecond,
    }];
  }
  if (rate <= keptUp) return [];
  return [{
    ...base,
    severity: "tiring",
    what: `${kind} at ${inTenths(rate)} per second for ${inTenths(length)} s; ${limit.technique} keeps up ${
      inTenths(keptUp)
    } that long`,
    figure: rate,
    limit: keptUp,
  }];
}
