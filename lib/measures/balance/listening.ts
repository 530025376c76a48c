/** A score made ready to be listened to: texture, sounds of its notes, what sounds in each stretch. */
import { A_SCORE, checkArgument } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { memoOf, memoOfFigures } from "../../base/memo.ts";
import { soundingNotes } from "../../score/build.ts";
import type { Note, Score } from "../../score/model.ts";
import { clockOf } from "../../score/time.ts";
import { toldApart } from "../../score/told_apart.ts";
import type { Texture } from "../../texture/model.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import { type BalanceOptions, type BalanceSettings, balanceSettings } from "./balance_options.ts";
import { leadDoublings } from "./lead_doublings.ts";
import { type MomentReader, momentReader, type MomentSpan } from "./moment.ts";
import { notesInBars } from "../notes_in_bars.ts";
import { type PlacedNotes, placedNotes } from "./placed_notes.ts";
import { type NoteSounds, noteSounds } from "./note_sound.ts";

/** Bars to look at, indexes from 0. */
export interface BarsToHear {
  /** First bar, index from 0. By default the first. */
  readonly fromBarIndex?: number;
  /** Last bar, inclusive. By default the last. */
  readonly toBarIndex?: number;
}

/** What is prepared once and asked many times. */
export interface Listening {
  readonly score: Score;
  readonly texture: Texture;
  readonly sounds: NoteSounds;
  /** Notes that sound in each bar, those held over included. */
  readonly byBar: readonly (readonly Note[])[];
  readonly clock: (ticks: number) => number;
  /** What sounds together in a stretch. */
  readonly moments: MomentReader;
  readonly settings: BalanceSettings;
}

/** Prepares a score for listening. */
export function listeningTo(given: Score, options: BalanceOptions = {}): Listening {
  const settings = balanceSettings("listen to the score", options);
  const texture = givenTexture("listen to the score", given, options.texture);
  const score = toldApart(given);
  const gridStepCam = options.detail === "quick" ? settings.quickGridStepCam : settings.gridStepCam;
  const sounds = noteSounds(score, { ...settings, gridStepCam }, options);
  const notes = soundingNotes(score);
  const clock = clockOf(score);
  const placed = placesOf(score, texture, notes);
  const { leadSteps } = settings;
  const moments = momentReader({ score, texture, sounds, placed, clock, leadSteps });
  return { score, texture, sounds, byBar: placed.byBar, clock, moments, settings };
}

/** Notes by the bar they sound in, with those marked that double the lead. */
function placesOf(score: Score, texture: Texture, notes: readonly Note[]): PlacedNotes {
  const key = [score.parts.length, ...score.bars.map((bar) => bar.startTicks)];
  const make = () => {
    const fused = leadDoublings(score, texture, notes);
    return placedNotes(score, texture, { byBar: notesInBars(score), fused });
  };
  return knownPlaces(texture)(notes)(key, make);
}

/** Settings with more players, or at another tempo, have the same notes in the same bars. */
const knownPlaces = memoOf((_texture: Texture) =>
  memoOf((_notes: readonly Note[]) => memoOfFigures<PlacedNotes>(2))
);

/** Checks a span of bars. The whole score where nothing was said. */
export function checkedBars(
  action: string,
  score: Pick<Score, "bars">,
  options: BarsToHear,
): { readonly fromBarIndex: number; readonly toBarIndex: number } {
  checkArgument(action, score, A_SCORE);
  if (score.bars.length === 0 && (options.fromBarIndex !== undefined || options.toBarIndex !== undefined)) {
    throw new InputError({
      action,
      problem: "the score has no bars",
      remedy: "Give a score with notes in it",
    });
  }
  const last = Math.max(0, score.bars.length - 1);
  const { fromBarIndex = 0, toBarIndex = last } = options;
  const isBar = (b: number) => Number.isInteger(b) && b >= 0 && b <= last;
  if (isBar(fromBarIndex) && isBar(toBarIndex) && fromBarIndex <= toBarIndex) {
    return { fromBarIndex, toBarIndex };
  }
  throw new InputError({
    action,
    problem: `fromBarIndex ${fromBarIndex} to toBarIndex ${toBarIndex} is no span of bars of this score`,
    remedy: `Give indexes from 0 to ${last}, the first not after the last`,
  });
}

/** The beats of a bar as stretches of time; a short bar is one. */
export function beatsOfBar(score: Score, bar: number): readonly MomentSpan[] {
  const { startTicks, durationTicks, beatUnit } = score.bars[bar]!;
  const beat = Math.min(durationTicks, score.ticksPerQuarter * Math.max(1, 4 / beatUnit));
  const end = startTicks + durationTicks;
  const spans: MomentSpan[] = [];
  for (let from = startTicks; from < end; from += beat) spans.push({ from, to: Math.min(end, from + beat) });
  return spans;
}
