/** Figures that a part keeps so long that nobody follows it while something else moves. */
import type { CellFeatures } from "../features/features.ts";
import { strokesWithin } from "../features/strokes_within.ts";
import { stepsWithin } from "./steps_within.ts";
import type { sweepsOf } from "./sweeps.ts";
import type { Role } from "../roles.ts";
import type { Scene } from "./surroundings.ts";

/**
 * Units in a row that one plain figure fills from which it accompanies: four bars of 4/4, eight of 2/4. Of such bars in the
 * annotated movements people follow one in fifty; of shorter ones, one in ten where a chord is broken.
 */
const KEPT_UNITS = 16;

/** What is kept up: a pitch that is struck again, a chord that is broken, two notes in turn, scales that run on. */
type Kept = "repeats" | "leaps" | "turns" | "runs";

/**
 * Units in a row from which what is less plain accompanies, too: a pitch that is struck again, or steps that mostly leap, in
 * the same places bar after bar. Of 20, 24, 28, 32 and 48 the one by which most leads of the annotated movements are found.
 */
const STRUCK_ALIKE_UNITS = 28;
/** Share of the steps within such a bar that leap, where they do not all stay; with 0.65 leads are lost. */
const LEAPS_FROM = 0.75;
/** Fewest notes of such a bar. */
const KEPT_FROM_NOTES = 3;

/** What a bar may keep up, by itself: a plain figure, or steps that mostly stay, or mostly leap. */
function keptIn({ line }: CellFeatures, plain: Role | undefined): Kept | undefined {
  if (line.filter((n) => n.tremoloAlternates).length > line.length / 2) return "turns";
  if (plain === "pulse") return "repeats";
  if (plain === "figuration") return "leaps";
  if (plain === "run") return "runs";
  if (plain !== undefined || line.length < KEPT_FROM_NOTES) return undefined;
  const { all, stays, leaps } = stepsWithin(line);
  return stays === all ? "repeats" : leaps / all >= LEAPS_FROM ? "leaps" : undefined;
}

/** Whether of two bars one strikes where the other does, but for one note that a breath may take. */
function strikesAlike(a: CellFeatures, b: CellFeatures): boolean {
  const within = strokesWithin(a, b);
  return within !== undefined && within.many - within.few <= 1;
}

/** Units that each part stays with one figure without a break, by cell; 0 where it has none that is kept up. */
function unitsKept(
  features: readonly CellFeatures[],
  { plain, units, parts }: {
    readonly plain: readonly (Role | undefined)[];
    readonly units: readonly number[];
    readonly parts: number;
  },
): Float64Array {
  const own = features.map((f, i) => keptIn(f, plain[i]));
  const kept = new Float64Array(features.length);
  /** Whether a bar goes on with what the one before it has: both plainly, or in the same places. */
  const goesOn = (i: number) =>
    own[i] !== undefined && own[i] === own[i - parts] &&
    (plain[i] !== undefined && plain[i - parts] !== undefined ||
      strikesAlike(features[i]!, features[i - parts]!));
  for (let i = 0; i < features.length; i++) {
    if (own[i] === undefined || goesOn(i)) continue;
    let [all, end, isPlain] = [0, i, true];
    for (; end === i || goesOn(end); end += parts) {
      all += units[Math.floor(end / parts)]!;
      // Shorter scales may be what is followed.
      isPlain &&= plain[end] !== undefined && plain[end] !== "run";
    }
    const isKept = all >= (isPlain ? KEPT_UNITS : STRUCK_ALIKE_UNITS);
    for (let at = i; at < end; at += parts) kept[at] = isKept ? 1 : 0;
  }
  return kept;
}

/**
 * Which cells keep up a figure while a line that has none moves, in the bar or beside it.
 *
 * @param features features of every bar and part
 * @param scene who sounds
 * @param known plain roles and definite pitch by cell, and the length of every bar in units of the metre
 * @returns true for every such cell
 */
export function keptFiguresOf(
  features: readonly CellFeatures[],
  { parts, sounds }: Scene,
  { plain, pitched, units, sweeps }: {
    readonly plain: readonly (Role | undefined)[];
    readonly pitched: readonly boolean[];
    readonly units: readonly number[];
    readonly sweeps: ReturnType<typeof sweepsOf>;
  },
): readonly boolean[] {
  const kept = unitsKept(features, { plain, units, parts });
  const isFree = (i: number) =>
    sounds[i]! && pitched[i]! && (plain[i] === undefined || plain[i] === "counterline") &&
    kept[i] === 0 && sweeps[i] === undefined && features[i]!.nearby.length > 2;
  const moves = units.map((_, bar) => {
    for (let i = bar * parts; i < (bar + 1) * parts; i++) if (isFree(i)) return true;
    return false;
  });
  return features.map(({ barIndex }, i) => (kept[i] !== 0 || sweeps[i] !== undefined) && moves[barIndex]!);
}
