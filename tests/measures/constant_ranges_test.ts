/** Where constants make sense, for every table of the measures. */
import { assert, assertEquals } from "@std/assert";
import * as measures from "ripieno/measures";

const rows = Object.entries(measures).filter(([name]) => name.endsWith("_CONSTANTS"))
  .flatMap(([table, constants]) =>
    Object.entries(constants as measures.Constants).map(([name, row]) => [`${table} ${name}`, row] as const)
  );

Deno.test("the usual value of every constant makes sense", () => {
  assert(rows.length > 50);
  for (const [name, row] of rows) {
    const { least, isLeastOut, most } = measures.rangeOf(row);
    assert(row.value <= most && (isLeastOut ? row.value > least : row.value >= least), name);
    // What is divided by may be as small as one likes; a full gap is longer than the usual one.
    if (row.above !== undefined) assertEquals(row.above, name.endsWith(" fullGapTimes") ? 1 : 0, name);
  }
});

/** What every figure is measured with unless told otherwise, and the ends where a range has some of its own. */
const USUAL: Readonly<Record<string, Readonly<Record<string, number | readonly [number, object]>>>> = {
  BALANCE_CONSTANTS: {
    hallStrengthDb: 3,
    gridStepCam: [0.25, { least: 0.01, most: 1 }],
    quickGridStepCam: [0.5, { least: 0.01, most: 1 }],
    accentSteps: [1, { most: 7 }],
    leadSteps: [0, { least: -7, most: 7 }],
    listenSeconds: [0.15, { above: 0 }],
    twoEarsDb: [3, { least: 0 }],
    coveredBelowShare: 0.1,
  },
  BLEND_CONSTANTS: { togetherSeconds: 0.03 },
  CONTOUR_CONSTANTS: {
    loudnessWeight: 2,
    registerWeight: 1,
    densityWeight: 1,
    overBars: [3, { least: 1 }],
    levelPhons: 1,
    levelSemitones: 1,
    levelRatio: [1.1, { least: 1 }],
  },
  FRESHNESS_CONSTANTS: {
    halfLifeBars: [8.4, { above: 0 }],
    sameRole: 0.6,
    sameSound: 0.3,
    leadShare: 0.3,
    compareBars: [2, { least: 1 }],
    changeFrom: 0.25,
    repeatDiscount: 0.5,
    jointShare: 0.5,
    dialogueBars: [8, { least: 1 }],
    fullGapTimes: [4, { above: 1 }],
    repetitionWeight: 0.25,
    cadenceWeight: 0.25,
    noveltyWeight: 0.5,
    signWeight: 1,
    usualPhraseBars: [8, { least: 2 }],
    longestPhraseBars: [24, { least: 4 }],
    phraseLengthWeight: 0.75,
    phraseFrom: 0.5,
    expectedAfterBars: [8, { least: 1 }],
    sameScoringFrom: 0.95,
    noveltyHalfWidthBars: [2, { least: 1 }],
    scoringWeight: 1,
    soundingWeight: 1,
    attacksWeight: 1,
    registerWeight: 1,
    dynamicsWeight: 1,
    otherRegisterSemitones: [12, { above: 0 }],
    otherDynamicSteps: [4, { above: 0 }],
  },
  FULLNESS_CONSTANTS: {
    overBassSemitones: [19, { above: 0 }],
    apartSemitones: [16, { above: 0 }],
    lowBelowPitch: 48,
    highFromPitch: 72,
  },
  IDIOM_CONSTANTS: { priorBars: [50, { above: 0 }], unusualBelow: 0.1 },
  LOW_INTERVAL_CONSTANTS: { leastSeconds: 0.5, gapBars: 1 },
  MOMENTUM_CONSTANTS: {
    slurredStrength: [0.4, { most: 1 }],
    broadStrength: [0.8, { most: 1 }],
    tremoloStrength: [0.05, { most: 1 }],
    tremoloFromPerSecond: 13,
    threeSlashesFromPerSecond: 9,
    halfAudibleSones: [0.25, { above: 0 }],
    halfForceDynamic: [5, { above: 0 }],
    mergeSeconds: 0.03,
    fusionSeconds: [0.1, { above: 0 }],
    slowestPulseSeconds: 1.5,
    pulseCentreSeconds: [0.6, { above: 0 }],
    pulseSpreadLog10: [0.2, { above: 0 }],
    accentSaturationSeconds: [0.5, { above: 0 }],
    accentExponent: [2, { most: 10 }],
    rateWeight: 0.6,
    regularityWeight: 0.2,
    pulseWeight: 0.1,
    syncopationWeight: 0.1,
    fullSyncopation: [2, { above: 0 }],
  },
  PASSAGE_CONSTANTS: {
    shortestBars: [4, { least: 1 }],
    usualBars: [16, { least: 1 }],
    longestBars: [32, { least: 1 }],
    lengthWeight: 0.1,
    turnFrom: 0.25,
    signWeight: 1,
  },
  PLAYABILITY_CONSTANTS: {
    impossibleFactor: [1.25, { least: 1 }],
    tremoloFromPerSecond: 13,
    threeSlashesFromPerSecond: 9,
    registerFromSeconds: 0.3,
    coveredSteps: 1,
    riskyDynamicSteps: 2,
    breathFactor: [1, { above: 0 }],
    breathGapSeconds: 0.15,
    stealFromSeconds: 0.5,
    stolenBreaths: 2,
    restSeconds: 2,
    staminaFactor: [1, { above: 0 }],
    windPlayingSeconds: 180,
    restShareFromSeconds: 120,
    loudFrom: [5.5, { least: 1, most: 9 }],
    exposureFrom: [6.5, { least: 1, most: 9 }],
    exposureSeconds: 60,
    exposurePauseSeconds: 10,
    tuttiShare: 0.75,
    tuttiForteWeight: 0.5,
    leapsInTurn: 2,
    slidePositions: 4,
    slideSeconds: 0.18,
    glissandoFadesSeconds: 1.5,
    handSpanSemitones: 16,
    malletSpanSemitones: 14,
    rolledFromSeconds: 0.4,
    keyAccidentals: 6,
  },
  ROUGHNESS_CONSTANTS: { samplesPerBeat: [2, { least: 1, most: 100 }] },
  VOICE_LEADING_CONSTANTS: { overBassSemitones: 19, apartSemitones: 16, gapBars: 1 },
};

Deno.test("the usual values are those that all figures, examples and lessons were made with: who changes one says so here", () => {
  const found = Object.entries(measures).filter(([name]) => name.endsWith("_CONSTANTS")).map((
    [table, constants],
  ) => [
    table,
    Object.fromEntries(
      Object.entries(constants as measures.Constants).map(([name, { value, least, above, most }]) => {
        const ends = Object.entries({ least, above, most }).filter(([, end]) => end !== undefined);
        return [name, ends.length === 0 ? value : [value, Object.fromEntries(ends)]];
      }),
    ),
  ]);
  assertEquals(Object.fromEntries(found), USUAL);
});
