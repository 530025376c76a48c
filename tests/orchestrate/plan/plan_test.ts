/** Reading and writing plans: what is accepted, and one clear sentence for everything that is not. */
import { assert, assertEquals, assertInstanceOf, assertMatch, assertThrows } from "@std/assert";
import fc from "fast-check";
import { demoPlans } from "../../../lib/demo.ts";
import { InputError } from "../../../lib/base/errors.ts";
import { assign, type Plan } from "../../../lib/orchestrate/plan/plan.ts";
import { readPlan, writePlan } from "../../../lib/orchestrate/plan/plan_table.ts";
import { vary } from "../../../lib/orchestrate/plan/vary.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import { DYNAMIC_MARKS } from "../../../lib/score/dynamics.ts";
import { FIGURES } from "../../../lib/texture/figures.ts";
import { SKETCHES } from "../sketches.ts";

const HEADER = "passage,from_bar,to_bar,role,figure,parts,articulation,dynamic,octave,technique";
const FILE = "cue.csv";
const DEMO: readonly Plan[] = [demoPlans().held, demoPlans().moving, demoPlans().rotating];

/** What reading a table complains about. */
function complaint(text: string): InputError {
  return assertThrows(() => readPlan(text, { file: FILE }), InputError, undefined, text);
}

/** The plan without its places, which differ from file to file. */
function plain(plan: Plan): unknown {
  return plan.passages.map((p) => ({
    ...p,
    assignments: p.assignments.map(({ where: _where, ...rest }) => rest),
  }));
}

Deno.test("a full row is read field by field, an empty field means the usual", () => {
  const plan = readPlan(
    `${HEADER}
"Calm, at first",1,4,Pulse,repeated eighths,Violins II + Violas,Détaché,p to mf,-1,Pizzicato
"Calm, at first",1,4,lead,,Flute 1,,,,
After,5,8,trill,tremolo,Violins I,accented,ff,,sul ponticello`,
    { file: `somewhere/${FILE}` },
  );
  assertEquals(plan.name, "cue");
  assertEquals(plain(plan), [{
    name: "Calm, at first",
    fromBar: 1,
    toBar: 4,
    assignments: [{
      role: "pulse",
      figure: "repeated eighths",
      parts: ["Violins II", "Violas"],
      articulation: "plain",
      dynamic: "p",
      dynamicEnd: "mf",
      octave: -1,
      technique: "pizzicato",
    }, {
      role: "lead",
      figure: "tune",
      parts: ["Flute 1"],
      articulation: "plain",
      dynamic: "mf",
      dynamicEnd: "mf",
      octave: null,
      technique: "ordinario",
    }],
  }, {
    name: "After",
    fromBar: 5,
    toBar: 8,
    assignments: [{
      role: "trill",
      figure: "tremolo",
      parts: ["Violins I"],
      articulation: "accent",
      dynamic: "ff",
      dynamicEnd: "ff",
      octave: null,
      technique: "sul ponticello",
    }],
  }]);
});

Deno.test("a technique may be written as it is printed in parts", () => {
  const row = (technique: string) =>
    readPlan(`${HEADER}\nA,1,4,pad,held chord,Violas,,p,,${technique}`, { file: FILE }).passages[0]!
      .assignments[0]!
      .technique;
  assertEquals(["Pizz.", "con sord.", "arco", "sul pont."].map(row), [
    "pizzicato",
    "con sordino",
    "ordinario",
    "sul ponticello",
  ]);
});

Deno.test("semicolons, tabs, a byte order mark, Windows line ends, columns in another order and empty lines do not matter", () => {
  const rows = [HEADER, "A,1,4,lead,tune,Violins I,,p,,", "A,1,4,pad,held chord,Horns,,pp,0,"];
  const expected = plain(readPlan(rows.join("\n")));
  const tables = [
    rows.join("\r\n") + "\r\n",
    "\uFEFF" + rows.join("\n"),
    rows.join("\n").replaceAll(",", ";"),
    "\uFEFF" + rows.join("\r\n").replaceAll(",", ";") + "\r\n\r\n",
    rows.join("\n").replaceAll(",", "\t"),
    rows.join("\n\n") + "\n\n\n",
    rows.map((r) => r.split(",").reverse().join(",")).join("\n"),
    rows.map((r) => r.split(",").map((f) => ` ${f} `).join(",")).join("\n"),
    rows.map((r) => r.split(",").map((f) => `"${f}"`).join(",")).join("\n"),
  ];
  for (const table of tables) assertEquals(plain(readPlan(table)), expected, table);
});

