import { assert, assertAlmostEquals, assertEquals, assertLess, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import {
  componentExcitation,
  dbOfPower,
  type ErbGrid,
  erbGrid,
  erbPower,
  excitationPattern,
  layerLoudness,
  loudnessSones,
} from "ripieno/hearing";
import { addUp, allComponents, seededChords, type TestNote } from "../orchestral_sounds.ts";

const standard = erbGrid(), coarse = erbGrid({ stepCam: 0.5 });

Deno.test("the pattern of a 1 kHz tone peaks at its level and its place", () => {
  for (const level of [20, 50, 80]) {
    const { grid, excitation } = excitationPattern([1000], [level]);
    const peak = excitation.indexOf(Math.max(...excitation));
    assertAlmostEquals(dbOfPower(excitation[peak]!), level, 0.1);
    assertAlmostEquals(grid.centresHz[peak]!, 1000, 10);
  }
});

Deno.test("the side above the tone grows shallower with level, the side below keeps its shape", () => {
  const relative = (level: number) => {
    const { excitation } = excitationPattern([1000], [level]);
    return Array.from(excitation, (e) => dbOfPower(e) - level);
  };
  const soft = relative(40), loud = relative(90);
  const below = standard.centresHz.findIndex((hz) => hz > 700),
    above = standard.centresHz.findIndex((hz) => hz > 1800);
  assertAlmostEquals(soft[below]!, loud[below]!, 1e-9);
  assert(loud[above]! > soft[above]! + 10);
});

Deno.test("the lower slope follows p = p51 - 0.35 (p51 / p51 at 1 kHz) (X - 51)", () => {
  // One tone of 1 kHz at 71 dB; a filter at the place nearest 1500 Hz; free-field transfer at 1 kHz is 0 dB.
  const { excitation } = excitationPattern([1000], [71]);
  const c = standard.centresHz.findIndex((hz) => hz > 1500), centre = standard.centresHz[c]!;
  const p51 = 4 * centre / (24.673 * (0.004368 * centre + 1)), p51At1k = 4000 / (24.673 * 5.368);
  const p = p51 - 0.35 * p51 / p51At1k * (71 - 51), g = (centre - 1000) / centre;
  assertAlmostEquals(excitation[c]!, 10 ** 7.1 * (1 + p * g) * Math.exp(-p * g), 1e-6 * excitation[c]!);
});

Deno.test("the sound field changes what reaches the inner ear by the standard's table", () => {
  const peak = (hz: number, field: "free" | "diffuse" | "eardrum") => {
    const at = Math.round((21.366 * Math.log10(0.004368 * hz + 1) - 1.8) / 0.1);
    return dbOfPower(excitationPattern([hz], [60], { field }).excitation[at]!);
  };
  // ISO 532-2:2017, Table 1, at 2500 Hz: free 16.8, diffuse 14.9, middle ear -10.4 dB.
  assertAlmostEquals(peak(2500, "free") - peak(2500, "eardrum"), 16.8, 0.05);
  assertAlmostEquals(peak(2500, "diffuse") - peak(2500, "eardrum"), 14.9, 0.05);
  assertAlmostEquals(peak(2500, "eardrum"), 60 - 10.4, 0.2);
});

Deno.test("silence, components out of hearing and no components excite nothing", () => {
  for (
    const [hz, levels] of [[[], []], [[440], [-Infinity]], [[15, 25000], [90, 90]], [[0], [80]]] as const
  ) {
    assert(componentExcitation(coarse, hz, levels).every((e) => e === 0));
    assert(erbPower(coarse, hz, levels).every((e) => e === 0));
  }
});

Deno.test("wrong input is refused with a sentence", () => {
  assertThrows(() => excitationPattern([440], []), InputError, "one each");
  assertThrows(() => excitationPattern([-1], [60]), InputError, "-1 Hz");
  assertThrows(() => excitationPattern([440], [NaN]), InputError);
  assertThrows(() => excitationPattern([440], [200]), InputError, "200 dB");
  assertThrows(() => excitationPattern([440], [60], { field: "stage" as never }), InputError, "diffuse");
  assertThrows(
    () => componentExcitation(coarse, [440], [60], { feild: "free" } as never),
    InputError,
    "feild",
  );
  assertThrows(
    () => componentExcitation(coarse, [440], [60], { surroundings: new Float64Array(3) }),
    InputError,
    "surroundings",
  );
});

/** Excitation of each note with its own slopes, or with the slopes the whole chord gives it. */
function noteByNote(grid: ErbGrid, notes: readonly TestNote[], together: boolean): Float64Array[] {
  if (!together) return notes.map((note) => componentExcitation(grid, note.hz, note.levels));
  const own = notes.map((note) => erbPower(grid, note.hz, note.levels));
  const whole = addUp(own, grid.centresHz.length);
  return notes.map((note, i) => {
    const surroundings = whole.map((power, c) => Math.max(0, power - own[i]![c]!));
    return componentExcitation(grid, note.hz, note.levels, { surroundings });
  });
}

/** How far a speed-up is from the exact evaluation over 150 chords, at most. */
function largestErrors(grid: ErbGrid, together: boolean) {
  let whole = 0, partialOfWhole = 0, partialOfOwn = 0;
  for (const notes of seededChords(150, 11)) {
    const all = allComponents(notes);
    const exact = excitationPattern(all.hz, all.levels);
    const exactWhole = loudnessSones(exact.grid, exact.excitation);
    const layered = (g: ErbGrid, excitations: Float64Array[]) =>
      layerLoudness(g, [excitations[0]!, addUp(excitations.slice(1), g.centresHz.length)]);
    const reference = layered(standard, noteByNote(standard, notes, true)).partial[0]!;
    const heard = layered(grid, noteByNote(grid, notes, together));
    const distance = Math.abs(heard.partial[0]! - reference);
    whole = Math.max(whole, Math.abs(heard.whole / exactWhole - 1));
    partialOfWhole = Math.max(partialOfWhole, distance / exactWhole);
    if (reference > 0.5) partialOfOwn = Math.max(partialOfOwn, distance / reference);
  }
  return { whole, partialOfWhole, partialOfOwn };
}

Deno.test("notes evaluated one by one with the whole's level around them equal the exact evaluation", () => {
  assertLess(largestErrors(standard, true).whole, 1e-4);
});

Deno.test("notes kept and added (own slopes, 74 filters): whole within 1.3 %, a note within 0.9 % of the whole", () => {
  const { whole, partialOfWhole, partialOfOwn } = largestErrors(coarse, false);
  assertLess(whole, 0.013);
  assertLess(partialOfWhole, 0.009);
  assertLess(partialOfOwn, 0.11);
});

Deno.test("notes kept with their surroundings (74 filters): whole within 0.2 %, a note within 0.3 % of the whole", () => {
  const { whole, partialOfWhole, partialOfOwn } = largestErrors(coarse, true);
  assertLess(whole, 0.002);
  assertLess(partialOfWhole, 0.003);
  assertLess(partialOfOwn, 0.11);
});

Deno.test("notes kept with their surroundings (149 filters): a note within 2.5 % of its own sones", () => {
  const { whole, partialOfOwn } = largestErrors(erbGrid({ stepCam: 0.25 }), true);
  assertLess(whole, 0.0005);
  assertLess(partialOfOwn, 0.025);
});

Deno.test("74 filters instead of 372: tones of 60 dB and more within 1 %, of 40 dB within 0.003 sone from 100 Hz", () => {
  for (let hz = 60; hz < 9000; hz *= 1.03) {
    for (const level of [40, 60, 80]) {
      const fine = loudnessSones(standard, componentExcitation(standard, [hz], [level]));
      const rough = loudnessSones(coarse, componentExcitation(coarse, [hz], [level]));
      if (level >= 60) assertAlmostEquals(rough, fine, 0.01 * fine, `${hz} Hz`);
      else if (hz >= 100) assertAlmostEquals(rough, fine, 0.003, `${hz} Hz`);
    }
  }
});

Deno.test("input arrays are left alone", () => {
  const hz = Float64Array.of(440, 880), levels = Float64Array.of(60, 50);
  const surroundings = erbPower(coarse, hz, levels);
  const before = [...surroundings];
  componentExcitation(coarse, hz, levels, { surroundings });
  assertEquals([[...hz], [...levels], [...surroundings]], [[440, 880], [60, 50], before]);
});
