/** Constants of freshness, with their units and sources. */

const LEADS =
  "length of one lead over 32 movements, computed from the Hauptstimme annotations (OpenScore Orchestra)";

/** Constants of `freshness`, with their units and sources. */
export const FRESHNESS_CONSTANTS = {
  halfLifeBars: {
    value: 8.4,
    unit: "bars",
    above: 0,
    source: `${LEADS}, 90th percentile; that half is left by then is a model assumption`,
    meaning: "bars after which the freshness of a change has halved",
  },
  sameRole: {
    value: 0.6,
    unit: "share",
    source: "model assumption",
    meaning: "likeness of a part that keeps its role with another figure",
  },
  sameSound: {
    value: 0.3,
    unit: "share",
    source: "model assumption",
    meaning: "likeness of a part that plays on in another role",
  },
  leadShare: {
    value: 0.3,
    unit: "share",
    source: "model assumption: the ear follows the lead",
    meaning: "part of the likeness of two scorings that belongs to who leads",
  },
  compareBars: {
    value: 2,
    unit: "bars",
    least: 1,
    source: "model assumption",
    meaning: "bars compared before and after each bar line",
  },
  changeFrom: {
    value: 0.25,
    unit: "share",
    source: "model assumption",
    meaning: "change from which a bar line counts as a change point",
  },
  repeatDiscount: {
    value: 0.5,
    unit: "share",
    source: "model assumption",
    meaning:
      "what a change loses when its scoring was left just before; half of that after the half-life, and so on",
  },
  jointShare: {
    value: 0.5,
    unit: "share",
    source: "model assumption",
    meaning: "what a change inside a phrase is forgiven where the line waits, at a half-phrase",
  },
  dialogueBars: {
    value: 8,
    unit: "bars",
    least: 1,
    source: "model assumption: a question and its answer fit in",
    meaning: "how long a scoring may be away and be answered inside a phrase without restlessness",
  },
  fullGapTimes: {
    value: 4,
    unit: "factor",
    above: 1,
    source: "model assumption",
    meaning: "how much longer than usual the line has to wait to end a phrase beyond doubt",
  },
  repetitionWeight: {
    value: 0.25,
    unit: "weight",
    source: "model assumption",
    meaning: "what the beginning of a repetition counts for a phrase to begin",
  },
  cadenceWeight: {
    value: 0.25,
    unit: "weight",
    source: "model assumption",
    meaning: "what a fall of the bass by a fifth adds to a wait of the line",
  },
  noveltyWeight: {
    value: 0.5,
    unit: "weight",
    source: "model assumption",
    meaning: "what the novelty of sound, strokes, height, loudness and scoring counts for a phrase to begin",
  },
  signWeight: {
    value: 1,
    unit: "weight",
    source: "model assumption: a printed sign is as clear as the longest wait",
    meaning: "what a double bar, a repeat, a rehearsal mark, a new tempo, metre or key counts",
  },
  usualPhraseBars: {
    value: 8,
    unit: "bars",
    least: 2,
    source: "common practice, no source: a period of two times four bars",
    meaning: "length that a phrase has where nothing says otherwise",
  },
  longestPhraseBars: {
    value: 24,
    unit: "bars",
    least: 4,
    source: "model assumption",
    meaning: "no phrase is longer",
  },
  phraseLengthWeight: {
    value: 0.75,
    unit: "weight",
    source: "model assumption",
    meaning: "what a phrase of half or twice the usual length loses; four times as much for a quarter",
  },
  phraseFrom: {
    value: 0.5,
    unit: "weight",
    source: "model assumption",
    meaning: "evidence that a bar line has to have to be worth a phrase",
  },
  expectedAfterBars: {
    value: 8,
    unit: "bars",
    least: 1,
    source: "common practice, no source: hand over every four to eight bars",
    meaning: "bars without a change after which listeners would expect one",
  },
  sameScoringFrom: {
    value: 0.95,
    unit: "share",
    source: "model assumption",
    meaning: "likeness from which a scoring counts as one heard before",
  },
  noveltyHalfWidthBars: {
    value: 2,
    unit: "bars",
    least: 1,
    source: "model assumption",
    meaning: "widest half-width of the novelty kernel; the curve is the mean over all from one bar on",
  },
  scoringWeight: {
    value: 1,
    unit: "weight",
    source: "equal weights, model assumption",
    meaning: "part of the similarity of two bars that is who does what",
  },
  soundingWeight: {
    value: 1,
    unit: "weight",
    source: "equal weights, model assumption",
    meaning: "part that is who sounds for how much of the bar",
  },
  attacksWeight: {
    value: 1,
    unit: "weight",
    source: "equal weights, model assumption",
    meaning: "part that is who strikes how often",
  },
  registerWeight: {
    value: 1,
    unit: "weight",
    source: "equal weights, model assumption",
    meaning: "part that is how high each plays",
  },
  dynamicsWeight: {
    value: 1,
    unit: "weight",
    source: "equal weights, model assumption",
    meaning: "part that is how loud each plays",
  },
  otherRegisterSemitones: {
    value: 12,
    unit: "semitones",
    above: 0,
    source: "model assumption",
    meaning: "distance at which a part plays in another register altogether",
  },
  otherDynamicSteps: {
    value: 4,
    unit: "steps of the dynamic scale",
    above: 0,
    source: "model assumption: from p to ff",
    meaning: "distance at which a part plays at another dynamic altogether",
  },
} as const;
