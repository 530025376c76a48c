/** Changes of manner within a part (mutes, fingers for bow, hand in the bell), and manners that are not customary. */
import { changeTimes } from "../instruments/changes.ts";
import { techniquesOf } from "../instruments/techniques.ts";
import type { Note, Technique } from "../score/model.ts";
import { COMMON_PRACTICE, inTenths, type Judge, type Place, withArticle } from "./playability_place.ts";
import { soundingTicks } from "./sounding.ts";

/** A plucked note may be left to ring after this long: common practice, no source. */
const PLUCK_SECONDS = 0.15;

/** Share of the least time in which a change still comes off where the note before is cut short: common practice, no source. */
const HURRIED_SHARE = 0.6;

/** Names of the change, as data/change_times.csv has them: the first the instrument knows counts. */
function changeNames(from: Technique, to: Technique): readonly string[] {
  if (to === "con sordino" && from !== "pizzicato") return ["mute on", "mute in"];
  if (from === "con sordino" && to !== "pizzicato") return ["mute off", "mute out"];
  if (to === "pizzicato") return ["bowed to plucked"];
  if (from === "pizzicato") return ["plucked to bowed"];
  if (to === "col legno") return ["hair to wood"];
  if (to === "stopped") return ["open to stopped"];
  if (from === "stopped") return ["stopped to open"];
  return [];
}

/**
 * Changes between neighbouring notes without the time they take. Where the note before can be cut short to make
 * the time, it is a note; where even that does not help, a risk. Half of a divided section can change while the
 * other half plays on.
 *
 * @param line notes of one voice, one per onset
 * @param judge instrument and tempo
 * @returns the places
 */
export function changePlaces(line: readonly Note[], judge: Judge): Place[] {
  const times = changeTimes(judge.instrument);
  const places: Place[] = [];
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1]!, line[i]!];
    if (a.technique === b.technique) continue;
    const names = changeNames(a.technique, b.technique);
    const change = times.find((each) => names.includes(each.change));
    if (change === undefined) continue;
    const [from, to] = [judge.clock(a.onsetTicks), judge.clock(b.onsetTicks)];
    const written = judge.clock(a.onsetTicks + soundingTicks(a));
    const free = a.technique === "pizzicato" ? Math.min(written, from + PLUCK_SECONDS) : written;
    const seconds = Math.max(0, to - free);
    if (seconds >= change.leastSeconds) continue;
    // A mute needs the whole time; for the rest the note before can be cut short, or the change hurried.
    const needed = change.change.startsWith("mute")
      ? change.leastSeconds
      : HURRIED_SHARE * change.leastSeconds;
    const risky = change.change.startsWith("mute") ? seconds < needed : to - from < needed;
    places.push({
      ...judge.at,
      onsetTicks: b.onsetTicks,
      endTicks: b.onsetTicks + b.durationTicks,
      severity: risky ? "risky" : "note",
      rule: "change of manner",
      what: `${change.change} in ${
        inTenths(seconds)
      } s; it takes ${change.leastSeconds} s, ${change.comfortableSeconds} s to do it calmly${
        risky ? "" : ", so the note before will be cut short"
      }`,
      figure: seconds,
      limit: change.leastSeconds,
      unit: "seconds",
      source: change.source,
      remedy: judge.players > 1
        ? "Leave a rest before the change, or let half the players change early while the others play on"
        : "Leave a rest before the change, or give the notes after it to a second player",
    });
  }
  return places;
}

/**
 * Ways of playing the catalogue does not list for the instrument, or lists as advanced.
 *
 * @param notes notes of the part
 * @param judge the instrument
 * @returns the places
 */
export function mannerPlaces(notes: readonly Note[], judge: Judge): Place[] {
  const { instrument } = judge;
  const known = new Map(techniquesOf(instrument).map((each) => [each.technique, each]));
  return notes.flatMap((n): Place[] => {
    const manner = known.get(n.technique);
    if (n.technique === "ordinario" || manner?.custom === "usual") return [];
    // Plucked instruments are plucked anyway.
    if (n.technique === "pizzicato" && instrument.soundProduction === "plucked") return [];
    return [{
      ...judge.at,
      onsetTicks: n.onsetTicks,
      endTicks: n.onsetTicks + n.durationTicks,
      severity: manner ? "note" : "risky",
      rule: "way of playing",
      what: manner
        ? `${n.technique} on ${withArticle(instrument.id)} is for advanced players${
          manner.note ? ` (${manner.note})` : ""
        }`
        : `${n.technique} on ${withArticle(instrument.id)} is not customary`,
      figure: 1,
      limit: 0,
      unit: "notes",
      source: manner?.source ?? COMMON_PRACTICE,
      remedy: "Ask the player first, and write down what to do without it",
    }];
  });
}
