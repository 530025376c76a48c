/** The same read alike, and what goes on: against the sum over all ways through the bars, and by hand. */
import { assertAlmostEquals, assertEquals } from "@std/assert";
import type { Evidence } from "../../lib/texture/clues/evidence.ts";
import { readAlike } from "../../lib/texture/judge/read_alike.ts";
import { logShares } from "../../lib/texture/judge/weights.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { random } from "../setup/random.ts";
import { example } from "./examples.ts";

/** What is known of some cells: who sounds, what comes back, how far rhythm and pitches are those of the bar before. */
function evidence(
  parts: number,
  { sounds, twoBars, before }: {
    readonly sounds: readonly boolean[];
    /** Which two bars of music begin in each cell; -1 for none. */
    readonly twoBars?: readonly number[];
    readonly before?: readonly number[];
  },
): Evidence {
  const none = Int32Array.from(sounds, () => -1);
  const asBefore = Float64Array.from(before ?? sounds.map(() => 0));
  return {
    scene: { parts, sounds, companions: { rhythmAsBefore: asBefore, pitchesAsBefore: asBefore } },
    patterns: { contour: none, twoBars: twoBars ? Int32Array.from(twoBars) : none, rhythm: none },
  } as unknown as Evidence;
}

const rowsFrom = (next: () => number, count: number, kinds: number) =>
  Array.from(
    { length: count },
    () => Float64Array.from(logShares(Array.from({ length: kinds }, () => 4 * next() - 2))),
  );

Deno.test("what goes on is as likely as all ways through the bars say, where a change costs", () => {
  const next = random(5);
  const [kinds, bars] = [3, 4];
  for (let round = 0; round < 20; round++) {
    const rows = rowsFrom(next, bars, kinds);
    const before = rows.map(() => next());
    const read = readAlike(rows, evidence(1, { sounds: rows.map(() => true), before }));
    let ways: { readonly kinds: readonly number[]; readonly log: number }[] = [{ kinds: [], log: 0 }];
    rows.forEach((row, b) => {
      ways = ways.flatMap((way) =>
        Array.from(row, (x, k) => {
          const costs = b > 0 && way.kinds.at(-1) !== k ? 0.3 + 0.8 * before[b]! : 0;
          return { kinds: [...way.kinds, k], log: way.log + x - costs };
        })
      );
    });
    const all = ways.reduce((sum, { log }) => sum + Math.exp(log), 0);
    read.forEach((row, b) =>
      row.forEach((x, k) => {
        const own = ways.filter((way) => way.kinds[b] === k).reduce((sum, { log }) => sum + Math.exp(log), 0);
        assertAlmostEquals(Math.exp(x), own / all, 1e-9);
      })
    );
  }
});

Deno.test("where the same comes back odds meet half way, and silence parts what is read", () => {
  const next = random(6);
  const [first, silent, third] = rowsFrom(next, 3, 5) as [Float64Array, Float64Array, Float64Array];
  const sounds = [true, false, true];
  const read = (twoBars: readonly number[]) =>
    readAlike([first, silent, third], evidence(1, { sounds, twoBars }));
  const apart = (rows: readonly Float64Array[]) =>
    (rows[0]![0]! - rows[0]![1]!) - (rows[2]![0]! - rows[2]![1]!);
  const different = read([0, -1, 1]);
  different[0]!.forEach((x, k) => assertAlmostEquals(x, first[k]!, 1e-12));
  assertAlmostEquals(apart(read([0, -1, 0])), apart(different) / 2, 1e-12);
  assertEquals(readAlike([], evidence(0, { sounds: [] })), []);
});

Deno.test("to and fro between two neighbouring tones is an alternation and no scale, however long it goes on", () => {
  const score = example([
    ["flute", "(C6:3/2 D6:1/2 E6:1 G6:1 F6:2 D6:1 B5:1)x4"],
    ["violin", "(F4:1/2 G4:1/2)x32"],
    ["cello", "C3:4 G2:4 C3:4 G2:4 C3:4 G2:4 C3:4 G2:4"],
  ]);
  const roles = recognise(score).cells.filter((c) => c.part === 1).map((c) => `${c.role}: ${c.figure}`);
  assertEquals(new Set(roles), new Set(["figuration: alternation in eighths"]));
});
