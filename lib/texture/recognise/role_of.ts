/** Role of a part that does not lead. */
import { type Broad, BROAD_KINDS } from "../broad_kinds.ts";
import type { CellFeatures } from "../features/features.ts";
import { broadOf, type FigureShape } from "../figure_shapes.ts";
import { isOnBeat } from "../features/felt_time.ts";
import { figureById } from "../figures.ts";
import type { Judgement } from "../judge/judge.ts";
import { BEATS_OF_BASS } from "../role_does.ts";
import type { Role } from "../roles.ts";
import { rollsOn } from "../clues/rolls_on.ts";
import { steadyBass } from "../clues/steady_bass.ts";
import { AFTER_BEATS, beatFigure, filledPulse, offBeats, strikesAfterBeats, swings } from "./name_figure.ts";
import type { Share } from "../../base/units.ts";
import { RULES } from "../rules.ts";

/** Role and how sure it is, 0 to 1. */
interface SureRole {
  /** The role. */
  readonly role: Role;
  /** How sure it is. */
  readonly confidence: number;
  /** Index of the likeliest kind that was weighed; none for plain cases. */
  readonly kind?: number;
}

/** Where a cell stands. */
export interface CellStanding {
  /** Whether the part lies lowest in its bar. */
  readonly isLowest: boolean;
  /** How long it strikes in the same places, bar after bar: 0 for one bar, 1 for sixteen. */
  readonly kept: Share;
  /** Share of the parts that sound in its bar which strike with it and hold as long, itself among them. */
  readonly alike: Share;
  /** Whether a part of its bar strikes as a bass does on the downbeat, or on one and three. */
  readonly followsBass: () => boolean;
  /** Whether a part of its bar strikes the beats, or the halves of beats, that such a bass leaves. */
  readonly isAnswered: () => boolean;
  /** Grid of the score. */
  readonly ticksPerQuarter: number;
}

/** Whether a part strikes every beat, or every second one, of its bar and nothing between; in a bar of two, if it keeps to it. */
function walks({ line, felt, barUnits }: CellFeatures, { kept }: CellStanding): boolean {
  const least = barUnits <= 2 && kept >= RULES.keptBassFrom ? 2 : 3;
  return [1, 2].some((beats) =>
    line.length * beats >= least && line.every((n, i) =>
      isOnBeat(n.onsetTicks, felt) &&
      (i === 0 || Math.abs((n.onsetTicks - line[i - 1]!.onsetTicks) / felt.beatTicks - beats) < 1e-6)
    )
  );
}

/** Whether a part keeps to the beats that the bass leaves to others: all but the first, or every second, bar after bar. */
function leavesDownbeats(f: CellFeatures, { kept, ticksPerQuarter }: CellStanding): boolean {
  return kept >= RULES.keptFrom && strikesAfterBeats(f, ticksPerQuarter);
}

/** Whether a bar has one short stroke: whatever the bars beside it do, it does not move. */
function isLoneStroke({ line, coverage, tremolo }: CellFeatures): boolean {
  return line.length === 1 && coverage <= RULES.loneStrokeTo && tremolo < RULES.ornamentedFrom;
}

/** Role of a moving part by what it moves like. */
function movingRole(f: CellFeatures, share: (shape: FigureShape) => number): Role {
  if (swings(f)) return "figuration";
  const figuring = share("alternation") + share("broken chord");
  const running = share("scale");
  const repeating = share("repeated notes");
  const shape = f.repeats >= RULES.pulseFromRepeats
    ? "pulse"
    : f.longestScale >= RULES.runFromNotes && f.steps >= RULES.runFromSteps
    ? "run"
    : f.leaps >= RULES.figuresFromLeaps
    ? "figuration"
    : "pulse";
  const plain = share("rhythmic pattern");
  const votes: readonly (readonly [Role, number])[] = [
    ["figuration", figuring + (shape === "figuration" ? plain : 0)],
    ["run", running + (shape === "run" ? plain : 0)],
    ["pulse", repeating + (shape === "pulse" ? plain : 0)],
  ];
  return votes.reduce((best, v) => v[1] > best[1] ? v : best)[0];
}

