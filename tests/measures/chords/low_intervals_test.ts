import { assert, assertAlmostEquals, assertEquals, assertStringIncludes, assertThrows } from "@std/assert";
import { balance, type Note, pitchOf, soundWarnings } from "ripieno";
import { lowIntervals } from "ripieno/measures";
import { lowIntervalLimit } from "ripieno/score";
import { type Line, smallScore } from "../small_scores.ts";

/** Two parts that hold a note each for two bars at 120. */
function pair(low: number, high: number, quarters = 8): readonly Line[] {
  return [["cello", low], ["bassoon", high]].map(([instrument, pitch]): Line => ({
    instrument: String(instrument),
    role: "pad",
    notes: [{ at: 0, quarters, pitch: Number(pitch) }],
  }));
}

Deno.test("lowIntervals() finds every interval of the table one semitone below its limit, and none at it", () => {
  for (const table of ["glossary", "classroom"] as const) {
    for (let semitones = 1; semitones <= 11; semitones++) {
      const limit = lowIntervalLimit(semitones, table);
      const at = (low: number) => lowIntervals(smallScore(pair(low, low + semitones)), { table });
      const [row] = at(limit - 1);
      assertEquals([row?.semitones, row?.below, row?.lowerPitch], [semitones, 1, limit - 1], `${semitones}`);
      assertEquals(at(limit), []);
    }
  }
  assertEquals(lowIntervals(smallScore(pair(28, 40))), []);
});

Deno.test("lowIntervals() names parts, place and interval, and how long it stands", () => {
  const [row, ...more] = lowIntervals(smallScore(pair(40, 43)));
  assertEquals(more, []);
  assertEquals(
    [row!.lowerPart, row!.upperPart, row!.interval, row!.bar, row!.beat, row!.fromBarIndex, row!.toBarIndex],
    ["cello 1", "bassoon 2", "minor third E2–G2", "1", 1, 0, 1],
  );
  assertAlmostEquals(row!.seconds, 4, 1e-9);
});

Deno.test("lowIntervals() looks at neighbours only, and lets short touches and drums pass", () => {
  const [low, high] = pair(36, 40);
  const between: Line = { ...high!, instrument: "double bass", notes: [{ at: 0, quarters: 8, pitch: 38 }] };
  const rows = lowIntervals(smallScore([low!, high!, between]));
  assertEquals(rows.map((r) => r.semitones), [2, 2]);
  assertEquals(lowIntervals(smallScore(pair(40, 43, 0.5))), []);
  const drum: Line = { ...low!, instrument: "timpani", notes: [{ at: 0, quarters: 8, pitch: 41 }] };
  assertEquals(
    lowIntervals(smallScore([drum, { ...high!, notes: [{ at: 0, quarters: 8, pitch: 43 }] }])),
    [],
  );
});

Deno.test("lowIntervals() joins places of the same parts, and does not depend on the order of the parts", () => {
  const again = (line: Line): Line => ({
    ...line,
    notes: [0, 4].map((at) => ({ ...line.notes[0]!, at, quarters: 2 })),
  });
  const lines = pair(40, 43).map(again);
  const [row, ...more] = lowIntervals(smallScore(lines));
  assertEquals([row!.places, more.length], [2, 0]);
  const turned = lowIntervals(smallScore(lines.toReversed()));
  assertEquals(turned.map((r) => [r.interval, r.seconds]), [[row!.interval, row!.seconds]]);
  assertThrows(() => lowIntervals(smallScore(lines), { toBarIndex: 2 }), Error, "0 to 1");
});

Deno.test("soundWarnings() name a low interval with a way out that opens it", () => {
  const score = smallScore(pair(40, 43));
  const [warning] = soundWarnings(score, balance(score)).filter((w) => w.kind === "low interval");
  assertEquals([warning!.figure, warning!.limit], [40, 48]);
  assert(warning!.remedy.includes("bassoon 2 an octave up (G3)"), warning!.remedy);
  const opened = smallScore(pair(40, 55));
  assertEquals(lowIntervals(opened), []);
});

Deno.test("lowIntervals() names notes and interval as the file spells them, and warnings do too", () => {
  const spelt = (low: string, high: string): readonly Line[] => {
    const noteOf = (name: string): Partial<Note> => ({
      soundingPitch: pitchOf(name)!,
      spelling: {
        step: name[0]!,
        alter: name.includes("#") ? 1 : name.includes("b") ? -1 : 0,
        octave: Number(name.at(-1)),
      },
    });
    return pair(pitchOf(low)!, pitchOf(high)!).map((line, i) => ({
      ...line,
      notes: line.notes.map((n) => ({ ...n, ...noteOf(i === 0 ? low : high) })),
    }));
  };
  const interval = (low: string, high: string) => lowIntervals(smallScore(spelt(low, high)))[0]!.interval;
  assertEquals(interval("E2", "G#2"), "major third E2–G#2");
  assertEquals(interval("Bb1", "Db2"), "minor third Bb1–Db2");
  assertEquals(interval("Bb1", "C#2"), "augmented second Bb1–C#2");
  assertEquals(interval("G1", "C#2"), "tritone G1–C#2");
  const score = smallScore(spelt("E2", "G#2"));
  const [warning] = soundWarnings(score, balance(score));
  assertStringIncludes(warning!.what, "a major third E2–G#2");
  assertStringIncludes(warning!.remedy, "G#3");
});
