/** Wishes that nothing could be written for: no tune, no chord, no lead to go against, a metre or a bass that stands against it. */
import { InputError } from "../../base/errors.ts";
import { either, listed } from "../../base/words.ts";
import type { HarmonyReading } from "../../harmony/harmony_results.ts";
import { instrumentById } from "../../instruments/catalogue.ts";
import type { Score } from "../../score/model.ts";
import { type Figure, figuresFor } from "../../texture/figures.ts";
import type { Texture } from "../../texture/model.ts";
import { missingLine } from "../realise/missing_line.ts";
import { fitsMetre } from "../plan/fits_metre.ts";
import type { Sketch } from "../plan/sketch.ts";
import type { PlacedWish } from "./place_wishes.ts";
import { barsInWords } from "./sketch_from.ts";
import { seatsAt } from "./seats_at.ts";
import { leadsBeside, lowestBeside } from "./stays.ts";
import type { WrittenWish } from "./wish.ts";

/** Least mean certainty of the chords of some bars that is enough to write on. Model assumption. */
const LEAST_CERTAINTY = 0.35;

/** Share of the bars from which what stands against a wish is said to stand against it. Model assumption. */
const MOST_BARS = 0.5;

/** Semitones above the lowest line up to which a part still gives the bass: an octave. Common practice, no source. */
const BASS_REACH = 12;

/** Most names in a remedy. */
const MOST_NAMED = 4;

/** A wish for notes with what it would be written on. */
export interface WishOnGround {
  readonly placed: PlacedWish & { readonly wish: WrittenWish };
  readonly figure: Figure;
  readonly all: readonly PlacedWish[];
  readonly sketch: Sketch;
  readonly texture: Texture;
  readonly harmony: Pick<HarmonyReading, "spans">;
}

type Refuse = (problem: string, remedy: string) => InputError;

/** Refuses a wish that has no ground. */
export function refuseGroundless(score: Score, on: WishOnGround): void {
  const { wish } = on.placed;
  const refuse: Refuse = (problem, remedy) =>
    new InputError({ action: "rewrite the score", problem, where: { file: score.source }, remedy });
  refuseMetre(score, on, refuse);
  if (wish.role === "lead") return refuseNoTune(score, on, refuse);
  if (wish.role === "counterline") refuseNoLead(score, on, refuse);
  if (wish.role === "bass") refuseHighBass(score, on, refuse);
  // What is written anew as it is written needs no chords.
  if (on.figure.asWritten) return refuseNoLine(score, on, refuse);
  refuseDoubtful(score, on, refuse);
}

/** A figure that does not go into the bars. */
function refuseMetre(
  score: Score,
  { placed: { bars }, figure }: WishOnGround,
  refuse: Refuse,
): void {
  const own = score.bars.slice(bars.fromBarIndex, bars.toBarIndex + 1);
  const fits = (f: Figure) => own.every((bar) => fitsMetre(f, bar, score.ticksPerQuarter));
  const bar = own.find((b) => !fitsMetre(figure, b, score.ticksPerQuarter));
  if (bar === undefined) return;
  const others = figuresFor(figure.role).filter((f) => f.shape === figure.shape && fits(f));
  const near = (others.length > 0 ? others : figuresFor(figure.role).filter(fits)).slice(0, MOST_NAMED);
  throw refuse(
    `${figure.id} does not go into ${bar.beats}/${bar.beatUnit}, the metre of bar ${bar.number}`,
    near.length > 0
      ? `Wish for ${either(near.map((f) => f.id))}, or make a figure of your own with defineFigure`
      : "Make a figure of your own with defineFigure",
  );
}

/** A lead where there is no tune. */
function refuseNoTune(score: Score, { placed: { bars }, sketch }: WishOnGround, refuse: Refuse): void {
  if (sketch.tune.some((n) => n.onsetTicks >= bars.startTicks && n.onsetTicks < bars.endTicks)) return;
  throw refuse(
    `nobody leads in ${barsInWords(score, bars)}, so there is no tune to give away`,
    "Say who leads there with assignRole, and give that texture",
  );
}

