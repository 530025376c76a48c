/** What goes on beside a wish: who leads and what lies lowest among the parts that no wish is about. */
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { endOfBar } from "../../score/time.ts";
import type { Texture } from "../../texture/model.ts";
import type { PlacedWish } from "./place_wishes.ts";

/** A wish among all. */
export interface AmongWishes {
  readonly placed: PlacedWish;
  readonly all: readonly PlacedWish[];
}

/** Whether a part has other notes, or none, in a bar by one of some wishes. */
export function isRewritten(all: readonly PlacedWish[], part: number, barIndex: number): boolean {
  return all.some(({ wish, bars, parts }) =>
    wish.role !== undefined && parts.includes(part) && barIndex >= bars.fromBarIndex &&
    barIndex <= bars.toBarIndex
  );
}

/** Indexes of the bars of a wish. */
export function barIndexesOf({ bars: { fromBarIndex, toBarIndex } }: PlacedWish): readonly number[] {
  return Array.from({ length: toBarIndex - fromBarIndex + 1 }, (_, i) => fromBarIndex + i);
}

/** Parts that lead beside a wish in each of its bars: those that stay, and those that other wishes give the lead. */
export function leadsBeside(
  score: Score,
  { cells }: Texture,
  { placed, all }: AmongWishes,
): readonly (readonly number[])[] {
  const parts = score.parts.length;
  return barIndexesOf(placed).map((b) => {
    const stay = cells.slice(b * parts, (b + 1) * parts)
      .filter((cell) => cell.role === "lead" && !isRewritten(all, cell.part, b)).map((cell) => cell.part);
    const given = all.filter(({ wish, bars }) =>
      wish.role === "lead" && b >= bars.fromBarIndex && b <= bars.toBarIndex
    ).flatMap((p) => p.parts);
    return [...stay, ...given.filter((p) => !placed.parts.includes(p))];
  });
}

/** A part with its mean sounding pitch. */
export interface PartPitch {
  readonly part: number;
  readonly pitch: number;
}

/** Mean pitches of the parts that sound in each bar of a wish, whoever they are. */
export function pitchesIn(score: Score, placed: PlacedWish): readonly (readonly PartPitch[])[] {
  const { startTicks, endTicks } = placed.bars;
  const near = soundingNotes(score).filter((n) =>
    !n.unpitched && n.onsetTicks < endTicks && n.onsetTicks + n.durationTicks > startTicks
  );
  return barIndexesOf(placed).map((b) => {
    const [from, to] = [score.bars[b]!.startTicks, endOfBar(score, b)];
    const own = near.filter((n) => n.onsetTicks < to && n.onsetTicks + n.durationTicks > from);
    return [...Map.groupBy(own, (n) => n.part)].map(([part, notes]): PartPitch => ({
      part,
      pitch: notes.reduce((sum, n) => sum + n.soundingPitch, 0) / notes.length,
    }));
  });
}

/** What lies lowest in each bar of a wish among the parts that keep their notes; undefined where none sounds. */
export function lowestBeside(
  score: Score,
  { placed, all }: AmongWishes,
): readonly (PartPitch | undefined)[] {
  const bars = barIndexesOf(placed);
  return pitchesIn(score, placed).map((means, i) =>
    means.filter(({ part }) => !isRewritten(all, part, bars[i]!)).reduce<PartPitch | undefined>(
      (low, one) => low === undefined || one.pitch < low.pitch ? one : low,
      undefined,
    )
  );
}
