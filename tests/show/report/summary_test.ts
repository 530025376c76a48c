import { assertEquals } from "@std/assert";
import { summarise } from "ripieno/show";
import { smallScore, smallStudy } from "../small_study.ts";

Deno.test("summarise() writes one bar as one", () => {
  const rows = summarise(smallStudy, { ...smallScore, bars: smallScore.bars.slice(0, 1) });
  assertEquals(rows.map((r) => [r.passage, r.bars]), [["Dawn", "1"]]);
  const { rehearsal: _mark, ...bar } = smallScore.bars[0]!;
  assertEquals(summarise(smallStudy, { ...smallScore, bars: [bar] })[0]?.passage, "bar 1");
});
