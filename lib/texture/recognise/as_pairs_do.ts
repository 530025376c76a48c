/** Short bars heard two by two: what neither of two bars does by itself, but both do together, each of them does. */
import type { Share } from "../../base/units.ts";
import type { CellFeatures } from "../features/features.ts";
import type { FigureName } from "../figures.ts";
import type { RoleCell } from "../model.ts";
import type { Role } from "../roles.ts";
import { RULES } from "../rules.ts";
import type { JudgedPage } from "./judged_page.ts";

/** What of a reading is asked. */
export interface BarReading extends Pick<RoleCell, "role" | "figure" | "confidence"> {
  readonly facts: readonly string[];
}

/** Bars as they are written. */
interface WrittenBars {
  /** Features of every bar and part. */
  readonly features: readonly CellFeatures[];
  /** How long each part strikes in the same places, bar after bar, by cell: 0 for one bar, 1 for sixteen. */
  readonly kept: ArrayLike<Share>;
  /** Number of parts. */
  readonly parts: number;
}

/** A note that lasts this share of a bar fills it. Model assumption; the whole bar gives the same figures. */
const FILLS_FROM = 0.75;

/** A lead of bars heard together is at most this sure beside the surest of its bar. */
export const LESS_SURE = 0.98;

/** Roles of what is held. */
export const HELD: readonly Role[] = ["pad", "bass"];
/** Roles heard in single bars: nothing together makes them another one. */
const SINGLE: readonly Role[] = ["lead", "rest", "trill"];
/** Roles of parts that no pair makes leads. */
const BELOW: readonly Role[] = ["pad", "bass", "counterline"];

function isFilledByOneNote({ line, barUnits, felt }: CellFeatures): boolean {
  return line.length === 0 ||
    line.length === 1 && line[0]!.durationTicks >= FILLS_FROM * barUnits * felt.unitTicks;
}

/**
 * Whether each beat of a bar of two is felt as two. What moves in so long a bar is no other motion in the pair, and what
 * goes with the pair is named by the bar's own notes. With all of it 6 instead of 13 of 100 roles of Beethoven 7 II
 * change where half the bar lines are gone, but its two halves no longer find each other among those of 40 movements.
 */
function isSlow({ barUnits }: CellFeatures): boolean {
  return barUnits > 2;
}

/** Whether a bar is a long stroke and a short one: of a bass in such a rhythm the pair knows no more. */
function isDotted({ line, barUnits, felt: { startTicks, unitTicks } }: CellFeatures): boolean {
  const [first, second] = line;
  return line.length === 2 && first!.onsetTicks === startTicks &&
    second!.onsetTicks - startTicks > barUnits * unitTicks / 2;
}

/**
 * Whether a bar does what the pair does. A note that fills its bar is held, though the next bar strikes it again (else 0.806
 * of the held notes of four annotated movements are found, not 0.820), and one stroke that comes bar after bar is what it is
 * there (else 192 of 1,488 off-beat stabs that the project writes are read as off-beats, and 346 basses on the downbeat of
 * slow bars as strokes).
 */
function goesWithPair(own: Role, pair: Role, f: CellFeatures, isKept: boolean): boolean {
  if (SINGLE.includes(own)) return false;
  if (HELD.includes(pair)) return true;
  if (isFilledByOneNote(f)) return false;
  if (pair === "lead") return !BELOW.includes(own);
  if (isSlow(f) && (own === "bass" ? isDotted(f) : own !== "pad")) return false;
  return f.line.length > 1 || own === "pad" || !isKept;
}

/** How sure the surest lead of each bar is; 0 where there is none. */
export function surestLeads(readings: readonly BarReading[], parts: number): readonly number[] {
  const surest: number[] = [];
  readings.forEach(({ role, confidence }, i) => {
    const bar = Math.floor(i / parts);
    surest[bar] = Math.max(surest[bar] ?? 0, role === "lead" ? confidence : 0);
  });
  return surest;
}

/**
 * Readings of short bars with what they do two by two. Where a bar, or the other of its pair, does what the pair does, both stay
 * as they are; where neither does, each goes with the pair, but for leads, held notes and strokes that are kept up. A lead
 * found so is less sure than those the bar has, and there is none where it has none. So less hangs on where the bar lines
 * stand: in four quick movements in 2/4 half the bar lines gone change 3 to 5 of 100 roles instead of 5 to 15, in three slow
 * ones 7, 14 and 26 instead of 48, 33 and 31, and 0.627 of the roles another team heard in seven movements are met, not 0.602.
 *
 * @param readings what every cell was read as by itself
 * @param bars the bars, as they are written
 * @param pairs what was read where they are joined, and for each bar the joined one it is in
 * @returns the readings
 */
export function asPairsDo<Reading extends BarReading>(
  readings: readonly Reading[],
  { features, kept, parts }: WrittenBars,
  { joined, pairOf, named, isAnswered }: Pick<NonNullable<JudgedPage["pairs"]>, "pairOf"> & {
    readonly joined: readonly Reading[];
    /** What the notes of a cell are called in a role. */
    readonly named: (cell: number, role: Role) => FigureName;
    /** Whether others strike the beats, or the halves of beats, that a bass leaves. */
    readonly isAnswered: (cell: number) => boolean;
  },
): readonly Reading[] {
  const surest = surestLeads(readings, parts);
  return readings.map((own, i) => {
    const [bar, part] = [Math.floor(i / parts), i % parts];
    const beside = [bar - 1, bar + 1].find((b) => pairOf[b] === pairOf[bar]);
    if (beside === undefined) return own;
    const { role, figure, facts, confidence } = joined[pairOf[bar]! * parts + part]!;
    const isDone = [own.role, readings[beside * parts + part]!.role].includes(role);
    // Of a bass on one and three, or one that others answer, bar after bar, the pair knows no more.
    const isKept = kept[i]! >= RULES.keptFrom;
    const isMarch = own.role === "bass" && isKept &&
      (own.figure === "bass on one and three" || isAnswered(i));
    if (isDone || isMarch || !goesWithPair(own.role, role, features[i]!, isKept)) {
      return own;
    }
    const most = role === "lead" ? LESS_SURE * surest[bar]! : 1;
    if (most === 0) return own;
    const ownFigure = isSlow(features[i]!) ? named(i, role) : figure;
    return {
      ...own,
      role,
      figure: ownFigure,
      confidence: Math.min(confidence, most),
      facts: [...facts.map((fact) => fact === figure ? ownFigure : fact), "with the bar beside"],
    };
  });
}
