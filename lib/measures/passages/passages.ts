/** Where the music turns: the passages of a score. */
import { A_FRESHNESS, A_SCORE, A_TEXTURE, checkArgument, checkOptions } from "../../base/arguments.ts";
import { applySettings, type Settings } from "../../base/settings.ts";
import type { Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { freshnessFigures } from "../freshness/freshness.ts";
import type { Freshness } from "../freshness/freshness_results.ts";
import type { PassageStart, ScorePassage } from "./passages_results.ts";
import { printedPassages } from "./printed_passages.ts";
import { bestCuts, octavesApart } from "../best_cuts.ts";
import { printedTurns } from "../printed_turns.ts";

/** Constants of {@linkcode passagesOf}, with their units and sources. */
export const PASSAGE_CONSTANTS = {
  shortestBars: {
    value: 4,
    unit: "bars",
    least: 1,
    source: "model assumption: one short phrase",
    meaning: "no passage is shorter, unless rehearsal marks or the whole score make it so",
  },
  usualBars: {
    value: 16,
    unit: "bars",
    least: 1,
    source: "model assumption: two phrases of eight bars",
    meaning: "length that a passage has where nothing says otherwise",
  },
  longestBars: {
    value: 32,
    unit: "bars",
    least: 1,
    source: "model assumption: beyond it nobody rehearses a passage as one",
    meaning: "no passage is longer, unless a plan has it so or two of the shortest are",
  },
  lengthWeight: {
    value: 0.1,
    unit: "share",
    source: "model assumption",
    meaning: "what a passage of half or twice the usual length loses; four times as much for a quarter",
  },
  turnFrom: {
    value: 0.25,
    unit: "share",
    source: "model assumption, as a change of the orchestration counts from there",
    meaning: "novelty that a bar line has to have to be worth a cut",
  },
  signWeight: {
    value: 1,
    unit: "share",
    source: "model assumption: a printed sign is as clear as a clean break in the scoring",
    meaning: "what a double bar, a repeat, a new tempo, metre or key adds to the novelty at its bar line",
  },
} as const;

type PassageSettings = Settings<typeof PASSAGE_CONSTANTS>;

/** Options of {@linkcode passagesOf}. */
export interface PassagesOptions {
  /** Freshness of the score, where it has been measured; its novelty is used. */
  readonly freshness?: Freshness;
  /** Texture to measure freshness by, instead of the written or recognised one. */
  readonly texture?: Texture;
  /** Constants that differ from {@linkcode PASSAGE_CONSTANTS}. */
  readonly constants?: Partial<Settings<typeof PASSAGE_CONSTANTS>>;
}

const OPTIONS = { freshness: A_FRESHNESS, texture: A_TEXTURE, constants: undefined };

/**
 * Cuts a score into passages, each bar in one. A score written from a plan has the plan's. Any other is cut at every
 * rehearsal mark, and between them where the music turns: of all ways to cut into passages of 4 to 32 bars the one is
 * taken whose bar lines have most, counted as the novelty of freshness (0 to 1) and 1 for a double bar, a repeat, or a
 * tempo, metre or key that changes for at least the shortest length, less 0.25 for each cut and less what lengths far
 * from 16 bars lose. Stretches too short to be cut stay whole; a score of one bar is one passage.
 *
 * @param score the score
 * @param options freshness where it is known, texture, constants
 * @returns passages in order, with name (of the plan, or the rehearsal mark), bars and why they begin
 * @throws {InputError} when a constant is unknown or makes no sense
 *
 * Source of the novelty curve: Foote, Automatic audio segmentation using a measure of audio novelty, ICME 2000; lengths
 * and weights are model assumptions.
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { passagesOf } from "ripieno/measures";
 * import { assertEquals } from "@std/assert";
 * assertEquals(passagesOf(demoScore())[2], { name: "Rapids", fromBarIndex: 16, toBarIndex: 23, begins: ["plan"] });
 * ```
 */
export function passagesOf(score: Score, options: PassagesOptions = {}): readonly ScorePassage[] {
  checkArgument("find the passages", score, A_SCORE);
  checkOptions("find the passages", options, OPTIONS);
  const settings = applySettings("passages", PASSAGE_CONSTANTS, options.constants);
  const isPlanned = (score.layers ?? []).length > 0;
  const named = printedPassages(score).map((passage): ScorePassage => {
    const isMarked = score.bars[passage.fromBarIndex]!.rehearsal !== undefined;
    return { ...passage, begins: [isPlanned ? "plan" : isMarked ? "rehearsal mark" : "beginning"] };
  });
  const shortest = Math.round(settings.shortestBars);
  // Where none is long enough to be cut, nobody asks how fresh the score is.
  if (isPlanned || named.every((p) => p.toBarIndex + 1 - p.fromBarIndex < 2 * shortest)) return named;
  const { texture } = options;
  const { perBar } = options.freshness ?? freshnessFigures(score, texture === undefined ? {} : { texture });
  const signs = printedTurns(score, shortest);
  const turns = score.bars.map((_, b): Turn => {
    const novelty = perBar[b]?.novelty ?? 0;
    const begins: readonly PassageStart[] = novelty >= settings.turnFrom
      ? [...signs[b]!, "new scoring"]
      : signs[b]!;
    return { strength: Math.max(0, novelty) + settings.signWeight * signs[b]!.length, begins };
  });
  return named.flatMap((passage) => cut(passage, turns, settings));
}

/** A bar line: how much turns there, and why. */
interface Turn {
  readonly strength: number;
  readonly begins: readonly PassageStart[];
}

/** The best way to cut a named passage. */
function cut(
  passage: ScorePassage,
  turns: readonly Turn[],
  settings: PassageSettings,
): readonly ScorePassage[] {
  const { name, fromBarIndex, toBarIndex } = passage;
  const count = toBarIndex + 1 - fromBarIndex;
  const shortest = Math.round(settings.shortestBars);
  const starts = bestCuts(count, {
    shortest,
    // Passages of 4 to 7 bars can fill any stretch that can be cut at all, passages of 4 to 6 cannot.
    longest: Math.max(Math.round(settings.longestBars), 2 * shortest - 1),
    turnAt: (bar) => turns[fromBarIndex + bar]!.strength - settings.turnFrom,
    lossOf: (bars) => settings.lengthWeight * octavesApart(bars, settings.usualBars),
  });
  return starts.map((start, i): ScorePassage => {
    const { begins } = turns[fromBarIndex + start]!;
    return {
      name: i === 0 ? name : "",
      fromBarIndex: fromBarIndex + start,
      toBarIndex: fromBarIndex + (starts[i + 1] ?? count) - 1,
      begins: i === 0 ? passage.begins : begins.length > 0 ? begins : ["length"],
    };
  });
}
