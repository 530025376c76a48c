import { assertEquals } from "@std/assert";
import type { Role, Texture } from "ripieno";
import { whoLeads } from "../../../lib/show/report/who_leads.ts";

/** A texture read off the notes: in each bar the parts that lead, with how sure each is. */
function leading(names: readonly string[], bars: readonly Readonly<Record<string, number>>[], plan = false) {
  const cells = bars.flatMap((leads, barIndex) =>
    names.map((name, part) => {
      const role: Role = name in leads ? "lead" : "pad";
      const confidence = leads[name] ?? 1;
      return {
        barIndex,
        part,
        role,
        figure: "none" as const,
        does: "melody" as const,
        confidence,
        leadShare: role === "lead" ? confidence : 0,
        reason: "",
        layer: role,
      };
    })
  );
  const texture: Texture = { origin: plan ? "written" : "recognised", cells, layers: [] };
  const parts = names.map((name) => ({ name }));
  return whoLeads({ parts } as never, texture, { fromBarIndex: 0, toBarIndex: bars.length - 1 });
}

const FEW = ["Flute 1", "Bassoon 1", "Horn 1", "Cello"];

Deno.test("whoLeads(): a bar counts for its surest lead, not for what doubles it below, in the order of the entries", () => {
  const bars = [
    { "Horn 1": 0.9, "Bassoon 1": 0.8 },
    { "Horn 1": 0.9, "Bassoon 1": 0.8 },
    { "Flute 1": 0.98, "Bassoon 1": 0.97 },
    { "Flute 1": 0.98, "Bassoon 1": 0.97 },
    { "Flute 1": 0.98, "Bassoon 1": 0.97 },
    {},
  ];
  assertEquals(leading(FEW, bars), "Horn 1 (2 of 6 bars), Flute 1 (3)");
  assertEquals(leading(FEW, bars.slice(2, 5)), "Flute 1");
  assertEquals(leading(FEW, [{}]), "nobody");
  assertEquals(
    leading(FEW, FEW.map((name) => ({ [name]: 1 }))),
    "Flute 1 (1 of 4 bars), Bassoon 1 (1), Horn 1 (1), 1 more",
  );
});

Deno.test("whoLeads(): a plan's lead counts with all its parts, and many of an orchestra are a tutti", () => {
  const both = { "Flute 1": 1, "Cello": 1 };
  assertEquals(leading(FEW, [both, both], true), "Flute 1 + Cello");
  const many = Array.from({ length: 10 }, (_, i) => `Part ${"ABCDEFGHIJ"[i]}`);
  const all = (count: number) => Object.fromEntries(many.slice(0, count).map((name) => [name, 0.9]));
  assertEquals(leading(many, [all(1), all(6)]), "Part A (1 of 2 bars), tutti (1)");
  assertEquals(leading(many, [all(5)]), "Part A");
  assertEquals(leading(FEW, [{ "Flute 1": 1, "Horn 1": 1, "Cello": 1 }]), "Flute 1");
});

Deno.test("whoLeads(): counts of a plan's leads add up to the bars that have one, though one part leads in all", () => {
  const bars = [{ "Flute 1": 1, "Cello": 1 }, { "Flute 1": 1 }, { "Flute 1": 1, "Horn 1": 1 }, {}];
  assertEquals(leading(FEW, bars, true), "Flute 1 + Cello (1 of 4 bars), Flute 1 (1), Flute 1 + Horn 1 (1)");
});
