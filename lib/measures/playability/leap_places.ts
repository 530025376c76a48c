/** Wide leaps in quick succession, by what has to move: embouchure, slide, hand on the string, hand over the keys. */
import { once } from "../../base/memo.ts";
import leapsText from "../../../data/leaps.csv" with { type: "text" };
import type { Instrument } from "../../instruments/catalogue.ts";
import { aNumber, readTable, someText, sourced } from "../../instruments/data_table.ts";
import { stringsOf } from "../../instruments/special/stops.ts";
import { isGlissandoTo } from "../../score/glissandi.ts";
import type { Note } from "../../score/model.ts";
import { spelledName } from "../../score/spelled_name.ts";
import { COMMON_PRACTICE, finding, type FindingPlace, held, type Judge } from "./judge.ts";
import { runsOf } from "../runs.ts";

/**
 * How wide and how soon is too much for one kind of player, the kinds and families that a row holds for with semicolons
 * between them: from how many semitones on, the shortest time from note to note in which such leaps are safe, each with
 * its own attack or under a slur, and what has to move. The first row that names the instrument's kind or family counts.
 */
const leaps = once(() =>
  readTable(leapsText, {
    file: "data/leaps.csv",
    columns: {
      players: someText,
      leastSemitones: aNumber,
      attackedSeconds: aNumber,
      slurredSeconds: aNumber,
      moves: someText,
      ...sourced,
    },
  }).map(({ players, ...row }) => ({ ...row, players: players.split("; ") }))
);

/** On a bowed string: a shift of the left hand this wide, beyond what it spans ... */
const SHIFT_SEMITONES = 7;
/** ... or a jump over a string takes the bow and the hand this long. Common practice, no source. */
const SHIFT_SECONDS = 0.15;

/** Quicker than this share of the safe time is risky, else it is noted. */
const RISKY_SHARE = 0.75;

/** One step that is too wide for its time. */
interface Leap {
  readonly at: number;
  readonly seconds: number;
  readonly limitSeconds: number;
  readonly source: string;
  readonly moves: string;
}

/**
 * Places where wide leaps follow each other too fast. One leap alone is prepared and left to the player; a
 * glissando is no leap.
 */
export function leapPlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  if (judge.instrument.unpitched) return [];
  const leapOf = judge.instrument.soundProduction === "bowed"
    ? stringLeap
    : embouchureOrHandLeap(judge.instrument);
  const leaps = line.flatMap((n, at): Leap[] => {
    const before = line[at - 1];
    if (before === undefined || isGlissandoTo(before, n)) return [];
    const seconds = judge.clock(n.onsetTicks) - judge.clock(before.onsetTicks);
    const limit = leapOf(before, n, judge);
    return limit === null || seconds >= limit.limitSeconds ? [] : [{ ...limit, at, seconds }];
  });
  const chains = runsOf(leaps, (before, leap) => before.at === leap.at - 1);
  return chains.filter((chain) => chain.length >= judge.settings.leapsInTurn).map((chain) => {
    const worst = chain.reduce((a, b) => b.seconds / b.limitSeconds < a.seconds / a.limitSeconds ? b : a);
    const [a, b] = [line[worst.at - 1]!, line[worst.at]!];
    const last = line[chain.at(-1)!.at]!;
    return finding(judge, {
      at: { onsetTicks: line[chain[0]!.at - 1]!.onsetTicks, endTicks: last.onsetTicks + last.durationTicks },
      severity: worst.seconds < RISKY_SHARE * worst.limitSeconds ? "risky" : "note",
      rule: "leaps",
      what: `${chain.length} wide leaps in turn, ${spelledName(judge.score, a)} to ${
        spelledName(judge.score, b)
      } in ${hundredths(worst.seconds)} s; ${worst.moves} takes about ${hundredths(worst.limitSeconds)} s`,
      ...held(worst.seconds, worst.limitSeconds, "seconds"),
      source: worst.source,
      remedy:
        "Bring the notes into one octave, give high and low notes to two players, or slow the figure down",
    });
  });
}

type LeapRule = (a: Note, b: Note, judge: Judge) => Omit<Leap, "at" | "seconds"> | null;

function embouchureOrHandLeap(instrument: Instrument): LeapRule {
  const limit = leaps().find(({ players }) =>
    players.includes(instrument.kind) || players.includes(instrument.family)
  );
  return (a, b) => {
    if (!limit || Math.abs(a.soundingPitch - b.soundingPitch) < limit.leastSemitones) return null;
    const limitSeconds = b.slurred ? limit.slurredSeconds : limit.attackedSeconds;
    return { limitSeconds, source: limit.source, moves: limit.moves };
  };
}

/** A leap that no pair of neighbouring strings gives in one position. */
function stringLeap(a: Note, b: Note, { instrument }: Judge): Omit<Leap, "at" | "seconds"> | null {
  const natural = a.technique !== "harmonic" && b.technique !== "harmonic";
  if (!natural || shiftOf(instrument, a.soundingPitch, b.soundingPitch) < SHIFT_SEMITONES) return null;
  return {
    limitSeconds: SHIFT_SECONDS,
    source: COMMON_PRACTICE,
    moves: "the left hand or the bow over a string",
  };
}

/** Semitones the hand has to travel beyond its span, over the kindest pair of strings; a skipped string counts as a shift. */
function shiftOf(instrument: Instrument, a: number, b: number): number {
  const strings = stringsOf(instrument);
  let least = Infinity;
  strings.forEach((first, i) =>
    strings.forEach((second, j) => {
      const [f, g] = [a - first.openPitch, b - second.openPitch];
      if (f < 0 || g < 0 || f > first.reachSemitones || g > second.reachSemitones) return;
      const skipped = SHIFT_SEMITONES * Math.max(0, Math.abs(i - j) - 1);
      const isOpen = f === 0 || g === 0;
      const travel = isOpen ? 0 : Math.max(0, Math.abs(f - g) - first.handSemitones);
      least = Math.min(least, travel + skipped);
    })
  );
  return least === Infinity ? 0 : least;
}

function hundredths(seconds: number): string {
  return String(Math.round(seconds * 100) / 100);
}
