/** Constants of reading harmony, with their units and where they come from. */

const CHOSEN =
  "chosen on eight annotated movements, Mozart 41 and Dvořák 9, each read by the chord use of the other seven";
const MODEL = "model assumption";

/** Constants of `readHarmony`, with their units and sources. */
export const HARMONY_CONSTANTS = {
  rootShare: {
    value: 0.34,
    unit: "share",
    above: 0,
    source: MODEL,
    meaning: "part of the sound that the root of a triad has",
  },
  thirdShare: { value: 0.28, unit: "share", above: 0, source: MODEL, meaning: "part that the third has" },
  fifthShare: { value: 0.32, unit: "share", above: 0, source: CHOSEN, meaning: "part that the fifth has" },
  seventhShare: { value: 0.22, unit: "share", above: 0, source: CHOSEN, meaning: "part that a seventh has" },
  seventhRoom: {
    value: 0.85,
    unit: "share",
    above: 0,
    source: MODEL,
    meaning: "what root, third and fifth keep of their parts in a chord with a seventh",
  },
  foreignShare: {
    value: 0.02,
    unit: "share",
    above: 0,
    source: MODEL,
    meaning: "part that each pitch class has that is not of the chord",
  },
  sharePower: {
    value: 0.85,
    unit: "exponent",
    above: 0,
    source: CHOSEN,
    meaning: "flattens shares of the sound, so that doublings of one tone do not outweigh the others",
  },
  soundWeight: {
    value: 11,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much the sound of a span counts beside the use of chords",
  },
  slotWeight: {
    value: 3.76,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much the sound of one beat counts while it is sought where chords change",
  },
  bassWeight: {
    value: 0.15,
    unit: "weight",
    source: CHOSEN,
    meaning: "what the root in the bass adds; other tones add less",
  },
  openingWeight: {
    value: 0.25,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much more the first beat of a span counts than the rest",
  },
  beatBlend: {
    value: 0.66,
    unit: "weight",
    source: CHOSEN,
    meaning:
      "how much a half beat is heard together with its whole beat while it is sought where chords change",
  },
  passingWeight: {
    value: 0.5,
    unit: "weight",
    source: CHOSEN,
    meaning: "what a short note counts that is reached and left by step on a weak place",
  },
  leadWeight: {
    value: 0.7,
    unit: "weight",
    source: MODEL,
    meaning: "what a note of the lead counts where a texture is given",
  },
  useWeight: {
    value: 0.82,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much counts how often a chord is used in its key",
  },
  slotUseWeight: {
    value: 0.57,
    unit: "weight",
    source: CHOSEN,
    meaning: "the same while it is sought where chords change",
  },
  followWeight: {
    value: 0.13,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much counts how often a chord follows another",
  },
  keyChange: { value: 6.5, unit: "weight", source: CHOSEN, meaning: "what a change of key costs" },
  nearKeyChange: {
    value: 4.2,
    unit: "weight",
    source: CHOSEN,
    meaning: "what a change to a key a fifth away, to the relative or the parallel key costs",
  },
  changeWeight: {
    value: 0.52,
    unit: "weight",
    source: CHOSEN,
    meaning: "how much counts how likely a chord changes at a place of the bar",
  },
  heldBassCost: {
    value: 0.41,
    unit: "weight",
    source: CHOSEN,
    meaning: "what a change of chord costs over a bass that stays",
  },
} as const;
