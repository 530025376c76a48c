/** Whether a figure goes into a metre. */
import { beatsCounted, fullBarTicks, isCompound, shortGroupTicks } from "../../score/time.ts";
import type { Bar } from "../../score/model.ts";
import type { Figure, FigureId } from "../../texture/figures.ts";

/** Figures that belong to beats of three, and those that go against them. Common practice, no source. */
const IN_THREES: readonly FigureId[] = [
  "quarter and eighth",
  "off-beats in threes",
  "bass on every dotted quarter",
];
const IN_TWOS: readonly FigureId[] = [
  "off-beats",
  "eighth and two sixteenths",
  "two sixteenths and eighth",
  "dotted eighth and sixteenth",
  "bass on every quarter",
  "bass in half notes",
  "repeated triplets",
  "broken chord in triplets",
];

/** Figures of bars with four beats. */
const IN_FOUR: readonly FigureId[] = ["after-beats on two and four", "bass on one and three"];

/** Play in comparing lengths in quarters. */
const EXACT = 1e-6;

const isWhole = (quarters: number) => Math.abs(quarters - Math.round(quarters)) < EXACT;

/** Whether a figure fills bars of some length without remainder: eighth-note triplets do not fill 3/8, nor half notes 3/4. */
export function fillsBar({ role, cellQuarters, strokes }: Figure, barQuarters: number): boolean {
  if (strokes.length === 0 || cellQuarters === 0 && strokes.length === 1) return true;
  const cell = cellQuarters === 0 ? 1 : cellQuarters;
  const stroke = cell / strokes.length;
  const isEven = strokes.every((s, i) =>
    Math.abs(s.at - i * stroke) < EXACT && Math.abs(s.length - stroke) < EXACT
  );
  // A run into the bar begins in its middle.
  const room = role === "run" && cellQuarters === 0 ? barQuarters / 2 : barQuarters;
  return isWhole(room / (isEven ? stroke : cell));
}

/** Whether a figure counts twos where the beats of a bar have three parts, or the other way round, or four beats where there are others. */
export function goesAgainst({ id }: Figure, bar: Bar): boolean {
  if (IN_FOUR.some((figure) => figure === id)) return beatsCounted(bar) !== 4;
  return (isCompound(bar) ? IN_TWOS : IN_THREES).some((other) => other === id);
}

/**
 * Whether a figure can be asked for in a bar: it does not count twos against threes, nor four beats where there are others, and
 * bars that are no whole number of quarters are filled by it. Bars of unequal groups, as 7/8 has them, are taken group by group.
 */
export function fitsMetre(figure: Figure, bar: Bar, ticksPerQuarter: number): boolean {
  if (goesAgainst(figure, bar)) return false;
  const quarters = fullBarTicks(bar, ticksPerQuarter) / ticksPerQuarter;
  return isWhole(quarters) || shortGroupTicks(bar, ticksPerQuarter).length > 1 ||
    figure.shape === "second line" || fillsBar(figure, quarters);
}
