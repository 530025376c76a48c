/** The thresholds recognition decides by, on one page. */

/** Rules a musician can read; thresholds are model assumptions, set by reasoning and not fitted to a corpus. */
export const RULES = {
  /** A part is held harmony when its notes last this many quarters on average. */
  heldFromQuarters: 1.5,
  /** A part pulses when this share of its steps repeats the pitch … */
  pulseFromRepeats: 0.6,
  /** … in strokes of at most this many quarters. */
  pulseToQuarters: 1,
  /** A part runs when it moves stepwise this often … */
  runFromSteps: 0.75,
  /** … in strokes of at most this many quarters … */
  runToQuarters: 0.4,
  /** … with a chain of this many notes in one direction. */
  runFromNotes: 5,
  /** A part figures when it leaps or alternates this often in quick notes. */
  figuresFromLeaps: 0.5,
  /** Quick notes for figuration, in quarters. */
  figuresToQuarters: 0.67,
  /** A part punctuates when it sounds for at most this share of the time with few notes. */
  sparseToCoverage: 0.55,
  /** … at most this many per quarter of the window. */
  sparseToStrokes: 0.75,
  /** The lowest line is the bass when its strokes last this many quarters. */
  bassFromQuarters: 0.75,
  /** What doubles the bass this many semitones above it, an octave with some play, is bass too. */
  bassDoubledToSemitones: 13,
  /** Share of tremolo or trill that decides … */
  ornamentedFrom: 0.5,
  /** … where the strokes of a tremolo are too quick to be counted, per second. */
  tremoloFromPerSecond: 11,
  /** Notes from which a bar alone shows a doubling; with fewer, two parts may meet by chance on a chord tone. */
  doublingFromNotes: 3,
  /** Salience from which a line leads. */
  leadFrom: 0.5,
  /** What continuing a lead is worth. */
  continuing: 0.12,
} as const;
