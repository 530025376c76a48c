/** The tune of a finished score: the line that leads, bar by bar, one note at a time. */
import { memo, memoOf } from "../../base/memo.ts";
import { soundingNotes } from "../../score/build.ts";
import type { Note, Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { RoleCell, Texture } from "../../texture/model.ts";
import { handsOf } from "../plan/hands.ts";
import { edgeOf, oneAtATime } from "../plan/lines_beside.ts";
import type { BarsFound } from "./bars_asked.ts";
import { movingHands } from "../plan/moving_hand.ts";

/** The part that leads in each of some bars; undefined where nobody does. */
export function leadingParts(
  score: Score,
  texture: Texture,
  { fromBarIndex, toBarIndex }: BarsFound,
): readonly (number | undefined)[] {
  const parts = score.parts.length;
  let before: number | undefined;
  const read = Array.from({ length: toBarIndex - fromBarIndex + 1 }, (_, i) => {
    const bar = (fromBarIndex + i) * parts;
    const leads = texture.cells.slice(bar, bar + parts).filter((cell) => cell.role === "lead");
    // Of a line and those that double it, the one that has had it keeps it; else the one that has most of it.
    const most = Math.max(...leads.map((cell) => cell.leadShare));
    const chief = leads.find((cell) => cell.part === before && cell.leadShare > 0) ??
      leads.find((cell) => cell.leadShare === most);
    return before = chief?.part ?? (leads.length > 0 ? leads[0]!.part : undefined);
  });
  return parts === 2 ? movingHands(score, texture, { leads: read, fromBarIndex }) : read;
}

/**
 * The stave that leads of a part on several, bar by bar; none of others. The hands of a pianist are read as two players, so that
 * what the left has under a rest of the right is no tune, and a tune in the left is one.
 */
const leadingStaves = memoOf((score: Score) => {
  const kept = memo<readonly (number | undefined)[], number>(score.parts.length * 2);
  return (part: number) => kept(part, () => stavesThatLead(score, part));
});

function stavesThatLead(score: Score, part: number): readonly (number | undefined)[] {
  const hands = handsOf(score)(part);
  if (hands === undefined) return [];
  const all = { fromBarIndex: 0, toBarIndex: score.bars.length - 1, startTicks: 0, endTicks: Infinity };
  return leadingParts(hands.score, hands.texture, all).map((hand) =>
    hand === undefined ? undefined : hands.staves[hand]
  );
}

/**
 * The tune of some bars: the notes of the part that leads in each, of one on several staves those of the stave that does; the upper line
 * of a part that plays several at once. What
 * a leading part holds into the bars is not of the tune.
 *
 * @returns notes in order, one at a time, as they stand in the score
 */
export function leadLine(score: Score, texture: Texture, bars: BarsFound): readonly Note[] {
  const leads = leadingParts(score, texture, bars);
  const staves = leadingStaves(score);
  const own = soundingNotes(score).filter((n) =>
    n.onsetTicks >= bars.startTicks && n.onsetTicks < bars.endTicks && !n.unpitched &&
    leads[barIndexOf(score, n.onsetTicks) - bars.fromBarIndex] === n.part &&
    n.staff === (staves(n.part)[barIndexOf(score, n.onsetTicks)] ?? n.staff)
  );
  const lines = [...Map.groupBy(own, (n) => n.part).values()].flatMap((line) => edgeOf(line, 1));
  return oneAtATime(lines.toSorted((a, b) => a.onsetTicks - b.onsetTicks));
}

/** Notes of the parts that have one of some roles in the bar they sound in. */
export function notesWithRole(
  score: Score,
  texture: Texture,
  { bars, has }: { readonly bars: BarsFound; readonly has: (cell: RoleCell) => boolean },
): readonly Note[] {
  const parts = score.parts.length;
  return soundingNotes(score).filter((n) => {
    if (n.onsetTicks >= bars.endTicks || n.onsetTicks + n.durationTicks <= bars.startTicks) return false;
    const cell = texture.cells[barIndexOf(score, Math.max(n.onsetTicks, bars.startTicks)) * parts + n.part];
    return cell !== undefined && has(cell);
  });
}
