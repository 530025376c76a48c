/** A sketch of what is there: the tune that leads in a finished score, the inner voices and the bass line, and the chords. */
import { A_NUMBER, A_TEXTURE, checkOptions, HARMONY_SPANS } from "../../base/arguments.ts";
import { InputError } from "../../base/errors.ts";
import { readHarmony } from "../../harmony/read_harmony.ts";
import type { HarmonyReading, HarmonySpan } from "../../harmony/harmony_results.ts";
import type { Ticks } from "../../base/units.ts";
import { soundingNotes } from "../../score/build.ts";
import type { ChordSymbol, Score } from "../../score/model.ts";
import { endTicksOf } from "../../score/time.ts";
import { givenTexture } from "../../texture/recognise/given_texture.ts";
import type { Texture } from "../../texture/model.ts";
import { linesBeside } from "../plan/lines_beside.ts";
import { type Sketch, sketchOver } from "../plan/sketch.ts";
import { scoreOfLines } from "../plan/sketch_lines.ts";
import { type BarsAsked, barsAsked, type BarsFound } from "./bars_asked.ts";
import { leadingParts, leadLine } from "./lead_line.ts";

/** Options of {@linkcode sketchFrom}. */
export interface SketchFromOptions extends BarsAsked {
  /** Who does what, where it is known or was corrected by hand; by default it is read. */
  readonly texture?: Texture;
  /** The chords, where they are known or were corrected by hand; by default they are read off the notes. */
  readonly harmony?: Pick<HarmonyReading, "spans">;
}

/** Symbol of a stretch without a chord, as lead sheets have it. */
const NO_CHORD = "N.C.";

/**
 * A sketch of a finished score, or of some of its bars: the tune is the line that leads there, in its own octave, the
 * chords are read off the notes, and beside them stand the inner voices and the bass line as they are written: of keyboard music and short scores all
 * that is no figure, of a full score its counterlines and what lies lowest. Bars, metre, keys and tempos are those of the score, so that what is written over the sketch
 * can be laid into it; outside the bars the sketch is empty. A piano piece gives its tune, in whichever hand that is.
 *
 * @param score the score
 * @param options bars as printed, texture, harmony
 * @returns the sketch, for `realise`, `reharmonise` and the like
 * @throws {InputError} for bars the score does not have, where nobody leads in them, and for a single line without chord symbols
 *
 * @example
 * ```ts
 * import { demoScore } from "ripieno";
 * import { sketchFrom } from "ripieno/orchestrate";
 * import { assertEquals } from "@std/assert";
 * const sketch = sketchFrom(demoScore(), { fromBar: 1, toBar: 4 });
 * assertEquals(sketch.harmonies.map((h) => h.symbol), ["Dm", "Dm", "Bb", "F"]);
 * ```
 */
export function sketchFrom(score: Score, options: SketchFromOptions = {}): Sketch {
  const action = "read the sketch";
  checkOptions(action, options, {
    texture: A_TEXTURE,
    harmony: HARMONY_SPANS,
    fromBar: A_NUMBER,
    toBar: A_NUMBER,
  });
  const texture = givenTexture(action, score, options.texture);
  const bars = barsAsked(score, options, { action });
  if (options.harmony === undefined && score.chords.length === 0 && isSingleLine(score)) {
    throw new InputError({
      action,
      problem: "it has no chord symbols, and a single line does not say its chords",
      where: { file: score.source },
      remedy: 'Write chord symbols over the tune, in ABC as "Dm7" before the note, or give a table of chords',
    });
  }
  const harmony = options.harmony ?? readHarmony(score, { texture });
  const sketch = sketchOfBars(score, { texture, harmony, bars });
  if (sketch.tune.length > 0) return sketch;
  throw new InputError({
    action,
    problem: `nobody leads in ${barsInWords(score, bars)}`,
    where: { file: score.source },
    remedy: "Say who leads there with assignRole, and give that texture",
  });
}

/** Whether never two notes sound at once. */
function isSingleLine(score: Score): boolean {
  let end = -Infinity;
  return soundingNotes(score).every((n) => {
    const isAlone = n.onsetTicks >= end;
    end = Math.max(end, n.onsetTicks + n.durationTicks);
    return isAlone;
  });
}

/** Bars in words, as printed. */
export function barsInWords(
  { bars }: Score,
  { fromBarIndex, toBarIndex }: Pick<BarsFound, "fromBarIndex" | "toBarIndex">,
): string {
  const [from, to] = [bars[fromBarIndex]!.number, bars[toBarIndex]!.number];
  return fromBarIndex === toBarIndex ? `bar ${from}` : `bars ${from} to ${to}`;
}

/** The sketch of some bars; without a tune where nobody leads there. */
export function sketchOfBars(
  score: Score,
  { texture, harmony, bars }: {
    readonly texture: Texture;
    readonly harmony: Pick<HarmonyReading, "spans">;
    readonly bars: BarsFound;
  },
): Sketch {
  const tune = leadLine(score, texture, bars);
  const leading = leadingParts(score, texture, bars).find((p) => p !== undefined) ?? 0;
  const { startTicks, endTicks } = bars;
  const changes = harmony.spans.map((span) => span.startTicks);
  const beside = linesBeside(score, { tune, texture, changes, startTicks, endTicks });
  return sketchOver({
    ...scoreOfLines(score, { tune, ...beside }, score.parts[leading]!),
    chords: chordsOf(harmony.spans, bars, endTicksOf(score)),
    notices: [],
  });
}

/** Chords of some bars, with none before, nor after them where the score goes on. */
function chordsOf(
  spans: readonly HarmonySpan[],
  { startTicks, endTicks }: BarsFound,
  endOfScore: Ticks,
): readonly ChordSymbol[] {
  const inside = spans.filter((span) => span.startTicks < endTicks && span.endTicks > startTicks);
  const chords = inside.map((span): ChordSymbol => ({
    onsetTicks: Math.max(span.startTicks, startTicks),
    symbol: span.root === null ? NO_CHORD : span.symbol,
  }));
  if (chords.length === 0) return [{ onsetTicks: startTicks, symbol: NO_CHORD }];
  return endTicks < endOfScore ? [...chords, { onsetTicks: endTicks, symbol: NO_CHORD }] : chords;
}
