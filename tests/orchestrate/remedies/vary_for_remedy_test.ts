import { assert, assertAlmostEquals, assertEquals, assertThrows } from "@std/assert";
import { balance, demoPlans, demoSketch, type Plan, realise, remedies, type Score, vary } from "ripieno";
import type { RemedyChange } from "ripieno/measures";
import { varyForRemedy } from "ripieno/orchestrate";

const sketch = demoSketch();
const BARS = { fromBarIndex: 16, toBarIndex: 23 };
/** One flute over the held chords of the rapids. */
const plan = vary(demoPlans().held, { set: { parts: ["Flute 1"] }, name: "flute" }, {
  role: "lead",
  passage: "Rapids",
});
const setting = realise(sketch, plan);

function heardIn(score: Score): number {
  const bars = balance(score).perBar.slice(BARS.fromBarIndex, BARS.toBarIndex + 1);
  return bars.reduce((sum, b) => sum + b.audibleShare!, 0) / bars.length;
}

const with_ = (...changes: readonly RemedyChange[]) =>
  varyForRemedy(plan, { what: "this", changes }, { sketch, setting, ...BARS });
const rowsOf = (p: Plan) => p.passages.find((x) => x.name === "Rapids")!.assignments;

Deno.test("varyForRemedy() gives, realised, what the remedies of a whole passage promised, within five per cent", () => {
  const rows = remedies(setting, BARS).filter((r) =>
    r.changes.every((c) => c.kind !== "double" || c.octaves === 0)
  );
  assert(rows.length >= 4);
  let close = 0;
  for (const row of rows) {
    const better = realise(sketch, varyForRemedy(plan, row, { sketch, setting, ...BARS }));
    if (Math.abs(heardIn(better) - row.audibleShare) < 0.05) close++;
  }
  // Voicings and breaths follow some changes (a chord laid an octave lower is voiced anew), so not all are exact.
  assert(close >= rows.length / 2, `${close} of ${rows.length}`);
});

Deno.test("varyForRemedy() keeps the plan but for the change: octave, dynamics, doubling, rests", () => {
  const lead = (p: Plan) => rowsOf(p).find((a) => a.role === "lead")!;
  const octave = with_({ kind: "octave", parts: ["Flute 1"], octaves: -1 });
  assertEquals(octave.name, "flute, with this");
  const [now, down] = [setting, realise(sketch, octave)].map((s) =>
    s.notes.filter((n) => n.part === 0 && n.onsetTicks >= s.bars[16]!.startTicks).slice(0, 4).map((n) =>
      n.soundingPitch
    )
  );
  assertEquals(down, now!.map((p) => p - 12));
  assertEquals(lead(with_({ kind: "dynamic", parts: ["Flute 1"], steps: 9 })).dynamic, "fff");
  assertEquals(lead(with_({ kind: "double", part: "Trumpet 1", of: "Flute 1", octaves: 0 })).parts, [
    "Flute 1",
    "Trumpet 1",
  ]);
  const pads = setting.layers!.find((l) => l.passage === "Rapids" && l.role === "pad")!.parts
    .map((p) => setting.parts[p]!.name);
  const thinner = with_({ kind: "rest", parts: pads.slice(1) });
  assertEquals(rowsOf(thinner).find((a) => a.role === "pad")!.parts, pads.slice(0, 1));
  assertEquals(rowsOf(with_({ kind: "rest", parts: pads })).filter((a) => a.role === "pad"), []);
  for (const p of [octave, thinner]) {
    assertEquals(
      p.passages.filter((x) => x.name !== "Rapids"),
      plan.passages.filter((x) => x.name !== "Rapids"),
    );
  }
});

Deno.test("varyForRemedy() of a part that does not play there says so", () => {
  assertThrows(
    () => with_({ kind: "dynamic", parts: ["Tuba"], steps: 1 }),
    Error,
    "no layer of the setting has Tuba",
  );
  assertAlmostEquals(heardIn(setting), heardIn(realise(sketch, plan)), 1e-12);
});
