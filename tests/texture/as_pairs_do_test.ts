/** What two short bars do together, by hand. */
import { assert, assertEquals } from "@std/assert";
import { cellFeatures } from "../../lib/texture/features/features.ts";
import { asPairsDo } from "../../lib/texture/recognise/as_pairs_do.ts";
import type { Reading } from "../../lib/texture/recognise/readings.ts";
import type { FigureName } from "../../lib/texture/figures.ts";
import type { Role } from "../../lib/texture/roles.ts";
import { example } from "./examples.ts";

function reading(role: Role, confidence = 0.6): Reading {
  return { role, figure: "none", does: "moving", confidence, leadShare: 0.1, facts: [role] };
}

/** Nothing is named by its own notes here. */
const named = (): FigureName => "none";
/** Nobody strikes the beats a bass leaves. */
const isAnswered = () => false;

/**
 * What becomes of a part that does something in each of two bars of 2/4, and something together, above a lead of so much
 * confidence.
 */
function settled(
  music: string,
  { own, pair, lead = 0.5 }: {
    readonly own: readonly [Role, Role];
    readonly pair: Role;
    /** 0 where nobody leads. */
    readonly lead?: number;
  },
): readonly Reading[] {
  const score = example([["violin", music], ["flute", "(A5:1/2 G5:1 F5:1/2)x2"]], { quartersPerBar: 2 });
  const beside = lead > 0 ? reading("lead", lead) : reading("figuration");
  const read = asPairsDo(
    own.flatMap((role) => [reading(role), beside]),
    { features: cellFeatures(score), kept: [0, 0, 0, 0], parts: 2 },
    { joined: [reading(pair, 0.9), beside], pairOf: [0, 0], named, isAnswered },
  );
  assertEquals([read[1], read[3]], [beside, beside]);
  return [read[0]!, read[2]!];
}

const roles = (read: readonly Reading[]) => read.map(({ role }) => role);
const MOVING = "D4:1/2 E4:1/2 D4:1/2 E4:1/2 (D4:1)x2";

Deno.test("what neither of two bars does but both do together, each does, and says so", () => {
  const read = settled(MOVING, { own: ["pad", "punctuation"], pair: "pulse" });
  assertEquals(roles(read), ["pulse", "pulse"]);
  for (const { confidence, does, leadShare, facts } of read) {
    assertEquals([confidence, does, leadShare], [0.9, "moving", 0.1]);
    assertEquals(facts, ["pulse", "with the bar beside"]);
  }
});

Deno.test("where one of two bars does what both do together, each stays as it is", () => {
  assertEquals(roles(settled(MOVING, { own: ["pulse", "pad"], pair: "pulse" })), ["pulse", "pad"]);
  assertEquals(roles(settled(MOVING, { own: ["pad", "pulse"], pair: "pulse" })), ["pad", "pulse"]);
});

Deno.test("a bar that is in no pair stays as it is", () => {
  const score = example([["violin", MOVING]], { quartersPerBar: 2 });
  const own = [reading("pad"), reading("pad")];
  const joined = [reading("pulse"), reading("pulse")];
  assertEquals(
    asPairsDo(own, { features: cellFeatures(score), kept: [0, 0], parts: 1 }, {
      joined,
      pairOf: [0, 1],
      named,
      isAnswered,
    }),
    own,
  );
});

Deno.test("leads, trills and rests are heard in single bars, the other bar goes with the pair", () => {
  for (const role of ["lead", "trill", "rest"] as const) {
    assertEquals(roles(settled(MOVING, { own: [role, "pad"], pair: "pulse" })), [role, "pulse"]);
  }
});

Deno.test("a note that fills its bar stays what it is unless the pair holds", () => {
  const held = "D4:2 (D4:1)x2";
  assertEquals(roles(settled(held, { own: ["pad", "pad"], pair: "pulse" })), ["pad", "pulse"]);
  assertEquals(roles(settled(held, { own: ["pulse", "pulse"], pair: "bass" })), ["bass", "bass"]);
  const heldOver = "D4:4";
  assertEquals(roles(settled(heldOver, { own: ["pad", "pad"], pair: "punctuation" })), ["pad", "pad"]);
});

