/** Constants of reading harmony, with their units and where they come from. */

const CHOSEN =
  "chosen on eight annotated movements of Mozart 41 and Dvořák 9, each read by the chord use of the others";
const MODEL = "model assumption";

/** Constants of {@linkcode readHarmony}, with their units and sources. */
export const HARMONY_CONSTANTS = {
  rootShare: {
    value: 0.34,
    unit: "share",
    above: 0,
    source: MODEL,
    meaning:
      "part of a triad's sound that its root has; in a seventh chord the tones share alike what is left",
  },
  thirdShare: { value: 0.28, unit: "share", above: 0, source: MODEL, meaning: "part that the third has" },
  fifthShare: { value: 0.24, unit: "share", above: 0, source: MODEL, meaning: "part that the fifth has" },
  foreignShare: {
    value: 0.02,
    unit: "share",
    above: 0,
    source: MODEL,
    meaning: "part that each pitch class has that is not of the chord",
  },
  soundWeight: {
    value: 16,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much the sound counts beside the use of chords",
  },
  slotWeight: {
    value: 4,
    unit: "weight",
    source: CHOSEN,
    meaning: "the same for one beat, while it is sought where chords change",
  },
  bassWeight: {
    value: 0.15,
    unit: "weight",
    source: CHOSEN,
    meaning: "what the root in the bass adds; other tones add less",
  },
  openingWeight: {
    value: 0.3,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much more the first beat of a span counts than the rest",
  },
  passingWeight: {
    value: 0.5,
    unit: "weight",
    source: CHOSEN,
    meaning: "what a short note counts that is reached and left by step on a weak place",
  },
  leaningWeight: {
    value: 1,
    unit: "weight",
    source: CHOSEN,
    meaning: "what a note counts that is left by step for a weaker place",
  },
  leadWeight: {
    value: 0.7,
    unit: "weight",
    source: MODEL,
    meaning: "what a note of the lead counts where a texture is given",
  },
  useWeight: {
    value: 1,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much counts how often a chord is used in its key",
  },
  followWeight: {
    value: 0.4,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much counts how often a chord follows another",
  },
  keyChange: { value: 7, unit: "weight", source: CHOSEN, meaning: "what a change of key costs" },
  nearKeyChange: {
    value: 4.5,
    unit: "weight",
    source: CHOSEN,
    meaning: "what a change to a key a fifth away, to the relative or the parallel key costs",
  },
  changeWeight: {
    value: 2,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much counts how likely a chord changes at a place of the bar",
  },
} as const;
