/** How alike two bars are in what an orchestra does in them: who does what, who sounds, who strikes, how high, how loud. */
import { soundingNotes } from "../../score/build.ts";
import type { Score } from "../../score/model.ts";
import { barIndexOf } from "../../score/time.ts";
import type { RoleCell } from "../../texture/model.ts";
import type { Share } from "../../base/units.ts";

/** Constants that the likeness of two bars depends on. */
type LikenessConstants = Readonly<
  Record<
    | "sameRole"
    | "sameSound"
    | "leadShare"
    | "scoringWeight"
    | "soundingWeight"
    | "attacksWeight"
    | "registerWeight"
    | "dynamicsWeight"
    | "otherRegisterSemitones"
    | "otherDynamicSteps",
    number
  >
>;

/** Bars up to which every one is compared with every other; of longer scores only those that lie near each other are. */
const MOST_BARS_COMPARED = 2000;

/** How alike the bars of a score are. */
interface SelfSimilarity {
  /** Every bar against every other, row after row; empty for more than {@linkcode MOST_BARS_COMPARED}. */
  readonly matrix: number[];
  readonly alike: (i: number, j: number) => Share;
  /** Likeness of two bars by their scoring alone. */
  readonly scoredAlike: (i: number, j: number) => Share;
}

/** What each part does in one bar, one value per part. */
interface BarDescription {
  /** Share of the bar in which it sounds. */
  readonly sounding: Float64Array;
  /** Attacks per quarter, on a scale on which doubling counts the same at every rate. */
  readonly attacks: Float64Array;
  /** Mean pitch, weighted by length; NaN where nothing with a pitch sounds. */
  readonly register: Float64Array;
  /** Mean loudness on the dynamic scale; NaN where nothing sounds. */
  readonly dynamics: Float64Array;
}

/**
 * Likeness of the scorings of two bars. Over the parts that sound in either: 1 for the same role and figure, less for
 * the same role with another figure, less again for another role, 0 where it rests in one; the mean over them. Of the
 * whole, a share belongs to the lead alone, since the ear follows it: how many of the parts that lead in either bar
 * lead in both.
 */
function scoringLikeness(
  a: readonly RoleCell[],
  b: readonly RoleCell[],
  c: Pick<LikenessConstants, "sameRole" | "sameSound" | "leadShare">,
): Share {
  let sounding = 0;
  let alike = 0;
  let leading = 0;
  let leadingInBoth = 0;
  for (let p = 0; p < a.length; p++) {
    const [x, y] = [a[p]!, b[p]!];
    if (x.role === "rest" && y.role === "rest") continue;
    sounding++;
    if (x.role === "lead" || y.role === "lead") leading++;
    if (x.role === "lead" && y.role === "lead") leadingInBoth++;
    if (x.role === "rest" || y.role === "rest") continue;
    alike += x.role !== y.role ? c.sameSound : x.figure !== y.figure ? c.sameRole : 1;
  }
  const parts = sounding === 0 ? 1 : alike / sounding;
  const lead = leading === 0 ? 1 : leadingInBoth / leading;
  return (1 - c.leadShare) * parts + c.leadShare * lead;
}

/**
 * Self-similarity of a score: every bar against every other, by five aspects and their weights.
 *
 * - scoring: {@linkcode scoringLikeness}
 * - sounding, attacks: cosine of the angle between the parts' shares of sounding time, and between their rates of attack
 * - register, dynamics: 1 less the mean distance of the parts that sound in both, over what counts as another
 *   register or another dynamic
 */
