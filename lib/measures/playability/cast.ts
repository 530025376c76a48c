/** Who plays a line, and on what, from place to place: div., a 2, solo, and instruments taken up on the way. */
import { greatestOf } from "../../base/extremes.ts";
import { changeTimes, secondInstrumentsOf } from "../../instruments/changes.ts";
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";
import { lineName } from "../../instruments/names/line_name.ts";
import type { Note, Part, Playing } from "../../score/model.ts";
import type { Ticks } from "../../base/units.ts";
import {
  COMMON_PRACTICE,
  finding,
  type FindingPlace,
  held,
  inTenths,
  type Judge,
  withArticle,
} from "./judge.ts";
import { soundingTicks } from "../sounding.ts";

/** Notes of a part that the same players play on the same instrument. */
export interface Cast {
  readonly notes: readonly Note[];
  readonly instrument: Instrument;
  readonly players: number;
}

/**
 * The notes of a part by who plays them: a new stretch wherever the words over the stave change the number of
 * players or another instrument is taken up.
 */
export function castOf(part: Part, notes: readonly Note[]): readonly Cast[] {
  const result: { notes: Note[]; instrument: Instrument; players: number }[] = [];
  for (const note of notes) {
    const instrument = instrumentById(
      lastAt(part.instrumentChanges, note.onsetTicks)?.instrument ?? part.instrument,
    );
    const players = playersAt(part, playingAt(part.playing ?? [], note.onsetTicks));
    const open = result.at(-1);
    if (open && open.instrument.id === instrument.id && open.players === players) open.notes.push(note);
    else result.push({ notes: [note], instrument, players });
  }
  return result;
}

function lastAt<T extends { readonly fromTicks: Ticks }>(
  list: readonly T[] | undefined,
  ticks: Ticks,
): T | undefined {
  return list?.findLast((each) => each.fromTicks <= ticks);
}

/** A player's number in words such as `I.`, `2.` or `I. II.`. */
const PLAYER_NUMBER = /\b(?:[1-4]|i{1,3}|iv)\./gi;

/** The words in force: where two single players are named at one place, as `I.` and `II.`, the line is divided. */
function playingAt(playing: readonly Playing[], ticks: Ticks): Playing | undefined {
  const last = lastAt(playing, ticks);
  const named = playing.filter((each) => each.fromTicks === last?.fromTicks && each.kind === "solo");
  const players = new Set(named.flatMap(({ words }) => words.match(PLAYER_NUMBER) ?? [words])).size;
  return players > 1 ? { ...last!, kind: "divided", count: players } : last;
}

/**
 * Players at a place. A line marked a 2 or div. has at least two, unless it is one numbered player's own stave:
 * there the words are left over from a stave that was shared.
 */
function playersAt(part: Part, playing: Playing | undefined): number {
  if (playing === undefined || playing.kind === "all") return part.players;
  if (playing.kind === "solo") return playing.count ?? 1;
  if (part.players === 1 && lineName(part.name).numbers.length === 1) return 1;
  return Math.max(part.players, playing.count ?? 2);
}

/**
 * Changes from one instrument to another without the rest they take, or to one that is not a usual doubling.
 */
export function instrumentChangePlaces(casts: readonly Cast[], judge: Judge): FindingPlace[] {
  return casts.flatMap((after, i): FindingPlace[] => {
    const before = casts[i - 1];
    if (before === undefined || before.instrument.id === after.instrument.id) return [];
    const first = after.notes[0]!;
    const end = greatestOf(before.notes.map((n) => n.onsetTicks + soundingTicks(n)));
    const seconds = Math.max(0, judge.clock(first.onsetTicks) - judge.clock(end));
    const doubling = secondInstrumentsOf(before.instrument).concat(secondInstrumentsOf(after.instrument))
      .find((each) => [before.instrument.id, after.instrument.id].includes(each.instrument));
    const general = changeTimes(before.instrument)
      .find((each) => ["take another instrument", "move to another instrument"].includes(each.change));
    const calm = doubling?.changeSeconds ?? general?.comfortableSeconds;
    if (calm === undefined) return [];
    const least = Math.min(calm, general?.leastSeconds ?? calm);
    const places: FindingPlace[] = [];
    if (seconds < calm) {
      places.push(finding(judge, {
        at: first,
        severity: seconds < least ? "risky" : "note",
        rule: "change of instrument",
        what: `${before.instrument.id} to ${after.instrument.id} in ${inTenths(seconds)} s; it takes ${
          inTenths(least)
        } s, ${inTenths(calm)} s to do it calmly`,
        ...held(seconds, seconds < least ? least : calm, "seconds"),
        source: doubling?.source ?? general?.source ?? COMMON_PRACTICE,
        remedy:
          "Leave more bars of rest before the change, or give the notes to another player of the section",
      }));
    }
    if (
      doubling === undefined && before.instrument.kind !== after.instrument.kind &&
      before.instrument.family !== "percussion"
    ) {
      places.push(finding(judge, {
        at: first,
        severity: "note",
        rule: "doubling",
        what: `a player of ${withArticle(before.instrument.id)} is asked to take ${
          withArticle(after.instrument.id)
        }, which is not customary`,
        ...held(0, 1, "customary, 1 yes and 0 no"),
        source: COMMON_PRACTICE,
        remedy: "Ask for a player of its own, or choose an instrument the player doubles on",
      }));
    }
    return places;
  });
}
