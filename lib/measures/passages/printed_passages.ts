/** Passages that have a name in the score: those of its plan, or those at its rehearsal marks. */
import type { Score } from "../../score/model.ts";
import { opensWithUpbeat } from "../../score/time.ts";
import type { ScorePassage } from "./passages_results.ts";

/** A span of bars with its name, which may be empty. */
type NamedPassage = Omit<ScorePassage, "begins">;

/**
 * The passages that a score names itself. They are those of the plan it was written from, with bars that no row covers
 * between them; otherwise from rehearsal mark to rehearsal mark, from the first bar on; all bars as one where there
 * are neither. An upbeat that opens the piece belongs to the passage it leads into.
 */
export function printedPassages(score: Score): readonly NamedPassage[] {
  const planned = plannedPassages(score);
  const passages = planned.length > 0 ? planned : markedPassages(score);
  const [first, second, ...others] = passages;
  const isUpbeat = second?.fromBarIndex === 1 && opensWithUpbeat(score) &&
    (first!.name === "" || first!.name === second.name);
  return isUpbeat ? [{ ...second, fromBarIndex: 0 }, ...others] : passages;
}

function markedPassages(score: Score): readonly NamedPassage[] {
  const starts = score.bars.flatMap((b, i) => i === 0 || b.rehearsal !== undefined ? [i] : []);
  return starts.map((fromBarIndex, i) => ({
    name: score.bars[fromBarIndex]!.rehearsal ?? "",
    fromBarIndex,
    toBarIndex: (starts[i + 1] ?? score.bars.length) - 1,
  }));
}

function plannedPassages(score: Score): readonly NamedPassage[] {
  const layers = score.layers ?? [];
  if (layers.length === 0) return [];
  const count = score.bars.length;
  const begins = new Set(layers.map((l) => l.fromBarIndex));
  const starts = [...new Set([0, ...begins, ...layers.map((l) => l.toBarIndex + 1)])]
    .filter((bar) => bar < count).sort((a, b) => a - b);
  const nameAt = (bar: number) => {
    const around = layers.filter((l) => l.fromBarIndex <= bar && l.toBarIndex >= bar);
    return around.toSorted((a, b) => a.fromBarIndex - b.fromBarIndex).at(-1)?.passage ?? "";
  };
  const passages: NamedPassage[] = [];
  starts.forEach((fromBarIndex, i) => {
    const passage = { name: nameAt(fromBarIndex), fromBarIndex, toBarIndex: (starts[i + 1] ?? count) - 1 };
    const before = passages.at(-1);
    // A row that ends while the passage around it goes on begins no passage.
    if (before && before.name === passage.name && !begins.has(fromBarIndex)) {
      passages[passages.length - 1] = { ...before, toBarIndex: passage.toBarIndex };
    } else passages.push(passage);
  });
  return passages;
}
