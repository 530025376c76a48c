/** Plans as JSON: all that a plan holds, and one clear sentence for everything that is none. */
import { assert, assertEquals, assertInstanceOf, assertStringIncludes, assertThrows } from "@std/assert";
import fc from "fast-check";
import { demoPlans, demoSketch } from "../../../lib/demo.ts";
import { InputError } from "../../../lib/base/errors.ts";
import { assign, type Plan } from "../../../lib/orchestrate/plan/plan.ts";
import { jsonFaultAt } from "../../../lib/orchestrate/plan/json_fault.ts";
import { readPlan, writePlan } from "../../../lib/orchestrate/plan/plan_table.ts";
import { vary } from "../../../lib/orchestrate/plan/vary.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { DYNAMIC_MARKS } from "../../../lib/score/dynamics.ts";
import { FIGURES } from "../../../lib/texture/figures.ts";
import { SKETCHES } from "../sketches.ts";

const FILE = "cue.json";

/** The plan without its places, which differ from file to file. */
function placeless(plan: Plan): Plan {
  return {
    ...plan,
    passages: plan.passages.map((p) => ({
      ...p,
      assignments: p.assignments.map(({ where: _where, ...rest }) => rest),
    })),
  };
}

const anyLayer = fc.record({
  figure: fc.constantFrom(...FIGURES),
  parts: fc.uniqueArray(fc.constantFrom("Flute 1", "Horns", "Violins I", "A + B", " x "), { minLength: 1 }),
  articulation: fc.constantFrom("plain", "slurred", "staccato", "portato"),
  dynamics: fc.array(fc.constantFrom(...DYNAMIC_MARKS), { minLength: 1, maxLength: 3 }),
  octave: fc.constantFrom(null, -2, 0, 1),
  technique: fc.constantFrom("ordinario", "pizzicato", "con sordino"),
  entries: fc.constantFrom("together", "from below", "from above"),
}).map(({ figure, entries, dynamics, ...rest }) => {
  const [dynamic, second, third] = dynamics;
  const course = third ? { dynamicMiddle: second, dynamicEnd: third } : second ? { dynamicEnd: second } : {};
  const staggers = ["pad", "pulse", "trill"].includes(figure.role) ? { entries } : {};
  return assign(
    { ...rest, dynamic, ...course, ...staggers, role: figure.role, figure: figure.id } as Parameters<
      typeof assign
    >[0],
  );
});
const anyPlan: fc.Arbitrary<Plan> = fc.record({
  name: fc.string({ minLength: 1, unit: "binary" }),
  passages: fc.array(
    fc.record({
      name: fc.string({ minLength: 1 }),
      fromBar: fc.integer({ min: -5, max: 50 }),
      toBar: fc.integer({ min: 50, max: 999_999_999 }),
      assignments: fc.array(anyLayer, { minLength: 1, maxLength: 3 }),
    }),
    { minLength: 1, maxLength: 4 },
  ),
  quartersPerMinute: fc.integer({ min: 8, max: 2400 }).map((n) => n / 2),
  players: fc.dictionary(fc.constantFrom("Violas", "Horn 1"), fc.integer({ min: 1, max: 30 })),
}, { requiredKeys: ["name", "passages"] });

Deno.test("every plan survives JSON with its tempo and players, however it was written", () => {
  fc.assert(
    fc.property(anyPlan, (plan) => {
      const exact = JSON.parse(JSON.stringify(plan));
      assertEquals(placeless(readPlan(writePlan(plan, { format: "json" }), { file: FILE })), exact);
      assertEquals(placeless(readPlan(JSON.stringify(plan))), exact);
    }),
    { seed: 12, numRuns: 200 },
  );
  const { moving } = demoPlans();
  const slow = vary(moving, { quartersPerMinute: 66, players: { Violas: 4 } });
  const again = readPlan(JSON.stringify(slow));
  assertEquals(placeless(again), placeless(slow));
  const [a, b] = [realise(demoSketch(), slow), realise(demoSketch(), again)];
  assertEquals(a.notes, b.notes);
  assertEquals([b.tempos[0]!.quartersPerMinute, b.parts.find((p) => p.name === "Violas")!.players], [66, 4]);
});

Deno.test("a layer may leave out what a table may, in the same words, and gives the same plan", () => {
  const table = readPlan(`passage,from_bar,to_bar,role,parts,articulation,dynamic,octave,technique,entries
Calm,1,8,Pad,Horns + Flute 1,détaché,p to mf to p,-1,con sord.,from below
Calm,1,8,lead,Oboe 1,,,,,`);
  const json = readPlan(`\uFEFF  {"passages": [{"name": "Calm", "fromBar": 1, "toBar": 8, "assignments": [
    {"role": "Pad", "parts": "Horns + Flute 1", "articulation": "détaché", "dynamic": "p to mf to p", "octave": -1,
     "technique": "con sord.", "entries": "From Below"},
    {"role": "lead", "parts": ["Oboe 1"], "octave": null, "figure": null}]}]}`);
  assertEquals(placeless(json), placeless(table));
});

