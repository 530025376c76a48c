/** What a teacher of harmony would mark: found where it stands, and nothing else. */
import { assert, assertEquals, assertGreater, assertLess } from "@std/assert";
import { voiceLeading, type VoiceLeadingRow } from "ripieno/measures";
import type { ChordSymbol, Score } from "ripieno/score";
import { padSetting } from "../../setup/pad_settings.ts";
import { addCraftCounts, noCounts } from "../../setup/craft_counts.ts";
import { type Line, smallScore } from "../small_scores.ts";

/** Held chords in quarters, each part's pitches one after another, four quarters each, over a bass. */
function held(
  voices: readonly (readonly number[])[],
  bass: readonly number[],
  symbols: readonly string[],
): Score {
  const line = (instrument: string, role: Line["role"], pitches: readonly number[]): Line => ({
    instrument,
    layer: role,
    role,
    notes: pitches.map((pitch, i) => ({ at: 4 * i, quarters: 4, pitch })),
  });
  const score = smallScore(
    [...voices.map((v) => line("horn in F", "pad", v)), line("double bass", "bass", bass)],
    { bars: bass.length },
  );
  const chords = symbols.map((symbol, i): ChordSymbol => ({ onsetTicks: score.bars[i]!.startTicks, symbol }));
  return { ...score, chords };
}

const kinds = (rows: readonly VoiceLeadingRow[]) => rows.map((r) => `${r.bar} ${r.kind}`).sort();

Deno.test("voiceLeading() finds nothing in a cadence as it is taught", () => {
  const score = held([[67, 65, 64], [64, 62, 60], [60, 59, 60]], [48, 43, 48], ["C", "G7", "C"]);
  assertEquals(kinds(voiceLeading(score)), []);
});

Deno.test("voiceLeading() finds fifths and octaves in parallel, within a choir and with the bass", () => {
  const fifths = held([[67, 69, 67], [60, 62, 60], [52, 53, 52]], [36, 38, 36], ["C", "Dm", "C"]);
  const rows = voiceLeading(fifths);
  assert(rows.some((r) => r.kind === "parallel fifths" && r.places === 2), JSON.stringify(rows));
  const contrary = held([[67, 65, 67], [60, 62, 60], [52, 57, 52]], [36, 38, 36], ["C", "Dm", "C"]);
  assertEquals(voiceLeading(contrary).filter((r) => r.kind === "parallel fifths"), []);
});

Deno.test("voiceLeading() finds holes and says how wide they are", () => {
  const score = held([[79, 79], [76, 76], [72, 72]], [36, 36], ["C", "C"]);
  const [row] = voiceLeading(score);
  assertEquals([row!.kind, row!.semitones, row!.places], ["hole", 36, 2]);
  assertEquals(row!.what, "nothing between C2 and C5, 36 semitones");
  const close = voiceLeading(score, { constants: { overBassSemitones: 40 } });
  assertEquals(close, []);
});

Deno.test("voiceLeading() finds doubled and dangling leading notes and sevenths, and chords without a third", () => {
  const doubled = held([[71, 72], [65, 64], [59, 60]], [43, 48], ["G7", "C"]);
  assert(kinds(voiceLeading(doubled)).includes("1 doubled leading note"));
  const left = held([[71, 67], [65, 67], [62, 60]], [43, 48], ["G7", "C"]);
  assertEquals(kinds(voiceLeading(left)).filter((k) => k.endsWith("left")), [
    "2 leading note left",
    "2 seventh left",
  ]);
  const bare = held([[67, 67], [60, 60], [55, 55]], [48, 48], ["C", "C"]);
  assert(kinds(voiceLeading(bare)).includes("1 no third"));
});

Deno.test("voiceLeading() marks the same in all twelve keys, and in chords a fourth and an octave away", () => {
  const NAMES = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
  const kindsIn = (
    by: number,
    voices: readonly (readonly number[])[],
    bass: readonly number[],
    symbols: readonly (readonly [number, string])[],
  ) =>
    kinds(voiceLeading(held(
      voices.map((v) => v.map((pitch) => pitch + by)),
      bass.map((pitch) => pitch + by),
      symbols.map(([root, kind]) => `${NAMES[(root + by) % 12]}${kind}`),
    )));
  for (let by = 0; by < 12; by++) {
    // A dominant seventh that is led as taught, one whose tendencies are left, chords without their third, and minor.
    assertEquals(kindsIn(by, [[65, 64], [62, 60], [59, 60]], [43, 48], [[7, "7"], [0, ""]]), [], `by ${by}`);
    assertEquals(
      kindsIn(by, [[71, 67], [65, 67], [62, 60]], [43, 48], [[7, "7"], [0, ""]]).filter((k) =>
        k.endsWith("left")
      ),
      ["2 leading note left", "2 seventh left"],
    );
    for (const kind of ["", "m"]) {
      assertEquals(kindsIn(by, [[67], [60], [55]], [48], [[0, kind]]).filter((k) => k.endsWith("third")), [
        "1 no third",
      ]);
    }
    assertEquals(kindsIn(by, [[67], [60], [55]], [48], [[0, "sus4"]]).filter((k) => k.endsWith("third")), []);
  }
});

Deno.test("voiceLeading() marks what an independent count finds in settings, and sorts by weight", () => {
  let places = 0;
  const counts = noCounts();
  for (let seed = 300; seed < 400; seed++) {
    const { score, sketch } = padSetting(seed);
    const rows = voiceLeading(score);
    rows.forEach((r, i) => {
      assertGreater(r.weight, 0);
      assertGreater(r.places, 0);
      if (i > 0) assert(r.weight <= rows[i - 1]!.weight);
    });
    places += rows.filter((r) => r.kind.endsWith("left")).reduce((sum, r) => sum + r.places, 0);
    addCraftCounts(counts, score, sketch);
  }
  assertGreater(places, 0.5 * counts.dangling);
  assertLess(places, 2 * counts.dangling + 5);
});

Deno.test("voiceLeading() gives rows for scores without symbols and without pads", () => {
  const score = held([[67, 69], [60, 62], [55, 57]], [48, 50], ["C", "Dm"]);
  assert(
    voiceLeading({ ...score, chords: [] }).every((r) => r.kind.startsWith("parallel") || r.kind === "hole"),
  );
  const alone = smallScore([{
    instrument: "flute",
    role: "lead",
    notes: [{ at: 0, quarters: 4, pitch: 72 }],
  }], { bars: 1 });
  assertEquals(voiceLeading(alone), []);
});
