import { assert, assertEquals, assertThrows } from "@std/assert";
import { allInstruments, InputError, instrumentById, orchestra } from "ripieno";
import {
  breathSeconds,
  handbookWeight,
  harmonicLevels,
  legatoLimit,
  rateLimits,
  registersOf,
  repeatedNoteLimit,
  sectionSizes,
  soundPowerDb,
  stringsOf,
  tonguingSupport,
} from "ripieno/instruments";

Deno.test("the catalogue holds at least sixty instruments, each once, none without a source", () => {
  const ids = allInstruments().map((instrument) => instrument.id);
  assert(ids.length >= 60, `${ids.length}`);
  assertEquals(new Set(ids).size, ids.length);
  for (const instrument of allInstruments()) assert(instrument.source.length > 5, instrument.id);
});

Deno.test("every comfortable range lies within the extreme one", () => {
  for (const { id, rangeExtreme, rangeComfortable } of allInstruments()) {
    assert(rangeExtreme.low < rangeExtreme.high, id);
    assert(rangeComfortable.low < rangeComfortable.high, id);
    assert(rangeComfortable.low >= rangeExtreme.low && rangeComfortable.high <= rangeExtreme.high, id);
  }
});

Deno.test("registers cover the extreme range from end to end, without gap or overlap", () => {
  for (const instrument of allInstruments()) {
    const registers = registersOf(instrument);
    if (instrument.unpitched) {
      assertEquals(registers.length, 0);
      continue;
    }
    assertEquals(registers[0]?.low, instrument.rangeExtreme.low, instrument.id);
    assertEquals(registers.at(-1)?.high, instrument.rangeExtreme.high, instrument.id);
    registers.forEach((register, index) => {
      assert(register.softestDynamic <= register.loudestDynamic, `${instrument.id} ${register.name}`);
      if (index > 0) {
        assertEquals(register.low, registers[index - 1]!.high + 1, `${instrument.id} ${register.name}`);
      }
    });
  }
});

Deno.test("staff steps and semitones of each transposition name the same interval", () => {
  // Semitones of the major or perfect interval by staff steps; a transposition is that or the minor form.
  const semitones = [0, 2, 4, 5, 7, 9, 11];
  for (const { id, transposeSemitones, transposeSteps } of allInstruments()) {
    const steps = Math.abs(transposeSteps);
    const major = Math.floor(steps / 7) * 12 + semitones[steps % 7]!;
    const minor = [1, 2, 5, 6].includes(steps % 7) ? major - 1 : major;
    assert([major, minor].includes(Math.abs(transposeSemitones)), id);
    assert(transposeSemitones * transposeSteps >= 0, id);
  }
});

Deno.test("the transpositions players know", () => {
  // Common knowledge, no source: from written to sounding.
  const known: Record<string, readonly [number, number]> = {
    "piccolo": [12, 7],
    "clarinet in Bb": [-2, -1],
    "clarinet in A": [-3, -2],
    "clarinet in Eb": [3, 2],
    "cor anglais": [-7, -4],
    "horn in F": [-7, -4],
    "alto saxophone": [-9, -5],
    "baritone saxophone": [-21, -12],
    "double bass": [-12, -7],
    "glockenspiel": [24, 14],
    "celesta": [12, 7],
  };
  for (const [id, [semitones, steps]] of Object.entries(known)) {
    const instrument = instrumentById(id);
    assertEquals([instrument.transposeSemitones, instrument.transposeSteps], [semitones, steps], id);
  }
});

Deno.test("every instrument has a rate, a weight, a power and a spectrum, its own or one it is like", () => {
  for (const instrument of allInstruments()) {
    const pitch = Math.round((instrument.rangeComfortable.low + instrument.rangeComfortable.high) / 2);
    assert(repeatedNoteLimit(instrument) !== null, instrument.id);
    if (!instrument.unpitched) assert(legatoLimit(instrument) !== null, instrument.id);
    assert(handbookWeight(instrument, 5) > 0, instrument.id);
    assert(soundPowerDb(instrument, 5) > 50, instrument.id);
    assert(harmonicLevels(instrument, pitch, 5).length > 0, instrument.id);
  }
});

Deno.test("no rate is faster for long than for a moment", () => {
  for (const instrument of allInstruments()) {
    for (const { technique, typicalPerSecond, maximumPerSecond } of rateLimits(instrument)) {
      assert(
        typicalPerSecond === null || typicalPerSecond <= maximumPerSecond,
        `${instrument.id} ${technique}`,
      );
    }
  }
});

