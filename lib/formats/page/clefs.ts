/** Clefs by their name in the catalogue. */

/** Clef on a stave. */
export interface Clef {
  /** Letter, or `percussion`. */
  readonly sign: string;
  /** Line it stands on, from the bottom; undefined for percussion. */
  readonly line: number | undefined;
}

/** Clefs by name, with the pitch of the middle line. */
export const CLEFS: Readonly<Record<string, Clef & { readonly middleLine: number }>> = {
  "G": { sign: "G", line: 2, middleLine: 71 },
  "F": { sign: "F", line: 4, middleLine: 50 },
  "C3": { sign: "C", line: 3, middleLine: 60 },
  "C4": { sign: "C", line: 4, middleLine: 57 },
  "percussion": { sign: "percussion", line: undefined, middleLine: 71 },
};

/** Semitones from the middle line that are read without effort, about to the second ledger line. Common practice, no source. */
export const COMFORT_SEMITONES = 10;
