/** Who plays a line, and on what, from place to place: div., a 2, solo, and instruments taken up on the way. */
import { greatestOf } from "../../base/extremes.ts";
import { changeTimes, secondInstrumentsOf } from "../../instruments/changes.ts";
import { type Instrument, instrumentById } from "../../instruments/catalogue.ts";
import type { Note, Part } from "../../score/model.ts";
import {
  COMMON_PRACTICE,
  finding,
  type FindingPlace,
  held,
  inTenths,
  type Judge,
  withArticle,
} from "./judge.ts";
import { lastAt, playersAt } from "../players_at.ts";
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
    const players = playersAt(part, note.onsetTicks);
    const open = result.at(-1);
    if (open && open.instrument.id === instrument.id && open.players === players) open.notes.push(note);
    else result.push({ notes: [note], instrument, players });
  }
  return result;
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
