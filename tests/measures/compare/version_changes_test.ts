/** What is said of two versions of a few bars, worked out by hand. */
import { assertAlmostEquals, assertEquals } from "@std/assert";
import fc from "fast-check";
import { type Score, study, textureOf } from "ripieno";
import { compareVersions, type ScoreVersion } from "../../../lib/measures/compare/versions.ts";
import { type Line, type LineNote, smallScore } from "../small_scores.ts";

function versionOf(score: Score): ScoreVersion {
  const texture = textureOf(score);
  return { score, texture, study: study(score, { texture }) };
}
/** Five notes a bar in eighths, by letters for their pitches, none for a dash: `abcde fgh-j`. */
function notesOf(letters: string): readonly LineNote[] {
  return letters.split(" ").flatMap((bar, b) =>
    [...bar].flatMap((letter, i) =>
      letter === "-" ? [] : [{ at: 4 * b + 0.5 * i, quarters: 0.5, pitch: 50 + letter.charCodeAt(0) - 97 }]
    )
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
  versionOf(smallScore(lines, { bars: 1 + Math.floor(lines[0]!.notes.at(-1)!.at / 4) }));
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
  assertEquals(
    changes(`${same} fgh-- ${last}`, `${same} fxy-- vutsr ${last}`),
    ["changed 2-2 2-2", "inserted null-null 3-3"],
    "one of five is enough",
  );
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
  const first = (does: "pad" | "pulse") => version([viola(does, [0, 1, 2]), tune]);
  assertEquals(
    compareVersions(first("pad"), first("pulse")).map((r) => r.who),
    ["Viola: pulse: repeated eighths, before pad: held chord"],
    "of the first part too",
  );
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

Deno.test("bars that come or go at either end are told as such, what went before what came", () => {
  const [one, two, three] = ["abcde", "fghij", "klmno"];
  assertEquals(changes(`${one} ${two}`, `${one} ${two} ${three}`), ["inserted null-null 3-3"]);
  assertEquals(changes(`${one} ${two} ${three}`, `${one} ${two}`), ["removed 3-3 null-null"]);
  assertEquals(changes(`${two} ${three}`, `${one} ${two} ${three}`), ["inserted null-null 1-1"]);
  assertEquals(changes(`${one} ${two} ${three}`, three!), ["removed 1-2 null-null"]);
  assertEquals(changes(`${one} ${two} ${three}`, `${one} pqrst vwxyz uuuuu ${three}`), [
    "removed 2-2 null-null",
    "inserted null-null 2-4",
  ]);
});

Deno.test("whichever bars are taken out, they and no others are told, and put in again likewise", () => {
  // The second note is the same in all bars, less than a fifth of what is in two of them.
  const all = Array.from("abcdefgh", (letter) => `${letter}z${letter}${letter}${letter}`);
  const kept = fc.array(fc.boolean(), { minLength: all.length, maxLength: all.length })
    .filter((which) => which.includes(true) && which.includes(false));
  const whole = version([flute(all.join(" "))]);
  fc.assert(
    fc.property(kept, (which) => {
      const less = version([flute(all.filter((_, i) => which[i]).join(" "))]);
      const gone = (
        rows: ReturnType<typeof compareVersions>,
        from: "bar" | "newBar",
        to: "toBar" | "newToBar",
      ) =>
        rows.flatMap((r) => {
          const first = Number(r[from]);
          return Array.from({ length: Number(r[to]) - first + 1 }, (_, i) => first + i);
        });
      const expected = which.flatMap((isKept, i) => isKept ? [] : i + 1);
      const [taken, put] = [compareVersions(whole, less), compareVersions(less, whole)];
      assertEquals([gone(taken, "bar", "toBar"), gone(put, "newBar", "newToBar")], [expected, expected]);
      assertEquals(new Set(taken.map((r) => r.kind)), new Set(["removed"]));
      assertEquals(new Set(put.map((r) => r.kind)), new Set(["inserted"]));
    }),
    { seed: 7, numRuns: 12 },
  );
});

Deno.test("empty bars are alike, a note in one is a change; so are a hundredth of a dynamic, its length and its place", () => {
  const first = notesOf("abcde");
  const other = (...more: LineNote[]) =>
    versionOf(
      smallScore([{
        ...flute("abcde"),
        notes: [...first.map((n) => ({ ...n, pitch: n.pitch + 24 })), ...more],
      }], { bars: 3 }),
    );
  const note = { at: 4, quarters: 1, pitch: 74, dynamic: 5 };
  const bars = (a: ScoreVersion, b: ScoreVersion) => compareVersions(a, b).map((r) => r.bar);
  const [empty, one] = [other(), other(note)];
  assertEquals([bars(empty, other()), bars(empty, one), bars(one, empty)], [[], ["2"], ["2"]]);
  assertEquals(bars(one, other({ ...note, dynamic: 5.004 })), []);
  for (
    const change of [{ dynamic: 5.01 }, { quarters: 0.99 }, { at: 4.01 }, { pitch: 75 }, {
      technique: "pizzicato" as const,
    }]
  ) {
    assertEquals(bars(one, other({ ...note, ...change })), ["2"], JSON.stringify(change));
  }
  // The same on a finer grid of ticks is the same.
  const finer = (t: number) => 2 * t;
  const { score } = one;
  const fine = versionOf({
    ...score,
    ticksPerQuarter: finer(score.ticksPerQuarter),
    bars: score.bars.map((b) => ({
      ...b,
      startTicks: finer(b.startTicks),
      durationTicks: finer(b.durationTicks),
    })),
    notes: score.notes.map((n) => ({
      ...n,
      onsetTicks: finer(n.onsetTicks),
      durationTicks: finer(n.durationTicks),
    })),
  });
  assertEquals(compareVersions(one, fine), []);
});

Deno.test("six parts are named and the rest counted; hard places are those that begin in the bars", () => {
  const tune = flute("abcde fghij klmno");
  const names = Array.from("ABCDEFGH", (letter) => `Viola ${letter}`);
  const of = (does: "pad" | "pulse") => version([tune, ...names.map((name) => viola(does, [0, 1, 2], name))]);
  const [row] = compareVersions(of("pad"), of("pulse"));
  const said = "Viola A, Viola B, Viola C, Viola D, Viola E, Viola F and 2 more";
  assertEquals([row!.parts, row!.who], [said, `${said}: pulse: repeated eighths, before pad: held chord`]);
  // They stand as in the score, whoever changes first.
  const late: Line = { ...viola("pad", [0, 1, 2], "Viola I"), notes: [{ at: 2, quarters: 2, pitch: 57 }] };
  const early: Line = { ...viola("pad", [0, 1, 2], "Viola II"), notes: [{ at: 0, quarters: 2, pitch: 55 }] };
  const moved = (by: number) =>
    version([
      tune,
      ...[late, early].map((l) => ({ ...l, notes: l.notes.map((n) => ({ ...n, pitch: n.pitch + by })) })),
    ]);
  assertEquals(compareVersions(moved(0), moved(1))[0]!.parts, "Viola I and Viola II");
  // Capitals are 32 steps lower, where no flute plays.
  const hardIn = (before: string, after: string) =>
    compareVersions(version([flute(before)]), version([flute(after)]))
      .map((r) => [r.bar, r.hardPlaces, r.newHardPlaces]);
  assertEquals(hardIn("abcde fghij klmno", "abcde fGhij klmno"), [["2", 0, 1]]);
  assertEquals(hardIn("abcde fGhij klmno", "abcde fghij klmno"), [["2", 1, 0]]);
  assertEquals(hardIn("Abcde fghij klmno", "Abcde fghij klmnp"), [["3", 0, 0]]);
});

Deno.test("shares of the lead and freshness are means over the bars that have them", () => {
  const nobody = (does: "pad" | "pulse") => versionOf(smallScore([viola(does, [0, 1])]));
  const [row] = compareVersions(nobody("pad"), nobody("pulse"));
  assertEquals([row!.audibleShare, row!.newAudibleShare], [null, null]);
  const [before, after] = ["abcde fghij klmno", "abcde pqrst"].map((l) =>
    version([flute(l), viola("pad", [0, 1])])
  );
  const rows = compareVersions(before!, after!);
  for (const r of rows) {
    const mean = (
      { study }: ScoreVersion,
      from: string | null,
      to: string | null,
      what: (b: number) => number,
    ) => {
      if (from === null) return null;
      const bars = study.momentum.perBar.filter((b) =>
        Number(b.bar) >= Number(from) && Number(b.bar) <= Number(to)
      );
      return bars.reduce((sum, b) => sum + what(b.barIndex), 0) / bars.length;
    };
    const share = (v: ScoreVersion) => (b: number) => v.study.balance.perBar[b]!.audibleShare!;
    const fresh = (v: ScoreVersion) => (b: number) => v.study.freshness.perBar[b]!.freshness;
    assertEquals(r.audibleShare, mean(before!, r.bar, r.toBar, share(before!)));
    assertEquals(r.newAudibleShare, mean(after!, r.newBar, r.newToBar, share(after!)));
    assertEquals(r.freshness, mean(before!, r.bar, r.toBar, fresh(before!)));
    assertEquals(r.newFreshness, mean(after!, r.newBar, r.newToBar, fresh(after!)));
    assertEquals([r.momentum === null, r.newMomentum === null], [r.bar === null, r.newBar === null]);
  }
});
