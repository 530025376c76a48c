/** What a way out would ask of the players that was not asked before. */
import { instrumentById } from "../../instruments/catalogue.ts";
import { registerOf } from "../../instruments/registers.ts";
import { dynamicMark } from "../../score/dynamics.ts";
import type { Note, Score } from "../../score/model.ts";
import { endOfBar } from "../../score/time.ts";
import type { PassageWindow } from "./passage_window.ts";
import { playability } from "../../measures/playability/playability.ts";
import type { RemedyChange } from "../../measures/balance/remedy_results.ts";
import type { PlayabilityFinding } from "../../measures/playability/playability_results.ts";

/**
 * The most serious thing that a change newly asks of its players, in words; empty where the rules find nothing new.
 */
export function cautionOf(window: PassageWindow, after: Score, change: RemedyChange): string {
  if (change.kind === "rest") return "";
  const names = "parts" in change ? change.parts : [change.part];
  const parts = window.score.parts.flatMap((p, i) => names.includes(p.name) ? [i] : []);
  if (change.kind === "dynamic" && change.steps > 0) {
    const beyond = beyondRegister(after, parts, window);
    if (beyond !== "") return beyond;
  }
  const before = new Set(seriousOf(window.score, parts).map(keyOf));
  const [worst] = seriousOf(after, parts).filter((f) => !before.has(keyOf(f)));
  return worst === undefined ? "" : `${worst.severity} for ${worst.partName}: ${worst.what}`;
}

/** Findings that are impossible or risky, the worst first. */
function seriousOf(score: Score, parts: readonly number[]): readonly PlayabilityFinding[] {
  return playability(onlyParts(score, parts)).findings.filter((f) =>
    f.severity === "impossible" || f.severity === "risky"
  );
}

const keyOf = (f: PlayabilityFinding) => `${f.partName}|${f.rule}|${f.severity}`;

function onlyParts(score: Score, parts: readonly number[]): Score {
  const { layers: _layers, partGroups: _groups, ...rest } = score;
  const place = new Map(parts.map((p, i) => [p, i]));
  return {
    ...rest,
    parts: parts.map((p) => score.parts[p]!),
    notes: score.notes.filter((n) => place.has(n.part)).map((n) => ({ ...n, part: place.get(n.part)! })),
  };
}

/** Where most notes are marked louder than their register gives: for example `the low register gives mf at most`. */
function beyondRegister(
  score: Score,
  parts: readonly number[],
  { fromBarIndex, toBarIndex }: Pick<PassageWindow, "fromBarIndex" | "toBarIndex">,
): string {
  const from = score.bars[fromBarIndex]!.startTicks;
  const to = endOfBar(score, toBarIndex);
  for (const part of parts) {
    const instrument = instrumentById(score.parts[part]!.instrument);
    const own = score.notes.filter((n) => n.part === part && n.onsetTicks >= from && n.onsetTicks < to);
    const registerAt = (n: Note) => registerOf(instrument, n.soundingPitch).register;
    const beyond = own.filter((n) => n.dynamic > (registerAt(n)?.loudestDynamic ?? Infinity));
    if (2 * beyond.length <= own.length) continue;
    const register = registerAt(beyond[0]!)!;
    return `the ${register.name} register of ${score.parts[part]!.name} gives ${
      dynamicMark(register.loudestDynamic)
    } at most`;
  }
  return "";
}
