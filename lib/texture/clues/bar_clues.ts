/** Clues of a bar that need no span, or the other parts, as a table: a name, what it is, and what it is read from. */
import type { Instrument } from "../../instruments/catalogue.ts";
import type { CellFeatures } from "../features/features.ts";
import type { Companions } from "../features/overlaps.ts";
import { RECURRENCE_CLUES } from "../features/recurrences.ts";
import { type Beside, meanOfOthers } from "./beside.ts";
import { COUNT } from "./counts.ts";
import type { Counted } from "./span_clues.ts";

/** Everything that is known of one part in one bar. */
interface BarCell {
  readonly index: number;
  readonly part: number;
  readonly features: CellFeatures;
  readonly counted: Counted;
  readonly instrument: Instrument;
  /** Whether it is the first of the strings. */
  readonly firstStrings: boolean;
  readonly beside: Beside;
  readonly companions: Companions;
  readonly soundsBefore: boolean;
  readonly soundsAfter: boolean;
  /** Units since the part came in. */
  readonly sinceEntry: number;
  /** What comes back, a number per cell each. */
  readonly recurrences: readonly Float64Array[];
}

/** A clue of a bar. */
interface BarClue {
  /** Its name. */
  readonly name: string;
  /** Its value. */
  readonly of: (cell: BarCell) => number;
  /** What it is read from. */
  readonly source:
    | "the bar"
    | "the bars beside it"
    | "the other parts"
    | "the instrument"
    | "the whole score";
}

const yes = (is: boolean) => is ? 1 : 0;
const standing = ({ beside, part }: BarCell) => beside.standing[part]!;
const above = ({ beside, part }: BarCell) => beside.above[part]!;
const others = ({ beside }: BarCell) => Math.max(1, beside.parts.length - 1);
const heights = ({ beside }: BarCell) => Math.max(1, beside.pitches.length);
const isPitched = (cell: BarCell) => standing(cell).pitched;

/** How many times more than the others, in octaves: 1 for twice as much, between -2 and 2. */
const comparedWith = (own: number, rest: number) =>
  Math.max(-2, Math.min(2, Math.log2(own / Math.max(0.1, rest))));

/** Distance to the next part above in octaves, 1 where there is none. */
function nextAbove(cell: BarCell): number {
  const { pitch, pitched } = standing(cell);
  const next = pitched ? cell.beside.pitches.find((x) => x > pitch + 0.5) : undefined;
  return next === undefined ? 1 : Math.min(1, (next - pitch) / 12);
}

/** Parts above the highest of a cell's doublings. */
function aboveGroup(cell: BarCell): number {
  const { companions, index, part, beside } = cell;
  return companions.unison[index]!.reduce(
    (least, i) => Math.min(least, beside.above[i - index + part]!),
    above(cell),
  );
}

/** Where in its instrument's comfortable range a part lies. */
function registerOfOwn(cell: BarCell): number {
  const { low, high } = cell.instrument.rangeComfortable;
  const place = (standing(cell).pitch - low) / Math.max(1, high - low);
  return isPitched(cell) ? Math.max(-0.5, Math.min(1.5, place)) : 0.5;
}

/** Share of the other parts that move more. */
function moreMoving(cell: BarCell): number {
  const { moving } = standing(cell);
  const { parts, standing: all } = cell.beside;
  return parts.filter((p) => all[p]!.moving > moving + 0.05).length / others(cell);
}

const family = (name: Instrument["family"]): BarClue => ({
  name,
  source: "the instrument",
  of: ({ instrument }) => yes(instrument.family === name),
});

