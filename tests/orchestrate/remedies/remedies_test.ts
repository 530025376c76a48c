import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertMatch,
  assertStringIncludes,
  assertThrows,
} from "@std/assert";
import fc from "fast-check";
import {
  balance,
  demoPlans,
  demoSketch,
  instrumentById,
  type Note,
  realise,
  remedies,
  type Score,
  soundWarnings,
  type Texture,
  textureOf,
  vary,
} from "ripieno";
import { registerOf } from "ripieno/instruments";
import type { Remedy } from "ripieno/measures";
import { applyRemedy, type SunkPassage } from "ripieno/orchestrate";
import { openScore, openTexture } from "../../setup/open_scores.ts";
import { sharedFolder } from "../../setup/shared_data.ts";
import { accompaniment, leads, SEED } from "../../measures/sounding_lines.ts";
import {
  deepFreeze,
  type Line,
  notFinite,
  repeatedNotes,
  smallScore,
  withNotes,
} from "../../measures/small_scores.ts";

/** The figures of a passage when the whole score is measured. */
function measuredWhole(score: Score, passage: SunkPassage, texture?: Texture) {
  const { perBar } = balance(score, texture === undefined ? {} : { texture });
  const led = perBar.slice(passage.fromBarIndex, passage.toBarIndex + 1).filter((b) =>
    b.audibleShare !== null
  );
  const mean = (of: (b: typeof led[number]) => number | null) => {
    const known = led.flatMap((b) => of(b) ?? []);
    return known.length === 0 ? null : known.reduce((sum, value) => sum + value, 0) / known.length;
  };
  return [mean((b) => b.audibleShare), mean((b) => b.handbookDb), mean((b) => b.powerDb)];
}

/** Each remedy written into the score and the whole score measured anew gives the same figures. */
function assertFiguresHold(score: Score, passage: SunkPassage, rows: readonly Remedy[], texture?: Texture) {
  for (const row of rows) {
    const changed = applyRemedy(score, row.changes, { ...passage, ...(texture ? { texture } : {}) });
    const figures = measuredWhole(changed.score, passage, changed.texture);
    [row.audibleShare, row.handbookDb, row.powerDb].forEach((figure, i) =>
      figure === null
        ? assertEquals(figures[i], null, row.what)
        : assertAlmostEquals(figures[i]!, figure, 1e-9, `${row.what}, figure ${i}`)
    );
  }
}

/** A flute in its low register over horns and trombones, with an oboe and a trumpet that rest. */
function sunkFlute(): readonly Line[] {
  const tune = [62, 64, 65, 67, 69, 67, 65, 64].map((pitch, at) => ({ at, quarters: 1, pitch, dynamic: 5 }));
  return [
    { instrument: "flute", role: "lead", layer: "lead", name: "Flute", notes: tune },
    { instrument: "oboe", role: "pad", layer: "silent", name: "Oboe", notes: [] },
    { instrument: "trumpet in C", role: "pad", layer: "silent", name: "Trumpet", notes: [] },
    {
      instrument: "horn in F",
      role: "pad",
      layer: "pad",
      name: "Horn 1",
      notes: repeatedNotes(62, 8, { dynamic: 3 }),
    },
    {
      instrument: "horn in F",
      role: "pad",
      layer: "pad",
      name: "Horn 2",
      notes: repeatedNotes(57, 8, { dynamic: 3 }),
    },
    ...[50, 62].map((pitch, i): Line => ({
      instrument: "tenor trombone",
      role: "bass",
      layer: "bass",
      name: `Trombone ${i + 1}`,
      notes: repeatedNotes(pitch, 4, { dynamic: 3 }),
    })),
  ];
}

const PASSAGE = { fromBarIndex: 0, toBarIndex: 1 };

Deno.test("remedies() offers an octave, dynamics, resting parts and fewer players, each with figures that hold", () => {
  const score = deepFreeze(smallScore(sunkFlute()));
  const rows = remedies(score, PASSAGE);
  const said = rows.map((r) => r.what);
  for (
    const what of [
      "Flute an octave up",
      "Flute two dynamics louder",
      "Trumpet doubling it in unison",
      "Oboe doubling it in unison",
      "the bass (Trombone 1–2) two dynamics softer",
      "everything else two dynamics softer",
    ]
  ) assert(said.includes(what), `${what} is not among ${said.join("; ")}`);
  const [before] = measuredWhole(score, PASSAGE);
  for (const row of rows) assertAlmostEquals(row.audibleShare - before!, row.gainedShare, 1e-9);
  assertFiguresHold(score, PASSAGE, rows);
});

Deno.test("remedies() do not depend on the order of the parts", () => {
  const lines = sunkFlute().map((l, i) => withNotes(l, i < 3 ? {} : { dynamic: 3 + i / 4 }));
  const sharesOf = (all: readonly Line[]) =>
    remedies(smallScore(all), PASSAGE).map((r) => r.audibleShare).sort((a, b) => a - b);
  const [a, b] = [lines, lines.toReversed()].map(sharesOf);
  assertEquals(a!.length, b!.length);
  a!.forEach((share, i) => assertAlmostEquals(share, b![i]!, 1e-9));
});

Deno.test("remedies() say what a register does not give: a low flute marked forte is no way out", () => {
  const rows = remedies(smallScore(sunkFlute()), PASSAGE);
  const louder = rows.find((r) => r.what === "Flute two dynamics louder")!;
  assertEquals(louder.playable, false);
  assertMatch(louder.caution, /low register of Flute gives mf at most/);
  assert(rows.findIndex((r) => !r.playable) > rows.findLastIndex((r) => r.playable));
});