Deno.test("what cannot be used is said with file, row, column and a remedy", () => {
  const row = (fields: Partial<Record<string, string>>) => {
    const usual = {
      passage: "A",
      from_bar: "1",
      to_bar: "4",
      role: "pulse",
      figure: "repeated eighths",
      parts: "Violas",
      articulation: "",
      dynamic: "p",
      octave: "",
      technique: "",
    };
    return `${HEADER}\nA,1,4,lead,tune,Violins I,,p,,\n${Object.values({ ...usual, ...fields }).join(",")}`;
  };
  const cases: readonly (readonly [string, RegExp, number | undefined, string | undefined])[] = [
    [row({ role: "drums" }), /"drums" is not a role a part can be given/, 3, "role"],
    [row({ role: "rest" }), /"rest" is not a role a part can be given/, 3, "role"],
    [row({ role: "" }), /no role is given/, 3, "role"],
    [row({ figure: "waltz" }), /"waltz" is not a figure/, 3, "figure"],
    [row({ figure: "tune" }), /"tune" belongs to the role lead, not to pulse/, 3, "figure"],
    [
      row({ articulation: "pizzicato" }),
      /"pizzicato" is a technique, not an articulation/,
      3,
      "articulation",
    ],
    [row({ technique: "staccato" }), /"staccato" is an articulation, not a technique/, 3, "technique"],
    [row({ articulation: "slapped" }), /"slapped" is not an articulation/, 3, "articulation"],
    [row({ dynamic: "loud" }), /"loud" is not a dynamic/, 3, "dynamic"],
    [row({ dynamic: "p to loud" }), /"loud" is not a dynamic/, 3, "dynamic"],
    [
      row({ dynamic: "p to f to p to f" }),
      /"p to f to p to f" has more than a start, a middle and an end/,
      3,
      "dynamic",
    ],
    [row({ technique: "bowing" }), /"bowing" is not a technique/, 3, "technique"],
    [row({ octave: "high" }), /"high" is not a whole number/, 3, "octave"],
    [row({ octave: "1.5" }), /"1.5" is not a whole number/, 3, "octave"],
    [row({ octave: "40" }), /an octave of 40/, 3, "octave"],
    [row({ from_bar: "one" }), /"one" is not a whole number/, 3, "from_bar"],
    [row({ to_bar: "" }), /no bar is given/, 3, "to_bar"],
    [row({ from_bar: "5" }), /ends in bar 4, before it begins in bar 5/, 3, "to_bar"],
    [row({ parts: "" }), /given to nobody/, 3, "parts"],
    [row({ parts: " + " }), /given to nobody/, 3, "parts"],
    [row({ passage: "" }), /the passage has no name/, 3, "passage"],
    ["", /it has no rows|it has no column/, undefined, undefined],
    ["\n\n", /it has no rows|it has no column/, undefined, undefined],
    [HEADER, /it has no rows/, undefined, undefined],
    [HEADER.replace("role,", "") + "\nA,1,4,tune,Violins I,,p,,", /it has no column "role"/, 1, undefined],
    [HEADER + ",tempo\nA,1,4,lead,tune,Violins I,,p,,,80", /"tempo" is not a column of a plan/, 1, undefined],
    [
      HEADER.replace("octave", "role") + "\nA,1,4,lead,tune,Violins I,,p,,",
      /the column "role" stands twice/,
      1,
      undefined,
    ],
    [
      `${HEADER},entries\nA,1,4,pad,held chord,Horns,,p,,,at random`,
      /"at random" is not what entries can be.*Use together, from below, from above/,
      2,
      "entries",
    ],
    [
      `${HEADER},entries\nA,1,4,lead,tune,Oboe 1,,p,,,from below`,
      /the lead is to have entries "from below".*for pad, pulse, trill/,
      2,
      "entries",
    ],
    [`${HEADER}\nA,1,4,lead,tune,Violins I`, /too few fields/, 2, undefined],
    [`${HEADER}\nA,1,4,lead,tune,Violins I, Flute 1,,p,,`, /too many fields/, 2, undefined],
    [`${HEADER}\n"A,1,4,lead,tune,Violins I,,p,,`, /quote/, 2, undefined],
  ];
  for (const [text, problem, inRow, column] of cases) {
    const error = complaint(text);
    assert(problem.test(error.message), `${error.message} against ${problem}`);
    assert(error.message.startsWith("Cannot read the plan: "), error.message);
    assert(error.message.includes(FILE), error.message);
    assertEquals([error.where.row, error.where.column], [inRow, column], error.message);
    assert(/[a-z]{3}/.test(error.remedy) && !error.remedy.endsWith("."), error.message);
  }
});

