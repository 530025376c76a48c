/** Changing one choice of a plan: each kind of change, nothing else touched. */
import { assert, assertEquals, assertThrows } from "@std/assert";
import { demoPlans, demoSketch } from "../../../lib/demo.ts";
import { InputError } from "../../../lib/base/errors.ts";
import { assign, type Assignment, type Plan } from "../../../lib/orchestrate/plan/plan.ts";
import { readPlan } from "../../../lib/orchestrate/plan/plan_table.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { vary } from "../../../lib/orchestrate/plan/vary.ts";

function deepFreeze<T>(value: T): T {
  if (typeof value === "object" && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    Object.values(value).forEach(deepFreeze);
  }
  return value;
}

const PLAN: Plan = deepFreeze({
  name: "base",
  passages: [
    {
      name: "A",
      fromBar: 1,
      toBar: 4,
      assignments: [
        assign({ role: "lead", parts: ["Flute 1"], dynamic: "p", dynamicEnd: "f" }),
        assign({ role: "pulse", figure: "off-beats", parts: ["Violas", "Cellos"], articulation: "staccato" }),
      ],
    },
    {
      name: "B",
      fromBar: 5,
      toBar: 8,
      assignments: [
        assign({ role: "lead", parts: ["Oboe 1"] }),
        { ...assign({ role: "pad", parts: ["Horns"] }), where: { file: "x.csv", row: 5 } },
      ],
    },
  ],
});

function layers(plan: Plan): readonly Assignment[] {
  return plan.passages.flatMap((p) => p.assignments);
}

/** Indexes of the layers in which two plans differ. */
function changed(plan: Plan): readonly number[] {
  return layers(plan).flatMap((a, i) =>
    JSON.stringify(a) === JSON.stringify(layers(PLAN)[i]) && a.octave === layers(PLAN)[i]?.octave ? [] : [i]
  );
}

Deno.test("only the layers asked for change: by passage, role, part, or together", () => {
  const set = { set: { technique: "con sordino" } } as const;
  assertEquals(changed(vary(PLAN, set)), [0, 1, 2, 3]);
  assertEquals(changed(vary(PLAN, set, { role: "lead" })), [0, 2]);
  assertEquals(changed(vary(PLAN, set, { passage: "A" })), [0, 1]);
  assertEquals(changed(vary(PLAN, set, { part: "Cellos" })), [1]);
  assertEquals(changed(vary(PLAN, set, { role: "lead", passage: "B" })), [2]);
});

Deno.test("who, figure, articulation, dynamic, octave, technique are set; the rest of the layer stays", () => {
  const before = layers(PLAN)[1]!;
  const after = (set: Parameters<typeof vary>[1]["set"]) =>
    layers(vary(PLAN, { set: set! }, { role: "pulse" }))[1]!;
  assertEquals(after({ parts: ["Harp"] }), { ...before, parts: ["Harp"] });
  assertEquals(after({ figure: "repeated sixteenths" }), { ...before, figure: "repeated sixteenths" });
  assertEquals(after({ articulation: "accent" }), { ...before, articulation: "accent" });
  assertEquals(after({ octave: 1 }), { ...before, octave: 1 });
  assertEquals(after({ technique: "pizzicato" }), { ...before, technique: "pizzicato" });
  assertEquals(after({ dynamic: "ff" }), { ...before, dynamic: "ff", dynamicEnd: "ff" });
  assertEquals(after({ dynamic: "p", dynamicEnd: "f" }), { ...before, dynamic: "p", dynamicEnd: "f" });
});

Deno.test("a new role takes that role's usual figure, or the one given", () => {
  assertEquals(
    layers(vary(PLAN, { set: { role: "figuration" } }, { role: "pulse" }))[1]!.figure,
    "broken chord in eighths",
  );
  const scale = vary(PLAN, { set: { role: "run", figure: "running scale" } }, { role: "pulse" });
  assertEquals([layers(scale)[1]!.role, layers(scale)[1]!.figure], ["run", "running scale"]);
});

