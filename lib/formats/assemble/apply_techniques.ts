/** Words such as pizz. and con sord. become the way of playing of every note that follows. */
import { firstIndex } from "../../base/first_index.ts";
import type { Technique } from "../../score/model.ts";
import type { TimedMark } from "./raw_score.ts";

/**
 * The ways of playing in force at any place of one stave, the manner first, then the mute: pizz., col legno
 * and the like until arco or another takes over; a mute until it is taken off. None for ordinary playing.
 * `bowTaken` are places where arco is meant and not written.
 */
export function techniqueCurve(
  marks: readonly TimedMark[],
  bowTaken: readonly number[] = [],
): (ticks: number) => readonly Technique[] {
  const changes: { readonly ticks: number; readonly techniques: readonly Technique[] }[] = [];
  let manner: Technique = "ordinario";
  let muted = false;
  const own = marks.flatMap(({ ticks, mark }) => mark.kind === "technique" ? [{ ticks, ...mark }] : []);
  const bowed = bowTaken.map((ticks) => ({ ticks, manner: "ordinario" as const, muted: undefined }));
  for (const mark of [...own, ...bowed].sort((a, b) => a.ticks - b.ticks)) {
    const { ticks } = mark;
    if (mark.manner !== undefined) manner = mark.manner;
    if (mark.muted !== undefined) muted = mark.muted;
    const techniques: Technique[] = manner === "ordinario" ? [] : [manner];
    if (muted) techniques.push("con sordino");
    changes.push({ ticks, techniques });
  }
  return (ticks) => {
    const next = firstIndex(changes.length, (i) => changes[i]!.ticks > ticks);
    return changes[next - 1]?.techniques ?? [];
  };
}