Deno.test("rows are counted as an editor counts lines, empty lines and quoted line breaks included", () => {
  const error = complaint(
    `${HEADER}\n\n"A\nB",1,4,lead,tune,Violins I,,p,,\n\nA,1,4,pad,held chord,Horns,,loud,,`,
  );
  assertEquals(error.where.row, 6);
});

Deno.test("a passage may come in pieces, and passages are put in order", () => {
  const plan = readPlan(`passage,from_bar,to_bar,role,parts
B,5,8,lead,Oboe 1
A,1,4,lead,Flute 1
B,5,8,pad,Horns`);
  assertEquals(plan.passages.map((p) => [p.name, p.assignments.length]), [["A", 1], ["B", 2]]);
});

Deno.test("the row of the table is named when the plan is realised", () => {
  const plan = readPlan(`passage,from_bar,to_bar,role,parts\nA,1,4,lead,Flute 1\nA,2,3,pad,Horns + Flute 1`, {
    file: FILE,
  });
  const error = assertThrows(() => realise(SKETCHES["four-four"]!, plan), InputError);
  assertEquals(
    error.message,
    `Cannot realise the plan: "Flute 1" has two roles in bar 2, lead and pad (cue.csv, row 3, column parts). Give each part one role at a time, or use another player of the section.`,
  );
});

const word = fc.constantFrom("A", "Calm, water", 'the "pool"', "línea", "a;b", "a\tb", "x\ny");
const anyAssignment = fc.record({
  figure: fc.constantFrom(...FIGURES),
  parts: fc.uniqueArray(fc.constantFrom("Flute 1", "Horns", "Violins I", "Cor anglais"), { minLength: 1 }),
  articulation: fc.constantFrom("plain", "slurred", "staccato", "portato", "marcato"),
  dynamic: fc.constantFrom(...DYNAMIC_MARKS),
  dynamicEnd: fc.constantFrom(...DYNAMIC_MARKS),
  octave: fc.constantFrom(null, -2, -1, 0, 1, 2),
  technique: fc.constantFrom("ordinario", "pizzicato", "con sordino", "flutter"),
  entries: fc.constantFrom("together", "from below", "from above"),
  chords: fc.record({
    divisi: fc.constantFrom("", "divided", "divided in three", "double stops"),
    voicing: fc.constantFrom("", "", "close", "family blends"),
  }),
}).map(({ figure, entries, chords, ...rest }) => {
  const staggers = ["pad", "pulse", "trill"].includes(figure.role);
  const input = {
    ...rest,
    role: figure.role,
    figure: figure.id,
    ...(staggers ? { entries } : {}),
    ...(staggers || figure.role === "punctuation" ? chords : {}),
  };
  return assign(input as Parameters<typeof assign>[0]);
});
const anyPlan = fc.uniqueArray(
  fc.record({
    name: word,
    fromBar: fc.integer({ min: 0, max: 99 }),
    length: fc.integer({ min: 0, max: 20 }),
    assignments: fc.array(anyAssignment, { minLength: 1, maxLength: 4 }),
  }),
  { minLength: 1, maxLength: 5, selector: (p) => `${p.name} ${p.fromBar} ${p.length}` },
).map((passages): Plan => ({
  name: "plan",
  passages: passages.map(({ length, ...p }) => ({ ...p, toBar: p.fromBar + length }))
    .sort((a, b) => a.fromBar - b.fromBar || a.toBar - b.toBar),
}));

