/** Places to breathe. */
import { greatestOf } from "../../base/extremes.ts";
import { breathReader } from "../../instruments/breath.ts";
import type { Note } from "../../score/model.ts";
import { finding, type FindingPlace, inTenths, type Judge, lengthOf, stretchesOf } from "./judge.ts";
import { runsOf } from "../runs.ts";

/**
 * Stretches longer than one breath at their dynamic and register: air flow is added up note by note. Where the
 * player can steal a breath from the end of a longer note that no slur leads away from, it is only noted.
 * Several players on a line breathe in turn.
 */
export function breathPlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  const { settings, instrument, players } = judge;
  const breathOf = breathReader(instrument);
  if (players > 1 || breathOf === undefined) return [];
  return stretchesOf(line, judge, settings.breathGapSeconds).flatMap((notes): FindingPlace[] => {
    const whole = airOf(notes, breathOf, judge);
    if (whole.seconds <= whole.limitSeconds) return [];
    const stolen = phrasesOf(notes, judge).map((phrase) => airOf(phrase, breathOf, judge));
    const longest = stolen.reduce((a, b) => b.share > a.share ? b : a);
    const base = {
      at: notes,
      rule: "breath",
      unit: "seconds",
      source: "planning figure from air flow and register, data/breath.csv and data/registers.csv",
    };
    if (longest.share <= 1) {
      if (whole.share < settings.stolenBreaths) return [];
      return [finding(judge, {
        ...base,
        severity: "note",
        what: `${
          inTenths(whole.seconds)
        } s without a rest or breath mark; as a guide one breath lasts about ${
          inTenths(whole.limitSeconds)
        } s here, so the player will steal time from a long note`,
        figure: whole.seconds,
        limit: whole.limitSeconds,
        remedy: "Put a breath mark where you want the phrase to part, or a short rest",
      })];
    }
    return [finding(judge, {
      ...base,
      severity: longest.share > 2 ? "risky" : "tiring",
      what: `${inTenths(longest.seconds)} s without a place to breathe; as a guide one breath lasts about ${
        inTenths(longest.limitSeconds)
      } s at this dynamic and register`,
      figure: longest.seconds,
      limit: longest.limitSeconds,
      remedy:
        "Leave a short rest at a phrase end, end the slur on a longer note, or let two players take turns",
    })];
  });
}

/** How long some notes last, how long one breath would carry them, and how many breaths they are. */
function airOf(
  notes: readonly Note[],
  breathOf: NonNullable<ReturnType<typeof breathReader>>,
  judge: Judge,
): { readonly seconds: number; readonly limitSeconds: number; readonly share: number } {
  const end = greatestOf(notes.map((n) => n.onsetTicks + n.durationTicks));
  const seconds = judge.clock(end) - judge.clock(notes[0]!.onsetTicks);
  let written = 0;
  let breaths = 0;
  for (const n of notes) {
    const length = lengthOf(n, judge);
    written += length;
    const oneBreath = breathOf(n.dynamic, n.unpitched ? undefined : n.soundingPitch);
    breaths += length / (judge.settings.breathFactor * oneBreath);
  }
  const limitSeconds = breaths === 0 ? Infinity : written / breaths;
  return { seconds, limitSeconds, share: seconds / limitSeconds };
}

/** The stretch cut after longer notes that no slur leads away from. */
function phrasesOf(notes: readonly Note[], judge: Judge): readonly (readonly Note[])[] {
  return runsOf(notes, (before, n) => n.slurred || lengthOf(before, judge) < judge.settings.stealFromSeconds);
}
