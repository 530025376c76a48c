import { assertEquals, assertStringIncludes } from "@std/assert";
import { instrumentById, pitchOf } from "ripieno";
import { stopOn } from "ripieno/instruments";
import type { Score } from "ripieno";
import type { Playing } from "ripieno/score";
import { chord, findingsOf, type FindingsOptions, rulesOf } from "../findings_of.ts";
import { type LineNote, TICKS_PER_QUARTER } from "../small_scores.ts";

const pitches = (names: string) => names.split(" ").map((name) => pitchOf(name)!);
const at = (id: string, names: string, more: Partial<LineNote> & FindingsOptions = {}) => {
  const { players = 1, ...rest } = more;
  return rulesOf(findingsOf(id, chord(pitches(names), rest), { players }));
};

Deno.test("playability() stops: one player cannot stop two notes of one string, a section divides them", () => {
  assertEquals(at("violin", "G3 D4"), []);
  const [finding] = findingsOf("violin", chord(pitches("G3 A3")));
  assertEquals([finding!.severity, finding!.rule], ["impossible", "stops"]);
  assertStringIncludes(finding!.what, "do not lie on neighbouring strings");
  assertEquals(at("violin", "G3 A3", { players: 12 }), []);
  assertEquals(at("solo violin", "G3 A3"), ["impossible stops"]);
});

Deno.test("playability() stops: the hand's span binds, on the catalogue's own figures", () => {
  // Double bass: the hand spans a tone. E2 and C#3 lie on neighbouring strings, a third and more apart for it.
  const wide = pitches("E2 C#3");
  assertEquals(stopOn(instrumentById("double bass"), wide).possible, false);
  const [finding, ...more] = findingsOf("double bass", chord(wide));
  assertEquals(rulesOf([finding!, ...more]), ["impossible stops"]);
  // E2 is the seventh semitone of the A string, C#3 the eleventh of the D string.
  assertStringIncludes(
    finding!.what,
    "E2, C#3 together: the fingers would stand 4 semitones apart on the strings, and the hand spans 2",
  );
  assertEquals(at("double bass", "A1 D2"), []);
});

Deno.test("playability() stops: three notes are rolled, so a long triple stop is noted, a short or plucked one not", () => {
  assertEquals(at("violin", "G3 D4 B4"), ["note stops"]);
  assertEquals(at("violin", "G3 D4 B4", { quarters: 0.25 }), []);
  assertEquals(at("violin", "G3 D4 B4", { technique: "pizzicato" }), []);
  assertEquals(at("guitar", "E2 B2 E3 G#3 B3 E4"), []);
  assertEquals(at("guitar", "E2 F2"), ["impossible stops"]);
});

Deno.test("playability() stops: a section that is told not to divide stops as one player does", () => {
  const playing: readonly Playing[] = [{ fromTicks: 0, kind: "unison", words: "non div." }];
  const changed = (score: Score): Score => ({ ...score, parts: score.parts.map((p) => ({ ...p, playing })) });
  const asked = (names: string) =>
    rulesOf(findingsOf("violin", chord(pitches(names)), { players: 12, changed }));
  assertEquals(asked("G3 A3"), ["impossible stops"]);
  assertEquals(asked("B3 G4"), []);
});

Deno.test("playability() divisi: a section has two players to a line, and is told when it has not", () => {
  assertEquals(at("viola", "C4 E4 G4 B4", { players: 8 }), []);
  assertEquals(at("viola", "C4 E4 G4 B4 D5", { players: 8 }), ["note notes at once"]);
  assertEquals(at("viola", "C4 E4 G4 B4", { players: 7 }), ["note notes at once"]);
});

Deno.test("playability() a2: two flutes share a line in thirds, one does not; the same note twice is one", () => {
  assertEquals(at("flute", "C5 E5", { players: 2 }), []);
  assertEquals(at("flute", "C5 E5"), ["note notes at once"]);
  assertEquals(at("flute", "C5 C5"), []);
  assertEquals(at("soprano", "C5 E5 G5", { players: 2 }), ["note notes at once"]);
});

