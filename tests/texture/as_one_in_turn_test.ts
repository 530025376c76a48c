/** What comes in turn, bar by bar: by hand, and on a movement that is free for any use. */
import { assert, assertEquals, assertLess } from "@std/assert";
import { cellFeatures } from "../../lib/texture/features/features.ts";
import { asOneInTurn } from "../../lib/texture/recognise/as_one_in_turn.ts";
import type { Reading } from "../../lib/texture/recognise/readings.ts";
import { recognise } from "../../lib/texture/recognise/recognise.ts";
import type { Role } from "../../lib/texture/roles.ts";
import { openScore } from "../setup/open_scores.ts";
import { sharedFolder } from "../setup/shared_data.ts";
import { example } from "./examples.ts";

function reading(role: Role, confidence: number): Reading {
  return { role, figure: "none", does: "moving", confidence, leadShare: 0.1, facts: [role] };
}

/** A bar struck on the beats, and one struck twice as often. */
const [BEATS, HALVES] = ["(D4:1)x2", "(E4:1/2)x4"];

/** What becomes of a part beside one that leads as surely as is said. */
function settled(
  own: readonly (readonly [Role, number])[],
  { music, lead = 0.9, together }: {
    readonly music?: readonly string[];
    readonly lead?: number;
    readonly together?: Role;
  } = {},
): readonly Reading[] {
  const line = (music ?? own.map((_, b) => b % 2 === 0 ? BEATS : HALVES)).join(" ");
  const beside = own.map(() => "A5:1 G5:1").join(" ");
  const score = example([["viola", line], ["flute", beside]], { quartersPerBar: 2 });
  const lower = reading("lead", lead);
  const read = asOneInTurn(own.flatMap(([role, sure]) => [reading(role, sure), lower]), {
    features: cellFeatures(score),
    parts: 2,
    together: () => together,
    named: (_, role) => role === "lead" ? "tune" : "repeated quarters",
  });
  assert(read.every((r, i) => i % 2 === 0 || r === lower), "the other part stays");
  return read.filter((_, i) => i % 2 === 0);
}

const roles = (read: readonly Reading[]) => read.map((r) => r.role);
const four = (one: readonly [Role, number], other: readonly [Role, number]) => [one, other, one, other];

Deno.test("two roles in turn are the surer one, named and said so, whichever comes first", () => {
  for (const turns of [four(["pulse", 0.7], ["lead", 0.6]), four(["lead", 0.6], ["pulse", 0.7])]) {
    const read = settled(turns);
    assertEquals(roles(read), ["pulse", "pulse", "pulse", "pulse"]);
    const changed = read.filter((_, b) => turns[b]![0] === "lead");
    for (const { figure, facts, confidence } of changed) {
      assertEquals([figure, confidence], ["repeated quarters", 0.6]);
      assertEquals(facts, ["lead", "in turn with the bar beside"]);
    }
  }
});

Deno.test("a lead that comes in turn is less sure than the chief line, and none is found where nobody leads", () => {
  const turns = four(["pulse", 0.5], ["lead", 0.6]);
  const read = settled(turns, { lead: 0.9 });
  assertEquals(roles(read), ["lead", "lead", "lead", "lead"]);
  assert(read.every((r) => r.confidence <= 0.98 * 0.9));
  assertEquals(roles(settled(turns, { lead: 0 })), turns.map(([role]) => role));
});

Deno.test("the chief line leads in all of the bars, what bars do two by two decides for others", () => {
  assertEquals(roles(settled(four(["pulse", 0.8], ["lead", 0.95]))), ["lead", "lead", "lead", "lead"]);
  const turns = four(["pulse", 0.8], ["figuration", 0.5]);
  assertEquals(new Set(roles(settled(turns, { together: "figuration" }))), new Set(["figuration"]));
  assertEquals(new Set(roles(settled(turns, { together: "bass" }))), new Set(["pulse"]));
});

Deno.test("what is held stays held, and what doubles the lead in every second bar of it does", () => {
  const moving = four(["pad", 0.6], ["pulse", 0.9]);
  assertEquals(roles(settled(moving)), moving.map(([role]) => role));
  assertEquals(new Set(roles(settled(four(["pad", 0.6], ["lead", 0.8])))), new Set(["pad"]));
  const chief = four(["pad", 0.6], ["lead", 0.95]);
  assertEquals(roles(settled(chief)), chief.map(([role]) => role));
});

Deno.test("three bars, bars struck otherwise, trills and rests come in no turn", () => {
  const [a, b] = [["pulse", 0.7], ["lead", 0.6]] as const;
  const stays = (own: readonly (readonly [Role, number])[], music?: readonly string[]) =>
    assertEquals(roles(settled(own, music === undefined ? {} : { music })), own.map(([role]) => role));
  stays([a, b, a]);
  stays([a, b, a, b], [BEATS, HALVES, BEATS, BEATS]);
  stays(four(["trill", 0.9], ["pulse", 0.5]));
  stays(four(["rest", 1], ["pulse", 0.5]), ["z:2", HALVES, "z:2", HALVES]);
});

const data = sharedFolder("openscore-orchestra-more");

Deno.test({
  name:
    "stretches a class can follow: hardly a bar of an Allegretto in two differs from both beside it, which agree",
  ignore: data === undefined,
  fn() {
    // Its dactyls and spondees come in turn from the first bar to the last: 11.7 of 100 such bars where each is told by itself.
    const score = openScore(new URL("Beethoven_Op.92_2.mxl", data));
    const parts = score.parts.length;
    const read = recognise(score).cells.map((c) => c.role);
    let [sounding, single] = [0, 0];
    read.forEach((role, i) => {
      if (role === "rest") return;
      sounding++;
      const [before, after] = [read[i - parts], read[i + parts]];
      if (before === after && before !== undefined && before !== "rest" && before !== role) single++;
    });
    console.log(`  ${(100 * single / sounding).toFixed(1)} of 100`);
    assertLess(single / sounding, 0.06);
  },
});
