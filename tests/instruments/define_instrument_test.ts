import { assert, assertEquals, assertThrows } from "@std/assert";
import { allInstruments, findInstrument, InputError, instrumentById } from "ripieno";
import {
  breathSeconds,
  defineInstrument,
  readInstruments,
  repeatedNoteLimit,
  soundPowerDb,
} from "ripieno/instruments";

Deno.test("a defined instrument is found by id and name, and takes its figures from the one it is like", () => {
  const bombarde = defineInstrument({
    id: "bombarde",
    like: "oboe",
    names: ["Talabard"],
    rangeExtreme: { low: 70, high: 94 },
  });
  assertEquals(instrumentById("bombarde"), bombarde);
  assert(allInstruments().includes(bombarde));
  assertEquals(findInstrument({ names: ["Talabard 1"] }).instrument, bombarde);
  const oboe = instrumentById("oboe");
  assertEquals(repeatedNoteLimit(bombarde)?.burstPerSecond, repeatedNoteLimit(oboe)?.burstPerSecond);
  assertEquals(breathSeconds(bombarde, 4), breathSeconds(oboe, 4));
  assertEquals(soundPowerDb(bombarde, 6), soundPowerDb(oboe, 6));
});

Deno.test("defining again replaces, and look-ups follow", () => {
  defineInstrument({ id: "drone pipe", like: "clarinet in Bb", names: ["Drone"] });
  const second = defineInstrument({ id: "drone pipe", like: "bassoon", names: ["Drone"] });
  assertEquals(findInstrument({ names: ["Drone"] }).instrument, second);
  assertEquals(allInstruments().filter((each) => each.id === "drone pipe").length, 1);
});

Deno.test("impossible definitions are refused in words", () => {
  const like = "flute";
  assertThrows(() => defineInstrument({ id: "flute", like }), InputError, "in the catalogue already");
  assertThrows(() => defineInstrument({ id: "x", like: "flutte" }), InputError, "flute");
  assertThrows(
    () => defineInstrument({ id: "x", like, rangeExtreme: { low: 80, high: 60 } }),
    InputError,
    "range",
  );
  assertThrows(
    () => defineInstrument({ id: "x", like, rangeExtreme: { low: NaN, high: 60 } }),
    InputError,
    "NaN",
  );
  assertThrows(() => defineInstrument({ id: "x", like, sectionPlayers: 0 }), InputError, "players 0");
  assertThrows(
    () => defineInstrument({ id: "x", like, rangeComfortable: { low: 10, high: 90 } }),
    InputError,
    "beyond",
  );
  assertThrows(() => defineInstrument({ id: " ", like }), InputError, "no name");
});

Deno.test("a table of one's own is refused by row and column", () => {
  const read = (text: string) => readInstruments(text, { file: "mine.csv" });
  assertThrows(() => read("instrument,like\na,flute\nb,fluet"), InputError, "(mine.csv, row 3, column like)");
  assertThrows(
    () => read("instrument,like,section_players\na,flute,many"),
    InputError,
    "(mine.csv, row 2, column section_players)",
  );
  assertThrows(
    () => read("instrument,like,extreme_low_sounding\na,flute,C9"),
    InputError,
    "(mine.csv, row 2, column extreme_low_sounding)",
  );
  assertThrows(() => read("instrument,like,colour\na,flute,red"), InputError, "row 1, column colour");
  assertThrows(() => read("instrument\na"), InputError, `"like" is missing`);
});

Deno.test("a table of one's own is read, blanks meaning as the other instrument", () => {
  const [strings] = readInstruments(
    "instrument,like,names,section_players,midi_program_from_0\nstring synth,violin,Syn. Str.; Synthi,1,50\n",
  );
  assertEquals([strings?.sectionPlayers, strings?.midiProgram, strings?.rangeExtreme.low], [1, 50, 55]);
  assertEquals(findInstrument({ names: ["Synthi"] }).instrument, strings);
});