Deno.test("remedies() never ask for a note an instrument does not have", () => {
  fc.assert(
    fc.property(leads, accompaniment, (lead, others) => {
      const score = smallScore([lead, ...others]);
      const rows = remedies(score, PASSAGE);
      assertEquals(notFinite(rows), []);
      for (const { changes } of rows) {
        const after = applyRemedy(score, changes, PASSAGE).score;
        const inRange = (n: Note) =>
          registerOf(instrumentById(after.parts[n.part]!.instrument), n.soundingPitch).inRange;
        const moved = after.notes.filter((n) => !inRange(n)).length;
        assert(moved <= score.notes.filter((n) => !inRange(n)).length, JSON.stringify(changes));
      }
    }),
    { seed: SEED, numRuns: 25 },
  );
});

Deno.test("remedies() give what a full measure of the changed score gives, whatever plays", () => {
  fc.assert(
    fc.property(leads, accompaniment, (lead, others) => {
      const soft = withNotes(lead, { dynamic: 2 });
      const score = smallScore([soft, ...others, { instrument: "oboe", role: "pad", notes: [] }], {
        bars: 3,
      });
      const passage = { fromBarIndex: 1, toBarIndex: 1 };
      const rows = remedies(score, passage);
      assertFiguresHold(score, passage, rows);
      assert(rows.every((r) => r.gainedShare > 0 && r.audibleShare <= 1));
    }),
    { seed: SEED, numRuns: 25 },
  );
});

Deno.test("remedies() of silence, and where nothing leads, are none", () => {
  const [lead, ...others] = sunkFlute();
  assertEquals(remedies(smallScore([{ ...lead!, notes: [] }, ...others]), PASSAGE), []);
  assertEquals(remedies(smallScore(others), PASSAGE), []);
  assertThrows(() => remedies(smallScore(others), { fromBarIndex: 3, toBarIndex: 4 }), Error, "0 to 1");
});

Deno.test("applyRemedy() to a setting keeps its written texture: a doubling part leads, a part left out rests", () => {
  const score = smallScore(sunkFlute());
  const doubled = applyRemedy(
    score,
    { kind: "double", part: "Trumpet", of: "Flute", octaves: 0 },
    { fromBarIndex: 1, toBarIndex: 1 },
  );
  assertEquals(
    textureOf(doubled.score).cells,
    doubled.texture.cells.map((c) => ({ ...c, reason: reasonOf(c) })),
  );
  assertEquals(doubled.texture.cells.filter((c) => c.part === 2).map((c) => c.role), ["rest", "lead"]);
  const thinner = applyRemedy(score, { kind: "rest", parts: ["Trombone 1"] }, {
    fromBarIndex: 0,
    toBarIndex: 0,
  });
  assertEquals(thinner.texture.cells.filter((c) => c.part === 5).map((c) => c.role), ["rest", "bass"]);
  assertEquals(thinner.texture.cells.find((c) => c.part === 5)!.does, "silent");
  assertEquals(score.notes.length - thinner.score.notes.length, 1);
  assertThrows(
    () => applyRemedy(score, { kind: "rest", parts: ["Tuba"] }, PASSAGE),
    Error,
    "Horn 1, Horn 2, Trombone 1",
  );
});

const reasonOf = (c: { readonly role: string; readonly figure: string }) =>
  c.role === "rest" ? "silent" : `written as ${c.figure}`;

Deno.test("applyRemedy() holds dynamics at ppp and fff, and moves the spelling with the note", () => {
  const spelt = { step: "D", alter: 0, octave: 4 };
  const score = smallScore([
    withNotes({ instrument: "flute", role: "lead", name: "Flute", notes: repeatedNotes(62, 4) }, {
      dynamic: 7,
      spelling: spelt,
    }),
  ]);
  const of = (change: Parameters<typeof applyRemedy>[1]) =>
    applyRemedy(score, change, PASSAGE).score.notes[0]!;
  assertEquals(of({ kind: "dynamic", parts: ["Flute"], steps: 3 }).dynamic, 8);
  assertEquals(of({ kind: "dynamic", parts: ["Flute"], steps: -9 }).dynamic, 1);
  const up = of({ kind: "octave", parts: ["Flute"], octaves: 1 });
  assertEquals([up.soundingPitch, up.spelling?.octave], [74, 5]);
});

Deno.test("soundWarnings() put the best playable ways out in a sentence, with what each gives", () => {
  const plan = vary(demoPlans().held, { set: { parts: ["Flute 1"], octave: 0 } }, { role: "lead" });
  const score = realise(demoSketch(), plan);
  const heard = balance(score);
  const [warning] = soundWarnings(score, heard).filter((w) => w.kind === "lead covered");
  assertStringIncludes(warning!.what, "Flute 1, in its low register, keeps");
  assertMatch(warning!.remedy, /^With Flute 1 an octave up.* the lead would keep \d+ %; with .* \d+ %/);
  const best = warning!.remedies![0]!;
  assertGreater(best.gainedShare, 0.05);
  assertFiguresHold(score, warning!, warning!.remedies!.slice(0, 2));
});

const scores = sharedFolder("openscore-orchestra");
if (scores) {
  Deno.test("remedies() on a real movement give what a full measure of the changed score gives", () => {
    const file = "Beethoven_Op.67_1.mxl";
    const url = new URL(file, scores);
    const [score, texture] = [openScore(url), openTexture(url)];
    const worst = balance(score, { texture }).warnings.toSorted((a, b) => a.figure - b.figure).slice(0, 2);
    for (const passage of worst) {
      const rows = remedies(score, passage, { texture });
      assertEquals(notFinite(rows), []);
      assertFiguresHold(score, passage, rows.slice(0, 2), texture);
    }
  });
}
