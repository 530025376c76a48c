/** Bettering a plan bit by bit: never worse, within what may be changed, the same for the same seed. */
import { assert, assertEquals } from "@std/assert";
import { randomFrom } from "../../../lib/base/random_from.ts";
import { demoSketch } from "../../../lib/demo.ts";
import { orchestra as orchestraByName } from "../../../lib/instruments/orchestra.ts";
import { seatsNamed } from "../../../lib/orchestrate/plan/place_assignments.ts";
import { candidateWith, type PlanTask } from "../../../lib/orchestrate/search/best_plans.ts";
import { changeVoices } from "../../../lib/orchestrate/search/change_voices.ts";
import { passageMeasurer, planMeasurer } from "../../../lib/orchestrate/search/measured_plan.ts";
import { polished } from "../../../lib/orchestrate/search/polish.ts";
import { drawnScorings, PLAYER_WISHES, scoringTask } from "../../../lib/orchestrate/search/scoring_pool.ts";
import { groundOf } from "../../../lib/orchestrate/search/search_ground.ts";

const sketch = demoSketch();
const orchestra = orchestraByName("chamber");
const wishes = {
  passages: [
    { name: "Calm water", fromBar: 1, toBar: 4, momentum: 1, lead: ["Clarinet 1"], rest: ["Flute 2"] },
    { name: "Rapids", fromBar: 17, toBar: 20, momentum: 4, leadAtLeast: 0.4 },
  ],
};
const ground = groundOf(sketch, wishes, { orchestra, fixed: undefined });
const { spans, seats } = ground;
const measurePassage = passageMeasurer(sketch, { orchestra, spans });
const pools = spans.map((_, passage) => [
  ...drawnScorings({ ground, passage, count: 1, seed: 3, minds: PLAYER_WISHES, measure: measurePassage }),
]);
const task: PlanTask = {
  ground,
  pools,
  choose: () => [0, 0],
  measure: planMeasurer(sketch, { orchestra, spans }),
};
const plan = candidateWith(task, pools.map((pool) => pool[0]!), [0, 0])!;
const better = (
  mayStand: () => boolean,
  onTried: () => void = () => {},
) => [...polished({ ...task, measurePassage, seed: 2, steps: 30, mayStand, onTried }, plan)];

Deno.test("a plan gets better and never worse, and stays where nothing else may stand", () => {
  const found = better(() => true);
  found.forEach((one, i) => assert(i === 0 || one.shortfall <= found[i - 1]!.shortfall));
  assert(found.at(-1)!.shortfall < plan.shortfall - 0.01, `${plan.shortfall} to ${found.at(-1)!.shortfall}`);
  assertEquals(better(() => true).at(-1)!.plan, found.at(-1)!.plan);
  let tried = 0;
  assertEquals(better(() => false, () => tried++).at(-1), plan);
  assert(tried > 0 && tried < 30, `${tried} of 30 changes that were drawn were tried`);
});

Deno.test("who is changed in a layer was free, who is to rest rests, who is to lead leads", () => {
  const random = randomFrom(5);
  let changed = 0;
  for (let i = 0; i < 300; i++) {
    const passage = i % 2;
    const layers = pools[passage]![0]!.assignments;
    const own = scoringTask({ ground, passage, minds: PLAYER_WISHES });
    const other = changeVoices(own, layers, { seats, random });
    if (other === undefined) continue;
    changed++;
    const playing = other.flatMap((a) => a.parts.flatMap((name) => seatsNamed(name, seats)));
    assertEquals(new Set(playing).size, playing.length);
    assert(playing.every((seat) => !own.rest.has(seat)));
    assertEquals(other.map((a) => a.role), layers.map((a) => a.role));
    if (passage === 0) assertEquals(other.find((a) => a.role === "lead")!.parts, ["Clarinet 1"]);
  }
  assert(changed > 100, `${changed} changes`);
});
