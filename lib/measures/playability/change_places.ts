/** Changes of manner within a part (mutes, fingers for bow, hand in the bell), and manners that are not customary. */
import { changeTimes } from "../../instruments/changes.ts";
import { tonguingSupport } from "../../instruments/rates.ts";
import { techniquesOf } from "../../instruments/techniques.ts";
import type { Note, Technique } from "../../score/model.ts";
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

/** A plucked note may be left to ring after this long: common practice, no source. */
const PLUCK_SECONDS = 0.15;

/** Share of the least time in which a change still comes off where the note before is cut short: common practice, no source. */
const HURRIED_SHARE = 0.6;

/** Names of the changes, as data/change_times.csv has them: strings put a mute on, brass put it in. */
function changeNames(a: Note, b: Note): readonly string[] {
  const [from, to] = [a.techniques ?? [a.technique], b.techniques ?? [b.technique]];
  const names: string[] = [];
  const begins = (technique: Technique) => to.includes(technique) && !from.includes(technique);
  const ends = (technique: Technique) => from.includes(technique) && !to.includes(technique);
  // Where only one manner is known, a plucked note says nothing about the mute.
  const known = [a, b].every((n) => n.techniques !== undefined || n.technique !== "pizzicato");
  if (known && begins("con sordino")) names.push("mute on", "mute in");
  if (known && ends("con sordino")) names.push("mute off", "mute out");
  if (begins("pizzicato")) names.push("bowed to plucked");
  if (ends("pizzicato")) names.push("plucked to bowed");
  if (begins("col legno")) names.push("hair to wood");
  if (begins("stopped")) names.push("open to stopped");
  if (ends("stopped")) names.push("stopped to open");
  return names;
}

/**
 * Changes between neighbouring notes without the time they take. Where the note before can be cut short to make
 * the time, it is a note; where even that does not help, a risk. Half of a divided section can change while the
 * other half plays on.
 */
export function changePlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  const times = changeTimes(judge.instrument);
  const places: FindingPlace[] = [];
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1]!, line[i]!];
    const names = changeNames(a, b);
    if (names.length === 0) continue;
    // Where two things change at once, the slower one decides.
    const change = times.filter((each) => names.includes(each.change))
      .sort((one, other) => other.leastSeconds - one.leastSeconds)[0];
    if (change === undefined) continue;
    const [from, to] = [judge.clock(a.onsetTicks), judge.clock(b.onsetTicks)];
    const written = judge.clock(a.onsetTicks + soundingTicks(a));
    const free = a.technique === "pizzicato" ? Math.min(written, from + PLUCK_SECONDS) : written;
    const seconds = Math.max(0, to - free);
    if (seconds >= change.leastSeconds) continue;
    // A mute needs the whole time; for the rest the note before can be cut short, or the change hurried.
    const risky = change.change.startsWith("mute") || to - from < HURRIED_SHARE * change.leastSeconds;
    places.push(finding(judge, {
      at: b,
      severity: risky ? "risky" : "note",
      rule: "change of manner",
      what: `${change.change} in ${
        inTenths(seconds)
      } s; it takes ${change.leastSeconds} s, ${change.comfortableSeconds} s to do it calmly${
        risky ? "" : ", so the note before will be cut short"
      }`,
      ...held(seconds, change.leastSeconds, "seconds"),
      source: change.source,
      remedy: judge.players > 1
        ? "Leave a rest before the change, or let half the players change early while the others play on"
        : "Leave a rest before the change, or give the notes after it to a second player",
    }));
  }
  return places;
}

/** Ways of playing the catalogue does not list for the instrument, or lists as advanced. */
export function mannerPlaces(notes: readonly Note[], judge: Judge): FindingPlace[] {
  const { instrument } = judge;
  const known = new Map(techniquesOf(instrument).map((each) => [each.technique, each]));
  return notes.flatMap((n) => (n.techniques ?? [n.technique]).map((technique) => ({ n, technique }))).flatMap(
    (
      { n, technique },
    ): FindingPlace[] => {
      const manner = known.get(technique);
      if (technique === "ordinario" || manner?.custom === "usual") return [];
      // Plucked instruments are plucked anyway.
      if (technique === "pizzicato" && instrument.soundProduction === "plucked") return [];
      return [finding(judge, {
        at: n,
        severity: manner ? "note" : "risky",
        rule: "way of playing",
        what: manner
          ? `${technique} on ${withArticle(instrument.id)} is for advanced players${
            manner.note ? ` (${manner.note})` : ""
          }`
          : `${technique} on ${withArticle(instrument.id)} is not customary`,
        ...held(1, 0, "notes"),
        source: manner?.source ?? COMMON_PRACTICE,
        remedy: "Ask the player first, and write down what to do without it",
      })];
    },
  );
}

/** Signs for double or triple tonguing on instruments whose players do not tongue so by custom. */
export function tonguingSignPlaces(notes: readonly Note[], judge: Judge): FindingPlace[] {
  const { instrument } = judge;
  const support = tonguingSupport(instrument);
  return notes.flatMap((n): FindingPlace[] => {
    const sign = n.signs?.find((each) => each === "double-tongue" || each === "triple-tongue");
    const custom = sign === undefined
      ? "conventional"
      : sign === "double-tongue"
      ? support?.double
      : support?.triple;
    if (custom === "conventional") return [];
    const never = custom === undefined || custom === "none";
    return [finding(judge, {
      at: n,
      severity: never ? "risky" : "note",
      rule: "way of playing",
      what: `${sign} signs for ${withArticle(instrument.id)}: ${
        never ? "not customary" : "some players tongue so, not all"
      }`,
      ...held(0, 1, "customary, 1 yes and 0 no"),
      source: support?.source ?? COMMON_PRACTICE,
      remedy: "Ask the player first, slur the notes in pairs, or slow them down to single tonguing",
    })];
  });
}
