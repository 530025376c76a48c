/** What an orchestrator would laugh at is left out, and nothing of it is found in scorings that are drawn or changed. */
import { assert, assertEquals } from "@std/assert";
import { demoSketch } from "../../../lib/demo.ts";
import { orchestra as orchestraByName } from "../../../lib/instruments/orchestra.ts";
import { seatsNamedBy } from "../../../lib/orchestrate/plan/place_assignments.ts";
import { assign, type AssignmentInput } from "../../../lib/orchestrate/plan/plan.ts";
import { isAgainstPractice } from "../../../lib/orchestrate/search/against_practice.ts";
import type { PassageAsked } from "../../../lib/orchestrate/search/plan_wishes.ts";
import { PLAYER_WISHES, scoringTask } from "../../../lib/orchestrate/search/scoring_pool.ts";
import { groundOf } from "../../../lib/orchestrate/search/search_ground.ts";
import type { FigureId } from "../../../lib/texture/figures.ts";
import type { Role } from "../../../lib/texture/roles.ts";

const orchestra = orchestraByName();

/** Whether some layers go against practice in bars 1 to 8 of the demo; each as role, figure and parts. */
function isLaughedAt(
  layers: readonly (readonly [Role, FigureId, ...string[]])[],
  asked: Partial<PassageAsked> = {},
): boolean {
  const passages = [{ name: "Calm water", fromBar: 1, toBar: 8, momentum: 1, ...asked }];
  const ground = groundOf(demoSketch(), { passages }, { orchestra, fixed: undefined });
  const task = scoringTask({ ground, passage: 0, minds: PLAYER_WISHES });
  return isAgainstPractice(
    { ...task, seatsOf: (a) => seatsNamedBy(a.parts, ground.seats) },
    layers.map(([role, figure, ...parts]) =>
      assign({ role, figure, parts, dynamic: "p" } as AssignmentInput)
    ),
  );
}

Deno.test("a line for one goes to the first player of a kind, unless another was asked for or the first is to rest", () => {
  assert(isLaughedAt([["lead", "tune", "Oboe 2"]]));
  assert(!isLaughedAt([["lead", "tune", "Oboe 1"]]));
  assert(isLaughedAt([["lead", "tune", "Oboe 2"], ["pad", "held chord", "Oboe 1"]]));
  assert(!isLaughedAt([["lead", "tune", "Oboe 1"], ["pad", "held chord", "Oboe 2"]]));
  assert(!isLaughedAt([["lead", "tune", "Oboe 2"]], { lead: ["Oboe 2"] }));
  assert(!isLaughedAt([["lead", "tune", "Oboe 2"]], { rest: ["Oboe 1"] }));
});

Deno.test("double basses are no bass alone while others are free", () => {
  const bass: FigureId = "sustained bass";
  assert(isLaughedAt([["lead", "tune", "Oboe 1"], ["bass", bass, "Double basses"]]));
  assert(!isLaughedAt([["lead", "tune", "Oboe 1"], ["bass", bass, "Cellos", "Double basses"]]));
  assert(!isLaughedAt([["lead", "tune", "Oboe 1"], ["bass", bass, "Cellos"]]));
});

Deno.test("where it is loud, no strings rest while others play more than the bass", () => {
  const lead = ["lead", "tune", "Violins I"] as const;
  const bass = ["bass", "sustained bass", "Cellos", "Double basses"] as const;
  const pad = ["pad", "held chord", "Violins II", "Violas"] as const;
  assert(isLaughedAt([lead, bass], { dynamic: "f" }));
  assert(!isLaughedAt([lead, bass, pad], { dynamic: "f" }));
  assert(!isLaughedAt([lead, bass], { dynamic: "p" }));
  assert(!isLaughedAt([["lead", "tune", "Trumpet 1"], bass], { dynamic: "f" }));
});

Deno.test("low instruments do not run, piccolos repeat no chords, threes are not set against fours", () => {
  const lead = ["lead", "tune", "Violins I"] as const;
  assert(isLaughedAt([lead, ["run", "running scale", "Bassoon 1"]]));
  assert(!isLaughedAt([lead, ["run", "running scale", "Clarinet 1"]]));
  assert(isLaughedAt([lead, ["pulse", "repeated eighths", "Piccolo"]]));
  assert(isLaughedAt([lead, ["figuration", "broken chord in eighths", "Piccolo", "Cor anglais"]]));
  const winds = ["pulse", "repeated triplets", "Clarinets"] as const;
  assert(isLaughedAt([lead, winds, ["figuration", "broken chord in sixteenths", "Violas"]]));
  assert(!isLaughedAt([lead, winds, ["figuration", "broken chord in triplets", "Violas"]]));
  assertEquals(isLaughedAt([lead, winds]), false);
});
