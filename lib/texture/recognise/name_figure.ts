/** Naming the figure a part plays, in the words of the figure table. */
import type { CellFeatures } from "../features/features.ts";
import { isOnBeat, placeIn } from "../features/felt_time.ts";
import { BEATS_OF_BASS } from "../role_does.ts";
import { RULES } from "../rules.ts";
import type { FigureShape } from "../figure_shapes.ts";
import {
  type Figure,
  FIGURE_VALUES,
  figureById,
  type FigureId,
  type FigureName,
  FIGURES,
  type FigureValue,
  type PlainFigure,
} from "../figures.ts";
import { rollsOn } from "../clues/rolls_on.ts";
import { patternOf } from "../clues/pattern_of.ts";
import { steadyBass, strikesGroups } from "../clues/steady_bass.ts";
import { walksThrough } from "../clues/walking_basses.ts";
import type { Role } from "../roles.ts";

/** Rhythm of the bar's notes as positions within a quarter, with how often each occurs. */
function positionsInQuarter(f: CellFeatures, ticksPerQuarter: number): ReadonlyMap<number, number> {
  const counts = new Map<number, number>();
  for (const n of f.line) {
    const at = Math.round(placeIn(n.onsetTicks, f.felt, ticksPerQuarter) * 24) / 24;
    counts.set(at, (counts.get(at) ?? 0) + 1);
  }
  return counts;
}

/** How well strokes of a cell agree with where the notes fall, 0 to 1. */
function agreement(
  strokes: readonly { readonly at: number }[],
  positions: readonly (readonly [at: number, count: number])[],
): number {
  let total = 0, explained = 0, filled = 0;
  for (const [at, count] of positions) {
    total += count;
    if (strokes.some((s) => Math.abs(s.at - at) < 1 / 24)) explained += count;
  }
  if (total === 0) return 0;
  for (const stroke of strokes) if (positions.some(([at]) => Math.abs(stroke.at - at) < 1 / 24)) filled++;
  return explained / total * (filled / strokes.length);
}

/** Whether the bar's notes swing between two pitches, which may change with the harmony. */
function alternates({ line }: CellFeatures): boolean {
  if (line.length < 3) return new Set(line.map((n) => n.soundingPitch)).size === 2;
  const back = line.slice(2).filter((n, i) =>
    n.soundingPitch === line[i]!.soundingPitch && n.soundingPitch !== line[i + 1]!.soundingPitch
  );
  return back.length >= 0.6 * (line.length - 2);
}

/** Notes from which on to and fro between two pitches is an alternation and nothing else. */
const SWINGS_FROM_NOTES = 4;

/**
 * Whether a bar goes to and fro between two pitches and does nothing else, however near they lie.
 *
 * @param features what the part's notes look like
 * @returns true from four notes on
 */
export function swings({ line }: CellFeatures): boolean {
  return line.length >= SWINGS_FROM_NOTES && new Set(line.map((n) => n.soundingPitch)).size === 2 &&
    line.every((n, i) => n.soundingPitch !== line[i - 1]?.soundingPitch);
}

/** Note value whose length is nearest, for figures the table has no word for. */
function valueName(quarters: number): FigureValue {
  const distance = (length: number) => Math.abs(Math.log(quarters / length));
  return FIGURE_VALUES.reduce((best, value) => distance(value[1]) < distance(best[1]) ? value : best)[0];
}

/** A pulse moves rather than repeats when fewer of its steps than this stay on the pitch. Model assumption. */
const MOVING_BELOW = 0.35;

/** Pulses in even values, which say nothing of a rhythm that would be worth keeping in the name. */
const EVEN_NAMES = FIGURES.filter((f) =>
  f.role === "pulse" && new Set(f.strokes.map((s) => s.length)).size === 1 && f.strokes[0]?.at === 0
)
  .map((f) => f.id);

/** Share of the steps in the bar that stay on the pitch; slashed notes do. */
function repeating({ line, tremolo }: CellFeatures): number {
  if (tremolo > 0.5 || line.length < 2) return 1;
  return line.slice(1).filter((n, i) => n.soundingPitch === line[i]!.soundingPitch).length /
    (line.length - 1);
}

/** Whether a bar's notes go up or down by step. */
function runs({ line }: CellFeatures): boolean {
  const sizes = line.slice(1).map((n, i) => n.soundingPitch - line[i]!.soundingPitch);
  return sizes.length >= 3 &&
    sizes.every((size) => size !== 0 && Math.abs(size) <= 2 && size * sizes[0]! > 0);
}

