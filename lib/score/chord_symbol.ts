/** What a chord symbol says. */
import { get as chordCalled } from "@tonaljs/chord";
import { qualityOf } from "./chord_types.ts";
import { pitchClassOfName } from "./spelling.ts";

/** A pitch class with its name, for example 1 spelt C# or Db. */
export interface ChordTone {
  /** 0 for C to 11 for B. */
  readonly pitchClass: number;
  /** Letter and accidentals. */
  readonly name: string;
}

/** A chord as a symbol names it. */
export interface SymbolChord {
  /** Tones from the root upwards. */
  readonly tones: readonly ChordTone[];
  /** Tone in the bass: the root, or what stands after a slash. */
  readonly bass: ChordTone;
  /** Kind of chord, for example `minor seventh`. */
  readonly quality: string;
}

function tone(name: string): ChordTone {
  return { pitchClass: pitchClassOfName(name), name };
}

/**
 * Reads a chord symbol.
 *
 * @param symbol for example `Dm7` or `F/A`
 * @returns tones, bass and kind, or undefined when it is not a chord
 */
export function readChordSymbol(symbol: string): SymbolChord | undefined {
  const [, upper = symbol.trim(), lower] = /^(.+)\/([A-G](?:#+|b+)?)$/.exec(symbol.trim()) ?? [];
  const chord = chordCalled(upper);
  const root = chord.notes[0];
  if (chord.empty || root === undefined) return undefined;
  return {
    tones: chord.notes.map(tone),
    bass: tone(lower ?? root),
    quality: qualityOf(upper.slice(chord.tonic?.length ?? root.length)),
  };
}

/** Symbols that say the harmony stops. */
const NO_CHORD = /^(n\.?\s*c\.?|no chord|tacet)$/i;

/** Whether a symbol says that the harmony stops, as `N.C.` does. */
export function isNoChord(symbol: string): boolean {
  return NO_CHORD.test(symbol.trim());
}
