/** Which parts lie lowest in a bar. */
import { type CellFeatures, isPitched } from "../features/features.ts";
import { RULES } from "../rules.ts";
import type { Scene } from "./surroundings.ts";

/**
 * The parts that lie lowest in a bar: the lowest, notes held into it counted, and what doubles it up to an octave above.
 * Kettledrums that strike below a bass in its own octave take nothing from it.
 *
 * @param scene who sounds, and who goes with whom
 * @param features features of every bar and part
 * @param place the bar, and which parts are percussion
 * @returns part indexes
 */
export function lowestOf(
  { parts, companions }: Scene,
  features: readonly CellFeatures[],
  { barIndex, isStruck }: { readonly barIndex: number; readonly isStruck: readonly boolean[] },
): ReadonlySet<number> {
  /** The cell in which what a part sounds here began. */
  const begunIn = (cell: number): CellFeatures => {
    const f = features[cell]!;
    return f.line.length === 0 && f.sounds && cell >= parts ? begunIn(cell - parts) : f;
  };
  const at = barIndex * parts;
  const begun = Array.from({ length: parts }, (_, p) => begunIn(at + p));
  const pitched = begun.flatMap((f, p) => isPitched(f) ? [p] : []);
  if (pitched.length === 0) return new Set();
  const least = (of: readonly number[]) => Math.min(...of.map((p) => begun[p]!.meanPitch));
  const [ofAll, ofOthers] = [least(pitched), least(pitched.filter((p) => !isStruck[p]))];
  const meanPitch = ofOthers - ofAll <= RULES.bassDoubledToSemitones ? ofOthers : ofAll;
  const lowest = pitched.filter((p) => Math.abs(begun[p]!.meanPitch - meanPitch) < 0.5);
  const begins = (cell: number) => (features[cell]?.line.length ?? 0) > 0;
  /** Whether a part goes with one of the lowest where what it sounds here began, and wherever both begin something nearby. */
  const doubles = (p: number, low: number) =>
    companions.unison[begun[p]!.barIndex * parts + p]!.some((i) => i % parts === low) &&
    [-1, 0, 1].every((near) => {
      const [i, j] = [at + near * parts + p, at + near * parts + low];
      return !begins(i) || !begins(j) || companions.unison[i]!.includes(j);
    });
  const doublings = pitched.filter((p) =>
    begun[p]!.meanPitch - meanPitch <= RULES.bassDoubledToSemitones && lowest.some((low) => doubles(p, low))
  );
  return new Set([...lowest, ...doublings]);
}