/** Inner voices or a bass line where nobody has any. */
function refuseNoLine(
  score: Score,
  { placed: { bars }, figure, sketch }: WishOnGround,
  refuse: Refuse,
): void {
  const own = sketch.score.bars;
  const missing = missingLine(figure, sketch, [own[bars.fromBarIndex]!, own[bars.toBarIndex]!]);
  if (missing === undefined) return;
  const role = figure.role === "bass" ? "bass" : "counterline";
  throw refuse(
    `nobody has ${missing.line} in ${barsInWords(score, bars)}`,
    `Wish for the figure "${missing.instead}", or say who has the ${role} there with assignRole, and give that texture`,
  );
}

/** A second line where nobody else leads. */
function refuseNoLead(score: Score, { placed, all, texture }: WishOnGround, refuse: Refuse): void {
  const leads = leadsBeside(score, texture, { placed, all });
  if (leads.filter((own) => own.length > 0).length > MOST_BARS * leads.length) return;
  const { parts, bars } = placed;
  const leading = parts.filter((p) =>
    texture.cells.some((cell) =>
      cell.part === p && cell.role === "lead" && cell.barIndex >= bars.fromBarIndex &&
      cell.barIndex <= bars.toBarIndex
    )
  );
  const names = listed(leading.map((p) => score.parts[p]!.name));
  throw refuse(
    `nobody else leads in ${barsInWords(score, bars)}, so there is nothing for a second line to go against`,
    leading.length > 0
      ? `${names} ${
        leading.length === 1 ? "has" : "have"
      } the tune: ask others, or give the lead to others too`
      : "Give the lead to somebody, or say who leads there with assignRole, and give that texture",
  );
}

/** A bass asked of a part that comes not within an octave of what lies lowest; a walking one has to go below it. */
function refuseHighBass(score: Score, { placed, all, figure }: WishOnGround, refuse: Refuse): void {
  const { bars, parts } = placed;
  const lowest = lowestBeside(score, { placed, all });
  const seats = seatsAt(score, bars.startTicks);
  const reach = figure.id === "walking bass" ? 0 : BASS_REACH;
  for (const part of parts) {
    const { rangeComfortable, unpitched } = instrumentById(seats[part]!.instrument);
    if (unpitched) continue;
    const below = lowest.filter((l) => l !== undefined && rangeComfortable.low > l.pitch + reach);
    if (below.length <= MOST_BARS * lowest.length) continue;
    const keepers = [...new Set(below.map((l) => l!.part))].map((p) => score.parts[p]!.name);
    throw refuse(
      `${listed(keepers.slice(0, MOST_NAMED))} ${keepers.length === 1 ? "lies" : "lie"} ${
        reach === 0 ? "below all" : "more than an octave below what"
      } that ${score.parts[part]!.name} has at ease in ${
        barsInWords(score, bars)
      } (rule: a bass is the lowest line, or its octave)`,
      `Ask ${either(keepers.slice(0, MOST_NAMED))}, or wish for a pad or a pulse`,
    );
  }
}

/** Chords that are none, or too doubtful. */
function refuseDoubtful(score: Score, { placed: { bars }, harmony }: WishOnGround, refuse: Refuse): void {
  const where = barsInWords(score, bars);
  const spans = harmony.spans.filter((s) =>
    s.startTicks < bars.endTicks && s.endTicks > bars.startTicks && s.root !== null
  );
  const lengthOf = (s: (typeof spans)[number]) =>
    Math.min(s.endTicks, bars.endTicks) - Math.max(s.startTicks, bars.startTicks);
  const length = spans.reduce((sum, s) => sum + lengthOf(s), 0);
  if (length === 0) {
    throw refuse(
      `there is no chord in ${where} to write on`,
      "Give the chords as harmony, or choose other bars",
    );
  }
  const certainty = spans.reduce((sum, s) => sum + lengthOf(s) * s.confidence, 0) / length;
  if (certainty >= LEAST_CERTAINTY) return;
  const worst = spans.reduce((a, b) => b.confidence < a.confidence ? b : a);
  throw refuse(
    `the chords of ${where} are too doubtful to write on: ${worst.symbol} in bar ${worst.bar} is sure to ${
      Math.round(100 * worst.confidence)
    } %`,
    "Give the chords as harmony, in a study as a table of bar, beat and chord with --chords",
  );
}
