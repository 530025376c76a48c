/** What the composer starts from: a tune, chords, metre and tempo, and where they are written out inner voices and a bass line. */
import { A_SCORE, checkArgument } from "../../base/arguments.ts";
import { type InputError, type Place, refusals } from "../../base/errors.ts";
import { soundingNotes } from "../../score/build.ts";
import { type ChordTone, isNoChord, readChordSymbol } from "../../score/chord_symbol.ts";
import type { Note, Score } from "../../score/model.ts";
import { isTempo, TEMPO_RANGE } from "../../score/tempo_range.ts";
import { barBeatOf, endTicksOf } from "../../score/time.ts";
import type { Ticks } from "../../base/units.ts";
import { recognise } from "../../texture/recognise/recognise.ts";
import { linesBeside } from "./lines_beside.ts";
import { isOfLines, linesIn, scoreOfLines, type SketchLines } from "./sketch_lines.ts";

export type { ChordTone } from "../../score/chord_symbol.ts";

/** A stretch of one harmony inside one bar. */
export interface Harmony {
  /** Bar index from 0. */
  readonly barIndex: number;
  /** Start in ticks. */
  readonly onsetTicks: Ticks;
  /** Length in ticks. */
  readonly durationTicks: Ticks;
  /** Chord symbol as written. */
  readonly symbol: string;
  /** Tones from the root upwards. */
  readonly tones: readonly ChordTone[];
  /** Tone in the bass: the root, or what stands after a slash. */
  readonly bass: ChordTone;
}

/** What the composer starts from. */
export interface Sketch extends SketchLines {
  /** Title. */
  readonly title: string;
  /** The lines of the sketch as a score, with its bars, tempos and metre: the first part is the tune. */
  readonly score: Score;
  /** Harmony, gapless within each bar from the first chord symbol on. */
  readonly harmonies: readonly Harmony[];
}

/**
 * Makes a sketch of a small score that holds a tune and chord symbols, as read from ABC or from a MusicXML
 * lead sheet. The first part is the tune; where it has chords of several notes, the top note counts. What stands beside it, in further voices
 * or on further staves, gives the inner voices and the bass line as they are written.
 *
 * @param score the score; its first part is the tune
 * @returns the sketch
 * @throws {InputError} when there is no tune, no chord symbol, a chord symbol that is not a chord, or a tempo that
 *   is not from 4 to 1200 quarters a minute
 *
 * @example
 * ```ts
 * import { demoSketch, sketchOf } from "ripieno";
 * import { assertEquals } from "@std/assert";
 * const sketch = sketchOf(demoSketch().score);
 * assertEquals(sketch.harmonies[0]?.tones.map((t) => t.name), ["D", "F", "A"]);
 * ```
 */
export function sketchOf(score: Score): Sketch {
  checkArgument("read the sketch", score, A_SCORE);
  const sketch = sketchOver(withLines(score));
  if (sketch.tune.length > 0) return sketch;
  throw sketchError(
    score,
    "its first part holds no notes, so there is no tune",
    "Put the tune into the first part",
  );
}

/** A score with its tune, its inner voices and its bass line as parts; one that holds nothing else stays. */
function withLines(score: Score): Score {
  const tune = tuneOf(score);
  const isTune = new Set(tune);
  if (tune.length === 0 || isOfLines(score) || soundingNotes(score).every((n) => isTune.has(n))) return score;
  const { innerVoices, bassLine } = linesBeside(score, {
    tune,
    texture: recognise(score),
    changes: score.chords.map((c) => c.onsetTicks),
    startTicks: 0,
    endTicks: endTicksOf(score),
  });
  if (innerVoices.length === 0 && bassLine.length === 0) return score;
  return scoreOfLines(score, { tune, innerVoices, bassLine }, score.parts[0]!);
}

/** The first part, of several notes the top one. */
function tuneOf(score: Score): readonly Note[] {
  const byOnset = new Map<number, Note>();
  for (const note of soundingNotes(score)) {
    if (note.part !== 0) continue;
    const held = byOnset.get(note.onsetTicks);
    if (!held || held.soundingPitch < note.soundingPitch) byOnset.set(note.onsetTicks, note);
  }
  return [...byOnset.values()];
}

/** The sketch of a score with chord symbols, whose first part is the tune or, where nobody leads, empty. */
export function sketchOver(score: Score): Sketch {
  if (score.chords.length === 0) {
    throw sketchError(
      score,
      "it has no chord symbols, so pads, pulses and basses have no harmony to take",
      `Write chord symbols over the tune, in ABC as "Dm7" before the note`,
    );
  }
  const strange = score.tempos.find((tempo) => !isTempo(tempo.quartersPerMinute));
  if (strange) {
    throw sketchError(
      score,
      `its tempo is ${strange.quartersPerMinute} quarters per minute`,
      `Give one ${TEMPO_RANGE}`,
      { bar: barBeatOf(score, strange.onsetTicks).bar },
    );
  }
  return { title: score.title, score, tune: tuneOf(score), ...linesIn(score), harmonies: harmoniesOf(score) };
}

function sketchError(score: Score, problem: string, remedy: string, where: Place = {}): InputError {
  return refusals("read the sketch", { file: score.source, ...where })(problem, remedy);
}

function harmoniesOf(score: Score): readonly Harmony[] {
  const chords = [...score.chords].sort((a, b) => a.onsetTicks - b.onsetTicks);
  const result: Harmony[] = [];
  chords.forEach((chord, i) => {
    const place = barBeatOf(score, chord.onsetTicks);
    if (isNoChord(chord.symbol)) return;
    const found = readChordSymbol(chord.symbol);
    if (!found) {
      throw sketchError(
        score,
        `"${chord.symbol}" is not a chord symbol`,
        "Write it as for example Dm7, F/A, Bbmaj7, Asus4 or Em7b5",
        { bar: place.bar, beat: place.beat },
      );
    }
    const end = chords[i + 1]?.onsetTicks ?? endTicksOf(score);
    for (let b = place.barIndex; b < score.bars.length && score.bars[b]!.startTicks < end; b++) {
      const bar = score.bars[b]!;
      const onsetTicks = Math.max(chord.onsetTicks, bar.startTicks);
      const durationTicks = Math.min(end, bar.startTicks + bar.durationTicks) - onsetTicks;
      if (durationTicks > 0) {
        const { tones, bass } = found;
        result.push({ barIndex: b, onsetTicks, durationTicks, symbol: chord.symbol, tones, bass });
      }
    }
  });
  return result;
}