/** Figures of the table with one rhythm per quarter. */
const IN_QUARTERS = FIGURES.filter((f) => f.cellQuarters === 1);

/** Figure of the table with one rhythm per quarter that agrees best with the notes, if any does. */
function bestOfTable(
  role: Role,
  shape: FigureShape,
  positions: ReadonlyMap<number, number>,
): FigureId | undefined {
  let best: FigureId | undefined;
  let bestFit = 0.75;
  const placed = [...positions];
  for (const figure of IN_QUARTERS) {
    if (figure.role !== role || figure.shape !== shape) continue;
    const fit = agreement(figure.strokes, placed);
    if (fit > bestFit) {
      best = figure.id;
      bestFit = fit;
    }
  }
  return best;
}

/** Places of the strokes that a figure's cell has where it is laid over a bar, in quarters from the first group; each group of 7/8 and the like cuts it off. */
function placesOf(
  { cellQuarters, strokes, role }: Pick<Figure, "cellQuarters" | "strokes" | "role">,
  { felt: { groupsFromTicks: groups, originTicks }, barQuarters }: CellFeatures,
  ticksPerQuarter: number,
): readonly number[] {
  // A bass keeps its beat through the groups.
  const starts = role === "bass" ? [0] : groups.map((at) => (at - originTicks) / ticksPerQuarter);
  const places: number[] = [];
  starts.forEach((from, i) => {
    const to = starts[i + 1] ?? barQuarters;
    for (let cell = 0; cell < Math.ceil((to - from) / cellQuarters); cell++) {
      for (const stroke of strokes) {
        const at = from + cell * cellQuarters + stroke.at;
        if (at < to - 1 / 24) places.push(at);
      }
    }
  });
  return places;
}

/** Strokes from which on the last of a bar may be left out for a breath and the rhythm is plain all the same. Model assumption. */
const PLAIN_FROM_STROKES = 4;

/** Figures of the table with one rhythm per dotted quarter. */
const IN_DOTTED_QUARTERS = FIGURES.filter((f) => f.cellQuarters === 3 / 2);

/** Figure of the table in dotted quarters whose strokes are the bar's, the last of them cut off by the bar line, or left out for a breath. */
function inThrees(f: CellFeatures, role: Role, ticksPerQuarter: number): FigureId | undefined {
  const [first] = f.line;
  if (first === undefined || f.line.length < 2) return undefined;
  return IN_DOTTED_QUARTERS.find((figure) => {
    if (figure.role !== role) return false;
    const places = placesOf(figure, f, ticksPerQuarter);
    const leftOut = places.length - f.line.length;
    const isBreath = leftOut === 1 && figure.strokes.length > 1 && f.line.length >= PLAIN_FROM_STROKES;
    return (leftOut === 0 || isBreath) && f.line.every((n, i) => {
      const quarters = (n.onsetTicks - first.onsetTicks) / ticksPerQuarter;
      return Math.abs(quarters - (places[i]! - places[0]!)) < 1 / 24;
    });
  })?.id;
}

/** Pulses of the table that keep to a cell. */
const IN_CELLS = FIGURES.filter((f) => f.role === "pulse" && f.cellQuarters > 0);

/**
 * Pulse of the table whose strokes are the bar's, counted from the bar line, and most of whose notes stay on the pitch.
 *
 * @param features what the part's notes look like
 * @param ticksPerQuarter grid of the score
 * @returns its name, or undefined
 */
export function filledPulse(features: CellFeatures, ticksPerQuarter: number): FigureId | undefined {
  const { line, felt } = features;
  if (line.length < 2 || repeating(features) < PLAINLY_REPEATED_FROM) return undefined;
  const onsets = line.map((n) => (n.onsetTicks - felt.originTicks) / ticksPerQuarter);
  return IN_CELLS.find((figure) => {
    const places = placesOf(figure, features, ticksPerQuarter);
    return places.length === onsets.length && onsets.every((at, i) => Math.abs(at - places[i]!) < 1 / 24);
  })?.id;
}

/** Least share of steps that stay on the pitch where a rhythm in dotted quarters is plainly a pulse. Model assumption. */
const PLAINLY_REPEATED_FROM = 0.6;

/**
 * Whether a bar is filled by a repeated pitch in dotted quarters, such as a quarter and an eighth in 6/8.
 *
 * @param features what the part's notes look like
 * @param ticksPerQuarter grid of the score
 * @returns true where the table of figures has that rhythm and most notes stay on the pitch
 */
