/** Recipes of generated settings, read off the notes: the plan shows, whatever the tune and chords are. */
import { assert, assertEquals } from "@std/assert";
import { recognise, type Score } from "ripieno";
import { recipeDistance, recipeOf } from "ripieno/survey";
import { orchestra, type OrchestraPart } from "../../../lib/instruments/orchestra.ts";
import { assign, type AssignmentInput } from "../../../lib/orchestrate/plan/plan.ts";
import { realise } from "../../../lib/orchestrate/realise/realise.ts";
import type { FigureId } from "../../../lib/texture/figures.ts";
import type { Role } from "../../../lib/texture/roles.ts";
import { PLAIN_FIGURES, suits } from "../../setup/generated_settings.ts";
import { generatedSketch, pick } from "../../setup/generated_sketches.ts";
import { random } from "../../setup/random.ts";

const PLANS = 50;

/** The parts of every plan: all of them play in all. */
const PARTS: readonly OrchestraPart[] = orchestra().filter(({ name }) =>
  [
    "Flute 1",
    "Oboe 1",
    "Clarinet 1",
    "Bassoon 1",
    "Horn 1",
    "Violins I",
    "Violins II",
    "Violas",
    "Cellos",
    "Double basses",
  ]
    .includes(name)
);

const BETWEEN: readonly Role[] = ["counterline", "pad", "pulse", "figuration"];

/** Layers in which every part has something to do: a lead, a bass, and the others in figures that suit them. */
function layersFor(seed: number): readonly AssignmentInput[] {
  const next = random(seed);
  const figureFor = (role: Role, part: OrchestraPart) =>
    PLAIN_FIGURES.filter((f) => f.role === role && suits(f, part));
  const [bass, ...others] = PARTS.toReversed();
  const lead = pick(others.filter((part) => figureFor("lead", part).length > 0), next);
  const layers = new Map<string, string[]>();
  const join = (role: Role, figure: string, part: OrchestraPart) =>
    layers.set(`${role}|${figure}`, [...layers.get(`${role}|${figure}`) ?? [], part.name]);
  join("lead", "tune", lead);
  join("bass", pick(figureFor("bass", bass!), next).id, bass!);
  const drawn = Array.from({ length: 3 }, () => pick(BETWEEN, next)).map((role) => ({
    role,
    figure: pick(PLAIN_FIGURES.filter((f) => f.role === role), next),
  }));
  for (const part of others.filter((one) => one !== lead)) {
    const fitting = drawn.filter(({ figure }) => suits(figure, part));
    const { role, figure } = fitting.length > 0
      ? pick(fitting, next)
      : { role: "pad" as const, figure: { id: "held chord" } };
    join(role, figure.id, part);
  }
  return [...layers].map(([key, parts]) => {
    const [role, figure] = key.split("|") as [Role, FigureId];
    return { role, figure, parts, dynamic: "mf" };
  });
}

function setting(plan: number, sketchSeed: number): Score {
  const sketch = generatedSketch("4/4", random(sketchSeed));
  const passage = {
    name: "All",
    fromBar: 1,
    toBar: sketch.score.bars.length,
    assignments: layersFor(plan).map(assign),
  };
  const { layers: _, ...read } = realise(sketch, { name: `plan ${plan}`, passages: [passage] }, {
    orchestra: PARTS,
    refuseImpossible: false,
  });
  return read;
}

Deno.test("of fifty plans on the same parts the same plan is nearest, read off the notes, while sketches change", () => {
  const recipes = [100, 200].map((sketch) =>
    Array.from({ length: PLANS }, (_, plan) => {
      const score = setting(plan, sketch + plan);
      return recipeOf(score, { texture: recognise(score) });
    })
  );
  let hits = 0;
  for (const [own, others] of [recipes, recipes.toReversed()] as const) {
    own!.forEach((recipe, plan) => {
      const distances = others!.map((other) => recipeDistance(recipe, other));
      if (distances.indexOf(Math.min(...distances)) === plan) hits++;
    });
  }
  assertEquals(PARTS.length, 10);
  const share = hits / (2 * PLANS);
  console.log(
    `the same plan is nearest in ${(100 * share).toFixed(1)} % of ${
      2 * PLANS
    } settings; by chance it would be in ${(100 / PLANS).toFixed(1)} %`,
  );
  assert(share >= 0.95, `${share}`);
});
