/** Constants of the measures: what makes no sense is refused, and what is let through gives figures everywhere. */
import { assert, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import {
  BALANCE_CONSTANTS,
  type Constant,
  contour,
  CONTOUR_CONSTANTS,
  FRESHNESS_CONSTANTS,
  fullness,
  FULLNESS_CONSTANTS,
  idiom,
  IDIOM_CONSTANTS,
  MOMENTUM_CONSTANTS,
} from "ripieno/measures";
import { allExports } from "../setup/public_entries.ts";
import {
  attribution,
  balance,
  freshness,
  InputError,
  momentum,
  playability,
  type Score,
  sensitivity,
} from "ripieno";
import {
  blend,
  type Constants,
  lowIntervals,
  passagesOf,
  rangeOf,
  roughBars,
  voiceLeading,
} from "ripieno/measures";
import { readHarmony } from "ripieno/harmony";
import { bendTempo } from "ripieno/score";
import { audition } from "ripieno/show";
import { type Line, notFinite, repeatedNotes, smallScore } from "./small_scores.ts";

const MOVING: readonly Line[] = [
  { instrument: "flute", role: "lead", notes: repeatedNotes(79, 1, { to: 16, articulations: ["accent"] }) },
  { instrument: "violin", role: "pulse", notes: repeatedNotes(67, 0.25, { to: 9, slurred: true }) },
  { instrument: "viola", role: "pulse", notes: repeatedNotes(60, 0.5, { from: 8, to: 16 }) },
  { instrument: "tenor trombone", role: "pad", notes: repeatedNotes(48, 4, { to: 16, dynamic: 8 }) },
  { instrument: "cello", role: "bass", notes: repeatedNotes(36, 2, { to: 16, tremoloSlashes: 3 }) },
];
const SCORE = smallScore(MOVING, { bars: 4 });
/** As read from a file: no plan says where its passages are. */
const READ = smallScore(MOVING, { bars: 40, written: false });
const READ_FRESHNESS = freshness(READ);
const BENT: Score = {
  ...SCORE,
  tempoBends: [
    { kind: "slower", onsetTicks: 96, words: "rit." },
    { kind: "quicker", onsetTicks: 480, words: "accel." },
    { kind: "pause", onsetTicks: 768, endTicks: 864, words: "" },
  ],
};

type Given = Readonly<Record<string, number>>;

/** What is measured with a table's constants. */
const MEASURES: Readonly<Record<string, (constants: Given) => unknown>> = {
  AUDITION_CONSTANTS: (constants) => {
    const { truePeakDb, gainDb, channels } = audition(SCORE, {
      toBar: 1,
      sampleRate: 22050,
      stemsBy: "none",
      constants,
    });
    return [truePeakDb, gainDb, ...channels.map((c) => c.reduce((sum, sample) => sum + sample ** 2, 0))];
  },
  BALANCE_CONSTANTS: (constants) => balance(SCORE, { constants }),
  BLEND_CONSTANTS: (constants) => blend(SCORE, { constants }),
  FRESHNESS_CONSTANTS: (constants) => freshness(SCORE, { constants }),
  CONTOUR_CONSTANTS: (constants) => contour(SCORE, { constants }),
  FULLNESS_CONSTANTS: (constants) => fullness(SCORE, { constants }),
  IDIOM_CONSTANTS: (constants) => idiom(SCORE, { constants }),
  HARMONY_CONSTANTS: (constants) => readHarmony(SCORE, { constants }),
  LOW_INTERVAL_CONSTANTS: (constants) => lowIntervals(SCORE, { constants }),
  MOMENTUM_CONSTANTS: (constants) => [momentum(SCORE, { constants }), attribution(SCORE, { constants })],
  PASSAGE_CONSTANTS: (constants) => passagesOf(READ, { freshness: READ_FRESHNESS, constants }),
  PLAYABILITY_CONSTANTS: (constants) => playability(SCORE, { constants }),
  ROUGHNESS_CONSTANTS: (constants) => roughBars(SCORE, { constants }),
  VOICE_LEADING_CONSTANTS: (constants) => voiceLeading(SCORE, { constants }),
  TEMPO_BEND_CONSTANTS: (constants) => momentum(bendTempo(BENT, constants)),
};
/** Tables that callers cannot change. */
const FIXED = ["SPEED_CONSTANTS"];

const TABLES = Object.entries(await allExports()).filter(([name]) =>
  name.endsWith("_CONSTANTS")
) as unknown as readonly (
  readonly [string, Constants]
)[];

/** Values at both ends of where a constant makes sense; where there is no end, far out. */
function endsOf(constant: Constant): readonly number[] {
  const { least, isLeastOut, most } = rangeOf(constant);
  return [
    isLeastOut ? least + 1e-3 * constant.value : least,
    most === Infinity ? 1000 * Math.max(1, constant.value) : most,
  ];
}

Deno.test("every table of constants is tried here, or is fixed", () => {
  assertEquals(
    TABLES.map(([name]) => name).toSorted(),
    [...Object.keys(MEASURES), ...FIXED].toSorted(),
  );
});

Deno.test("every default lies where it makes sense, with room on both sides or at an end", () => {
  for (const [name, table] of TABLES) {
    for (const [key, constant] of Object.entries(table)) {
      const { least, isLeastOut, most } = rangeOf(constant);
      assert(constant.value >= least && constant.value <= most, `${name}.${key}`);
      assert(!isLeastOut || constant.value > least, `${name}.${key}`);
    }
  }
});

Deno.test("every constant has a unit in words, a bare number too", () => {
  for (const [name, table] of TABLES) {
    for (const [key, { unit }] of Object.entries(table)) {
      assert(/^(dB|[A-Za-z]{3,})/.test(unit), `${name}.${key}: "${unit}"`);
    }
  }
});

Deno.test("at both ends of every constant's range the measures give finite figures", () => {
  for (const [name, measure] of Object.entries(MEASURES)) {
    const table = TABLES.find(([own]) => own === name)![1];
    for (const [key, constant] of Object.entries(table)) {
      for (const value of endsOf(constant)) {
        assertEquals(notFinite(measure({ [key]: value })), [], `${name}, ${key} at ${value}`);
      }
    }
  }
});

Deno.test("beyond the ends of every constant's range is a sentence with its name, the value and the range", () => {
  for (const [name, measure] of Object.entries(MEASURES)) {
    const table = TABLES.find(([own]) => own === name)![1];
    for (const [key, constant] of Object.entries(table)) {
      const { least, isLeastOut, most } = rangeOf(constant);
      const beyond = [isLeastOut ? least : least - 1e-6, ...(most === Infinity ? [] : [most + 1e-6])];
      for (const value of beyond) {
        const { message } = assertThrows(() => measure({ [key]: value }), InputError);
        for (const part of [key, String(value), constant.unit, String(least), String(constant.value)]) {
          assertStringIncludes(message, part);
        }
      }
    }
  }
});

Deno.test("what a constant's range is follows from its unit, unless its row says otherwise", () => {
  const row = (unit: string, more = {}) => ({ value: 0.5, unit, source: "", meaning: "", ...more });
  assertEquals(rangeOf(row("share")), { least: 0, isLeastOut: false, most: 1 });
  assertEquals(rangeOf(row("share of the parts")), { least: 0, isLeastOut: false, most: 1 });
  assertEquals(rangeOf(row("seconds")), { least: 0, isLeastOut: false, most: Infinity });
  assertEquals(rangeOf(row("dB")), { least: -100, isLeastOut: false, most: 100 });
  assertEquals(rangeOf(row("bars", { above: 0, most: 9 })), { least: 0, isLeastOut: true, most: 9 });
});

Deno.test("weights that leave nothing to compare bars by are refused together", () => {
  const names = ["scoringWeight", "soundingWeight", "attacksWeight", "registerWeight", "dynamicsWeight"];
  const constants = Object.fromEntries(names.map((name) => [name, 0]));
  assertThrows(() => freshness(SCORE, { constants }), InputError, "all 0");
  freshness(SCORE, { constants: { ...constants, attacksWeight: 1 } });
});

Deno.test("sensitivity() keeps every constant inside its range, and says where it stopped", () => {
  const two = { slow: SCORE, fast: smallScore(MOVING, { bars: 4, quartersPerMinute: 150 }) };
  const { rows, conclusions } = sensitivity(two, { by: 0.9 });
  const tables = {
    momentum: MOMENTUM_CONSTANTS,
    balance: BALANCE_CONSTANTS,
    freshness: FRESHNESS_CONSTANTS,
    fullness: FULLNESS_CONSTANTS,
    contour: CONTOUR_CONSTANTS,
    idiom: IDIOM_CONSTANTS,
  };
  for (const row of rows) {
    const { least, isLeastOut, most } = rangeOf((tables[row.table] as Constants)[row.constant]!);
    assert(row.value >= least && row.value <= most && !(isLeastOut && row.value === least), row.constant);
    assertEquals(row.isAtLimit, row.value !== row.usual * row.factor, row.constant);
  }
  const stopped = rows.filter((r) => r.measure === "momentum" && r.isAtLimit).map((r) => r.constant);
  assert(stopped.includes("broadStrength"), stopped.join());
  const words = conclusions.find((c) => c.startsWith("Momentum"))!;
  if (words.includes("moves by")) assertStringIncludes(words, "broadStrength no further than 1");
  const clear = sensitivity(two, { measures: ["momentum"], constants: ["broadStrength", "rateWeight"] });
  assertStringIncludes(clear.conclusions[0]!, "moves by 50 % (broadStrength no further than 1)");
});
