/** Figures of one's own: checked, written in every metre, read by their name, kept by plans. */
import { assert, assertEquals, assertGreater, assertStringIncludes, assertThrows } from "@std/assert";
import { InputError } from "../../lib/base/errors.ts";
import { assign, type Plan } from "../../lib/orchestrate/plan/plan.ts";
import { readPlan, writePlan } from "../../lib/orchestrate/plan/plan_table.ts";
import { vary } from "../../lib/orchestrate/plan/vary.ts";
import { realise } from "../../lib/orchestrate/realise/realise.ts";
import { type DefinedFigure, defineFigure, type FigureDefinition } from "../../lib/texture/define_figure.ts";
import { readFigures } from "../../lib/texture/recognise/read_figures.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { writtenTexture } from "../../lib/texture/written.ts";
import { faultsOf, notesOf, SKETCHES, wholePlan } from "../orchestrate/sketches.ts";

const half = 1 / 2;
const TRESILLO: FigureDefinition = {
  id: "three and three and two",
  cellQuarters: 4,
  strokes: [{ at: 0, length: 3 / 2, accent: true }, { at: 3 / 2, length: 3 / 2 }, { at: 3, length: 1 }],
};
const ROCKING: FigureDefinition = {
  id: "rocking in long and short",
  cellQuarters: 1,
  strokes: [{ at: 0, length: 2 / 3 }, { at: 2 / 3, length: 1 / 3 }],
  tones: "alternating",
};
const TURNING: FigureDefinition = {
  id: "high, low, middle",
  cellQuarters: 3 / 2,
  strokes: [{ at: 0, length: half }, { at: half, length: half }, { at: 1, length: half }],
  tones: [2, 0, 1],
};
const STROKES: FigureDefinition = {
  id: "two strokes",
  cellQuarters: 2,
  role: "punctuation",
  strokes: [{ at: 0, length: half }, { at: 3 / 4, length: 1 / 4 }],
};
const OWN = [TRESILLO, ROCKING, TURNING, STROKES].map(defineFigure);

function planFor(name: string, figure: DefinedFigure, parts: readonly string[]): Plan {
  const sketch = SKETCHES[name]!;
  return {
    ...wholePlan(
      sketch,
      { role: "lead", parts: ["Flute 1"] },
      { role: figure.role, figure, parts },
      { role: "bass", parts: ["Double basses"] },
    ),
    figures: [figure],
  };
}

Deno.test("figures of one's own are written in every metre, on every family, without faults", () => {
  for (const [name, sketch] of Object.entries(SKETCHES)) {
    for (const figure of OWN) {
      for (const parts of [["Clarinets"], ["Violins II", "Violas"], ["Harp"], ["Horns"], ["Snare drum"]]) {
        const score = realise(sketch, planFor(name, figure, parts), { refuseImpossible: false });
        const own = score.parts.map((p) => p.name).filter((p) => p !== "Flute 1" && p !== "Double basses");
        assert(own.every((p) => notesOf(score, p).length > 0), `${figure.id}, ${own}`);
        const faults = faultsOf(score, "rangeComfortable").filter((f) => !f.startsWith("Flute"));
        assertEquals(faults, [], `${name}: ${figure.id}, ${parts}`);
      }
    }
  }
});

Deno.test("strokes and accents stand where the definition has them", () => {
  const score = realise(SKETCHES["four-four"]!, planFor("four-four", OWN[0]!, ["Violas"]));
  const first = notesOf(score, "Violas").slice(0, 3);
  assertEquals(first.map((n) => n.onsetTicks / score.ticksPerQuarter), [0, 3 / 2, 3]);
  assertEquals(first.map((n) => n.articulations.includes("accent")), [true, false, false]);
});

Deno.test("given to readers they are read back by their own name; what a setting was written with is known", () => {
  let [cells, read, named] = [0, 0, 0];
  for (const [name, sketch] of Object.entries(SKETCHES)) {
    for (const figure of OWN) {
      const score = realise(sketch, planFor(name, figure, ["Violins II", "Violas"]), {
        refuseImpossible: false,
      });
      const found = recognise(score, { figures: OWN }).cells;
      const figures = readFigures(score, { figures: OWN });
      for (const [i, cell] of writtenTexture(score)!.cells.entries()) {
        if (cell.figure !== figure.id) continue;
        cells++;
        if (found[i]!.figure === figure.id && found[i]!.role === figure.role) read++;
        if (figures[i]!.name === figure.id) named++;
      }
    }
  }
  console.log(`  ${read} and ${named} of ${cells} cells`);
  assert(cells > 200);
  assertGreater(read / cells, 0.9);
  assertGreater(named / cells, 0.9);
});

Deno.test("a plan keeps its figures: from a table, through changes, as JSON", () => {
  const table = `passage,from_bar,to_bar,role,figure,parts\nA,1,4,pulse,${TRESILLO.id},Violas`;
  const plan = readPlan(table, { figures: OWN });
  const louder = vary(plan, { set: { dynamic: "f" } });
  assertEquals(louder.passages[0]!.assignments[0]!.figure, OWN[0]!.id);
  const again = readPlan(writePlan(louder, { format: "json" }));
  assertEquals(
    realise(SKETCHES["four-four"]!, again).notes,
    realise(SKETCHES["four-four"]!, louder).notes,
  );
  assertStringIncludes(
    assertThrows(() => readPlan(table), InputError).message,
    `"${TRESILLO.id}" is not a figure (row 2, column figure)`,
  );
  const unknown: Plan = {
    name: "without",
    passages: [{
      name: "A",
      fromBar: 1,
      toBar: 4,
      assignments: [assign({ role: "pulse", figure: OWN[0]!, parts: ["Violas"] })],
    }],
  };
  assertStringIncludes(
    assertThrows(() => realise(SKETCHES["four-four"]!, unknown), InputError).message,
    "among the plan's figures",
  );
});

Deno.test("what cannot be a figure is refused in words", () => {
  const stroke = { at: 0, length: 1 };
  const refused = (change: Partial<Record<keyof FigureDefinition, unknown>>) =>
    assertThrows(
      () => defineFigure({ id: "mine", cellQuarters: 1, strokes: [stroke], ...change } as FigureDefinition),
      InputError,
    ).message;
  assertStringIncludes(refused({ id: "trill" }), "the library's figures have that name");
  assertStringIncludes(refused({ id: " " }), "it has no name");
  assertStringIncludes(refused({ cellQuarters: 0 }), "0 quarters long");
  assertStringIncludes(refused({ cellQuarters: NaN }), "needs");
  assertStringIncludes(refused({ strokes: [] }), "it has no strokes");
  assertStringIncludes(refused({ strokes: [{ at: 0, length: 1 / 5 }] }), "cannot be written");
  assertStringIncludes(refused({ strokes: [{ at: 0.5, length: 1 }] }), "ends after its cell");
  assertStringIncludes(refused({ strokes: [stroke, stroke], cellQuarters: 2 }), "begins before");
  assertStringIncludes(refused({ tones: [1] }), "counted from the lowest");
  assertStringIncludes(refused({ tones: "any" }), "its tones are not known");
  assertStringIncludes(refused({ role: "lead" }), 'its role is "lead"');
});