Deno.test("the name: the one asked for, the plan's own, the file's", () => {
  const text = (name: string) =>
    `{${name}"passages":[{"name":"A","fromBar":1,"toBar":2,"assignments":[{"role":"lead","parts":["Oboe 1"]}]}]}`;
  assertEquals(readPlan(text('"name":"own",'), { file: "x/cue.json", name: "asked" }).name, "asked");
  assertEquals(readPlan(text('"name":"own",'), { file: "x/cue.json" }).name, "own");
  assertEquals(readPlan(text(""), { file: "x/cue.json" }).name, "cue");
});

Deno.test("what cannot be used is said with file, passage, layer, field and a remedy", () => {
  const layer = (fields: string) =>
    `{"passages":[{"name":"Calm","fromBar":1,"toBar":8,"assignments":[{"role":"lead","parts":["Oboe 1"]},{${fields}}]}]}`;
  const passage = (fields: string) =>
    `{"passages":[{${fields}"assignments":[{"role":"lead","parts":["Oboe 1"]}]}]}`;
  const inLayer = "cue.json, Calm, layer 2, field ";
  const cases: readonly (readonly [string, string, string])[] = [
    [layer('"role":"drums","parts":["Oboe 2"]'), '"drums" is not a role', `${inLayer}role`],
    [layer('"parts":["Oboe 2"]'), "no role is given", `${inLayer}role`],
    [layer('"role":"pulse"'), "given to nobody", `${inLayer}parts`],
    [layer('"role":"pulse","parts":[3]'), "the parts are a list with what is no name", `${inLayer}parts`],
    [layer('"role":"pulse","parts":{}'), "the parts are another record", `${inLayer}parts`],
    [layer('"role":"pulse","parts":["x"],"figure":"waltz"'), '"waltz" is not a figure', `${inLayer}figure`],
    [layer('"role":"pulse","parts":["x"],"octave":1.5'), '"1.5" is not a whole number', `${inLayer}octave`],
    [layer('"role":"pulse","parts":["x"],"octave":[1]'), 'the field "octave" is a list', `${inLayer}octave`],
    [layer('"role":"pulse","parts":["x"],"dynamic":"loud"'), '"loud" is not a dynamic', `${inLayer}dynamic`],
    [
      layer('"role":"pulse","parts":["x"],"dynamicEnd":"loud"'),
      '"loud" is not a dynamic',
      `${inLayer}dynamic`,
    ],
    [
      layer('"role":"pulse","parts":["x"],"entries":true'),
      'the field "entries" is true',
      `${inLayer}entries`,
    ],
    [
      layer('"role":"pulse","parts":["x"],"figures":"x"'),
      'has no field "figures". Its fields are',
      `${inLayer}figures`,
    ],
    [
      layer('"role":"pulse","parts":["x"],"technique":"bowing"'),
      '"bowing" is not a technique',
      `${inLayer}technique`,
    ],
    [
      passage('"name":"Calm","fromBar":5,"toBar":4,'),
      "ends in bar 4, before it begins",
      "cue.json, Calm, field toBar",
    ],
    [passage('"name":"Calm","toBar":4,'), "no bar is given", "cue.json, Calm, field fromBar"],
    [
      passage('"name":"Calm","fromBar":"one","toBar":4,'),
      '"one" is not a whole number',
      "Calm, field fromBar",
    ],
    [passage('"fromBar":1,"toBar":4,'), "the passage has no name", "cue.json, passage 1, field name"],
    [passage('"name":7.5,"bars":1,'), 'passage 1 has no field "bars"', "cue.json, passage 1, field bars"],
    [
      '{"passages":[{"name":"Calm","fromBar":1,"toBar":2}]}',
      "it needs a list of layers and has nothing",
      "Calm, field assignments",
    ],
    ['{"passages":[7]}', "passage 1 is the number 7, not a record", "cue.json, passage 1"],
    ['{"passages":{}}', "it needs a list of passages and has another record", "field passages"],
    ["{}", "it needs a list of passages and has nothing", "field passages"],
    ["[]", "the plan is an empty list, not a record", "cue.json"],
    ['{"passages":[],"tempo":90}', 'the plan has no field "tempo"', "field tempo"],
    ['{"passages":[],"quartersPerMinute":"90"}', 'its tempo is the text "90"', "field quartersPerMinute"],
    ['{"passages":[],"quartersPerMinute":2}', "its tempo is the number 2", "field quartersPerMinute"],
    ['{"passages":[],"players":{"Violas":0}}', '"Violas" has the number 0 as its players', "field players"],
    ['{"passages":[],"players":[]}', "its players are an empty list", "field players"],
    ['{"passages":[],"name":{}}', 'the field "name" is another record', "field name"],
    ['{\n"passages": [\n,]}', "the JSON is broken", "cue.json, row 3, column 1"],
    ["{", "the JSON is broken", "cue.json, row 1, column 2"],
    ['{"passages": [\n  {"name": "A" "fromBar": 1}]}', "the JSON is broken", "cue.json, row 2, column 16"],
  ];
  for (const [text, problem, place] of cases) {
    const error = assertThrows(() => readPlan(text, { file: FILE }), InputError, undefined, text);
    assert(error.message.startsWith("Cannot read the plan: "), error.message);
    for (const words of [problem.slice(0, problem.indexOf(". ") + 1 || undefined), place]) {
      assertStringIncludes(error.message, words.replace(/\.$/, ""));
    }
    assert(error.message.length <= 300, error.message);
  }
});