export function isPulseInThrees(features: CellFeatures, ticksPerQuarter: number): boolean {
  return repeating(features) >= PLAINLY_REPEATED_FROM &&
    inThrees(features, "pulse", ticksPerQuarter) !== undefined;
}

/** Whether a part strikes every beat of its bar but the first; a beat is as long as the rest before it. */
function afterBeats(
  { line, beginsAtQuarters: beat, barQuarters, felt }: CellFeatures,
  ticksPerQuarter: number,
): boolean {
  return beat * ticksPerQuarter >= RULES.afterBeatsFromUnits * Math.min(felt.unitTicks, felt.beatTicks) &&
    Math.abs((line.length + 1) * beat - barQuarters) < 1 / 24 &&
    line.every((n, i) =>
      Math.abs((n.onsetTicks - line[0]!.onsetTicks) / ticksPerQuarter - i * beat) < 1 / 24 &&
      n.durationTicks <= beat * ticksPerQuarter
    );
}

/** Whether a part strikes the first or the second of every two of a bar's four beats, no longer than a beat, and nothing else. */
function everySecondBeat(
  { line, barQuarters, felt: { startTicks, beatTicks, divisions } }: CellFeatures,
  ticksPerQuarter: number,
): "first" | "second" | undefined {
  const [first, second] = line;
  if (line.length !== 2) return undefined;
  const beat = barQuarters * ticksPerQuarter / 4;
  // A bar of three beats has no four; one of two has halves of beats, as a quick alla breve.
  const beats = beat / (divisions === 2 ? beatTicks / 2 : beatTicks);
  if (Math.abs(beats - Math.round(beats)) > 1e-6) return undefined;
  const isShort = line.every((n) => n.durationTicks <= beat);
  if (!isShort || Math.abs(second!.onsetTicks - first!.onsetTicks - 2 * beat) > 1e-6) return undefined;
  const at = (first!.onsetTicks - startTicks) / beat;
  return at === 0 ? "first" : at === 1 ? "second" : undefined;
}

/** Figures that make sense only bar after bar. */
type BeatFigure = Extract<
  FigureId,
  "after-beats" | "after-beats on two and four" | "bass on the downbeat" | "bass on one and three"
>;

/** Those of a pulse. */
export const AFTER_BEATS: readonly FigureName[] = ["after-beats", "after-beats on two and four"];
/** What answers a bass: chords on the beats, or the halves of beats, that it leaves. */
export const ANSWERS: readonly FigureName[] = [...AFTER_BEATS, "off-beats"];

/**
 * Whether a part strikes as after-beats do, or a bass on the downbeat, or on one and three.
 *
 * @param features what the part's notes look like
 * @param ticksPerQuarter grid of the score
 * @returns the figure it would be, or undefined
 */
export function beatFigure(features: CellFeatures, ticksPerQuarter: number): BeatFigure | undefined {
  const { line, beginsAtQuarters, meanQuarters, barQuarters } = features;
  if (afterBeats(features, ticksPerQuarter)) return "after-beats";
  const second = everySecondBeat(features, ticksPerQuarter);
  if (second !== undefined) {
    return second === "first" ? "bass on one and three" : "after-beats on two and four";
  }
  return line.length === 1 && beginsAtQuarters === 0 && meanQuarters <= 0.6 * barQuarters
    ? "bass on the downbeat"
    : undefined;
}

/** Whether strokes stand on the second half of a beat each, two at least. */
export function offBeats({ line, felt }: CellFeatures): "off-beats" | undefined {
  const isOff = line.length >= 2 &&
    line.every((n) => Math.abs(placeIn(n.onsetTicks, felt, felt.beatTicks) - 1 / 2) < 1e-6);
  return isOff ? "off-beats" : undefined;
}

/** The same as it is named: on two and four of quarters at least; of shorter values the table has off-beats. */
function namedByBeats(features: CellFeatures, ticksPerQuarter: number): BeatFigure | undefined {
  const figure = beatFigure(features, ticksPerQuarter);
  const isOfFour = figure === "after-beats on two and four" || figure === "bass on one and three";
  return isOfFour && features.barQuarters < 4 ? undefined : figure;
}

/** Whether a part strikes every beat but the first, or every second one. */
export function strikesAfterBeats(features: CellFeatures, ticksPerQuarter: number): boolean {
  const figure = beatFigure(features, ticksPerQuarter);
  return figure !== undefined && AFTER_BEATS.includes(figure);
}

/** A bass in quarters walks when this share of its steps moves: more than one change of harmony a bar would. Model assumption. */
const WALKING_FROM = 0.85;

