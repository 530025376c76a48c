/** Long loud stretches, for the ears of those who play. */
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { PlayabilitySettings } from "./playability_constants.ts";
import {
  COMMON_PRACTICE,
  finding,
  type FindingPlace,
  held,
  type Judge,
  soundingSeconds,
  stretchesOf,
} from "./judge.ts";

/** Bars in which most parts of the score play loud. */
export function loudTuttiBars(
  notes: readonly Note[],
  score: Pick<Score, "bars" | "parts">,
  settings: PlayabilitySettings,
): ReadonlySet<number> {
  const loud = score.bars.map(() => new Set<number>());
  for (const n of notes) {
    if (n.dynamic < settings.loudFrom) continue;
    const last = barIndexOf(score, Math.max(n.onsetTicks, n.onsetTicks + n.durationTicks - 1));
    for (let bar = barIndexOf(score, n.onsetTicks); bar <= last; bar++) loud[bar]?.add(n.part);
  }
  return new Set(
    loud.flatMap((parts, bar) => parts.size >= settings.tuttiShare * score.parts.length ? [bar] : []),
  );
}

/**
 * Long stretches of fortissimo, or of forte in a loud tutti, which counts for less. Nobody has published a limit of
 * this kind for composers; it is a reminder.
 */
export function exposurePlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  const { settings, score, loudTutti } = judge;
  const weightOf = (n: Note) => {
    if (n.dynamic >= settings.exposureFrom) return 1;
    const tutti = n.dynamic >= settings.loudFrom && loudTutti.has(barIndexOf(score, n.onsetTicks));
    return tutti ? settings.tuttiForteWeight : 0;
  };
  const loud = line.filter((n) => weightOf(n) > 0);
  return stretchesOf(loud, judge, settings.exposurePauseSeconds).flatMap((notes): FindingPlace[] => {
    const seconds = notes.reduce((sum, n) => sum + weightOf(n) * soundingSeconds(n, judge), 0);
    if (seconds <= settings.exposureSeconds) return [];
    return [finding(judge, {
      at: notes,
      severity: "tiring",
      rule: "loud exposure",
      what: `${
        Math.round(seconds)
      } s at fortissimo or in a loud tutti (forte counted ${settings.tuttiForteWeight}) without ${settings.exposurePauseSeconds} s of quiet. Local rules on noise and working time apply`,
      ...held(seconds, settings.exposureSeconds, "seconds"),
      source: COMMON_PRACTICE,
      remedy:
        "Save the loudest dynamic for the goal, thin out the scoring, or let sections take turns; ask for screens and ear protection",
    })];
  });
}
