/** What became of the parts that were written anew, in rows. */
import { soundingNotes } from "../../score/build.ts";
import type { Note, Score } from "../../score/model.ts";
import type { Texture } from "../../texture/model.ts";
import { hearing } from "./heard_as.ts";
import type { PlacedWish } from "./place_wishes.ts";
import { ownFiguresOf } from "./wish.ts";
import type { PartChange, Rewritten } from "./rewrite_results.ts";

/** Share of the bars in which a part plays with another for it to be said that it doubled it. Model assumption. */
const MOST_BARS = 0.5;

/** Rows for one wish, a part each. */
export function changesOf(
  before: { readonly score: Score; readonly texture: Texture },
  after: Pick<Rewritten, "score" | "texture">,
  { wish, bars, parts }: PlacedWish,
): readonly PartChange[] {
  const { fromBarIndex, toBarIndex } = bars;
  const begun = ({ score }: { readonly score: Score }, part: number) =>
    soundingNotes(score).filter((n) =>
      n.part === part && n.onsetTicks >= bars.startTicks && n.onsetTicks < bars.endTicks
    );
  const heard = hearing(after, bars, ownFiguresOf([wish]));
  return parts.map((part): PartChange => ({
    part,
    partName: before.score.parts[part]!.name,
    fromBarIndex,
    toBarIndex,
    fromBar: before.score.bars[fromBarIndex]!.number,
    toBar: before.score.bars[toBarIndex]!.number,
    before: doesIn(before, { bars, part }),
    after: doesIn(after, { bars, part }),
    octave: wish.octave ?? 0,
    ...heard(part, parts),
    notesBefore: begun(before, part).length,
    notesAfter: begun(after, part).length,
    doubled: doubledBy(before.score, begun(before, part), { bars, part }),
  }));
}

/** What a part does in some bars: role and figure, the commonest first. */
function doesIn(
  { score, texture }: { readonly score: Score; readonly texture: Texture },
  { bars, part }: { readonly bars: PlacedWish["bars"]; readonly part: number },
): string {
  const counts = new Map<string, number>();
  for (let b = bars.fromBarIndex; b <= bars.toBarIndex; b++) {
    const { role, figure } = texture.cells[b * score.parts.length + part]!;
    const words = role === "rest" || figure === role ? role : `${role}: ${figure}`;
    counts.set(words, (counts.get(words) ?? 0) + 1);
  }
  const sorted = [...counts].sort((a, b) => b[1] - a[1]).map(([words]) => words);
  return sorted.filter((words) => words !== "rest" || sorted.length === 1).join(", ");
}

/** Parts with whose notes those of a part go, in unison or octaves, in most of its bars. */
function doubledBy(
  score: Score,
  own: readonly Note[],
  { bars, part }: { readonly bars: PlacedWish["bars"]; readonly part: number },
): readonly string[] {
  if (own.length === 0) return [];
  const keyOf = (n: Note) => `${n.onsetTicks} ${n.soundingPitch % 12}`;
  const wanted = new Set(own.map(keyOf));
  const shared = new Map<number, Set<string>>();
  for (const n of soundingNotes(score)) {
    if (n.part === part || n.onsetTicks < bars.startTicks || n.onsetTicks >= bars.endTicks) continue;
    const key = keyOf(n);
    if (wanted.has(key)) shared.set(n.part, (shared.get(n.part) ?? new Set()).add(key));
  }
  return [...shared].filter(([, keys]) => keys.size > MOST_BARS * wanted.size)
    .map(([p]) => score.parts[p]!.name);
}
