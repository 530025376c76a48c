/** Notes at once: stops of one string player, a section's division, hands on keys, harp and bars. */
import { greatestOf, leastOf } from "../../base/extremes.ts";
import { stopOn, stringsOf } from "../../instruments/special/stops.ts";
import type { Note } from "../../score/model.ts";
import { lastAt } from "../players_at.ts";
import { spelledName } from "../../score/spelled_name.ts";
import {
  COMMON_PRACTICE,
  finding,
  type FindingPlace,
  held,
  type Judge,
  lengthOf,
  type Said,
  withArticle,
} from "./judge.ts";

/** Fingers of one hand that play: the harp leaves out the little one, a mallet player holds two. */
const FINGERS = { keyboard: 5, harp: 4, mallets: 2 } as const;

/** Players left on each line of a divided section below which it is mentioned. Common practice, no source. */
const FEWEST_PER_LINE = 2;

/** Words that ask every player of a section for all notes of a chord. */
const NOT_DIVIDED = /^non div/i;

/**
 * Places where more notes sound at once than the players can give. A section divides; a single string player
 * stops, and neither can what lies on one string; a section that is told not to divide (`non div.`) stops as one
 * player does; a hand reaches as far as the constants say.
 */
export function chordPlaces(notes: readonly Note[], judge: Judge): FindingPlace[] {
  const { instrument, players, written } = judge;
  if (notes.every((n, i) => i === 0 || n.onsetTicks !== notes[i - 1]!.onsetTicks)) return [];
  const isStopped = (ticks: number) =>
    NOT_DIVIDED.test(lastAt(written.playing, ticks)?.words ?? "") && stringsOf(instrument).length > 0;
  const usualRule = players === 1 && stringsOf(instrument).length > 0
    ? stopPlace
    : instrument.family === "keyboard" && instrument.kind !== "accordion" || instrument.kind === "harp"
    ? handPlace
    : players === 1 && instrument.family === "percussion" && instrument.mostNotes === 4
    ? malletPlace
    : playersPlace;
  return [...Map.groupBy(notes, (n) => n.onsetTicks)].flatMap(([onsetTicks, chord]): FindingPlace[] => {
    if (chord.length < 2) return [];
    const pitches = [...new Set(chord.filter((n) => !n.unpitched).map((n) => n.soundingPitch))]
      .sort((a, b) => a - b);
    if (pitches.length < 2) return [];
    const rule = isStopped(onsetTicks) ? stopPlace : usualRule;
    const said = rule(pitches, chord, judge);
    if (said === null) return [];
    return [finding(judge, {
      at: {
        onsetTicks,
        endTicks: greatestOf(chord.map((n) => n.onsetTicks + n.durationTicks)),
      },
      ...said,
    })];
  });
}

type ChordRule = (pitches: readonly number[], chord: readonly Note[], judge: Judge) => Said | null;

/** Winds, voices and sections: no more notes than players, and two players to a line of a section. */
function playersPlace(
  pitches: readonly number[],
  _chord: readonly Note[],
  judge: Judge,
): Said | null {
  const { instrument, players } = judge;
  const section = instrument.family === "strings";
  const most = section ? Math.floor(players / FEWEST_PER_LINE) : instrument.mostNotes * players;
  if (pitches.length <= most) return null;
  return {
    severity: "note",
    rule: "notes at once",
    what: `${pitches.length} notes at once for ${players === 1 ? "one player" : `${players} players`}`,
    ...held(pitches.length, most, "notes"),
    source: COMMON_PRACTICE,
    remedy: section
      ? "Divide the section into fewer lines, or give some notes to its neighbours"
      : "Say how many players share the line, divide it, or leave notes out",
  };
}

/** Pitches of a chord by name, low to high. */
function namesOf(pitches: readonly number[], chord: readonly Note[], { score }: Judge): string {
  return pitches.map((pitch) => spelledName(score, chord.find((n) => n.soundingPitch === pitch)!)).join(", ");
}

