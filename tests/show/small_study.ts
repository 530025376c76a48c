import { roleDoes } from "../../lib/texture/role_does.ts";
import { makeNote } from "ripieno/score";
import type { Balance, Freshness, Momentum, Playability, Role, Score, Study, Texture } from "ripieno";
import type { Contour, Fullness, Idiom, MaskingRow, MomentSound } from "ripieno/measures";

/** Three parts, four bars of 4/4 at 120, the pickings of a score; every figure below is made up for the drawing. */
export const smallScore: Score = {
  title: "Small",
  source: "small.musicxml",
  ticksPerQuarter: 4,
  bars: [0, 1, 2, 3].map((i) => ({
    number: String(i + 1),
    startTicks: i * 16,
    durationTicks: 16,
    beats: 4,
    beatUnit: 4,
    keyFifths: 0,
    ...(i === 0 ? { rehearsal: "Dawn" } : i === 2 ? { rehearsal: "Noon" } : {}),
  })),
  tempos: [{ onsetTicks: 0, quartersPerMinute: 120, origin: "marked" }],
  parts: ["Flute 1", "Horn 1", "Cellos"].map((name, i) => ({
    id: `P${i + 1}`,
    name,
    instrument: ["flute", "horn in F", "cello"][i]!,
    instrumentFrom: "name",
    players: 1,
    transposeSemitones: 0,
    transposeSteps: 0,
  })),
  notes: [0, 1, 2, 3].flatMap((bar) =>
    [0, 1, 2].map((part) =>
      makeNote({ part, onsetTicks: bar * 16, durationTicks: 16, soundingPitch: [76, 60, 43][part]! + bar })
    )
  ),
  chords: [],
  notices: [{ what: "lyrics were left out", count: 3, part: "Flute 1", bar: "2" }],
};

/** Roles bar by bar: flute, horn, cello. */
const ROLES: readonly (readonly Role[])[] = [
  ["lead", "pad", "bass"],
  ["lead", "pad", "pulse"],
  ["rest", "lead", "pulse"],
  ["run", "lead", "pulse"],
];

/** What the three parts do: the flute leads and rests, the horn takes over, the cello turns from bass to pulse. */
export const smallTexture: Texture = {
  origin: "written",
  cells: ROLES.flatMap((roles, barIndex) =>
    roles.map((role, part) => ({
      barIndex,
      part,
      role,
      figure: role === "rest" ? "none" : "held chord",
      does: roleDoes(role, "held chord"),
      confidence: 1,
      leadShare: role === "lead" ? 1 : 0,
      reason: "",
      layer: role === "rest" ? "" : role,
    }))
  ),
  layers: (["lead", "pad", "bass", "pulse", "run"] as const).map((role) => ({
    id: role,
    role,
    figure: "held chord",
    parts: [0],
    fromBarIndex: 0,
    toBarIndex: 3,
  })),
};

const bars = [0, 1, 2, 3].map((barIndex) => ({
  barIndex,
  bar: String(barIndex + 1),
  onsetSeconds: barIndex * 2,
}));

const momentum: Momentum = {
  whole: {
    momentum: 2,
    attackRate: 2,
    onsetsPerSecond: 4,
    pitchTravel: 1,
    pulseSalience: 0.5,
    regularity: 1,
    syncopatedShare: 0,
    syncopation: 0,
  },
  perBar: bars.map((b) => ({
    ...b,
    momentum: 1 + b.barIndex * 2 / 3,
    attackRate: 2,
    onsetsPerSecond: 4,
    pitchTravel: 1,
    pulseSalience: 0.5,
    regularity: 1,
    syncopatedShare: 0,
    syncopation: 0,
  })),
  perLayer: bars.flatMap(({ barIndex }) =>
    (["lead", barIndex === 0 ? "bass" : "pulse"] as const).map((role) => ({
      barIndex,
      layer: role,
      role,
      audibility: 1,
      onsetsPerSecond: 2,
      contribution: (1 + barIndex * 2 / 3) / 2,
      contributionError: 0,
      alone: 1,
      takenAway: 1,
    }))
  ),
  perRole: [{ role: "lead", contribution: 1 }, { role: "pulse", contribution: 0.8 }, {
    role: "bass",
    contribution: 0.2,
  }],
  settings: {},
};

