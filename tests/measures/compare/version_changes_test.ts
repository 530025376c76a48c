/** What is said of two versions of a few bars, worked out by hand. */
import { assertAlmostEquals, assertEquals } from "@std/assert";
import { type Score, study, textureOf } from "ripieno";
import { compareVersions, type ScoreVersion } from "../../../lib/measures/compare/versions.ts";
import { type Line, type LineNote, smallScore } from "../small_scores.ts";

function versionOf(score: Score): ScoreVersion {
  const texture = textureOf(score);
  return { score, texture, study: study(score, { texture }) };
}
/** Five notes a bar in fifths of it, by letters for their pitches: `abcde fghij`. */
function notesOf(letters: string): readonly LineNote[] {
  return letters.split(" ").flatMap((bar, b) =>
    [...bar].map((letter, i) => ({
      at: 4 * b + 0.5 * i,
      quarters: 0.5,
      pitch: 50 + letter.charCodeAt(0) - 97,
    }))
  );
}
const flute = (letters: string): Line => ({
  instrument: "flute",
  name: "Flute",
  role: "lead",
  layer: "lead",
  notes: notesOf(letters).map((n) => ({ ...n, pitch: n.pitch + 24 })),
});
const version = (lines: readonly Line[]) =>
  versionOf(smallScore(lines, { bars: lines[0]!.notes.length / 5 }));
const changes = (before: string, after: string) =>
  compareVersions(version([flute(before)]), version([flute(after)])).map((r) =>
    `${r.kind} ${r.bar}-${r.toBar} ${r.newBar}-${r.newToBar}`
  );

Deno.test("bars are matched where a fifth of all notes of both is the same, otherwise one went and one came", () => {
  const [same, last] = ["abcde", "klmno"];
  // One note more in the middle bar than is there: of its five two are left, two of eight in all, or one of nine.
  assertEquals(changes(`${same} fghij ${last}`, `${same} fgxyz vutsr ${last}`), [
    "changed 2-2 2-2",
    "inserted null-null 3-3",
  ]);
  const kinds = changes(`${same} fghij ${last}`, `${same} fwxyz vutsr ${last}`).map((c) => c.split(" ")[0]);
  assertEquals(kinds.toSorted(), ["inserted", "removed"]);
  // As many bars in both: what is in one place is one bar, however much of it changed.
  assertEquals(changes(`${same} fghij ${last}`, `${same} vutsr ${last}`), ["changed 2-2 2-2"]);
  assertEquals(changes(`${same} ${last}`, `${same} fghij ${last}`), ["inserted null-null 2-2"]);
  assertEquals(changes(`${same} fghij pqrst ${last}`, `${same} ${last}`), ["removed 2-3 null-null"]);
  assertEquals(changes(`${same} ${last} fghij`, `${same} ${last} pqrst`), ["changed 3-3 3-3"]);
  // Two stretches of one kind with the same bar between are two rows.
  assertEquals(changes(`fghij ${same} ${last}`, `pqrst ${same} vutsr`), [
    "changed 1-1 1-1",
    "changed 3-3 3-3",
  ]);
});

const viola = (does: "pad" | "pulse", bars: readonly number[], name = "Viola"): Line => ({
  instrument: "viola",
  name,
  role: does,
  figure: does === "pad" ? "held chord" : "repeated eighths",
  layer: does,
  notes: bars.flatMap((b): readonly LineNote[] =>
    does === "pad"
      ? [{ at: 4 * b, quarters: 4, pitch: 55 }]
      : Array.from({ length: 8 }, (_, i) => ({ at: 4 * b + i / 2, quarters: 0.5, pitch: 55 }))
  ),
});

Deno.test("who does what else is told of most of the bars, and of who came or went", () => {
  const tune = flute("abcde fghij klmno");
  const who = (before: readonly Line[], after: readonly Line[]) =>
    compareVersions(version([tune, ...before]), version([tune, ...after])).map((r) => [r.parts, r.who]);
  assertEquals(who([viola("pad", [0, 1, 2])], [viola("pulse", [0, 1, 2])]), [
    ["Viola", "Viola: pulse: repeated eighths, before pad: held chord"],
  ]);
  // Of three bars it plays in two, and rests in the third.
  assertEquals(who([viola("pad", [0, 1, 2])], [viola("pulse", [0, 1])]), [
    ["Viola", "Viola: pulse: repeated eighths, before pad: held chord"],
  ]);
  assertEquals(
    who([viola("pad", [0, 1, 2])], [viola("pulse", [1, 2])])[0]![1],
    "Viola: pulse: repeated eighths, before pad: held chord",
  );
  assertEquals(who([viola("pad", [0, 1, 2])], [viola("pulse", [1])]), [[
    "Viola",
    "Viola: rest, before pad: held chord",
  ]]);
  assertEquals(who([], [viola("pad", [0, 1, 2])]), [["Viola", "Viola: pad: held chord, before not there"]]);
  const both = ["Viola", "Cello"].map((name) => viola("pad", [0, 1, 2], name));
  assertEquals(who(both, both.map((l) => viola("pulse", [0, 1, 2], l.name!))), [
    ["Viola and Cello", "Viola and Cello: pulse: repeated eighths, before pad: held chord"],
  ]);
});

Deno.test("measures are means over the bars of the stretch in each version", () => {
  const [before, after] = [version([flute("abcde fghij klmno")]), version([flute("abcde pqrst vutsr")])];
  const [row] = compareVersions(before, after);
  const mean = ({ study }: ScoreVersion) =>
    (study.momentum.perBar[1]!.momentum + study.momentum.perBar[2]!.momentum) / 2;
  assertAlmostEquals(row!.momentum!, mean(before), 1e-12);
  assertAlmostEquals(row!.newMomentum!, mean(after), 1e-12);
  const hard = ({ study }: ScoreVersion) =>
    study.playability.findings.filter((f) =>
      f.fromBarIndex > 0 && ["impossible", "risky"].includes(f.severity)
    ).length;
  assertEquals([row!.hardPlaces, row!.newHardPlaces], [hard(before), hard(after)]);
});