Deno.test("layers are doubled and taken out", () => {
  assertEquals(layers(vary(PLAN, { double: ["Piccolo"] }, { passage: "A", role: "lead" }))[0]!.parts, [
    "Flute 1",
    "Piccolo",
  ]);
  const without = vary(PLAN, { remove: true }, { role: "lead" });
  assertEquals(layers(without).map((a) => a.role), ["pulse", "pad"]);
});

Deno.test("tempo and players belong to the whole plan and add up", () => {
  const slow = vary(PLAN, { quartersPerMinute: 60 });
  assertEquals([slow.quartersPerMinute, changed(slow)], [60, []]);
  const small = vary(vary(slow, { players: { Violas: 4, Cellos: 3 } }), { players: { Cellos: 2 } });
  assertEquals([small.quartersPerMinute, small.players], [60, { Violas: 4, Cellos: 2 }]);
});

Deno.test("the new plan is named by what changed, or as asked", () => {
  assertEquals(vary(PLAN, { remove: true }, { role: "pad" }).name, "base, without pad");
  assertEquals(
    vary(PLAN, { set: { dynamic: "ff" } }, { passage: "A", role: "pulse" }).name,
    "base, pulse in A dynamic ff",
  );
  assertEquals(
    vary(PLAN, { double: ["Piccolo"] }, { part: "Flute 1" }).name,
    "base, Flute 1 doubled by Piccolo",
  );
  assertEquals(vary(PLAN, { quartersPerMinute: 60, name: "slow" }).name, "slow");
});

Deno.test("layers that do not exist, values that do not exist and changes of nothing are refused", () => {
  const refusals: readonly (readonly [() => unknown, RegExp])[] = [
    [() => vary(PLAN, { remove: true }, { role: "bass" }), /no layer matches role "bass"\. .*"A", "B"/],
    [() => vary(PLAN, { double: ["Tuba"] }, { passage: "C" }), /no layer matches passage "C"/],
    [() => vary(PLAN, { set: { figure: "waltz" as never } }, { role: "pulse" }), /"waltz" is not a figure/],
    [() => vary(PLAN, { set: { figure: "tune" } }, { role: "pulse" }), /belongs to the role lead/],
    [() => vary(PLAN, { set: { dynamic: "loud" } }), /"loud" is not a dynamic/],
    [() => vary(PLAN, { set: { parts: [] } }), /given to nobody/],
    [() => vary(PLAN, {}), /the change says nothing/],
    [() => vary({ name: "none", passages: [] }, { remove: true }), /no layer matches/],
  ];
  for (const [call, message] of refusals) {
    const error = assertThrows(call, InputError, undefined, String(message));
    assert(message.test(error.message), `${error.message} against ${message}`);
  }
});

Deno.test("the demo's plans, frozen, can be varied", () => {
  const { moving } = demoPlans();
  const text = JSON.stringify(moving);
  vary(deepFreeze(structuredClone(moving)), { set: { articulation: "staccato" }, double: ["Harp"] }, {
    role: "pulse",
  });
  assertEquals(JSON.stringify(moving), text);
});

Deno.test("vary() refuses a misspelt change instead of returning the plan unchanged", () => {
  const misspelt = (change: object, options: object = {}) => () =>
    vary(PLAN, change as never, options as never);
  assertThrows(misspelt({ set: { figuer: "off-beats" } }), InputError, '"figuer"');
  assertThrows(misspelt({ sett: { figure: "off-beats" } }), InputError, '"sett"');
  assertThrows(misspelt({ remove: true }, { rolle: "pad" }), InputError, '"rolle"');
  assertThrows(misspelt({ set: { parts: "Flute 1" } }), InputError, "not a list");
});

/** What is said of a slip. */
const said = (call: () => unknown): InputError => assertThrows(call, InputError);