const balance: Balance = {
  whole: { handbookDb: -2, powerDb: 1, audibleShare: 0.4, aloneShare: 0, coveredShare: 1 / 3 },
  perBar: bars.map((b) => ({
    ...b,
    lead: ["Flute 1", "Flute 1", "", "Horn 1"][b.barIndex]!,
    leadAlone: b.barIndex === 2 ? null : false,
    handbookDb: b.barIndex === 2 ? null : -2,
    powerDb: b.barIndex === 2 ? null : 1 - b.barIndex,
    audibleShare: [0.6, 0.05, null, 0.55][b.barIndex]!,
    loudnessSones: 10,
  })),
  perLayer: ROLES.flatMap((roles, barIndex) =>
    roles.filter((role) => role !== "rest").map((role, _, sounding) => ({
      barIndex,
      layer: role,
      role,
      partialSones: 10 / sounding.length,
      audibleShare: 0.5,
      loudnessShare: 1 / sounding.length,
    }))
  ),
  perNote: [],
  warnings: [{
    kind: "lead covered",
    fromBarIndex: 1,
    toBarIndex: 1,
    bar: "2",
    beat: 1,
    what: "Flute 1 keeps 5 % of its loudness",
    remedy: "Let the cellos play two dynamics softer",
    figure: 0.05,
    limit: 0.1,
    unit: "share of its loudness",
  }],
  settings: { coveredBelowShare: 0.1 },
};

const contour: Contour = {
  whole: { contour: 0.3, loudnessRange: 12, registerRange: 7, densityRange: 1 },
  against: "tune",
  perCurve: [
    { curve: "loudness", follows: 0.8, range: 12 },
    { curve: "register", follows: -0.4, range: 7 },
    { curve: "density", follows: null, range: 1 },
  ],
  perBar: bars.map((b) => ({
    ...b,
    loudnessPhons: [70, 74, 82, 76][b.barIndex]!,
    register: [60, 58, 62, 65][b.barIndex]!,
    lowest: 43,
    highest: [72, 74, 79, 76][b.barIndex]!,
    notesPerSecond: 4,
    wanted: [72, 74, 79, null][b.barIndex]!,
  })),
  description: [
    "Loudness goes with the tune (0.80), over 12 phons.",
    "Register goes against the tune (-0.40), over 7 semitones.",
    "Density stays level, over 1 times.",
  ],
  settings: {},
};

const fullness: Fullness = {
  whole: { fullness: 0.7, completeness: 0.9, spacing: 0.8, players: 2.5 },
  perBar: bars.map((b) => ({
    ...b,
    fullness: [1, 0.5, 0, 0.8][b.barIndex]!,
    completeness: b.barIndex === 2 ? null : b.barIndex === 1 ? 0.5 : 1,
    missing: b.barIndex === 1 ? "third" : "",
    spacing: b.barIndex === 2 ? null : b.barIndex === 3 ? 0.8 : 1,
    widestGap: [12, 7, null, 20][b.barIndex]!,
    gapFrom: [43, 55, null, 40][b.barIndex]!,
    thirdShare: b.barIndex === 1 ? 0 : 0.3,
    leadingNoteShare: null,
    lowShare: 0.5,
    highShare: 0,
    players: [3, 3, 1, 3][b.barIndex]!,
  })),
  description: ["The chord wants its third outside the lead in 1 bar, first in bar 2."],
  settings: { apartSemitones: 16 },
};

const idiom: Idiom = {
  whole: { idiom: 0.6, unusualShare: 0.2 },
  perBar: bars.map((b) => ({
    ...b,
    idiom: [0.8, 0.4, null, 0.6][b.barIndex]!,
    unusual: b.barIndex === 1 ? 1 : 0,
  })),
  perPart: [{ part: 0, partName: "Flute 1", idiom: 0.6, countedBars: 900 }],
  unusual: [{
    part: 2,
    partName: "Cellos",
    bar: "2",
    fromBarIndex: 1,
    toBarIndex: 1,
    role: "lead",
    register: "low",
    dynamic: "soft",
    usualness: 0.05,
    ofRole: 0.1,
    ofRegister: 0.5,
    ofDynamic: 1,
  }],
  description: ["Cellos in bar 2: lead, low and soft; in the scores counted the cello seldom has this role."],
  settings: { unusualBelow: 0.1 },
};