const TABLE: readonly BarClue[] = [
  { name: "begins", source: "the bar", of: ({ features }) => yes(features.line.length > 0) },
  { name: "heldOver", source: "the bar", of: ({ features }) => yes(features.line.length === 0) },
  { name: "tremolo", source: "the bar", of: ({ features }) => features.tremolo },
  { name: "trill", source: "the bar", of: ({ features }) => features.trill },
  { name: "chords", source: "the bar", of: ({ features }) => features.chordShare },
  {
    name: "accents",
    source: "the bar",
    of: ({ counted: n }) => n(COUNT.accents) / Math.max(1, n(COUNT.onsets)),
  },
  { name: "downbeat", source: "the bar", of: ({ counted: n }) => n(COUNT.downbeats) },
  { name: "enters", source: "the bars beside it", of: (c) => yes(!c.soundsBefore) },
  { name: "leaves", source: "the bars beside it", of: (c) => yes(!c.soundsAfter) },
  {
    name: "rhythmAsBefore",
    source: "the bars beside it",
    of: (c) => c.companions.rhythmAsBefore[c.index]!,
  },
  {
    name: "pitchesAsBefore",
    source: "the bars beside it",
    of: (c) => c.companions.pitchesAsBefore[c.index]!,
  },
  { name: "fresh", source: "the bars beside it", of: (c) => 1 / (1 + c.sinceEntry / 4) },
  { name: "higher", source: "the other parts", of: (c) => above(c) / heights(c) },
  { name: "top", source: "the other parts", of: (c) => yes(isPitched(c) && above(c) === 0) },
  {
    name: "bottom",
    source: "the other parts",
    of: (c) => yes(isPitched(c) && c.beside.pitches[0]! >= standing(c).pitch - 0.5),
  },
  { name: "nextAbove", source: "the other parts", of: nextAbove },
  {
    name: "softer",
    source: "the other parts",
    of: (c) => Math.min(1, Math.max(0, (c.beside.loudest - standing(c).loud) / 3)),
  },
  {
    name: "busier",
    source: "the other parts",
    of: (c) => comparedWith(standing(c).pace, meanOfOthers(c.beside, c.part, (s) => s.pace)),
  },
  {
    name: "longer",
    source: "the other parts",
    of: (c) =>
      comparedWith(Math.max(0.05, standing(c).length), meanOfOthers(c.beside, c.part, (s) => s.length)),
  },
  {
    name: "sounding",
    source: "the other parts",
    of: ({ beside }) => Math.log2(Math.max(1, beside.parts.length)) / 4,
  },
  { name: "unison", source: "the other parts", of: (c) => c.companions.unison[c.index]!.length / others(c) },
  {
    name: "sameRhythm",
    source: "the other parts",
    of: (c) => c.companions.rhythm[c.index]!.length / others(c),
  },
  { name: "ownRhythm", source: "the other parts", of: (c) => 1 - c.companions.mostRhythm[c.index]! },
  {
    name: "othersMove",
    source: "the other parts",
    of: (c) => meanOfOthers(c.beside, c.part, (s) => s.moving),
  },
  { name: "othersHold", source: "the other parts", of: (c) => meanOfOthers(c.beside, c.part, (s) => s.held) },
  {
    name: "othersRepeat",
    source: "the other parts",
    of: (c) => meanOfOthers(c.beside, c.part, (s) => s.repeating),
  },
  { name: "groupTop", source: "the other parts", of: (c) => yes(aboveGroup(c) === 0) },
  { name: "groupHigher", source: "the other parts", of: (c) => aboveGroup(c) / heights(c) },
  { name: "moreMoving", source: "the other parts", of: moreMoving },
  family("woodwind"),
  family("brass"),
  family("percussion"),
  family("strings"),
  { name: "firstStrings", source: "the instrument", of: (c) => yes(c.firstStrings) },
  {
    name: "register",
    source: "the instrument",
    of: (c) => isPitched(c) ? (standing(c).pitch - 60) / 24 : 0,
  },
  { name: "unpitched", source: "the instrument", of: ({ instrument }) => yes(instrument.unpitched) },
  { name: "registerOfOwn", source: "the instrument", of: registerOfOwn },
  ...RECURRENCE_CLUES.map((name, i): BarClue => ({
    name,
    source: "the whole score",
    of: ({ recurrences, index }) => recurrences[i]![index]!,
  })),
];

/** Names of the clues. */
export const BAR_CLUES: readonly string[] = TABLE.map(({ name }) => name);

/** Writes the clues of a bar into a row. */
export function writeBarClues(row: Float64Array, from: number, cell: BarCell): void {
  TABLE.forEach(({ of }, i) => row[from + i] = of(cell));
}
