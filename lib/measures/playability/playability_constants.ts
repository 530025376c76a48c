/** Every constant of playability that is not a row of the instrument catalogue. */
import type { Settings } from "../../base/settings.ts";
import { TREMOLO_CONSTANTS } from "../../score/tremolo.ts";

const PRACTICE = "common practice, no source";

/** Constants of {@linkcode playability}, with their units and sources. */
export const PLAYABILITY_CONSTANTS = {
  impossibleFactor: {
    value: 1.25,
    unit: "factor",
    least: 1,
    source: "model assumption: limits are planning figures, so only a clear excess is called impossible",
    meaning: "how far over the fastest rate counts as impossible",
  },
  ...TREMOLO_CONSTANTS,
  registerFromSeconds: {
    value: 0.3,
    unit: "seconds",
    source: "model assumption",
    meaning:
      "notes shorter than this pass too quickly for a register's softest and loudest dynamic to matter",
  },
  coveredSteps: {
    value: 1,
    unit: "dynamic steps",
    source: "model assumption",
    meaning: "how far beyond a register's loudest dynamic a marking may go: it will be covered, not fail",
  },
  riskyDynamicSteps: {
    value: 2,
    unit: "dynamic steps",
    source: "model assumption",
    meaning: "how far beyond a register's softest or loudest dynamic a marking is risky rather than a note",
  },
  breathFactor: {
    value: 1,
    unit: "factor",
    above: 0,
    source: "model assumption: 1 takes the breath of a trained adult, 4 litres; half of it for the young",
    meaning: "what the seconds of a breath are multiplied by",
  },
  breathGapSeconds: {
    value: 0.15,
    unit: "seconds",
    source: PRACTICE,
    meaning: "shortest gap in which a player snatches a breath",
  },
  stealFromSeconds: {
    value: 0.5,
    unit: "seconds",
    source: PRACTICE,
    meaning: "shortest note from whose end a player can steal a breath, where no slur leads on",
  },
  stolenBreaths: {
    value: 2,
    unit: "breaths",
    source: "model assumption",
    meaning: "from how many breaths without a rest it is mentioned that they have to be stolen",
  },
  restSeconds: {
    value: 2,
    unit: "seconds",
    source: PRACTICE,
    meaning: "shortest gap that rests the lip",
  },
  staminaFactor: {
    value: 1,
    unit: "factor",
    above: 0,
    source:
      "model assumption: 1 takes data/stamina.csv as it stands; less for long sessions and young players",
    meaning: "what the stamina times of the catalogue are multiplied by",
  },
  windPlayingSeconds: {
    value: 180,
    unit: "seconds",
    source: PRACTICE,
    meaning:
      "how long a wind player plays without a rest, where the catalogue has no figure of the instrument's own",
  },
  restShareFromSeconds: {
    value: 120,
    unit: "seconds",
    source: "model assumption",
    meaning: "how long a piece must be before its share of rest bars is judged",
  },
  loudFrom: {
    value: 5.5,
    unit: "dynamic, 1 ppp to 8 fff",
    least: 1,
    most: 9,
    source: "model assumption",
    meaning: "what counts as loud",
  },
  exposureFrom: {
    value: 6.5,
    unit: "dynamic, 1 ppp to 8 fff",
    least: 1,
    most: 9,
    source: "model assumption",
    meaning: "what counts as loud for the ears of the players",
  },
  exposureSeconds: {
    value: 60,
    unit: "seconds",
    source: PRACTICE,
    meaning: "how long such playing goes on before it is reported",
  },
  exposurePauseSeconds: {
    value: 10,
    unit: "seconds",
    source: PRACTICE,
    meaning: "a pause that ends a loud stretch",
  },
  tuttiShare: {
    value: 0.75,
    unit: "share of the parts",
    source: "model assumption",
    meaning: "how many of the parts play loud in a loud tutti",
  },
  tuttiForteWeight: {
    value: 0.5,
    unit: "weight",
    source: "model assumption",
    meaning: "what a second of forte in a loud tutti counts against a second of fortissimo",
  },
  leapsInTurn: {
    value: 2,
    unit: "leaps",
    source: "model assumption",
    meaning: "wide fast leaps that follow each other before they are reported; one alone is prepared",
  },
  slidePositions: {
    value: 4,
    unit: "positions",
    source: PRACTICE,
    meaning: "how far a trombone slide moves before a fast change is reported",
  },
  slideSeconds: {
    value: 0.18,
    unit: "seconds",
    source: PRACTICE,
    meaning: "shortest time in which the slide moves that far and settles",
  },
  glissandoFadesSeconds: {
    value: 1.5,
    unit: "seconds",
    source: PRACTICE,
    meaning: "how long a glissando goes on after one stroke or pluck before it can no longer be heard",
  },
  handSpanSemitones: {
    value: 16,
    unit: "semitones",
    source: PRACTICE,
    meaning: "widest chord of one hand on a keyboard or harp, a tenth",
  },
  malletSpanSemitones: {
    value: 14,
    unit: "semitones",
    source: PRACTICE,
    meaning: "widest interval of the two mallets in one hand",
  },
  rolledFromSeconds: {
    value: 0.4,
    unit: "seconds",
    source: PRACTICE,
    meaning: "triple and quadruple stops longer than this cannot sound together to their end",
  },
  keyAccidentals: {
    value: 6,
    unit: "sharps or flats",
    source: PRACTICE,
    meaning: "from how many sharps or flats a transposed key signature is mentioned",
  },
} as const;

/** Values of {@linkcode PLAYABILITY_CONSTANTS}. */
export type PlayabilitySettings = Settings<typeof PLAYABILITY_CONSTANTS>;
