/** Words such as rit. and accel., and pauses, made into tempos. */
import { A_SCORE, checkArgument } from "../base/arguments.ts";
import { applySettings, type Settings } from "../base/settings.ts";
import type { Ticks } from "../base/units.ts";
import type { Score, Tempo, TempoBend } from "./model.ts";
import { heldInRange } from "./tempo_range.ts";
import { endTicksOf } from "./time.ts";

/** How far the words bend the tempo; printed scores leave it to the players. */
export const TEMPO_BEND_CONSTANTS = {
  slowerShare: {
    value: 0.75,
    unit: "share of the tempo",
    above: 0,
    source: "model assumption",
    meaning: "tempo that a rit. or rall. comes down to",
  },
  quickerShare: {
    value: 1.25,
    unit: "share of the tempo",
    least: 1,
    most: 10,
    source: "model assumption",
    meaning: "tempo that an accel. comes up to",
  },
  lengthQuarters: {
    value: 8,
    unit: "quarters",
    above: 0,
    source: "model assumption",
    meaning: "length of a rit. or accel. that no later mark ends",
  },
  pauseFactor: {
    value: 2,
    unit: "times the written length",
    least: 1,
    source: "model assumption",
    meaning: "how long what stands under a pause is held",
  },
} as const;

/** One number for each constant of {@linkcode TEMPO_BEND_CONSTANTS}. */
export type TempoBendSettings = Settings<typeof TEMPO_BEND_CONSTANTS>;

/** The tempo in force at a place. */
function tempoAt(tempos: readonly Tempo[], ticks: Ticks): number {
  return (tempos.findLast((t) => t.onsetTicks <= ticks) ?? tempos[0]!).quartersPerMinute;
}

/** The tempos in order, one for each place; where several are given for one, the last. */
function inOrder(tempos: readonly Tempo[]): readonly Tempo[] {
  const byTicks = new Map<Ticks, Tempo>();
  for (const tempo of tempos) byTicks.set(tempo.onsetTicks, tempo);
  return [...byTicks.values()].sort((a, b) => a.onsetTicks - b.onsetTicks);
}

/** Slower, quicker, a tempo and the first tempo, as steps of a quarter note each. */
function withWords(
  score: Score,
  bends: readonly TempoBend[],
  settings: TempoBendSettings,
): readonly Tempo[] {
  const { ticksPerQuarter } = score;
  const marks = score.tempos;
  const steps: Tempo[] = [...marks];
  const first = marks[0]!.quartersPerMinute;
  // The steady tempo that "a tempo" goes back to: the last mark, not what a rit. has made of it.
  let steady = first;
  let now = first;
  let last = 0;
  bends.forEach((bend, i) => {
    const { onsetTicks } = bend;
    const marked = marks.findLast((t) => t.onsetTicks > last && t.onsetTicks <= onsetTicks);
    if (marked) steady = now = marked.quartersPerMinute;
    last = onsetTicks;
    if (bend.kind === "a tempo" || bend.kind === "first tempo") {
      const back = bend.kind === "a tempo" ? steady : first;
      // A mark at the same place says more than the words.
      if (marked?.onsetTicks === onsetTicks) return;
      steady = now = back;
      steps.push({ onsetTicks, quartersPerMinute: back, origin: "assumed" });
      return;
    }
    const nextBend = bends[i + 1]?.onsetTicks ?? Infinity;
    const nextMark = marks.find((t) => t.onsetTicks > onsetTicks)?.onsetTicks ?? Infinity;
    const usual = onsetTicks + settings.lengthQuarters * ticksPerQuarter;
    const endTicks = Math.min(nextBend, nextMark, usual, endTicksOf(score));
    const count = Math.max(1, Math.ceil((endTicks - onsetTicks) / ticksPerQuarter));
    const target = now * (bend.kind === "slower" ? settings.slowerShare : settings.quickerShare);
    for (let k = 0; k < count; k++) {
      const quartersPerMinute = heldInRange(now * (target / now) ** ((k + 1) / count));
      steps.push({ onsetTicks: onsetTicks + k * ticksPerQuarter, quartersPerMinute, origin: "assumed" });
    }
    now = heldInRange(target);
  });
  return inOrder(steps);
}

/** What is held: for pauses that end together, from the latest note or rest under one of them. */
function heldSpans(pauses: readonly TempoBend[]): readonly { from: Ticks; to: Ticks }[] {
  const byEnd = new Map<Ticks, Ticks>();
  for (const { onsetTicks, endTicks } of pauses) {
    if (endTicks === undefined || endTicks <= onsetTicks) continue;
    byEnd.set(endTicks, Math.max(byEnd.get(endTicks) ?? 0, onsetTicks));
  }
  const spans = [...byEnd].map(([to, from]) => ({ from, to })).sort((a, b) => a.from - b.from);
  // Held once where two pauses lie over each other.
  return spans.map((s, i) => ({ from: Math.max(s.from, spans[i - 1]?.to ?? 0), to: s.to }))
    .filter((s) => s.to > s.from);
}

/**
 * The score with its tempo bent as the words and pauses in `score.tempoBends` ask. Readers keep them and leave
 * the tempo steady, since nothing printed says how much; here every figure is a named assumption.
 *
 * A rit. or accel. goes in equal ratios, a step each quarter note, to the next word or tempo mark, or else over
 * `lengthQuarters`; the tempo reached stays until a word or a mark changes it. `a tempo` takes the last marked
 * tempo again, `Tempo I` the first. A pause makes what stands under it last `pauseFactor` times as long. No tempo
 * becomes slower than 4 or quicker than 1200 quarters a minute, the range that is read and written.
 *
 * @param score the score; not changed
 * @param options values for the constants
 * @returns a score with more tempos, those that were made being `assumed`, and without `tempoBends`
 * @throws {InputError} when an option is unknown or no number
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { bendTempo, endTicksOf, secondsOf } from "ripieno/score";
 * import { assert } from "@std/assert";
 * const score = demoScore();
 * const slowing = { ...score, tempoBends: [{ onsetTicks: 0, kind: "slower" as const, words: "rit." }] };
 * assert(secondsOf(bendTempo(slowing), endTicksOf(score)) > secondsOf(score, endTicksOf(score)));
 * ```
 */
export function bendTempo(score: Score, options: Partial<TempoBendSettings> = {}): Score {
  checkArgument("bend the tempo", score, A_SCORE);
  const settings = applySettings("the tempo", TEMPO_BEND_CONSTANTS, options);
  const { tempoBends, ...rest } = score;
  if (!tempoBends) return score;
  const words = tempoBends.filter((b) => b.kind !== "pause");
  const steady = withWords(score, words, settings);
  const tempos: Tempo[] = [...steady];
  for (const { from, to } of heldSpans(tempoBends.filter((b) => b.kind === "pause"))) {
    const inside = steady.filter((t) => t.onsetTicks > from && t.onsetTicks < to);
    const starts: Tempo[] = [
      { onsetTicks: from, quartersPerMinute: tempoAt(steady, from), origin: "assumed" },
      ...inside,
    ];
    for (const tempo of starts) {
      tempos.push({
        ...tempo,
        quartersPerMinute: heldInRange(tempo.quartersPerMinute / settings.pauseFactor),
        origin: "assumed",
      });
    }
    // After the pause the tempo that would have been reached; the next pause may begin right there.
    tempos.push({ onsetTicks: to, quartersPerMinute: tempoAt(steady, to), origin: "assumed" });
  }
  const end = endTicksOf(score);
  return { ...rest, tempos: inOrder(tempos).filter((t) => t.onsetTicks < end || t.onsetTicks === 0) };
}