Deno.test("playability() hands: ten notes within two hands pass, one hand over more than a tenth does not", () => {
  assertEquals(at("piano", "C3 E3 G3 C4 E4 G4 C5 E5"), []);
  assertEquals(at("piano", "C2 C3 C5 C6"), []);
  const [finding] = findingsOf("piano", chord(pitches("C2 C4 C6")));
  assertEquals([finding!.severity, finding!.rule, finding!.figure, finding!.limit], [
    "note",
    "hands",
    24,
    16,
  ]);
  assertStringIncludes(finding!.remedy, "arpeggio");
  assertEquals(
    rulesOf(findingsOf("piano", chord(Array.from({ length: 11 }, (_, i) => 60 + i)))),
    ["risky hands"],
  );
  assertEquals(at("organ", "C2 C4 C6"), []);
});

Deno.test("playability() hands: a harpist has four fingers a hand, four mallets reach about a ninth a hand", () => {
  assertEquals(at("harp", "C3 E3 G3 C4 E4 G4 C5 E5"), []);
  assertEquals(at("harp", "C3 E3 G3 B3 C4 E4 G4 B4 C5"), ["risky hands"]);
  assertEquals(at("marimba", "C3 C4 E4 C5"), []);
  assertEquals(at("marimba", "C3 C5 E5 C6"), ["note hands"]);
  assertEquals(at("marimba", "C3 E3 G3 B3 C4"), ["risky hands"]);
  assertEquals(at("timpani", "C3 G2"), []);
  assertEquals(at("timpani", "C3 G2 E3"), ["note notes at once"]);
});

Deno.test("playability() follows the words over the stave: a 2, div. and solo change what can sound at once", () => {
  const third = [0, 8].flatMap((at) => pitches("C5 E5").map((pitch) => ({ at, quarters: 1, pitch })));
  const said = (id: string, players: number, playing: readonly Playing[], notes = third, name = "Flutes") =>
    findingsOf(id, notes, {
      players,
      changed: (s) => ({ ...s, parts: s.parts.map((part) => ({ ...part, playing, name })) }),
    }).map((f) => [f.rule, f.bar]);
  const from = (bar: number, kind: Playing["kind"], count?: number): Playing => ({
    fromTicks: bar * 4 * TICKS_PER_QUARTER,
    kind,
    words: kind,
    ...(count === undefined ? {} : { count }),
  });
  assertEquals(said("flute", 1, []), [["notes at once", "1"]]);
  assertEquals(said("flute", 1, [from(0, "unison", 2)]), []);
  assertEquals(said("flute", 1, [from(0, "unison", 2)], third, "Flute 1"), [["notes at once", "1"]]);
  assertEquals(said("flute", 1, [from(0, "unison", 2), from(2, "solo")]), [["notes at once", "3"]]);
  assertEquals(said("flute", 1, [from(0, "solo"), from(2, "divided")]), [["notes at once", "1"]]);
  // G3 and A3 lie on one string: the section divides them, its leader cannot stop them.
  const second = [0, 8].flatMap((at) => pitches("G3 A3").map((pitch) => ({ at, quarters: 1, pitch })));
  assertEquals(said("violin", 12, [from(2, "solo")], second), [["stops", "3"]]);
  assertEquals(said("violin", 12, [from(2, "solo"), from(2, "all")], second), []);
  // I. and II. beside each other name the halves of the section, I. alone one player.
  const named = ["I.", "II."].map((words) => ({ ...from(2, "solo", 1), words }));
  assertEquals(said("violin", 12, named.slice(0, 1), second), [["stops", "3"]]);
  assertEquals(said("violin", 12, named, second), []);
});

Deno.test("playability() hands: a chord marked to be broken may be as wide as it likes", () => {
  const wide = chord(pitches("C2 C4 C6"));
  assertEquals(rulesOf(findingsOf("piano", wide)), ["note hands"]);
  assertEquals(findingsOf("piano", wide.map((n) => ({ ...n, signs: ["arpeggiate" as const] }))), []);
});
