/** What comes in turn, bar by bar: two bars that are struck again and again as they were are one thing, not one and another. */
import type { CellFeatures } from "../features/features.ts";
import { isStruckAs } from "../features/strokes_within.ts";
import type { FigureName } from "../figures.ts";
import type { Role } from "../roles.ts";
import { type BarReading, HELD, LESS_SURE, surestLeads } from "./as_pairs_do.ts";

/** Bars in a row from which two roles in turn are one: there and back, twice. Model assumption. */
const FROM_BARS = 4;

/** Roles told in single bars, by silence or by signs. */
const SINGLE: readonly Role[] = ["rest", "trill"];

/** What is known of the bars beside their readings. */
interface TurnContext {
  readonly features: readonly CellFeatures[];
  /** Number of parts. */
  readonly parts: number;
  /** What a part does in a bar and the one beside it together; undefined where bars are not read two by two. */
  readonly together: (cell: number) => Role | undefined;
  /** What the notes of a cell are called in a role. */
  readonly named: (cell: number, role: Role) => FigureName;
}

/** Cells of a part from one on whose roles come in turn, each bar struck as the last but one. */
function turnsFrom(
  readings: readonly BarReading[],
  first: number,
  { features, parts }: TurnContext,
): readonly number[] {
  const cells = [first, first + parts];
  for (let next = first + 2 * parts; next < readings.length; next += parts) {
    const lastButOne = next - 2 * parts;
    if (readings[next]!.role !== readings[lastButOne]!.role) break;
    if (!isStruckAs(features[next]!, features[lastButOne]!)) break;
    cells.push(next);
  }
  return cells;
}

/** The role of bars whose roles come in turn; undefined where they stay as they are. */
function roleOfAll(
  readings: readonly BarReading[],
  cells: readonly number[],
  { together, isChief }: Pick<TurnContext, "together"> & { readonly isChief: boolean },
): Role | undefined {
  const roles = cells.slice(0, 2).map((c) => readings[c]!.role);
  const held = roles.find((role) => HELD.includes(role));
  const leads = roles.includes("lead");
  if (held !== undefined && (!leads || isChief)) return undefined;
  const inPairs = (role: Role) => cells.filter((c) => together(c) === role).length;
  const meanSure = (role: Role) => {
    const own = cells.filter((c) => readings[c]!.role === role);
    return own.reduce((sum, c) => sum + readings[c]!.confidence, 0) / own.length;
  };
  const [one, other] = roles as [Role, Role];
  const most = inPairs(one) - inPairs(other);
  if (isChief) return "lead";
  if (most !== 0) return most > 0 ? one : other;
  return held ?? (meanSure(one) >= meanSure(other) ? one : other);
}

/**
 * Readings in which what a part does in turn, bar by bar, is one thing. The chief line leads in all such bars; else they are what
 * most of them are two by two, or what is surer on the whole, and what doubles the lead in every second bar of what it holds,
 * holds. What is held in one bar and moves in the next stays so: of one role, more held notes of four annotated movements are
 * missed than the 0.82 allow. In 32 movements 3.1 instead of 3.7 of 100 bars differ from both neighbours, which agree (Beethoven 7
 * II: 5.5 instead of 11.7), and of the sounding parts 0.334 instead of 0.337 are called lead for 0.836 of the annotated ones.
 *
 * @param readings what every cell was read as by itself
 * @param context the bars, and what they do two by two
 * @returns the readings
 */
export function asOneInTurn<Reading extends BarReading>(
  readings: readonly Reading[],
  context: TurnContext,
): readonly Reading[] {
  const { parts, named } = context;
  const surest = surestLeads(readings, parts);
  const surestOf = (cell: number) => surest[Math.floor(cell / parts)]!;
  const settled = [...readings];
  for (let part = 0; part < parts; part++) {
    for (let i = part; i + parts < readings.length; i += parts) {
      const [one, other] = [readings[i]!.role, readings[i + parts]!.role];
      if (one === other || [one, other].some((role) => SINGLE.includes(role))) continue;
      const cells = turnsFrom(readings, i, context);
      if (cells.length < FROM_BARS) continue;
      i = cells.at(-1)!;
      const isChief = cells.some((c) =>
        readings[c]!.role === "lead" && readings[c]!.confidence >= surestOf(c)
      );
      const role = roleOfAll(readings, cells, { ...context, isChief });
      for (const c of cells) {
        const own = readings[c]!;
        const most = role === "lead" ? LESS_SURE * surestOf(c) : 1;
        if (role === undefined || own.role === role || most === 0) continue;
        settled[c] = {
          ...own,
          role,
          figure: named(c, role),
          confidence: Math.min(own.confidence, most),
          facts: [...own.facts, "in turn with the bar beside"],
        };
      }
    }
  }
  return settled;
}
