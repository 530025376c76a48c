/** One vocabulary for what a part does: every word once, and nothing named by another. */
import { assertEquals, assertThrows } from "@std/assert";
import { demoScore, InputError } from "ripieno";
import { BROAD_KINDS } from "../../lib/texture/broad_kinds.ts";
import { broadOf, FIGURE_SHAPES, shapesNamed } from "../../lib/texture/figure_shapes.ts";
import { FIGURES, isFigureName } from "../../lib/texture/figures.ts";
import { FIGURE_WEIGHTS } from "../../lib/texture/judge/figure_weights.ts";
import { TEXTURE_WEIGHTS } from "../../lib/texture/judge/texture_weights.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import { readFigures } from "../../lib/texture/recognise/read_figures.ts";
import { roleDoes } from "../../lib/texture/role_does.ts";
import { ROLES } from "../../lib/texture/roles.ts";
import { writtenTexture } from "../../lib/texture/written.ts";
import { ANNOTATED_SHAPES } from "../setup/texture_labels.ts";

Deno.test("every word is there once, and every figure, model row and annotators' word is of a shape that is there", () => {
  const shapes = FIGURE_SHAPES.map((s) => s.shape);
  for (const words of [shapes, FIGURES.map((f) => f.id), ROLES.map((r) => r.role)]) {
    assertEquals(new Set<string>(words).size, words.length);
  }
  const used = [
    ...FIGURES.map((f) => f.shape),
    ...TEXTURE_WEIGHTS.kinds,
    ...FIGURE_WEIGHTS.shapes,
    ...Object.values(ANNOTATED_SHAPES),
  ];
  assertEquals(used.filter((shape) => !shapes.includes(shape)), []);
  assertEquals(shapes.filter((shape) => !used.includes(shape)), []);
  assertEquals(TEXTURE_WEIGHTS.kinds, Object.values(ANNOTATED_SHAPES));
  assertEquals(BROAD_KINDS.filter((broad) => !FIGURE_SHAPES.some((s) => s.broad === broad)), []);
});

Deno.test("a role does what the shapes of its figures come down to", () => {
  for (const { id, role, shape } of FIGURES) assertEquals(roleDoes(role, id), broadOf(shape), id);
  assertEquals(roleDoes("bass", "bass in eighths"), "moving");
  assertEquals(roleDoes("rest", "none"), "silent");
});

Deno.test("what is read has a name that figures may be called by", () => {
  const score = demoScore();
  const names = [...recognise(score).cells.map((c) => c.figure), ...readFigures(score).map((f) => f.name)];
  assertEquals(names.filter((name) => !isFigureName(name)), []);
});

Deno.test("words that are none are refused: rows of weights, roles and figures of a score's layers", () => {
  assertThrows(() => shapesNamed(["tune", "oscillation"]), InputError, 'a row for "oscillation"');
  const score = demoScore();
  const withLayer = (change: Readonly<Record<string, string>>) => ({
    ...score,
    layers: score.layers!.map((l, i) => i === 0 ? { ...l, ...change } : l),
  });
  assertThrows(() => writtenTexture(withLayer({ role: "drums" })), InputError, 'the role "drums"');
  assertThrows(() => writtenTexture(withLayer({ figure: "waltz" })), InputError, 'the figure "waltz"');
});