Deno.test("the layer of the JSON is named when the plan is realised", () => {
  const plan = readPlan(
    `{"passages":[{"name":"A","fromBar":1,"toBar":4,"assignments":[
      {"role":"lead","parts":["Flute 1"]},{"role":"pad","parts":["Horns","Flute 1"]}]}]}`,
    { file: FILE },
  );
  const said = (p: Plan) => assertThrows(() => realise(SKETCHES["four-four"]!, p), InputError).message;
  assertStringIncludes(
    said(plan),
    "has two roles in bar 1, lead and pad (cue.json, A, layer 2, field parts)",
  );
  const far = { ...plan, passages: plan.passages.map((p) => ({ ...p, toBar: 90 })) };
  assertStringIncludes(said(far), "(cue.json, A, field toBar)");
  const high = readPlan(
    JSON.stringify(vary(plan, { set: { parts: ["Tuba"], octave: 2 } }, { role: "lead" })),
    {
      file: FILE,
    },
  );
  assertStringIncludes(said(high), "cue.json, A, layer 1, ");
});

Deno.test("a table has no place for tempo and players: writing one says so rather than losing them", () => {
  const { moving } = demoPlans();
  for (
    const [change, words] of [
      [{ quartersPerMinute: 66 }, "a tempo of 66 quarters per minute"],
      [{ players: { Violas: 4 } }, "players of its own"],
    ] as const
  ) {
    const error = assertThrows(() => writePlan(vary(moving, change)), InputError);
    assertStringIncludes(error.message, words);
    assertStringIncludes(error.message, '{ format: "json" }');
  }
  assertThrows(() => writePlan(moving, { format: "xml" as never }), InputError, "format");
});

Deno.test("a text that is no JSON is broken where the longest beginning of it that some JSON has ends", () => {
  const isJsonText = (text: string) => {
    try {
      JSON.parse(text);
      return true;
    } catch {
      return false;
    }
  };
  fc.assert(
    fc.property(
      fc.json(),
      fc.nat(60),
      fc.constantFrom("", ",", '"', "]", "x", "\u0001", "-"),
      (json, where, by) => {
        const at = where % (json.length + 1);
        const text = json.slice(0, at) + by + json.slice(at + 1);
        if (isJsonText(text)) return;
        const fault = jsonFaultAt(text);
        // What stands before it goes on to some JSON, and it is no earlier than the word that was damaged.
        const endings = ["", "0", '"":0'];
        const before = text.slice(0, fault);
        const closers = (start: string) => {
          const open: string[] = [];
          for (const sign of start.replace(/"(?:[^"\\]|\\.)*"/g, "")) {
            if (sign === "{") open.push("}");
            if (sign === "[") open.push("]");
            if (sign === "}" || sign === "]") open.pop();
          }
          return open.reverse().join("");
        };
        assert(
          endings.some((ending) => isJsonText(before + ending + closers(before))),
          `${before} | ${text.slice(fault)}`,
        );
      },
    ),
    { seed: 5, numRuns: 500 },
  );
});

Deno.test("whatever the JSON, reading it gives a plan or an InputError, nothing else", () => {
  const texts = [demoPlans().held, demoPlans().moving].map((p) =>
    writePlan(p, { format: "json" }).slice(0, 900)
  );
  const broken = fc.oneof(
    fc.json().map((text) => `{"passages":${text}}`),
    fc.json().map((text) => `{"passages":[{"name":"A","fromBar":1,"toBar":2,"assignments":${text}}]}`),
    fc.jsonValue().map((value) =>
      JSON.stringify({
        passages: [{
          name: "A",
          fromBar: 1,
          toBar: 2,
          assignments: [{ role: "lead", parts: value, octave: value }],
        }],
      })
    ),
    fc.tuple(
      fc.constantFrom(...texts),
      fc.array(fc.tuple(fc.nat(899), fc.constantFrom(",", '"', "{", "]", "7", "null", "", "é")), {
        minLength: 1,
        maxLength: 4,
      }),
    ).map(([text, edits]) => edits.reduce((t, [at, by]) => t.slice(0, at) + by + t.slice(at + 1), text)),
  );
  let refused = 0;
  fc.assert(
    fc.property(broken, (text) => {
      try {
        readPlan(text, { file: FILE });
      } catch (error) {
        assertInstanceOf(error, InputError, `${(error as Error).stack}`);
        assert(error.message.length <= 300 && error.message.includes(FILE), error.message);
        refused++;
      }
    }),
    { seed: 3, numRuns: 500 },
  );
  assert(refused > 300, `only ${refused} texts were refused`);
});