/** What a figure without a name in the table is called before its note value. */
const PLAIN_WORDS = {
  "broken chord": "broken chord in",
  "alternation": "alternation in",
} as const satisfies Partial<Record<FigureShape, PlainFigure>>;

/** What is known beside the notes and the role. */
interface NameFigureOptions {
  /** Grid of the score. */
  readonly ticksPerQuarter: number;
  /** What the notes do; by default it is counted in the bar. */
  readonly shape?: FigureShape | "none" | undefined;
}

/** What a broken chord or an alternation is called; chord tones that come back by turns break a chord of three. */
function figurationName(f: CellFeatures, { ticksPerQuarter, shape }: NameFigureOptions): FigureName {
  const patterned = patternOf(f, ticksPerQuarter);
  if (patterned) return patterned;
  const called = shape !== "broken chord" && alternates(f) ? "alternation" : "broken chord";
  return bestOfTable("figuration", called, positionsInQuarter(f, ticksPerQuarter)) ??
    `${PLAIN_WORDS[called]} ${valueName(f.meanQuarters)}`;
}

/** A measured tremolo: notes of a beat or more under slashes that are counted. */
function measuredTremolo(f: CellFeatures, { ticksPerQuarter }: NameFigureOptions): FigureId | undefined {
  const written = f.line.reduce((sum, n) => sum + n.durationTicks, 0) / f.line.length;
  if (written < Math.min(ticksPerQuarter, f.felt.unitTicks)) return undefined;
  const value = valueName(f.meanQuarters);
  return FIGURES.find(({ id, tremoloSlashes }) => tremoloSlashes > 0 && id === `measured tremolo in ${value}`)
    ?.id;
}

/** What a pulse is called; one whose notes move, on a changing bass or a line in even values, is named as what it is. */
function pulseName(f: CellFeatures, options: NameFigureOptions): FigureName {
  const value = valueName(f.meanQuarters);
  if (f.tremolo > 0.5) return measuredTremolo(f, options) ?? `repeated ${value}`;
  const filled = filledPulse(f, options.ticksPerQuarter);
  if (filled !== undefined && figureById(filled)!.cellQuarters > 3 / 2) return filled;
  const named = bestOfTable("pulse", "repeated notes", positionsInQuarter(f, options.ticksPerQuarter));
  const moves = repeating(f) < MOVING_BELOW && (named === undefined || EVEN_NAMES.includes(named));
  if (!moves) return named ?? `repeated ${value}`;
  if (options.shape === "broken chord" || options.shape === "alternation") return figurationName(f, options);
  return options.shape === "scale" || runs(f) ? "running scale" : `moving ${value}`;
}

/** Whether beats go from tone to tone around the bar rather than stay, and over each bar line by step. */
function isWalking({ nearby, line }: CellFeatures): boolean {
  const moves = nearby.slice(1).map((n, i) => Math.abs(n.soundingPitch - nearby[i]!.soundingPitch));
  if (moves.filter((size) => size > 0).length < WALKING_FROM * moves.length) return false;
  const first = nearby.indexOf(line[0]!);
  const overBarLines = [moves[first - 1], moves[first + line.length - 1]].filter((size) =>
    size !== undefined
  );
  return overBarLines.some((size) => size >= 1 && size <= 2);
}

function bassName(f: CellFeatures, ticksPerQuarter: number): FigureName {
  const written = f.meanQuarters;
  const beaten = namedByBeats(f, ticksPerQuarter);
  if (beaten !== undefined && BEATS_OF_BASS.includes(beaten)) return beaten;
  const steady = steadyBass(f, ticksPerQuarter);
  const isInBeats = steady === "bass on every quarter" || steady === "bass on every dotted quarter";
  if ((isInBeats || walksThrough(f)) && isWalking(f)) return "walking bass";
  // Half notes that only change with the harmony are held.
  if (steady !== undefined && (steady !== "bass in half notes" || f.repeats > 0)) return steady;
  return written >= 1.5
    ? "sustained bass"
    : written >= 0.75
    ? "bass on every quarter"
    : `bass in ${valueName(written)}`;
}

/** Roles whose strokes may be after-beats. */
const STRUCK: readonly Role[] = ["pulse", "punctuation", "pad"];

/** Whether a bar's strokes come in the same places in the bar before, or in the next. */
function comesAgain({ line, nearby, barUnits, felt }: CellFeatures): boolean {
  const bar = barUnits * felt.unitTicks;
  const isThere = (at: number) => nearby.some((n) => Math.abs(n.onsetTicks - at) < 1e-6);
  return [-bar, bar].some((step) => line.every((n) => isThere(n.onsetTicks + step)));
}

