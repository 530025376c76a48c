import { assert, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import {
  allInstruments,
  InputError,
  instrumentById,
  type Playability,
  playability,
  type Score,
} from "ripieno";
import { rateLimits, registersOf } from "ripieno/instruments";
import { makeNote } from "ripieno/score";
import { type Chart, partPlayabilityChart, rangeChart, rateChart } from "ripieno/show";
import { drawn as marks, words } from "./normalised.ts";
import { smallScore, smallStudy } from "./small_study.ts";
import { testCharts } from "./test_charts.ts";

/** A flute that repeats sixteenths at 184 for 16 bars, a note too low at the end of each bar, and never breathes. */
const breathless: Score = {
  ...smallScore,
  tempos: [{ onsetTicks: 0, quartersPerMinute: 184, origin: "marked" }],
  bars: Array.from({ length: 16 }, (_, i) => ({
    ...smallScore.bars[0]!,
    number: String(i + 1),
    startTicks: i * 16,
  })),
  notes: Array.from({ length: 16 * 16 }, (_, i) =>
    makeNote({
      part: 0,
      onsetTicks: i,
      durationTicks: 1,
      soundingPitch: i % 16 === 15 ? 55 : i % 16 === 0 ? 61 : 76,
      dynamic: 6,
    })),
};
const breathlessPlayed = playability(breathless);

/** Findings made up for the drawing, so that a new rule of the measure does not change the picture. */
const drawn: Playability = {
  ...smallStudy.playability,
  settings: { breathGapSeconds: 0.2, stealFromSeconds: 0.5, tremoloFromPerSecond: 13 },
  findings: smallStudy.playability.findings.map((f, i) => ({
    ...f,
    part: 0,
    rule: ["range", "breath"][i] ?? f.rule,
    fromBarIndex: i * 12,
    toBarIndex: i * 12 + 3,
  })),
};
const marked = { value: "sixteenths", quartersPerMinute: 152 } as const;

const charts: Readonly<Record<string, () => Chart>> = {
  "rangeChart()": () =>
    rangeChart(["flute", "horn in F", "snare drum"], { notesOf: { score: breathless, part: 0 } }),
  "rangeChart() of many": () => rangeChart(allInstruments().slice(0, 30)),
  "rateChart()": () => rateChart("oboe", { marked }),
  "rateChart() of several": () => rateChart(["flute", "bassoon", "tuba", "viola"]),
  "partPlayabilityChart()": () => partPlayabilityChart(drawn, breathless, { part: "Flute 1" }),
};

testCharts(charts);

Deno.test("rangeChart() draws every register of the catalogue once, with name and dynamics", () => {
  for (const instrument of allInstruments().filter((i) => !i.unpitched)) {
    const chart = rangeChart(instrument);
    const registers = registersOf(instrument);
    assertEquals(marks(chart, "registers"), registers.length, instrument.id);
    const titles = [...chart.querySelectorAll(".registers title")].map((t) => t.textContent ?? "");
    registers.forEach((r, i) => assertStringIncludes(titles[i] ?? "", `${r.name}, `));
  }
  const flute = words(rangeChart("flute"));
  for (
    const word of ["low", "soft, weak projection", "pp–mf", "f–fff", "C4 to F7", "at ease D4 to A6", "262"]
  ) {
    assert(flute.includes(word), word);
  }
});

Deno.test("rangeChart() makes a register as high as its dynamics reach", () => {
  const heights = [...rangeChart("flute").querySelectorAll(".beyond rect")].map((r) =>
    Number(r.getAttribute("height"))
  );
  // low pp to mf 4 steps, middle pp to f 5, high p to ff 5, extreme f to fff 3
  const step = heights[0]! / 4;
  assertEquals(heights.map((h) => Math.round(h / step)), [4, 5, 5, 3]);
});

Deno.test("rangeChart() has a row for each instrument, and none that is lost at 1 or 30", () => {
  for (const count of [1, 5, 12, 30]) {
    const chart = rangeChart(allInstruments().slice(0, count));
    assertEquals(chart.querySelectorAll(".instrument").length, count);
    const names = words(chart);
    assert(
      allInstruments().slice(0, count).every((i) =>
        names.includes(i.id.replace(/\bin ([A-G])b\b/, "in $1♭"))
      ),
    );
  }
  assert(words(rangeChart("tam-tam")).includes("no definite pitch"));
});

Deno.test("rangeChart() counts the notes of a part and names those outside by shape and words", () => {
  const chart = rangeChart(["flute", "alto flute"], { notesOf: { score: breathless, part: 0 } });
  const kinds = (instrument: string) => {
    const own = rangeChart(instrument, { notesOf: { score: breathless, part: 0 } });
    return ["pitches-missing", "crosses", "pitches-hard", "pitches-easy"].map((name) => marks(own, name));
  };
  assertEquals(kinds("flute"), [1, 1, 1, 1]); // G3 with its cross, C#4, E5
  assertEquals(kinds("alto flute"), [0, 0, 0, 3]);
  assert(words(chart).includes("16\u00a0notes too low: G3"));
  assertEquals(chart.querySelectorAll(".outside").length, 1);
});

Deno.test("rangeChart() writes what the player reads where asked to", () => {
  const chart = words(rangeChart("clarinet in Bb", { pitch: "written" }));
  for (const word of ["E3 to C7", "sounds 2\u00a0semitones lower", "written pitch"]) {
    assert(chart.includes(word), word);
  }
  assertEquals(chart.includes("Hz"), false);
});

Deno.test("rateChart() draws every technique of one instrument, and marks what only advanced players have", () => {
  const chart = rateChart("oboe", { marked });
  const expected = rateLimits(instrumentById("oboe")).filter((r) =>
    r.kind === "repeated" && r.use === "planning"
  );
  for (const name of ["sustained", "burst", "bands", "endurance"]) {
    assertEquals(marks(chart, name), expected.length, name);
  }
  assertEquals(marks(chart, "sustained.advanced"), 1);
  assertEquals(marks(chart, "values"), 5);
  for (const line of chart.querySelectorAll(".values path")) {
    assert(line.closest("[stroke]"), "every value has a line that is seen");
  }
  const texts = words(chart);
  for (
    const word of ["single tonguing", "double tonguing, advanced", "double tonguing (advanced)", "sextuplets"]
  ) {
    assert(texts.includes(word), word);
  }
  // 152 / 60 * 4 = 10.13 a second: single tonguing 7.3 to 8.7 does not, double 9.3 to 11.73 for a moment
  assert(texts.includes("sixteenths at 152: 10.1 a second"));
  assertEquals(chart.querySelectorAll(".verdict.too-slow").length, 2); // one in the chart's columns, one sign
  assertEquals(chart.querySelectorAll(".verdict.for-a-moment").length, 2);
  // single tonguing: 7.3 * 60 / 4 = 109.5, 8.7 * 15 = 130.5; double 11.73 * 15 = 175.95
  for (const tempo of ["109", "130", "139", "175"]) assert(texts.includes(tempo), tempo);
});

Deno.test("rateChart() puts a column where its rate is, on the scale of the tempo lines", () => {
  const chart = rateChart("oboe", { marked });
  const dot = Number(chart.querySelector(".marked circle")?.getAttribute("cy"));
  const rect = (name: string) => chart.querySelector(`.${name}.conventional rect`);
  const top = (name: string) => Number(rect(name)?.getAttribute("y"));
  const zero = top("sustained") + Number(rect("sustained")?.getAttribute("height"));
  const perPixel = (152 / 15) / (zero - dot);
  assert(Math.abs((zero - top("sustained")) * perPixel - 7.3) < 0.01);
  assert(Math.abs((zero - top("burst")) * perPixel - 8.7) < 0.01);
});

Deno.test("rateChart() of many instruments keeps to what decides", () => {
  const chart = rateChart(["flute", "oboe", "horn in F", "tuba"]);
  assertEquals(marks(chart, "sustained"), 5); // the oboe's double tonguing is the fifth
  assertEquals(marks(chart, "bands"), 0);
  assertEquals(words(chart).filter((w) => w === "double tonguing").length, 3);
  assert(words(chart).includes("oboe (advanced)"));
});

Deno.test("partPlayabilityChart() shows notes, rates, breaths and findings of one part", () => {
  const chart = partPlayabilityChart(breathlessPlayed, breathless);
  const marks = (name: string) =>
    [...chart.querySelectorAll(`.${name}`)].flatMap((g) => [...g.children]).length;
  assertEquals(marks("notes"), 256);
  assertEquals(marks("strokes"), 16);
  assertEquals(marks("one-breath"), 1);
  assertEquals(chart.querySelectorAll(".outside > path").length, 16);
  const own = breathlessPlayed.findings.filter((f) => f.part === 0);
  assertEquals(chart.querySelectorAll(".finding").length, Math.min(10, own.length));
  const rules = new Set(own.map((f) => f.rule));
  assert(rules.has("range") && rules.has("repeated-note rate") && rules.has("breath"), [...rules].join());
  const texts = words(chart).join("\n");
  for (const f of own) assertStringIncludes(texts.toLowerCase(), `${f.severity}, ${f.rule}`);
});

Deno.test("partPlayabilityChart() lets the time without a breath fall at rests, breath marks and stolen breaths", () => {
  const bars = breathless.bars;
  const spans = (notes: Score["notes"]) => {
    const score = { ...breathless, bars, tempos: smallScore.tempos, notes };
    const chart = partPlayabilityChart(playability(score), score, { part: 0 });
    return [...chart.querySelectorAll(".one-breath")].flatMap((g) => [...g.children]).length;
  };
  // 16 bars of 2 s are 32 s; one breath at mf lasts a flute about 12 s
  const eighths = Array.from(
    { length: 128 },
    (_, i) => makeNote({ part: 0, onsetTicks: 2 * i, durationTicks: 2, soundingPitch: 76, dynamic: 5 }),
  );
  assertEquals(spans(eighths), 1);
  assertEquals(spans(eighths.map((n, i) => i === 63 ? { ...n, articulations: ["breath"] } : n)), 2);
  assertEquals(spans(eighths.filter((_, i) => i !== 31 && i !== 32)), 2);
  // a half note, one second long, is long enough to steal from; a slur over its end forbids it
  const half = eighths.filter((_, i) => i < 60 || i > 63)
    .concat(makeNote({ part: 0, onsetTicks: 120, durationTicks: 8, soundingPitch: 76, dynamic: 5 }))
    .sort((a, b) => a.onsetTicks - b.onsetTicks);
  assertEquals(spans(half), 2);
  assertEquals(spans(half.map((n) => n.onsetTicks === 128 ? { ...n, slurred: true } : n)), 1);
});

Deno.test("partPlayabilityChart() draws the span of pitch of each bar where bars are narrow", () => {
  const bands = (width: number) => {
    const chart = partPlayabilityChart(breathlessPlayed, breathless, { part: 0, width });
    return [...chart.querySelectorAll(".bands")].flatMap((g) => [...g.children]).length;
  };
  assertEquals([bands(960), bands(340)], [0, 16]);
});

Deno.test("partPlayabilityChart() draws no breaths where none are counted", () => {
  const cello = partPlayabilityChart(playability(smallScore), smallScore, { part: "Cellos" });
  assertEquals(words(cello).includes("one breath"), false);
  const section = { ...smallScore, parts: smallScore.parts.map((p) => ({ ...p, players: 2 })) };
  const horns = words(partPlayabilityChart(playability(section), section, { part: 1 }));
  assertEquals(horns.includes("one breath"), false);
  assertStringIncludes(horns.join("\n"), "breathe in turn");
});

Deno.test("charts of instruments refuse what they cannot show, and say what they can", () => {
  assertThrows(() => rangeChart([]), InputError, "no instrument");
  assertThrows(() => rangeChart("fluet"), InputError, "flute");
  assertThrows(
    () => rangeChart("flute", { pitch: "concert" as never }),
    InputError,
    `"sounding" or "written"`,
  );
  assertThrows(
    () => rangeChart("flute", { notesOf: { score: smallScore, part: 9 } }),
    InputError,
    "no part 9",
  );
  assertThrows(() => rangeChart("flute", { notes: 3 } as never), InputError, "notesOf");
  assertThrows(
    () => rateChart("flute", { marked: { ...marked, quartersPerMinute: 400 } }),
    InputError,
    "40 to 208",
  );
  assertThrows(
    () => rateChart("flute", { marked: { ...marked, value: "crotchets" as never } }),
    InputError,
    "sixteenths",
  );
  const played = playability(smallScore);
  assertThrows(() => partPlayabilityChart(played, smallScore, { part: "Viola" }), InputError, "2 Cellos");
});

Deno.test("charts of instruments leave what they are given as it was", () => {
  const before = JSON.stringify([breathless, breathlessPlayed, allInstruments()]);
  for (const draw of Object.values(charts)) draw();
  assertEquals(JSON.stringify([breathless, breathlessPlayed, allInstruments()]), before);
});
