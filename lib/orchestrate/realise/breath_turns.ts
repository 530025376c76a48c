/** Who of a layer breathes where, so that the layer goes on. */
import type { Seconds, SoundingPitch, Ticks } from "../../base/units.ts";
import { breathReader } from "../../instruments/breath.ts";
import type { Score } from "../../score/model.ts";
import { beatTicks, clockOf } from "../../score/time.ts";
import { levelsOf } from "../plan/layer_dynamics.ts";
import type { PlacedAssignment } from "../plan/place_assignments.ts";
import type { Seat } from "../plan/seat.ts";
import type { BreathNote } from "./leave_breaths.ts";

/** What breathing depends on for one player in one layer. */
interface LayerBreath extends Pick<BreathNote, "kind" | "turns"> {
  /** Seconds one breath lasts on a note; endless where nobody has to breathe, or several share the line. */
  readonly secondsOf: BreathOf;
}

/** Seconds of a breath at a loudness, 1 ppp to 8 fff, and a pitch. */
type BreathOf = (dynamic: number, soundingPitch?: SoundingPitch) => Seconds;

/**
 * Rounds of turns, the best first: how many take turns, and at which parts of a bar, 1 for its ends. With two turns no
 * neighbours breathe together, with three fewer go at once. Common practice, no source.
 */
const ROUNDS: readonly (readonly [turns: number, part: number])[] = [[3, 1], [2, 1], [3, 1 / 2], [2, 1 / 2], [
  3,
  0,
]];

/**
 * Share of a breath in which everybody has had a turn, so that who lies low and needs more air has another in time. Model
 * assumption.
 */
const ROUND_SHARE = 0.45;

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
  const loudest = Math.max(...levelsOf(assignment));
  const readerOf = (s: number): BreathOf => breathReader(seats[s]!.instrument) ?? (() => Infinity);
  const breathOf = readerOf(seat);
  const blown = placed.seats.filter((s) => readerOf(s)(loudest) < Infinity);
  const shortest = Math.min(...blown.map((s) => readerOf(s)(loudest)));
  const isMelody = assignment.role === "lead" || assignment.role === "counterline";
  const kind = isMelody ? "melody" : assignment.role === "run" ? "run" : "accompaniment";
  if (!blown.includes(seat) || (!isMelody && seats[seat]!.part.players > 1)) {
    return { kind, secondsOf: () => Infinity, turns: NO_TURNS };
  }
  if (isMelody) {
    const share = shortest / breathOf(loudest);
    return { kind, secondsOf: (dynamic, pitch) => share * breathOf(dynamic, pitch), turns: NO_TURNS };
  }
  const inTurn = blown.filter((s) => seats[s]!.part.players === 1);
  const bar = score.bars[fromBarIndex]!;
  const beat = beatTicks(bar, score.ticksPerQuarter);
  const clock = clockOf(score);
  const secondsOf = (ticks: Ticks) => clock(bar.startTicks + ticks) - clock(bar.startTicks);
  const [most, part] =
    ROUNDS.find(([turns, part]) =>
      secondsOf(Math.max(beat, part * bar.durationTicks)) * Math.min(turns, inTurn.length) <=
        ROUND_SHARE * shortest
    ) ?? ROUNDS.at(-1)!;
  const turns = Math.min(most, inTurn.length);
  const places = turnPlaces(placed, score, part);
  const turn = inTurn.indexOf(seat) % turns;
  const own = places.filter((_, i) => i % turns === turn);
  return { kind, secondsOf: breathOf, turns: new Set(own) };
}

/** Places in a layer where somebody may have a turn: every so large a part of a bar in whole beats, its end always. */
function turnPlaces(
  { fromBarIndex, toBarIndex }: PlacedAssignment,
  { bars, ticksPerQuarter }: Score,
  part: number,
): readonly Ticks[] {
  return bars.slice(fromBarIndex, toBarIndex + 1).flatMap((bar) => {
    const beat = beatTicks(bar, ticksPerQuarter);
    const beats = Math.max(1, Math.round(bar.durationTicks / beat));
    const step = Math.max(1, Math.floor(part * beats));
    const count = Math.floor(beats / step);
    return Array.from(
      { length: count },
      (_, i) => i + 1 === count ? bar.startTicks + bar.durationTicks : bar.startTicks + (i + 1) * step * beat,
    );
  });
}