/**
 * The after-beats that strokes are called by, if any: unless they pulse, at least two, since one may stand alone, and on two and
 * four where they come again.
 */
function afterBeatsName(f: CellFeatures, role: Role, ticksPerQuarter: number): FigureName | undefined {
  if (!STRUCK.includes(role)) return undefined;
  const figure = namedByBeats(f, ticksPerQuarter);
  if (figure === undefined || !AFTER_BEATS.includes(figure)) return undefined;
  const isSure = role === "pulse" || f.line.length >= 2 && (figure === "after-beats" || comesAgain(f));
  return isSure ? figure : undefined;
}

/** What a pad is called: by its signs where it is struck or rolled. */
function padName({ swelling, line }: CellFeatures): FigureName {
  if (swelling) return "stab with a swell";
  return line.some((n) => n.signs?.includes("arpeggiate")) ? "rolled chords" : "held chord";
}

/** What a trill or tremolo is called; a turn is its last two notes, which have no sign. */
function trillName(f: CellFeatures): FigureName {
  const { line, trill, tremolo } = f;
  if (rollsOn(f)) return "roll into the bar";
  if (trill < tremolo) return line.some((n) => n.tremoloAlternates) ? "two-note tremolo" : "tremolo";
  return f.turned ? "trill with a turn" : "trill";
}

/** The value most of a line's notes have, in quarters. */
function commonestValue(line: CellFeatures["line"], ticksPerQuarter: number): number {
  const counts = [...Map.groupBy(line, (n) => n.durationTicks)].map(([length, own]) =>
    [length, own.length] as const
  );
  const most = Math.max(...counts.map(([, count]) => count));
  return (counts.find(([, count]) => count === most)?.[0] ?? 0) / ticksPerQuarter;
}

/** What a run is called: by its value and way where the table has them. */
function runName(f: CellFeatures, ticksPerQuarter: number): FigureName {
  const quarters = f.line.reduce((sum, n) => sum + n.durationTicks, 0) / ticksPerQuarter;
  const value = valueName(commonestValue(f.line, ticksPerQuarter));
  const [first, last] = [f.line[0], f.line.at(-1)];
  const words = quarters > 0.8 * f.barQuarters
    ? "running scale"
    : first && last && last.soundingPitch < first.soundingPitch
    ? "scale down into the bar"
    : "scale into the bar";
  return FIGURES.find(({ id }) => id === `${words} in ${value}`)?.id ?? words;
}

/** What single strokes are called. */
function strokeName({ onsets, beginsAtQuarters, line: [first], felt }: CellFeatures): FigureName {
  if (onsets !== 1 || first === undefined) return "separate strokes";
  // A slow 2/4 is felt in eighths: what is off the quarters is off the beat all the same.
  if (!isOnBeat(first.onsetTicks, felt) || beginsAtQuarters % 1 !== 0 && felt.divisions === 2) {
    return "off-beat stab";
  }
  return beginsAtQuarters === 0 ? "stroke on the downbeat" : "separate strokes";
}

/**
 * Name of the figure a part plays in a bar, in the words of its role: the table's figure of that role whose rhythm
 * agrees best, or a plain description where none does. The one place where figures are named.
 *
 * @param features what the part's notes look like
 * @param role role it was given, or that of the shape of its notes
 * @param options grid of the score, and what the notes do, where that is known
 * @returns the name
 */
export function nameFigure(features: CellFeatures, role: Role, options: NameFigureOptions): FigureName {
  const f = features;
  const { ticksPerQuarter } = options;
  const threes = inThrees(f, role, ticksPerQuarter);
  const isBeaten = role === "bass" && strikesGroups(f);
  if (
    threes !== undefined && !isBeaten && (role === "bass" && !isWalking(f) || repeating(f) >= MOVING_BELOW)
  ) {
    return threes;
  }
  const afterBeat = afterBeatsName(f, role, ticksPerQuarter);
  if (afterBeat !== undefined) return afterBeat;
  switch (role) {
    case "lead":
      return "tune";
    case "counterline":
      return "second line";
    case "pad":
      return padName(f);
    case "trill":
      return trillName(f);
    case "run":
      return runName(f, ticksPerQuarter);
    case "punctuation":
      return strokeName(f);
    case "bass":
      return bassName(f, ticksPerQuarter);
    case "pulse":
      return f.line.length === 0 ? role : pulseName(f, options);
    case "figuration":
      return f.line.length === 0 ? role : figurationName(f, options);
    case "rest":
      return "none";
  }
}