/** Whether what moves on the lowest line is the bass: it walks, or keeps to strokes that a bass of the table has. */
function isMovingBass(
  f: CellFeatures,
  place: CellStanding,
  share: (shape: FigureShape) => number,
): boolean {
  const { isLowest, kept, ticksPerQuarter } = place;
  if (!isLowest || leavesDownbeats(f, place)) return false;
  const stays = f.repeats >= RULES.pulseFromRepeats;
  const isLong = f.meanUnits >= RULES.bassFromUnits;
  // Of strokes on every beat short ones walk as long ones do, if they move: plucked notes are written as either.
  if (walks(f, place) && (isLong || !stays)) return true;
  const steady = isLong ? steadyBass(f, ticksPerQuarter) : undefined;
  if (steady === undefined) return false;
  // Its long strokes count: dotted ones are as long as the short ones between them are short.
  const units = figureById(steady)!.cellQuarters * ticksPerQuarter / f.felt.unitTicks;
  return kept >= RULES.keptBassFrom && units >= RULES.longBassFromUnits ||
    stays && movingRole(f, share) === "pulse";
}

/**
 * What strokes on beats or off them are for where a part keeps to them bar after bar beside others that do something
 * else: the lowest on every downbeat, or on one and three, are the bass, those on the other beats, or off the beat, a pulse.
 */
function regularRole(f: CellFeatures, place: CellStanding): Role | undefined {
  const { isLowest, kept, alike, followsBass, isAnswered, ticksPerQuarter } = place;
  const walksApart = isLowest && kept >= RULES.keptFrom && walks(f, place);
  if (walksApart && alike <= RULES.alikeTo && f.repeats < RULES.pulseFromRepeats) return "bass";
  const figure = offBeats(f) ?? beatFigure(f, ticksPerQuarter) ?? filledPulse(f, ticksPerQuarter);
  if (figure === undefined) return undefined;
  // However many play after-beats, with a bass on the beats between they do not all strike together.
  const isAnswer = AFTER_BEATS.includes(figure) && followsBass();
  if (alike > RULES.alikeTo && !isAnswer) return undefined;
  if (!BEATS_OF_BASS.includes(figure)) return kept >= RULES.keptFrom ? "pulse" : undefined;
  // One short stroke to a bar stands apart, unless others answer it; on one and three it is a bass, however short.
  const isBass = figure === "bass on one and three" || f.meanUnits >= RULES.bassFromUnits || isAnswered();
  return kept >= RULES.keptBassFrom && isLowest && isBass ? "bass" : undefined;
}

/** Likeliest broad kind of a cell but melody, with its share among all that is not melody. */
function otherThanMelody({ broad }: Judgement, cell: number): readonly [Broad, number] {
  const logs = broad[cell]!;
  let [best, all] = [1, 0];
  for (let k = 1; k < logs.length; k++) {
    all += Math.exp(logs[k]!);
    if (logs[k]! > logs[best]!) best = k;
  }
  return [BROAD_KINDS[best]!, Math.exp(logs[best]!) / all];
}

/**
 * Role of a part that does not lead.
 *
 * @param f features of the cell
 * @param judgement what the models say of the score
 * @param cell index of the cell
 * @param place how it stands in its bar and among the bars around, and the grid of the score
 * @returns the role and how sure it is
 */
export function roleOf(
  f: CellFeatures,
  judgement: Judgement,
  cell: number,
  place: CellStanding,
): SureRole {
  const { isLowest } = place;
  const plain = judgement.evidence.plain[cell];
  if (
    plain &&
    (plain === "bass" || f.swelling || rollsOn(f) || !(isLowest && f.meanUnits >= RULES.bassFromUnits))
  ) {
    return { role: plain, confidence: 0.9 };
  }
  const [broad, most] = otherThanMelody(judgement, cell);
  const share = (shape: FigureShape) =>
    judgement.names.reduce(
      (sum, name, k) => name === shape ? sum + Math.exp(judgement.kinds[cell]![k]!) : sum,
      0,
    );
  const confidence = Math.max(0.3, Math.min(0.97, most));
  const role: Role = broad === "held"
    ? isLowest ? "bass" : "pad"
    : broad === "isolated" || broad === "moving" && isLoneStroke(f)
    ? "punctuation"
    : broad === "line"
    ? "counterline"
    : isMovingBass(f, place, share)
    ? "bass"
    : movingRole(f, share);
  const regular = role === "punctuation" || role === "pad" ? regularRole(f, place) : undefined;
  if (regular) return { role: regular, confidence };
  const likeliest = judgement.names.reduce(
    (best, name, k) =>
      broadOf(name) === broad && (best < 0 || judgement.kinds[cell]![k]! > judgement.kinds[cell]![best]!)
        ? k
        : best,
    -1,
  );
  return { role, confidence, kind: likeliest };
}