Deno.test("every plan comes back from its table as it was", () => {
  fc.assert(
    fc.property(anyPlan, (plan) => {
      assertEquals(plain(readPlan(writePlan(plan))), plain(plan));
    }),
    { seed: 48, numRuns: 200 },
  );
  for (const plan of DEMO) assertEquals(plain(readPlan(writePlan(plan))), plain(plan));
});

Deno.test("columns that most plans have no need of are written where a layer needs them, and left out where none does", () => {
  const pads = (...entries: readonly string[]) =>
    readPlan(
      `${HEADER},entries\n${
        entries.map((e, i) => `A,1,4,pad,held chord,Horn ${i + 1},,p,,,${e}`).join("\n")
      }`,
    );
  assertEquals(writePlan(pads("", "together")).split("\n")[0], HEADER);
  assertEquals(pads("", "together").passages[0]!.assignments.map((a) => Object.hasOwn(a, "entries")), [
    false,
    false,
  ]);
  const table = writePlan(pads("", "From Below")).split("\n");
  assertEquals(table.slice(0, 3), [
    `${HEADER},entries`,
    "A,1,4,pad,held chord,Horn 1,plain,p,,ordinario,together",
    "A,1,4,pad,held chord,Horn 2,plain,p,,ordinario,from below",
  ]);
});

Deno.test("divisi and voicing are for chords, and a layer that becomes a line drops them", () => {
  const rows = (role: string, figure: string, fields: string) =>
    `${HEADER},divisi,voicing\nA,1,4,${role},${figure},Violas,,p,,,${fields}`;
  const plan = readPlan(rows("pad", "held chord", "Divided in three,close"));
  const [pad] = plan.passages[0]!.assignments;
  assertEquals([pad!.divisi, pad!.voicing], ["divided in three", "close"]);
  const only = ({ passages }: Plan) => passages[0]!.assignments[0]!;
  const undivided = only(vary(plan, { set: { divisi: "", voicing: "" } }));
  assertEquals([undivided.divisi, undivided.voicing], [undefined, undefined]);
  assertEquals(only(vary(plan, { set: { role: "figuration" } })).divisi, undefined);
  assertEquals(only(vary(plan, { set: { role: "trill" } })).divisi, "divided in three");
  assertMatch(complaint(rows("lead", "tune", "divided,")).message, /divisi "divided".*for pad, pulse, trill/);
  assertMatch(complaint(rows("pad", "held chord", "split,")).message, /"split" is not what divisi can be/);
  assertMatch(complaint(rows("pad", "held chord", ",wide")).message, /"wide" is not what voicing can be/);
});

/** A table with some of its characters changed, or any text at all. */
const brokenTable = fc.oneof(
  fc.string({ maxLength: 300, unit: "binary" }),
  fc.tuple(
    fc.constantFrom(...DEMO.map((p) => writePlan(p).slice(0, 600))),
    fc.array(
      fc.tuple(fc.nat(599), fc.constantFrom(",", '"', "\n", ";", "\r", "+", "x", "", "-9", "\u0000", "é")),
      {
        minLength: 1,
        maxLength: 8,
      },
    ),
  ).map(([text, edits]) => edits.reduce((t, [at, by]) => t.slice(0, at) + by + t.slice(at + 1), text)),
);

Deno.test("whatever the text, reading and realising it gives a result or an InputError, nothing else", () => {
  let refused = 0;
  fc.assert(
    fc.property(brokenTable, (text) => {
      try {
        realise(SKETCHES["four-four"]!, readPlan(text, { file: FILE }));
      } catch (error) {
        assertInstanceOf(error, InputError, `${(error as Error).stack}`);
        refused++;
      }
    }),
    { seed: 1905, numRuns: 400 },
  );
  assert(refused > 100, `only ${refused} texts were refused`);
});
