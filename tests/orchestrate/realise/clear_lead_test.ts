/** Passages whose lead is wished clear. */
import {
  assert,
  assertAlmostEquals,
  assertEquals,
  assertGreater,
  assertStringIncludes,
  assertThrows,
} from "@std/assert";
import { demoPlans, demoSketch } from "../../../lib/demo.ts";
import { InputError } from "../../../lib/base/errors.ts";
import { instrumentById } from "../../../lib/instruments/catalogue.ts";
import { balance } from "../../../lib/measures/balance/balance.ts";
import { levelsOf, withEachMark } from "../../../lib/orchestrate/plan/layer_dynamics.ts";
import { assign, type AssignmentInput, type Plan } from "../../../lib/orchestrate/plan/plan.ts";
import { readPlan } from "../../../lib/orchestrate/plan/plan_table.ts";
import { vary } from "../../../lib/orchestrate/plan/vary.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { wishesBalance, withClearLead } from "../../../lib/orchestrate/realise/clear_lead.ts";
import { sweep } from "../../../lib/orchestrate/sweep/sweep.ts";
import { dynamicMark, dynamicOf } from "../../../lib/score/dynamics.ts";
import type { Score } from "../../../lib/score/model.ts";
import { SKETCHES, wholePlan } from "../sketches.ts";

const CLEAR = 1 / 3;
const SKETCH = SKETCHES["four-four"]!;

function shareOf(score: Score): number {
  const shares = balance(score).perBar.flatMap((b) => b.audibleShare ?? []);
  return shares.reduce((a, b) => a + b, 0) / shares.length;
}

const LAYERS: readonly (readonly AssignmentInput[])[] = [
  [{ role: "lead", parts: ["Flute 1"], octave: 0 }, {
    role: "pad",
    parts: ["Horns", "Trombones"],
    dynamic: "f",
  }],
  [
    { role: "lead", parts: ["Bassoon 1"], dynamic: "mp" },
    {
      role: "pulse",
      figure: "repeated eighths",
      parts: ["Violins I", "Violins II"],
      dynamic: "mf",
      dynamicEnd: "f",
    },
    { role: "bass", parts: ["Cellos", "Double basses"], dynamic: "mf" },
  ],
  [
    { role: "lead", parts: ["Oboe 1"], dynamic: "p", dynamicMiddle: "f" },
    { role: "pad", parts: ["Horns"], dynamic: "mp", dynamicMiddle: "f", dynamicEnd: "p" },
    { role: "figuration", parts: ["Clarinets"], dynamic: "mp" },
  ],
  [{ role: "lead", parts: ["Flute 1"], octave: 0, dynamic: "pp" }, {
    role: "pad",
    parts: ["Horns", "Trombones", "Tuba"],
    dynamic: "pp",
  }, { role: "pulse", parts: ["Violins I", "Violins II", "Violas"], dynamic: "ppp" }],
  [{ role: "lead", parts: ["Trumpet 1"], dynamic: "f" }, { role: "pad", parts: ["Violas"], dynamic: "p" }],
];

Deno.test("a clear lead keeps a third of its loudness, or the notice says what it keeps; nobody goes beyond what is allowed", () => {
  const outcomes = { clear: 0, short: 0, untouched: 0 };
  for (const layers of LAYERS) {
    const asked = wholePlan(
      SKETCH,
      ...layers.map((layer, i) => i === 0 ? { ...layer, balance: "lead clear" as const } : layer),
    );
    const without = wholePlan(SKETCH, ...layers);
    const plain = realise(SKETCH, without);
    const score = realise(SKETCH, asked);
    const played = withClearLead(asked, (plan) => realise(SKETCH, vary(plan, { set: { balance: "" } })));
    asked.passages[0]!.assignments.forEach((a, k) => {
      const [before, after] = [levelsOf(a), levelsOf(played.passages[0]!.assignments[k]!)];
      before.forEach((level, i) => {
        const change = after[i]! - level;
        if (a.role === "lead") assert(change === 0 || change === 1, `lead by ${change}`);
        else assert(change <= 0 && after[i]! >= Math.min(level, 2), `${a.role} from ${level} to ${after[i]}`);
      });
    });
    const share = shareOf(score);
    const [notice, ...more] = score.notices;
    assertEquals(more, []);
    if (shareOf(plain) >= CLEAR) {
      assertEquals(notice, undefined);
      assertEquals(score.notes, plain.notes);
      outcomes.untouched++;
      continue;
    }
    assertGreater(share, shareOf(plain));
    assertStringIncludes(notice!.what, `All: to clear the lead, the `);
    assertStringIncludes(
      notice!.what,
      `; the lead keeps ${Math.round(100 * share)} % of its loudness, ${
        Math.round(100 * shareOf(plain))
      } % as asked`,
    );
    const isShort = notice!.what.includes("short of the 33 % of a clear lead");
    assertEquals(isShort, share < CLEAR, notice!.what);
    outcomes[isShort ? "short" : "clear"]++;
    // What is played is printed: the first mark of every part is that of its layer as played.
    played.passages[0]!.assignments.forEach((a, k) => {
      const layer = score.layers![k]!;
      for (const p of layer.parts) {
        assertEquals(score.parts[p]!.writtenDynamics!.find((d) => d.kind === "mark")!.mark, a.dynamic);
      }
    });
  }
  console.log(JSON.stringify(outcomes));
  assert(outcomes.clear >= 2 && outcomes.short >= 1 && outcomes.untouched >= 1);
});

