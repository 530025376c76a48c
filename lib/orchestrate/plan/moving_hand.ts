/** Two hands of which one holds chords over the line of the other: the line is the tune. */
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";

/** Times as many strokes that a line has as the chords it is followed under. Model assumption. */
const MOVES = 2;

/** Strokes of a hand in a bar, as the number of notes in each. */
type StrokesOf = (hand: number, barIndex: number) => readonly number[];

/**
 * Who leads of two hands, bar by bar: where one that leads holds chords through two bars or more, and the other, which is read
 * as lead too, has a single line, it is the other, up to where both come to rest. One bar alone is an answer to a tune that holds.
 *
 * @param leads the hand that is read to lead in each bar, from a bar on
 */
export function movingHands(
  score: Score,
  texture: Texture,
  { leads, fromBarIndex }: {
    readonly leads: readonly (number | undefined)[];
    readonly fromBarIndex: number;
  },
): readonly (number | undefined)[] {
  const strokes = strokesIn(score);
  const under = leads.map((lead, i) =>
    lead === undefined ? undefined : lineUnder(texture, strokes, { lead, barIndex: fromBarIndex + i })
  );
  let before: number | undefined;
  return leads.map((lead, i) => {
    const found = under[i];
    const isRest = found !== undefined && found.moves < MOVES;
    const goesOn = found !== undefined &&
      (before === found.hand || !isRest && (under[i + 1]?.moves ?? 0) >= MOVES);
    before = goesOn ? found.hand : undefined;
    return goesOn ? found.hand : lead;
  });
}

function strokesIn(score: Score): StrokesOf {
  const counts = new Map<string, Map<number, number>>();
  for (const { part, onsetTicks, grace } of soundingNotes(score)) {
    if (grace) continue;
    const key = `${part} ${barIndexOf(score, onsetTicks)}`;
    const own = counts.get(key) ?? new Map<number, number>();
    counts.set(key, own.set(onsetTicks, (own.get(onsetTicks) ?? 0) + 1));
  }
  return (hand, barIndex) => [...counts.get(`${hand} ${barIndex}`)?.values() ?? []];
}

/** The other hand, where it has a line that is read as lead under chords, and how many times as many strokes it has; undefined elsewhere. */
function lineUnder(
  { cells }: Texture,
  strokesOf: StrokesOf,
  { lead, barIndex }: { readonly lead: number; readonly barIndex: number },
): { readonly hand: number; readonly moves: number } | undefined {
  const hand = 1 - lead;
  const [held, line] = [strokesOf(lead, barIndex), strokesOf(hand, barIndex)];
  const isLine = line.length > 0 && line.every((notes) => notes === 1) &&
    cells[2 * barIndex + hand]!.role === "lead";
  if (!isLine || held.length === 0 || held.includes(1)) return undefined;
  return { hand, moves: line.length / held.length };
}
