/** What tires: loud and high playing without rest, loud tremolo, playing on and on, too few bars of rest. */
import { registerOf } from "../../instruments/registers.ts";
import { staminaRules } from "../../instruments/guidance.ts";
import { isBlurred } from "./strokes.ts";
import { strokesPerSecond } from "../../score/tremolo.ts";
import type { Note } from "../../score/model.ts";
import { endTicksOf } from "../../score/time.ts";
import {
  COMMON_PRACTICE,
  finding,
  type FindingPlace,
  held,
  type Judge,
  soundingSeconds,
  stretchesOf,
} from "./judge.ts";

/** Stretches that tire the player. The times are rows of data/stamina.csv; the finding names them. */
export function staminaPlaces(line: readonly Note[], judge: Judge): FindingPlace[] {
  const { settings, instrument } = judge;
  const loud = (n: Note) => n.dynamic >= settings.loudFrom;
  const places: FindingPlace[] = [];
  const stretches = stretchesOf(line, judge, settings.restSeconds);
  const add = (rule: string, counts: (n: Note) => boolean, what: string, remedy: string) => {
    const given = staminaRules(instrument).find((each) => each.rule === rule && each.unit === "seconds");
    if (given) {
      const limit = { seconds: given.value * settings.staminaFactor, source: given.source };
      places.push(...tiring(stretches, judge, { rule, limit, counts, what, remedy }));
    }
  };
  const rest = "Rest the player for a few bars, or let an assistant or another section take part of it";
  add("loud without rest", loud, "loud playing", rest);
  const high = (n: Note) => loud(n) && isHigh(n, judge);
  const { low } = instrument.rangeExtreme;
  const canGoDown = line.every((n) => !high(n) || n.soundingPitch - 12 >= low);
  const down = canGoDown ? `${rest}; or move it down an octave` : rest;
  add("loud and high without rest", high, "loud and high playing", down);
  add("high and loud without rest", high, "loud and high singing", down);
  add(
    "unmeasured tremolo, loud",
    (n) => loud(n) && isTremolo(n, judge),
    "loud tremolo",
    "Let half the desks hold the note, or change to measured strokes for a while",
  );
  places.push(...playingOn(stretches, judge), ...restShare(line, judge));
  return places;
}

/** Wind players who go on without two seconds of rest. */
function playingOn(stretches: readonly (readonly Note[])[], judge: Judge): FindingPlace[] {
  const { instrument, settings, players } = judge;
  if (!["woodwind", "brass"].includes(instrument.family) || players > 1) return [];
  const own = staminaRules(instrument).find((each) => each.rule === "continuous playing");
  return tiring(stretches, judge, {
    rule: "playing without rest",
    limit: {
      seconds: (own?.value ?? settings.windPlayingSeconds) * settings.staminaFactor,
      source: own?.source ?? COMMON_PRACTICE,
    },
    counts: () => true,
    what: "playing",
    remedy: "Leave a bar of rest, or hand the line to another player for a while",
  });
}

function tiring(
  stretches: readonly (readonly Note[])[],
  judge: Judge,
  options: {
    readonly rule: string;
    readonly limit: { readonly seconds: number; readonly source: string };
    readonly counts: (n: Note) => boolean;
    readonly what: string;
    readonly remedy: string;
  },
): FindingPlace[] {
  const { rule, limit, counts, what, remedy } = options;
  return stretches.flatMap((notes): FindingPlace[] => {
    const own = notes.filter(counts);
    const seconds = own.reduce((sum, n) => sum + soundingSeconds(n, judge), 0);
    if (seconds <= limit.seconds) return [];
    return [finding(judge, {
      at: own,
      severity: "tiring",
      rule,
      what: `${Math.round(seconds)} s of ${what} without ${judge.settings.restSeconds} s of rest`,
      ...held(seconds, limit.seconds, "seconds"),
      source: limit.source,
      remedy,
    })];
  });
}

/** Share of the bars in which the player rests, over a piece long enough for it to matter. */
function restShare(line: readonly Note[], judge: Judge): FindingPlace[] {
  const { score, clock, settings, instrument, players } = judge;
  const rule = staminaRules(instrument).find((each) => each.unit === "share of the bars");
  const seconds = clock(endTicksOf(score));
  const loudest = line.filter((n) => n.dynamic >= settings.loudFrom).length;
  if (!rule || players > 1 || seconds < settings.restShareFromSeconds || 2 * loudest < line.length) return [];
  let next = 0;
  let resting = 0;
  for (const bar of score.bars) {
    const end = bar.startTicks + bar.durationTicks;
    while (next < line.length && line[next]!.onsetTicks + line[next]!.durationTicks <= bar.startTicks) next++;
    if ((line[next]?.onsetTicks ?? Infinity) >= end) resting++;
  }
  const share = resting / score.bars.length;
  if (share >= rule.value) return [];
  return [finding(judge, {
    at: line,
    severity: "note",
    rule: "rest in a demanding part",
    what: `${Math.round(100 * share)} % of the bars are rests in a part that is mostly loud; ${
      Math.round(100 * rule.value)
    } % are a good plan`,
    ...held(share, rule.value, "share of the bars"),
    source: rule.source,
    remedy: "Rest this part while others can carry its notes",
  })];
}

/** High: in the instrument's high register or beyond it. */
function isHigh(n: Note, { instrument }: Judge): boolean {
  const name = registerOf(instrument, n.soundingPitch).name;
  return name === "high" || name === "extreme";
}

function isTremolo(n: Note, judge: Judge): boolean {
  const { clock, score: { ticksPerQuarter } } = judge;
  return n.tremoloSlashes > 0 && isBlurred(n, strokesPerSecond(n, { ticksPerQuarter, clock }), judge);
}
