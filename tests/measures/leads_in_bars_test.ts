import { assert, assertEquals } from "@std/assert";
import { demoPlans, demoSketch, realise, textureOf } from "ripieno";
import type { RoleCell } from "ripieno/texture";
import { leadsInBars } from "../../lib/measures/leads_in_bars.ts";
import { withoutUpbeats } from "../../lib/texture/without_upbeats.ts";

const PARTS = ["Flute 1", "Oboe 1", "Horn 1", "Harp", "Violas", "Cellos", "Tuba"].map((name) => ({
  name,
})) as never;

/** Who leads, by bar: index of a part and how sure its lead is. All others hold a chord. */
function leads(
  bars: readonly Readonly<Record<number, number>>[],
  origin: "written" | "recognised",
  span = [0, bars.length - 1],
) {
  const cells = bars.flatMap((leading) =>
    Array.from(
      { length: 7 },
      (_, part) => ({ part, role: part in leading ? "lead" : "pad", confidence: leading[part] ?? 0.9 }),
    )
  ) as unknown as readonly RoleCell[];
  return leadsInBars({ parts: PARTS }, { cells, origin }, { fromBarIndex: span[0]!, toBarIndex: span[1]! })
    .map(({ names, bars }) => [names.join(" + "), bars]);
}

Deno.test("read off the notes, a bar counts for its surest lead; a plan's lead counts for all its parts", () => {
  const bars = [{ 0: 0.6, 1: 0.8 }, { 1: 0.7 }, {}, { 4: 0.5 }, { 1: 0.9, 4: 0.8 }];
  assertEquals(leads(bars, "recognised"), [["Oboe 1", 3], ["Violas", 1]]);
  assertEquals(leads(bars, "written"), [["Flute 1 + Oboe 1", 1], ["Oboe 1", 1], ["Violas", 1], [
    "Oboe 1 + Violas",
    1,
  ]]);
  assertEquals(leads([{ 3: 0.5, 5: 0.5 }], "recognised"), [["Harp", 1]]);
  assertEquals(leads([{}, {}], "recognised"), []);
  assertEquals(leads([{ 0: 1, 1: 1, 2: 1, 3: 1, 4: 1 }], "written"), [[
    "Flute 1 + Oboe 1 + Horn 1 + Harp + Violas",
    1,
  ]]);
});

Deno.test("only the bars asked for count, the last included; six of seven parts in the lead are the tutti", () => {
  const bars = [{ 0: 1 }, { 0: 1 }, { 1: 1 }, { 1: 1 }];
  assertEquals(leads(bars, "recognised", [1, 2]), [["Flute 1", 1], ["Oboe 1", 1]]);
  assertEquals(leads([{ 0: 1, 1: 1, 2: 1, 3: 1, 4: 1, 5: 1 }], "recognised"), [["tutti", 1]]);
});

Deno.test("what is read off the notes has no upbeats to layers: every cell stays as it was read", () => {
  const { layers: _plan, ...score } = realise(demoSketch(), demoPlans().rotating);
  const texture = textureOf(score);
  assert(texture.layers.length > new Set(texture.layers.map((l) => l.id)).size, "layers share their names");
  assertEquals(withoutUpbeats(texture), texture.cells);
});
