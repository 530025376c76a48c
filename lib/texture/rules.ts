/** The thresholds recognition decides by, on one page. */

/**
 * Rules a musician can read. Thresholds are model assumptions; those of the lead were chosen in coarse steps on the
 * movements recognition is fitted to, each read with weights that had not seen it. Odds are natural logarithms, as
 * the models give them.
 */
export const RULES = {
  /** A part pulses when this share of its steps repeats the pitch. */
  pulseFromRepeats: 0.6,
  /** A part runs when it moves stepwise this often … */
  runFromSteps: 0.75,
  /** … with a chain of this many notes in one direction. */
  runFromNotes: 5,
  /** A scale that runs on for so many bars is plainly a run. */
  runningFromBars: 4,
  /** A part figures when it leaps or alternates this often. */
  figuresFromLeaps: 0.5,
  /** The lowest line is the bass when its strokes last this many units of the metre. */
  bassFromUnits: 0.75,
  /** Strokes of the lowest line that it keeps to are a bass, whatever their pitches do, from this many units on: quicker ones may be a figure. */
  longBassFromUnits: 1.25,
  /** What doubles the bass this many semitones above it, an octave with some play, is bass too. */
  bassDoubledToSemitones: 13,
  /** Strokes on the beat are a bass or a pulse when the rhythm is kept this long: five bars, on the scale of the clues. */
  keptFrom: 0.58,
  /** The lowest on downbeats alone are the bass from three bars on: they stand apart either way. */
  keptBassFrom: 0.39,
  /** … and at most this share of the parts do the same, or all strike together. */
  alikeTo: 0.5,
  /** Parts hold equally long where the lengths of their notes differ by at most this factor. */
  equallyLongTo: 1.9,
  /** Notes under quick slashes are a tremolo where they last this many units of the metre on average. */
  tremoloFromUnits: 1,
  /** After-beats are beats of this many units of the metre at least. */
  afterBeatsFromUnits: 1,
  /** One stroke that fills this share of its bar at most stands alone. */
  loneStrokeTo: 0.2,
  /** Share of trill, or of tremolo too quick to be counted, that decides. */
  ornamentedFrom: 0.5,
  /** A shape of a figure is worth a name from this confidence on. */
  shapeFrom: 0.35,
  /** A bar filled by one rhythm of the table is plainly repeated notes when this share of its steps stays … */
  plainlyRepeatedFrom: 0.75,
  /** … in strokes of at most this many units of the metre … */
  plainlyQuickToUnits: 0.5,
  /** … and plainly a broken chord when this share of its steps leaps. */
  plainlyBrokenFrom: 0.85,
  /** A part in notes that last this many units of the metre on average, or two to a bar, … */
  counterlineFromUnits: 1.4,
  /** … in so many seconds on average, none in less than half of that, … */
  counterlineFromSeconds: 0.65,
  /** … in so many bars in a row, … */
  counterlineFromBars: 6,
  /** … and fill this share of it … */
  counterlineSounding: 0.75,
  /** … is a second line when it moves within bars this often in the bars around … */
  counterlineFromMoves: 3,
  /** … and this share of the time … */
  counterlineMoving: 0.3,
  /** … and this share of the moves is made while the lowest part stays on its tone … */
  counterlineAlone: 0.6,
  /** … and at most so many parts above the bass share its rhythm … */
  counterlineBeside: 1,
  /** … in notes longer than this many units of the metre. */
  counterlineNotBesideUnits: 0.9,
  /** Somebody leads in nearly every bar: odds of being melody from which the chief line does, as a rule the surest then … */
  chiefFrom: -6.5,
  /** … and the share of the lead from which it does whatever it plays, such as the top line of hammered chords. */
  chiefFromShare: 0.5,
  /** A doubling of the chief line leads with it where it is melody itself, or, if it does so in a bar beside, this much below. */
  doublingBelowChief: 0.8,
  /** Odds of being melody from which a part leads beside the chief line, on notes of its own. */
  otherLeadFrom: 0.4,
  /** A part that does not lead is also possible as the lead from this share of it. */
  alsoPossibleFrom: 0.05,
  /** A line that leads is a tune from these odds of being melody, long notes and all … */
  tuneFrom: -6,
  /** … and from these where a figure fills the bar; what else is melody there must have them too. */
  plainFrom: 0.5,
} as const;