Deno.test("vary() tells a slip by the layer it was meant for, never by a row of a file that does not hold it", () => {
  const { moving } = demoPlans();
  const layer = moving.passages[1]!.assignments.find((a) => a.role === "pulse")!;
  const passage = moving.passages[1]!.name;
  assert(layer.where?.row !== undefined, "the layer was read from a table");
  const slips: readonly (readonly [Record<string, unknown>, string, string])[] = [
    [{ figure: "waltz" as never }, '"waltz" is not a figure', "For pulse use one of"],
    [{ dynamic: "loud" }, '"loud" is not a dynamic', "dynamicEnd"],
    [{ articulation: "slapped" }, '"slapped" is not an articulation', "staccato"],
    [{ technique: "bowing" }, '"bowing" is not a technique', "pizzicato"],
    [{ octave: 40 }, "an octave of 40", "null"],
    [{ octave: 0.5 }, "an octave of 0.5", "null"],
    [{ parts: [] }, "given to nobody", '["Flute 1", "Horns"]'],
    [{ role: "drums" }, '"drums" is not a role', "Use one of lead"],
  ];
  for (const [set, problem, remedy] of slips) {
    const error = said(() => vary(moving, { set: set as never }, { role: "pulse", passage }));
    assert(error.message.startsWith(`Cannot change the plan "${moving.name}": `), error.message);
    assert(error.message.includes(problem) && error.remedy.includes(remedy), error.message);
    assertEquals(error.where, { passage, role: "pulse", part: layer.parts.join(" + ") }, error.message);
    assert(!/\brow\b|\.csv/.test(error.message), error.message);
  }
});

Deno.test("what vary() changed is told by plan, passage, role and parts when it is realised; other rows stay rows", () => {
  const plan = vary(demoPlans().moving, { set: { parts: ["Theremin"] }, name: "strange" }, { role: "pulse" });
  const passage = plan.passages.find((p) => p.assignments.some((a) => a.role === "pulse"))!.name;
  const error = said(() => realise(demoSketch(), plan));
  assertEquals(error.where, { file: "strange", passage, role: "pulse", part: "Theremin" }, error.message);
  assert(error.message.includes(`(strange, ${passage}, pulse, Theremin)`), error.message);

  const table = "passage,from_bar,to_bar,role,parts\nA,1,4,lead,Theremin\nA,1,4,pad,Horns";
  const softer = vary(readPlan(table, { file: "cue.csv" }), { set: { dynamic: "p" } }, { role: "pad" });
  assertEquals(said(() => realise(demoSketch(), softer)).where, { file: "cue.csv", row: 2, column: "parts" });
});

Deno.test("assign() tells a slip by role and parts, even where it is made of a layer that was read from a table", () => {
  const read = demoPlans().moving.passages[1]!.assignments[0]!;
  const error = said(() => assign({ ...read, figure: "waltz" as never }));
  assert(error.message.startsWith('Cannot assign a role: "waltz" is not a figure ('), error.message);
  assertEquals(error.where, { role: read.role, part: read.parts.join(" + ") });
  assertEquals(assign({ ...read, dynamic: "pp" }).where, undefined);
  const slapped = () => assign({ role: "pulse", parts: ["Violas"], articulation: "slapped" as never });
  assert(said(slapped).message.includes("(pulse, Violas)"), said(slapped).message);
  assertEquals(said(() => assign({ role: "drums" as never, parts: ["Horns"] })).where, { part: "Horns" });
});

Deno.test("several passages are named at once, and each may have a value of its own", () => {
  const set = { technique: "con sordino" } as const;
  assertEquals(changed(vary(PLAN, { set }, { passage: ["A", "B"], role: "lead" })), [0, 2]);
  const setIn = { B: { parts: ["Oboe 2"] } };
  const own = vary(PLAN, { setIn }, { role: "lead" });
  assertEquals(changed(own), [2]);
  assertEquals(layers(own)[2]!.parts, ["Oboe 2"]);
  const both = vary(PLAN, { set, setIn }, { role: "lead" });
  assertEquals(layers(both).map((a) => [a.parts[0], a.technique]).filter((_, i) => i % 2 === 0), [
    ["Flute 1", "con sordino"],
    ["Oboe 2", "con sordino"],
  ]);
  assertThrows(() => vary(PLAN, { setIn: { C: set } }, { role: "lead" }), InputError, 'passage "C"');
  assertThrows(() => vary(PLAN, { set }, { passage: ["C", "D"] }), InputError, '"C", "D"');
});
