/** Who of a layer breathes where, so that the layer goes on. */
import type { Seconds, SoundingPitch, Ticks } from "../../base/units.ts";
import { breathSeconds } from "../../instruments/breath.ts";
import { dynamicOf } from "../../score/dynamics.ts";
import type { Score } from "../../score/model.ts";
import { beatTicks, clockOf } from "../../score/time.ts";
import type { PlacedAssignment, Seat } from "../plan/place_assignments.ts";
import type { BreathNote } from "./leave_breaths.ts";

/** What breathing depends on for one player in one layer. */
export interface LayerBreath extends Pick<BreathNote, "kind" | "turns"> {
  /**
   * Seconds one breath lasts on a pitch at the layer's loudest; endless where nobody has to breathe, or several share the
   * line.
   */
  readonly secondsAt: (soundingPitch: SoundingPitch) => Seconds;
  /** Tells this from other ways to breathe. */
  readonly key: string;
}

/** Turns there are at most: then no two neighbours breathe together. */
const MOST_TURNS = 3;

/** Share of a breath in which all players of a layer have had their turn. Model assumption: a little less than is planned with. */
const ROUND_SHARE = 0.6;

const NO_TURNS: ReadonlySet<Ticks> = new Set();

/**
 * How one player breathes in a layer. Those who lead breathe together, as often as the shortest breath of them needs. Of
 * those below, everybody has a turn at ends of bars, in slow music at half bars or beats; players who share a stave
 * take turns unasked.
 */
export function layerBreath(
  placed: PlacedAssignment,
  seat: number,
  { seats, score }: { readonly seats: readonly Seat[]; readonly score: Score },
): LayerBreath {
  const { assignment, fromBarIndex } = placed;
  const loudest = Math.max(dynamicOf(assignment.dynamic)!, dynamicOf(assignment.dynamicEnd)!);
  const breathOf = (s: number, pitch?: SoundingPitch) =>
    breathSeconds(seats[s]!.instrument, loudest, pitch === undefined ? {} : { soundingPitch: pitch }) ??
      Infinity;
  const blown = placed.seats.filter((s) => breathOf(s) < Infinity);
  const shortest = Math.min(...blown.map((s) => breathOf(s)));
  const isMelody = assignment.role === "lead" || assignment.role === "counterline";
  const kind = isMelody ? "melody" : assignment.role === "run" ? "run" : "accompaniment";
  if (!blown.includes(seat) || (!isMelody && seats[seat]!.part.players > 1)) {
    return { kind, secondsAt: () => Infinity, turns: NO_TURNS, key: "" };
  }
  if (isMelody) {
    const share = shortest / breathOf(seat);
    return {
      kind,
      secondsAt: (pitch) => share * breathOf(seat, pitch),
      turns: NO_TURNS,
      key: `${loudest} ${shortest}`,
    };
  }
  const inTurn = blown.filter((s) => seats[s]!.part.players === 1);
  const turns = Math.min(MOST_TURNS, inTurn.length);
  const clock = clockOf(score);
  const places = turnPlaces(placed, score, (ticks) => {
    const { startTicks } = score.bars[fromBarIndex]!;
    return (clock(startTicks + ticks) - clock(startTicks)) * turns <= ROUND_SHARE * shortest;
  });
  const turn = inTurn.indexOf(seat) % turns;
  const own = places.filter((_, i) => i % turns === turn);
  return { kind, secondsAt: (pitch) => breathOf(seat, pitch), turns: new Set(own), key: `${loudest} ${own}` };
}

/** Places in a layer where somebody may have a turn: ends of bars where that is often enough, else half bars or beats. */
function turnPlaces(
  { fromBarIndex, toBarIndex }: PlacedAssignment,
  { bars, ticksPerQuarter }: Score,
  isOftenEnough: (ticks: Ticks) => boolean,
): readonly Ticks[] {
  return bars.slice(fromBarIndex, toBarIndex + 1).flatMap((bar) => {
    const beat = beatTicks(bar, ticksPerQuarter);
    const beats = Math.max(1, Math.round(bar.durationTicks / beat));
    const steps = [beats, ...(beats % 2 === 0 ? [beats / 2] : []), 1];
    const step = steps.find((n) => isOftenEnough(n * beat)) ?? 1;
    return Array.from(
      { length: Math.floor(beats / step) },
      (_, i) =>
        i + 1 === Math.floor(beats / step)
          ? bar.startTicks + bar.durationTicks
          : bar.startTicks + (i + 1) * step * beat,
    );
  });
}