/** One player on strings. */
function stopPlace(pitches: readonly number[], chord: readonly Note[], judge: Judge): Said | null {
  const { instrument, settings } = judge;
  if (chord.some((n) => n.technique === "harmonic")) return null;
  const stop = stopOn(instrument, pitches);
  const names = namesOf(pitches, chord, judge);
  const source = stringsOf(instrument)[0]!.source;
  if (!stop.possible) {
    return {
      severity: "impossible",
      rule: "stops",
      what: `${names} together: ${stop.reason[0]!.toLowerCase()}${stop.reason.slice(1).replace(/\.$/, "")}`,
      ...held(pitches.length, pitches.length - 1, "notes"),
      source,
      remedy:
        "Leave out a note, respace the chord over neighbouring strings, or divide it between two players",
    };
  }
  const seconds = leastOf(chord.map((n) => lengthOf(n, judge)));
  const plucked = instrument.soundProduction !== "bowed" || chord.every((n) => n.technique === "pizzicato");
  if (pitches.length < 3 || plucked || seconds <= settings.rolledFromSeconds) return null;
  return {
    severity: "note",
    rule: "stops",
    what: `${names} cannot be held together: the bow rolls over ${pitches.length} strings and stays on two`,
    ...held(seconds, settings.rolledFromSeconds, "seconds"),
    source: COMMON_PRACTICE,
    remedy: "Hold only the upper two notes, or write the chord short",
  };
}

/** Two hands on keys or strings. */
function handPlace(pitches: readonly number[], chord: readonly Note[], judge: Judge): Said | null {
  const { instrument, settings } = judge;
  if (chord.some((n) => n.signs?.includes("arpeggiate"))) return null;
  const fingers = instrument.kind === "harp" ? FINGERS.harp : FINGERS.keyboard;
  // The organist's feet take the lowest note besides.
  const byHand = instrument.kind === "organ" ? pitches.slice(1) : pitches;
  return twoHands(byHand, {
    fingers,
    span: settings.handSpanSemitones,
    who: `two hands on ${withArticle(instrument.id)}`,
    names: namesOf(byHand, chord, judge),
  });
}

/** Four mallets in two hands. */
function malletPlace(pitches: readonly number[], chord: readonly Note[], judge: Judge): Said | null {
  return twoHands(pitches, {
    fingers: FINGERS.mallets,
    span: judge.settings.malletSpanSemitones,
    who: "four mallets",
    names: namesOf(pitches, chord, judge),
  });
}

/** Whether the notes, low to high, can be parted between a left and a right hand. */
function twoHands(
  pitches: readonly number[],
  hands: { readonly fingers: number; readonly span: number; readonly who: string; readonly names: string },
): Said | null {
  const { fingers, span, who, names } = hands;
  const spanOf = (own: readonly number[]) => own.at(-1)! - own[0]!;
  const splits = pitches.slice(1).map((_, i) => [pitches.slice(0, i + 1), pitches.slice(i + 1)]);
  if (splits.length === 0) return null;
  const counted = splits.filter((hands) => hands.every((own) => own.length <= fingers));
  const base = { rule: "hands", source: COMMON_PRACTICE } as const;
  if (counted.length === 0) {
    return {
      ...base,
      severity: "risky",
      what: `${pitches.length} notes at once for ${who}`,
      ...held(pitches.length, 2 * fingers, "notes"),
      remedy: "Leave out doubled notes, or give some to another instrument",
    };
  }
  const least = Math.min(...counted.map((hands) => Math.max(...hands.map(spanOf))));
  if (least <= span) return null;
  return {
    ...base,
    severity: "note",
    what: `${names} asks one hand to span ${least} semitones; ${who} reach ${span} each`,
    ...held(least, span, "semitones"),
    remedy:
      "Bring the notes together, leave one out, or write an arpeggio sign so that the chord is broken as you want",
  };
}