Deno.test("no step is taken in vain: without the last one the lead is less than clear", () => {
  const layers = LAYERS[1]!.map((layer) => ({ ...layer, balance: "lead clear" as const }));
  const asked = wholePlan(SKETCH, ...layers);
  const write = (plan: Plan) => realise(SKETCH, vary(plan, { set: { balance: "" } }));
  const played = withClearLead(asked, write);
  assertGreater(shareOf(write(played)), CLEAR);
  const { assignments } = played.passages[0]!;
  const back = assignments.flatMap((a, k) => {
    const before = asked.passages[0]!.assignments[k]!;
    if (a.role === "lead" || levelsOf(a)[0] === levelsOf(before)[0]) return [];
    const louder = { ...a, ...withEachMark(a, (mark) => dynamicMark(dynamicOf(mark)! + 1)) };
    return [{ ...played, passages: [{ ...played.passages[0]!, assignments: assignments.with(k, louder) }] }];
  });
  assertGreater(back.length, 0);
  // Aimed at is a hundredth more than what is called clear.
  assert(back.some((plan) => shareOf(write(plan)) < CLEAR + 0.01));
});

Deno.test("other passages keep their dynamics and notes; who blows may breathe elsewhere", () => {
  const sketch = demoSketch();
  const lone = vary(demoPlans().held, { set: { parts: ["Flute 1"], octave: 0 } }, { role: "lead" });
  const wished = vary(lone, { set: { balance: "lead clear" } }, { role: "lead", passage: "Rapids" });
  assert(wishesBalance(wished) && !wishesBalance(lone));
  const [before, after] = [realise(sketch, lone), realise(sketch, wished)];
  const rapids = lone.passages.find((p) => p.name === "Rapids")!;
  const [from, to] = [before.bars[rapids.fromBar - 1]!.startTicks, before.bars[rapids.toBar]!.startTicks];
  const isBowed = (score: Score, part: number) =>
    instrumentById(score.parts[part]!.instrument).family === "strings";
  const outside = (score: Score) =>
    score.notes.filter((n) => (n.onsetTicks < from || n.onsetTicks >= to) && isBowed(score, n.part));
  assertGreater(outside(before).length, 100);
  assertEquals(outside(after), outside(before));
  const marks = (score: Score) =>
    score.parts.map((p) => p.writtenDynamics!.filter((d) => d.onsetTicks < from && d.kind === "mark"));
  assertEquals(marks(after), marks(before));
  assertEquals(after.notices.length, before.notices.length + 1);
  const notice = after.notices.at(-1)!;
  assertStringIncludes(
    notice.what,
    "Rapids: to clear the lead, the lead itself (Flute 1) ff instead of f, the pad (",
  );
  assertEquals([notice.file, notice.bar], [wished.name, String(rapids.fromBar)]);
});

Deno.test("a wish where nothing leads is refused with its row and column", () => {
  const plan = readPlan(
    "passage,from_bar,to_bar,role,parts,balance\nA,1,4,pad,Horns,\nA,1,4,bass,Cellos,Lead clear",
    {
      file: "cue.csv",
    },
  );
  const error = assertThrows(() => realise(SKETCH, plan), InputError);
  assertStringIncludes(
    error.message,
    'the lead of "A" is to be clear, and nothing leads there (cue.csv, row 3, column balance)',
  );
  assertThrows(
    () => readPlan("passage,from_bar,to_bar,role,parts,balance\nA,1,4,lead,Oboe 1,loud"),
    InputError,
    '"loud" is not what balance can be',
  );
  assertEquals(Object.hasOwn(assign({ role: "pad", parts: ["Horns"], balance: "" }), "balance"), false);
});

Deno.test("a sweep keeps the wish in every setting, as single settings do", async () => {
  const plan = wholePlan(
    SKETCH,
    ...LAYERS[1]!.map((layer) => ({ ...layer, balance: "lead clear" as const })),
  );
  const rows = await sweep(plan, { tempo: [60, 90] }, { sketch: SKETCH, measures: ["balance"], workers: 0 });
  for (const row of rows) {
    const single = realise(SKETCH, vary(plan, { quartersPerMinute: Number(row.tempo) }));
    assertAlmostEquals(row.audibleShare!, balance(single).whole.audibleShare!, 1e-9);
  }
});
