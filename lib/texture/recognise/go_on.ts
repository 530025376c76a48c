/** What a part goes on doing: a bar among others in their rhythm is what they are. */
import type { CellFeatures } from "../features/features.ts";
import { isStruckAs, strokesWithin } from "../features/strokes_within.ts";
import type { RoleCell } from "../model.ts";
import { figureById, type FigureName } from "../figures.ts";
import { BEATS_OF_BASS } from "../role_does.ts";
import type { Role } from "../roles.ts";

/** Roles that may be taken for each other in a single bar. */
const ALIKE: readonly Role[] = ["pulse", "bass"];

/** Roles that go on through a bar in which a part hardly strikes. */
const GOING_ON: readonly Role[] = ["pulse", "figuration"];

/** Whether one of two bars strikes nowhere but where the other does, from the bar line, and hardly less often. */
function sharesRhythm(a: CellFeatures, b: CellFeatures): boolean {
  const within = strokesWithin(a, b);
  if (within === undefined) return false;
  const { few, many } = within;
  return few * 2 > many && (few >= 2 || many === 1);
}

/** What a figure is beside its pattern of tones: of figures in one value that do the same none parts the bars of a part. */
function kindOf(name: FigureName | undefined): string | undefined {
  const figure = name === undefined ? undefined : figureById(name);
  if (figure === undefined || figure.cellQuarters === 0) return name;
  const [first] = figure.strokes;
  const isEven = first!.at === 0 && figure.strokes.every((s) => s.length === first!.length);
  return isEven && figure.shape === "broken chord" ? `${figure.role} ${figure.shape} ${first!.length}` : name;
}

/** Roles of what moves, which a bass is taken for in bars where it leaps. */
const MOVING: readonly Role[] = ["pulse", "figuration"];

/** The bass that a part is in a bar beside, struck in the same places, if it is that in another bar around as well. */
function bassAround<Reading extends Pick<RoleCell, "role" | "figure">>(
  readings: readonly Reading[],
  features: readonly CellFeatures[],
  { cell, parts }: { readonly cell: number; readonly parts: number },
): Reading | undefined {
  const isBass = (i: number) => readings[i]?.role === "bass";
  const beside = [cell - parts, cell + parts].find((i) =>
    isBass(i) && isStruckAs(features[i]!, features[cell]!)
  );
  const around = [-2, -1, 1, 2].filter((bars) => isBass(cell + bars * parts)).length;
  return beside !== undefined && features[cell]!.line.length > 1 && around >= 2
    ? readings[beside]
    : undefined;
}

/**
 * Readings in which a bar that differs from the bars around it is read as they are, if its rhythm is theirs: a note is
 * left out for a breath, or the harmony changes early, and the part goes on all the same.
 *
 * @param readings what every cell was read as by itself
 * @param features features of every bar and part
 * @param parts how many parts there are
 * @returns the readings, those of single bars settled by their neighbours
 */
export function goOn<Reading extends Pick<RoleCell, "role" | "figure">>(
  readings: readonly Reading[],
  features: readonly CellFeatures[],
  parts: number,
): readonly Reading[] {
  const same = (a: number, b: number) => {
    const [own, other] = [readings[a], readings[b]];
    return own?.role === other?.role &&
      (own?.figure === other?.figure || kindOf(own?.figure) === kindOf(other?.figure));
  };
  return readings.map((own, i) => {
    if (own.role === "lead" || features[i]!.line.length === 0) return own;
    const asBass = MOVING.includes(own.role) ? bassAround(readings, features, { cell: i, parts }) : undefined;
    if (asBass !== undefined) return { ...own, role: asBass.role, figure: asBass.figure };
    const [before, after] = [i - parts, i + parts];
    if (
      own.role === "punctuation" && GOING_ON.includes(readings[before]?.role ?? "rest") && same(before, after)
    ) {
      return { ...own, role: readings[before]!.role, figure: readings[before]!.figure };
    }
    const pairs = [[i - parts, i + parts], [i - parts, i - 2 * parts], [i + parts, i + 2 * parts]] as const;
    const near = pairs.find(([a, b]) => readings[a] && readings[b] && same(a, b))?.[0];
    if (near === undefined || same(near, i)) return own;
    const { role, figure } = readings[near]!;
    // A breath, or a harmony that changes within the bar, takes the turn at the end of a trill; none puts one there.
    if (own.figure === "trill with a turn" && figure === "trill") return own;
    const isCut = own.figure === "trill" && figure === "trill with a turn";
    // Notes are left out for a breath, not put in: of bars with one role the fuller ones show the figure.
    if (!isCut && own.role === role && features[i]!.line.length > features[near]!.line.length) return own;
    if (!isCut && !sharesRhythm(features[i]!, features[near]!)) return own;
    const isAlike = own.role === role || BEATS_OF_BASS.includes(figure) && own.role === "punctuation" ||
      ALIKE.includes(own.role) && ALIKE.includes(role);
    return isAlike ? { ...own, role, figure } : own;
  });
}
