/**
 * Rimsky-Korsakov, Principles of Orchestration (tr. Agate 1922), vol. I ch. I, "Comparison of resonance in
 * orchestral groups", p. 33: every equation of his, and those that follow from two of them.
 */
import { assert, assertAlmostEquals, assertEquals } from "@std/assert";
import { allInstruments, handbookWeight, instrumentById, tonguingSupport } from "ripieno";
import text from "./data/rimsky_korsakov_1922.csv" with { type: "text" };
import { tableRows } from "./hearing_rows.ts";

const rows = tableRows(text);

for (const dynamic of ["f", "p"]) {
  const equations = rows.filter((row) => row.dynamic === dynamic);
  Deno.test(`Rimsky-Korsakov p. 33: all ${equations.length} equations at ${dynamic}, exactly`, () => {
    assert(equations.length > 20);
    for (const row of equations) {
      const weight = (name: string, players: string) =>
        handbookWeight(instrumentById(name), dynamic === "f" ? 6 : 3, { players: Number(players) });
      assertAlmostEquals(
        weight(row.instrument_a!, row.players_a!),
        weight(row.instrument_b!, row.players_b!),
        1e-12,
        `${row.players_a} ${row.instrument_a} = ${row.players_b} ${row.instrument_b} at ${dynamic}: ${row.source}`,
      );
    }
  });
}

Deno.test("Rimsky-Korsakov p. 33: two flutes equal an oboe and a clarinet, a whole string department two winds", () => {
  const at = (id: string, players: number) => handbookWeight(instrumentById(id), 6, { players });
  assertAlmostEquals(at("flute", 2), at("oboe", 1) + at("clarinet in Bb", 1), 1e-12);
  assertAlmostEquals(at("violin", 12), at("flute", 2), 1e-12);
});

Deno.test("Rimsky-Korsakov p. 33: any sustained group covers plucked strings, soft piano and celesta; bells stand out", () => {
  for (const dynamic of [3, 6]) {
    const covered = ["harp", "celesta", "piano"].map((id) => handbookWeight(instrumentById(id), dynamic));
    const standing = ["glockenspiel", "tubular bells", "xylophone", "timpani"]
      .map((id) => handbookWeight(instrumentById(id), dynamic));
    const sustained = allInstruments()
      .filter((each) =>
        ["woodwind", "brass", "strings"].includes(each.family) && !each.id.startsWith("solo ")
      )
      .map((each) => handbookWeight(each, dynamic));
    assert(Math.max(...covered) < Math.min(...sustained));
    assert(Math.min(...standing) > Math.max(...sustained));
  }
});

Deno.test("Rimsky-Korsakov ch. I B: of the woodwinds only the flutes tongue double by custom", () => {
  const woodwinds = allInstruments().filter((each) => each.family === "woodwind");
  const conventional = woodwinds.filter((each) => tonguingSupport(each)?.double === "conventional");
  assertEquals(
    new Set(conventional.map((each) => each.id)),
    new Set(["piccolo", "flute", "alto flute", "bass flute", "recorder"]),
  );
});