const freshness: Freshness = {
  whole: { freshness: 0.6, restlessness: 0, barsBetweenChanges: 2, longestStretchBars: 2, distinctLeads: 2 },
  perBar: bars.map((b) => ({
    ...b,
    freshness: [1, 0.7, 0.9, 0.6][b.barIndex]!,
    change: b.barIndex === 2 ? 0.8 : 0,
    novelty: 0,
    turn: b.barIndex === 2 ? 1 : 0,
    phrase: b.barIndex < 2 ? 0 : 1,
    restless: 0,
    barsSinceChange: b.barIndex % 2,
    lead: ["Flute 1", "Flute 1", "", "Horn 1"][b.barIndex]!,
  })),
  perLayer: [],
  changes: [{ barIndex: 2, bar: "3", change: 0.8, beginsPhrase: true, what: "Horn 1 takes the lead" }],
  phrases: [
    { fromBarIndex: 0, toBarIndex: 1, bar: "1", coherence: 1 },
    { fromBarIndex: 2, toBarIndex: 3, bar: "3", coherence: 1 },
  ],
  similarity: [],
  leads: [
    { part: 0, partName: "Flute 1", bars: 2, chiefBars: 2, longestBars: 2, fromBarIndex: 0, toBarIndex: 1 },
    { part: 1, partName: "Horn 1", bars: 1, chiefBars: 1, longestBars: 1, fromBarIndex: 3, toBarIndex: 3 },
  ],
  expected: [],
  repeats: [],
  unused: { neverLead: ["Cellos"], neverPlay: [] },
  description: ["Cellos never lead."],
  advice: ["Cellos never lead."],
  settings: {},
};

const playability: Playability = {
  whole: { impossible: 1, risky: 1, tiring: 0, note: 0, notes: 12 },
  perBar: [],
  perPart: [{ part: 0, partName: "Flute 1", findings: 1 }, { part: 2, partName: "Cellos", findings: 1 }],
  findings: [
    {
      part: 2,
      partName: "Cellos",
      fromBarIndex: 1,
      toBarIndex: 3,
      bar: "2",
      beat: 1,
      severity: "impossible",
      rule: "chord",
      what: "a chord of five notes",
      figure: 5,
      limit: 4,
      unit: "notes",
      source: "common practice, no source",
      remedy: "Divide it",
      places: 3,
    },
    {
      part: 0,
      partName: "Flute 1",
      fromBarIndex: 0,
      toBarIndex: 0,
      bar: "1",
      beat: 3,
      severity: "risky",
      rule: "breath",
      what: "a phrase of 20 seconds",
      figure: 20,
      limit: 12.5,
      unit: "seconds",
      source: "made up for this test",
      remedy: "Breathe after bar 2",
      places: 1,
    },
  ],
  caution: "Limits are guides; players decide.",
  settings: {},
};

/** The four measures of the small score. */
export const smallStudy: Study = {
  name: "small",
  momentum,
  balance,
  freshness,
  fullness,
  contour,
  idiom,
  playability,
};

/** Three layers, two of which never meet. */
export const smallMasking: readonly MaskingRow[] = ([
  ["lead", "Flute 1", "pad", "Horn 1–2", 0.83],
  ["pad", "Horn 1–2", "lead", "Flute 1", 0.12],
  ["lead", "Flute 1", "bass", "Cellos", 0.4],
  ["bass", "Cellos", "lead", "Flute 1", 0.05],
] as const).map(([masked, maskedParts, masker, maskerParts, lostShare]) => ({
  masked,
  maskedRole: masked,
  maskedParts,
  masker,
  maskerRole: masker,
  maskerParts,
  lostShare,
  aloneSones: 8,
  partialSones: 8 * (1 - lostShare),
  beats: 4,
}));

/** A bass below and a lead above, on thirty-six filters. */
export const smallMoment: MomentSound = {
  barIndex: 1,
  bar: "2",
  beat: 3,
  onsetSeconds: 3,
  wholeSones: 12,
  layers: (["lead", "bass"] as const).map((role) => ({
    layer: role,
    role,
    parts: role === "lead" ? "Flute 1" : "Cellos",
    aloneSones: 8,
    partialSones: 4,
    audibleShare: 0.5,
  })),
  bands: (["lead", "bass"] as const).flatMap((role) =>
    Array.from({ length: 36 }, (_, i) => ({
      layer: role,
      role,
      cam: 2.5 + i,
      hz: (10 ** ((2.5 + i) / 21.366) - 1) / 0.004368,
      levelDb: role === "lead" ? 10 + 2 * i - Math.max(0, i - 24) * 6 : 60 - 2 * i,
      aloneSonesPerCam: 8 / 36,
      heardSonesPerCam: 4 / 36,
    }))
  ),
};
