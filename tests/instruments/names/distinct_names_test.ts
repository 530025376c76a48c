/** Parts of one name are told apart wherever a part is named, and printed as they were. */
import { assert, assertEquals } from "@std/assert";
import fc from "fast-check";
import { demoScore, study, writeMusicXml } from "ripieno";
import { readMusicXml } from "ripieno/formats";
import { distinctNames } from "../../../lib/instruments/names/distinct_names.ts";

Deno.test("distinctNames() numbers parts of one name from the top and leaves others alone", () => {
  assertEquals(distinctNames(["Violin", "Viola", "Violin"]), ["Violin 1", "Viola", "Violin 2"]);
  assertEquals(distinctNames(["Horn", "Horn", "Horn 1"]), ["Horn 2", "Horn 3", "Horn 1"]);
  assertEquals(distinctNames(["Violin II", "Violin II"]), ["Violin II (stave 1)", "Violin II (stave 2)"]);
});

Deno.test("distinctNames() gives different names to any parts, and none but a repeated one is changed", () => {
  const name = fc.constantFrom("Horn", "Horn 1", "Horn 2", "Horn 1 (stave 1)", "Violin I", "", "Part");
  fc.assert(fc.property(fc.array(name, { maxLength: 9 }), (names) => {
    const distinct = distinctNames(names);
    assertEquals(new Set(distinct).size, names.length);
    names.forEach((n, i) => {
      assert(distinct[i]!.startsWith(n));
      if (names.filter((other) => other === n).length === 1) assertEquals(distinct[i], n);
    });
  }));
});

Deno.test("two parts that a file calls alike are told apart in every result, and printed as the file has them", () => {
  const own = writeMusicXml(demoScore());
  const named = /<part-name>([^<]+)<\/part-name>/g;
  const alike = own.replaceAll(/<part-name>(Violins) (I|II)<\/part-name>/g, "<part-name>$1</part-name>");
  const score = readMusicXml(alike);
  const names = score.parts.map((p) => p.name);
  assertEquals(names.filter((n) => n.startsWith("Violins")), ["Violins 1", "Violins 2"]);
  const printed = (xml: string) => [...xml.matchAll(named)].map((m) => m[1]);
  assert(printed(alike).filter((n) => n === "Violins").length === 2, printed(alike).join());
  assertEquals(printed(writeMusicXml(score)), printed(alike));
  const { playability } = study(score);
  assertEquals(playability.perPart.map((p) => p.partName), names);
});