Deno.test("an instrument's own rate stands before its family's, slower though it be", () => {
  // Common practice, no source: what rings long or is struck with one arm is not played by two fast hands.
  for (
    const [id, most] of [["tam-tam", 2], ["whip", 3], ["cymbals", 3], ["tubular bells", 5], [
      "double bass",
      10,
    ]] as const
  ) {
    assert(repeatedNoteLimit(instrumentById(id))!.burstPerSecond <= most, id);
  }
  const burst = (id: string) => repeatedNoteLimit(instrumentById(id))!.burstPerSecond;
  const strings = ["violin", "viola", "cello", "double bass"].map(burst);
  assertEquals(strings, [...strings].sort((a, b) => b - a));
});

Deno.test("where double tonguing is not customary, the repeated-note limit is single tonguing", () => {
  for (const instrument of allInstruments()) {
    const support = tonguingSupport(instrument);
    if (!support) continue;
    const technique = repeatedNoteLimit(instrument)!.technique;
    assertEquals(
      technique === "single tonguing",
      support.double === "advanced",
      `${instrument.id} ${technique}`,
    );
  }
});

Deno.test("a breath lasts less the louder it is, and only winds and voices need one", () => {
  for (const instrument of allInstruments()) {
    const needs = ["woodwind", "brass", "voice"].includes(instrument.family);
    assertEquals(breathSeconds(instrument, 5) !== null, needs, instrument.id);
    if (!needs) continue;
    const seconds = [1, 2, 3, 4, 5, 6, 7, 8].map((dynamic) => breathSeconds(instrument, dynamic)!);
    for (let i = 1; i < seconds.length; i++) assert(seconds[i]! <= seconds[i - 1]!, instrument.id);
    assert(breathSeconds(instrument, 6)! < breathSeconds(instrument, 3)!, instrument.id);
  }
  const tuba = instrumentById("tuba");
  assert(breathSeconds(tuba, 5, { soundingPitch: 28 })! < breathSeconds(tuba, 5, { soundingPitch: 45 })!);
});

Deno.test("sound power grows with dynamic and players on every instrument", () => {
  for (const instrument of allInstruments()) {
    for (let dynamic = 1.5; dynamic <= 8; dynamic += 0.5) {
      assert(soundPowerDb(instrument, dynamic) >= soundPowerDb(instrument, dynamic - 0.5), instrument.id);
    }
    assert(
      soundPowerDb(instrument, 7) > soundPowerDb(instrument, 2) || instrument.id === "harpsichord",
      instrument.id,
    );
    const two = soundPowerDb(instrument, 5, { players: 2 }) - soundPowerDb(instrument, 5);
    assert(Math.abs(two - 3.0103) < 1e-4, instrument.id);
  }
});

Deno.test("power goes smoothly from register to register: no step of a semitone changes it by more than 2 dB", () => {
  for (const instrument of allInstruments()) {
    const { low, high } = instrument.rangeExtreme;
    for (let pitch = low + 1; pitch <= high; pitch++) {
      const step = soundPowerDb(instrument, 5, { soundingPitch: pitch }) -
        soundPowerDb(instrument, 5, { soundingPitch: pitch - 1 });
      assert(Math.abs(step) <= 2, `${instrument.id} ${pitch}: ${step}`);
    }
  }
});

Deno.test("open strings lie within the range, the lowest at its bottom but for the bass's extension", () => {
  for (const instrument of allInstruments()) {
    const strings = stringsOf(instrument);
    if (strings.length === 0) continue;
    const bottom = instrument.id.endsWith("double bass") ? 24 : strings[0]!.openPitch;
    assertEquals(instrument.rangeExtreme.low, bottom, instrument.id);
  }
});

Deno.test("an unknown instrument is refused, with the nearest names", () => {
  assertThrows(() => instrumentById("violn"), InputError, "violin");
  assertThrows(() => instrumentById("Clarinet in H"), InputError, "clarinet in");
  assertThrows(() => instrumentById("horn in E"), InputError, "The nearest are horn in F");
});

Deno.test("orchestras name only instruments of the catalogue, each part once", () => {
  for (const name of ["symphony", "chamber", "strings", "studio", "school"]) {
    const parts = orchestra(name);
    assertEquals(new Set(parts.map((part) => part.name)).size, parts.length);
    for (const part of parts) {
      assert(part.players >= 1 && instrumentById(part.instrument).id === part.instrument);
    }
  }
  assertThrows(() => orchestra("jazz"), InputError, "symphony, chamber, strings, studio, school");
});

Deno.test("string sections never grow from the firsts down to the basses", () => {
  for (const row of sectionSizes()) {
    const sizes = [row.violins1, row.violins2, row.violas, row.cellos, row.doubleBasses];
    assertEquals(sizes, [...sizes].sort((a, b) => b - a), row.ensemble);
  }
});