Deno.test("a lead of two bars is less sure than the one that is there, and neither pad, bass nor second line, nor alone", () => {
  const read = settled(MOVING, { own: ["pulse", "figuration"], pair: "lead" });
  assertEquals(roles(read), ["lead", "lead"]);
  assert(read.every(({ confidence }) => confidence < 0.5 && confidence > 0.45));
  for (const role of ["pad", "bass", "counterline"] as const) {
    assertEquals(roles(settled(MOVING, { own: [role, role], pair: "lead" })), [role, role]);
  }
  assertEquals(roles(settled(MOVING, { own: ["pulse", "run"], pair: "lead", lead: 0 })), ["pulse", "run"]);
});

Deno.test("one stroke that comes bar after bar is what it is there", () => {
  const score = example([["violin", "r:1 D4:1 r:1 E4:1"]], { quartersPerBar: 2 });
  const bars = { features: cellFeatures(score), parts: 1 };
  const pair = { joined: [reading("punctuation")], pairOf: [0, 0], named, isAnswered };
  const rolesOf = (own: Role, kept: readonly number[]) =>
    roles(asPairsDo([reading(own), reading(own)], { ...bars, kept }, pair));
  assertEquals(rolesOf("pulse", [0.6, 0.5]), ["pulse", "punctuation"]);
  assertEquals(rolesOf("pad", [0.6, 0.6]), ["punctuation", "punctuation"]);
});

Deno.test("a bass that keeps to its strokes stays the bass where others answer it", () => {
  const score = example([["tuba", "(F2:1/2 r:1/2 C2:1/2 r:1/2)x2"]], { quartersPerBar: 2 });
  const bars = { features: cellFeatures(score), parts: 1 };
  const pair = { joined: [reading("punctuation")], pairOf: [0, 0], named, isAnswered };
  const rolesOf = (kept: number, answered: boolean) =>
    roles(
      asPairsDo([reading("bass"), reading("bass")], { ...bars, kept: [kept, kept] }, {
        ...pair,
        isAnswered: () => answered,
      }),
    );
  assertEquals(rolesOf(0.6, true), ["bass", "bass"]);
  assertEquals(rolesOf(0.5, true), ["punctuation", "punctuation"]);
  assertEquals(rolesOf(0.6, false), ["punctuation", "punctuation"]);
});

Deno.test("in slow bars only what is held becomes another motion, but a dotted bass, named by the bar's own notes", () => {
  const score = example([["violin", MOVING]], { quartersPerBar: 2, quartersPerMinute: 60 });
  const bars = { features: cellFeatures(score), kept: [0, 0], parts: 1 };
  const called = (cell: number, role: Role): FigureName =>
    cell === 0 && role === "pulse" ? "off-beats" : "none";
  const pair = { joined: [reading("pulse")], pairOf: [0, 0], named: called, isAnswered };
  const [held, moving] = asPairsDo([reading("pad"), reading("figuration")], bars, pair);
  assertEquals([held!.role, held!.figure, moving!.role], ["pulse", "off-beats", "figuration"]);
  const dotted = example([["cello", "D2:3/2 A2:1/2 E2:1 A2:1"]], {
    quartersPerBar: 2,
    quartersPerMinute: 60,
  });
  const both = { ...bars, features: cellFeatures(dotted) };
  assertEquals(roles(asPairsDo([reading("bass"), reading("bass")], both, pair)), ["bass", "pulse"]);
  const quick = { ...bars, features: cellFeatures(example([["violin", MOVING]], { quartersPerBar: 2 })) };
  assertEquals(roles(asPairsDo([reading("pad"), reading("figuration")], quick, pair)), ["pulse", "pulse"]);
});
