/** What chord stands when: as symbols say, or read off the pitch classes. */
import { endOfBar, lastAtOrBefore } from "../../score/time.ts";
import { modulo, pitchClassOf } from "../../base/modulo.ts";
import { type ChordTone, isNoChord, readChordSymbol } from "../../score/chord_symbol.ts";
import type { ChordSymbol, Note, Score } from "../../score/model.ts";
import type { Ticks } from "../../base/units.ts";

/** The tones of a chord that make it what it is. */
export interface EssentialTones {
  readonly root: number;
  readonly third: number;
  readonly seventh?: number;
}

/** A chord over a stretch of one bar. */
export interface ChordSpan {
  readonly fromTicks: Ticks;
  readonly toTicks: Ticks;
  /** Undefined where none is to be read. */
  readonly tones: EssentialTones | undefined;
}

const LETTERS = "CDEFGAB";

/** Thirds and fifths above the root, in semitones, of the triads that are read off notes. */
const TRIADS = [[4, 7], [3, 7], [3, 6]] as const;

/**
 * The chords of every bar. Where there are symbols, they hold until the next; where there are none, each half of a bar, or
 * the whole of one that cannot be halved, has the triad that most of what sounds belongs to, length by length.
 */
export function chordsOfBars(
  score: Score,
  symbols: readonly ChordSymbol[],
  notesOf: readonly (readonly Note[])[],
): readonly (readonly ChordSpan[])[] {
  const known = symbols.map(({ onsetTicks, symbol }) => ({ onsetTicks, tones: tonesOf(symbol) }));
  return score.bars.map(({ startTicks, durationTicks, beats }, b) => {
    const end = endOfBar(score, b);
    if (known.length === 0) {
      const halves = beats % 2 === 0 && beats >= 4 ? 2 : 1;
      return Array.from({ length: halves }, (_, k): ChordSpan => {
        const span = {
          fromTicks: startTicks + k * durationTicks / halves,
          toTicks: startTicks + (k + 1) * durationTicks / halves,
        };
        return { ...span, tones: triadOf(notesOf[b]!, span) };
      });
    }
    const spans: ChordSpan[] = [];
    const next = lastAtOrBefore(known, startTicks, (chord) => chord.onsetTicks);
    for (let i = next; i < known.length && known[i]!.onsetTicks < end; i++) {
      const { onsetTicks, tones } = known[i]!;
      const fromTicks = Math.max(startTicks, onsetTicks);
      const toTicks = Math.min(end, known[i + 1]?.onsetTicks ?? Infinity);
      if (toTicks > fromTicks) spans.push({ fromTicks, toTicks, tones });
    }
    return spans;
  });
}

function tonesOf(symbol: string): EssentialTones | undefined {
  const [root, ...above] = isNoChord(symbol) ? [] : readChordSymbol(symbol)?.tones ?? [];
  if (root === undefined) return undefined;
  const letter = ({ name }: ChordTone) => LETTERS.indexOf(name[0]!);
  const toneAt = (steps: number) =>
    above.find((t) => modulo(letter(t) - letter(root), 7) === steps)?.pitchClass;
  const [third, seventh] = [toneAt(2), toneAt(6)];
  // A bare fifth or a suspension has no third that could be missed.
  if (third === undefined) return undefined;
  return { root: root.pitchClass, third, ...(seventh === undefined ? {} : { seventh }) };
}

function triadOf(
  notes: readonly Note[],
  { fromTicks, toTicks }: { readonly fromTicks: Ticks; readonly toTicks: Ticks },
): EssentialTones | undefined {
  const weights = new Float64Array(12);
  let bass = Infinity;
  for (const note of notes) {
    const length = Math.min(toTicks, note.onsetTicks + note.durationTicks) -
      Math.max(fromTicks, note.onsetTicks);
    if (length <= 0) continue;
    weights[pitchClassOf(note.soundingPitch)]! += length;
    bass = Math.min(bass, note.soundingPitch);
  }
  let best: EssentialTones | undefined;
  let most = 0;
  for (const root of weights.keys()) {
    for (const [above, fifth] of TRIADS) {
      const third = modulo(root + above, 12);
      // The root counts most, and in the bass more.
      const rootCounts = pitchClassOf(bass) === root ? 1.5 : 1.1;
      const worth = weights[third]! + weights[modulo(root + fifth, 12)]! + weights[root]! * rootCounts;
      if (worth > most + 1e-9) [most, best] = [worth, { root, third }];
    }
  }
  return best;
}
