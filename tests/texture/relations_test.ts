/** Which parts do the same, on short examples an orchestrator would agree on (common practice, no source). */
import { assert, assertEquals, assertGreater, assertLess } from "@std/assert";
import {
  type PartRelation,
  relationOf,
  relationsOf,
  relationSpans,
} from "../../lib/texture/recognise/relations.ts";
import { cellFeatures } from "../../lib/texture/features/features.ts";
import { demoScore } from "../../lib/demo.ts";
import { example, type PartText } from "./examples.ts";

const TUNE = "A5:3/2 G5:1/2 F5:1 D6:1 C6:3/2 A5:1/2 G5:1 E5:1";
const lower = (music: string, octaves: number) =>
  music.replaceAll(
    /([A-G]#?)(\d)/g,
    (_, step: string, octave: string) => `${step}${Number(octave) - octaves}`,
  );

/** How the second part stands to the first in the first bar. */
function second(a: PartText, b: PartText): Omit<PartRelation, "barIndex" | "parts" | "likeness"> | undefined {
  const found = relationsOf(example([a, b])).find((d) => d.barIndex === 0);
  return found && { relation: found.relation, semitones: found.semitones };
}

Deno.test("unison and octaves, however wide, in the same manner", () => {
  const violin: PartText = ["violin", TUNE];
  assertEquals(second(violin, ["oboe", TUNE]), { relation: "unison", semitones: 0 });
  assertEquals(second(violin, ["clarinet in Bb", lower(TUNE, 1)]), { relation: "unison", semitones: -12 });
  assertEquals(second(violin, ["cello", lower(TUNE, 2)]), { relation: "unison", semitones: -24 });
});

Deno.test("a doubling that leaves out or fills in a note is a doubling", () => {
  const violin: PartText = ["violin", TUNE];
  assertEquals(second(violin, ["oboe", TUNE.replace("G5:1/2 F5:1", "r:1/2 F5:1")])?.relation, "unison");
  const decorated = "A5:3/2 G5:1/2 F5:1/2 G5:1/2 D6:1 C6:3/2 A5:1/2 G5:1 E5:1";
  assertEquals(second(violin, ["oboe", decorated])?.relation, "unison");
});

Deno.test("thirds and sixths below go in parallel; the same rhythm on chord tones does not", () => {
  const thirds = "F5:3/2 E5:1/2 D5:1 B5:1 A5:3/2 F5:1/2 E5:1 C5:1";
  assertEquals(second(["violin", TUNE], ["oboe", thirds])?.relation, "parallel");
  assert([-3, -4].includes(second(["violin", TUNE], ["oboe", thirds])!.semitones));
  const sixths = "C5:3/2 B4:1/2 A4:1 F5:1 E5:3/2 C5:1/2 B4:1 G4:1";
  assertEquals(second(["violin", TUNE], ["oboe", sixths])?.relation, "parallel");
  const tenor = "D5:3/2 D5:1/2 D5:1 F5:1 E5:3/2 E5:1/2 E5:1 C5:1";
  assertEquals(second(["violin", TUNE], ["oboe", tenor])?.relation, "rhythm");
});

Deno.test("a tremolo or repeated notes on what another part holds are the same notes in another manner", () => {
  const held: PartText = ["horn in F", "D4:4 E4:4"];
  assertEquals(second(held, ["viola", "D4:4 E4:4", { tremoloSlashes: 3 }])?.relation, "same notes");
  assertEquals(second(held, ["viola", "(D4:1/4)x16 (E4:1/4)x16"])?.relation, "same notes");
  assertEquals(second(held, ["bassoon", "D3:4 E3:4"])?.relation, "unison");
});

Deno.test("slashed notes are compared as played too; drums without pitch share a rhythm and nothing else", () => {
  const slashed: PartText = ["cello", "G2:2 G2:2 A2:2 A2:2", { tremoloSlashes: 1 }];
  assertEquals(second(slashed, ["bassoon", "(G3:1/2)x8 (A3:1/2)x8"])?.relation, "unison");
  assertEquals(second(["snare drum", "(X:1)x8"], ["tenor drum", "(X:1)x8"])?.relation, "rhythm");
});

Deno.test("two parts that meet on one note of a long chord are no doubling; what begins nothing has none", () => {
  const score = example([
    ["violin", "A5:2 G5:2 A5:4 F5:2 D5:2"],
    ["horn in F", "F4:4 A4:4 D4:4"],
    ["oboe", "A5:2 G5:2 A5:4 F5:2 D5:2"],
    ["flute", "r:12"],
  ]);
  const middle = relationsOf(score).filter((d) => d.barIndex === 1);
  assertEquals(middle.map((d) => [d.parts, d.relation]), [
    [[0, 1], "rhythm"],
    [[0, 2], "unison"],
    [[1, 2], "rhythm"],
  ]);
  const cells = cellFeatures(score);
  assertEquals(relationOf([cells[0]!, cells[3]!], score), { relation: "none", semitones: 0, likeness: 0 });
});

Deno.test("either order tells the same, and likeness falls as more notes differ", () => {
  const likeness = (differing: number) => {
    const notes = Array.from({ length: 16 }, (_, i) => (i < differing ? "D5:1/4" : "C5:1/4"));
    const score = example([["violin", "(C5:1/4)x16"], ["oboe", notes.join(" ")]]);
    const [a, b] = cellFeatures(score);
    const [there, back] = [relationOf([a!, b!], score), relationOf([b!, a!], score)];
    assertEquals(there.likeness, back.likeness);
    assertEquals(there.relation, back.relation);
    return there.likeness;
  };
  const found = [0, 2, 4, 8, 16].map(likeness);
  assertGreater(found[0]!, 0.95);
  assertEquals(found.at(-1), 0);
  for (let i = 1; i < found.length; i++) assertLess(found[i]!, found[i - 1]!);
});

Deno.test("in our own river piece, layers that were written in unison are found so, others not", () => {
  const score = demoScore();
  const parts = score.parts.length;
  const layerOf = new Map<number, string>();
  for (const n of score.notes) {
    const bar = score.bars.findLastIndex((b) => b.startTicks <= n.onsetTicks);
    layerOf.set(bar * parts + n.part, n.layer!);
  }
  const roles = new Map(score.layers!.map((l) => [l.id, l.role]));
  const unison = new Set(
    relationsOf(score).filter((d) => d.relation === "unison").map((d) =>
      `${d.barIndex} ${d.parts.join(" ")}`
    ),
  );
  const counts = { written: 0, found: 0, apart: 0, wrong: 0 };
  score.bars.forEach((_, bar) => {
    for (let a = 0; a < parts; a++) {
      for (let b = a + 1; b < parts; b++) {
        const [x, y] = [layerOf.get(bar * parts + a), layerOf.get(bar * parts + b)];
        if (!x || !y) continue;
        const called = unison.has(`${bar} ${a} ${b}`);
        if (x !== y) {
          counts.apart++;
          if (called) counts.wrong++;
        } else if (["lead", "bass"].includes(roles.get(x)!)) { // written on the same notes, in octaves
          counts.written++;
          if (called) counts.found++;
        }
      }
    }
  });
  console.log(`  ${counts.found} of ${counts.written} found, ${counts.wrong} of ${counts.apart} wrong`);
  assertGreater(counts.written, 100);
  assertGreater(counts.found / counts.written, 0.9);
  assertLess(counts.wrong / counts.apart, 0.05);
});

Deno.test("neighbouring bars of one relation are one span, in words", () => {
  const score = example([
    ["violin", `${TUNE} ${TUNE}`],
    ["oboe", `${TUNE} r:8`],
    ["clarinet in Bb", `${lower(TUNE, 1)} ${lower(TUNE, 1)}`],
    ["bassoon", `r:8 ${lower("F5:3/2 E5:1/2 D5:1 B5:1 A5:3/2 F5:1/2 E5:1 C5:1", 1)}`],
    ["cello", `r:8 ${lower(TUNE, 2)}`],
  ]);
  const name = (part: number) => score.parts[part]!.name;
  const spans = relationSpans(score).map(({ parts, words, fromBarIndex, toBarIndex }) =>
    `${name(parts[0])} and ${name(parts[1])} ${words}, ${fromBarIndex} to ${toBarIndex}`
  );
  for (
    const expected of [
      "violin and oboe in unison, 0 to 1",
      "violin and clarinet in Bb in octaves, 0 to 3",
      "violin and bassoon in tenths, 2 to 3",
      "violin and cello 2 octaves apart, 2 to 3",
      "clarinet in Bb and bassoon in thirds, 2 to 3",
    ]
  ) assert(spans.includes(expected), `${expected}, not in: ${spans.join("; ")}`);
});