export function selfSimilarity(
  score: Score,
  bars: readonly (readonly RoleCell[])[],
  c: LikenessConstants,
): SelfSimilarity {
  const n = bars.length;
  const described = describeBars(score);
  const total = c.scoringWeight + c.soundingWeight + c.attacksWeight + c.registerWeight + c.dynamicsWeight;
  const scoredAlike = (i: number, j: number): Share => i === j ? 1 : scoringLikeness(bars[i]!, bars[j]!, c);
  const alike = (i: number, j: number, scored: Share): Share => {
    if (i === j) return 1;
    const [a, b] = [described[i]!, described[j]!];
    const sum = c.scoringWeight * scored + c.soundingWeight * cosine(a.sounding, b.sounding) +
      c.attacksWeight * cosine(a.attacks, b.attacks) +
      c.registerWeight * nearness(a.register, b.register, c.otherRegisterSemitones) +
      c.dynamicsWeight * nearness(a.dynamics, b.dynamics, c.otherDynamicSteps);
    return sum / total;
  };
  if (n > MOST_BARS_COMPARED) {
    return { matrix: [], alike: (i, j) => alike(i, j, scoredAlike(i, j)), scoredAlike };
  }
  const scoring = new Float64Array(n * n).fill(1);
  const matrix = new Array<number>(n * n).fill(1);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < i; j++) {
      const scored = scoring[i * n + j] = scoring[j * n + i] = scoredAlike(i, j);
      matrix[i * n + j] = matrix[j * n + i] = alike(i, j, scored);
    }
  }
  return { matrix, alike: (i, j) => matrix[i * n + j]!, scoredAlike: (i, j) => scoring[i * n + j]! };
}

function describeBars(score: Score): readonly BarDescription[] {
  const parts = score.parts.length;
  const sums = score.bars.map(() => ({
    sounding: new Float64Array(parts),
    attacks: new Float64Array(parts),
    pitched: new Float64Array(parts),
    pitch: new Float64Array(parts),
    loudness: new Float64Array(parts),
    soundingLength: new Float64Array(parts),
    soundUntil: new Float64Array(parts).fill(-Infinity),
  }));
  for (const { part, onsetTicks, durationTicks, soundingPitch, unpitched, dynamic } of soundingNotes(score)) {
    const end = onsetTicks + durationTicks;
    const first = barIndexOf(score, onsetTicks);
    sums[first]!.attacks[part]!++;
    for (let b = first; b < sums.length && score.bars[b]!.startTicks < end; b++) {
      const bar = score.bars[b]!;
      const into = sums[b]!;
      const from = Math.max(onsetTicks, bar.startTicks);
      const to = Math.min(end, bar.startTicks + bar.durationTicks);
      const length = Math.max(0, to - from);
      into.soundingLength[part]! += length;
      into.loudness[part]! += length * dynamic;
      if (!unpitched) {
        into.pitched[part]! += length;
        into.pitch[part]! += length * soundingPitch;
      }
      // Notes of a chord sound at the same time.
      into.sounding[part]! += Math.max(0, to - Math.max(from, into.soundUntil[part]!));
      into.soundUntil[part] = Math.max(into.soundUntil[part]!, to);
    }
  }
  return sums.map((s, b): BarDescription => {
    const { durationTicks } = score.bars[b]!;
    const quarters = durationTicks / score.ticksPerQuarter;
    return {
      sounding: s.sounding.map((ticks) => durationTicks > 0 ? ticks / durationTicks : 0),
      attacks: s.attacks.map((count) => quarters > 0 ? Math.log2(1 + count / quarters) : 0),
      register: s.pitch.map((sum, p) => sum / s.pitched[p]!),
      dynamics: s.loudness.map((sum, p) => sum / s.soundingLength[p]!),
    };
  });
}

/** Cosine of the angle between two lists: 1 for the same proportions, 0 for nothing in common; two empty ones are alike. */
function cosine(a: Float64Array, b: Float64Array): number {
  let both = 0;
  let first = 0;
  let second = 0;
  for (let p = 0; p < a.length; p++) {
    both += a[p]! * b[p]!;
    first += a[p]! ** 2;
    second += b[p]! ** 2;
  }
  if (first === 0 || second === 0) return first === second ? 1 : 0;
  return Math.min(1, both / Math.sqrt(first * second));
}

/** 1 less the mean distance over those that have a value in both, `far` and more being 1; 1 where none has. */
function nearness(a: Float64Array, b: Float64Array, far: number): number {
  let count = 0;
  let apart = 0;
  for (let p = 0; p < a.length; p++) {
    const distance = Math.abs(a[p]! - b[p]!);
    if (Number.isNaN(distance)) continue;
    count++;
    apart += Math.min(1, distance / far);
  }
  return count === 0 ? 1 : 1 - apart / count;
}
