/**
 * Single observations of tonguing speed: contemporarytuba.com (Tonguing); Fobes, Synthetic Speed Tonguing
 * (2000); IDRS forum (Double Tonguing); hsutrumpets.com (Multiple tonguing). They bound the planning figures,
 * which are common practice.
 */
import { assert, assertEquals } from "@std/assert";
import { instrumentById } from "ripieno";
import { rateLimits } from "ripieno/instruments";

const most = (id: string, technique: string, use: "planning" | "anchor") => {
  const limit = rateLimits(instrumentById(id)).find((each) =>
    each.technique === technique && each.use === use
  );
  return limit?.maximumPerSecond ?? NaN;
};

for (
  const [id, technique, observed, tolerance] of [
    ["clarinet in Bb", "single tonguing", 9.6, 0],
    ["bassoon", "single tonguing, fast player", 9.2, 0],
  ] as const
) {
  Deno.test(`${id}: the planned burst of single tonguing is not above the ${observed} a second observed`, () => {
    assertEquals(most(id, technique, "anchor"), observed);
    assert(most(id, "single tonguing", "planning") <= observed + tolerance);
  });
}

for (
  const [technique, observed] of [["single tonguing", 9.5], ["double tonguing", 12], [
    "triple tonguing",
    12,
  ]] as const
) {
  Deno.test(`tuba: planned ${technique} is not above the ${observed} a second of contemporarytuba.com`, () => {
    assertEquals(most("tuba", technique, "anchor"), observed);
    assert(most("tuba", technique, "planning") <= observed);
  });
}

Deno.test("trumpet: single and double tonguing overlap at sixteenths of 122 to 130, as hsutrumpets.com asks", () => {
  const limits = rateLimits(instrumentById("trumpet in Bb"));
  const single = limits.find((each) => each.technique === "single tonguing")!;
  for (const bpm of [122, 130]) assert(single.maximumPerSecond >= bpm / 15);
  assert(
    single.typicalPerSecond! <= 122 / 15,
    "beyond the sustained rate of single tonguing double takes over",
  );
});

Deno.test("observations that are kept beside the planning figures, as the sources give them", () => {
  const kept = [
    // Klarinet list archive, October 1996: one player of sixteenths at 160 to about 180.
    ["clarinet in Bb", "single tonguing, exceptional player", 12],
    // Trombone forum 2024: sixteenths at 120; brass blog 2015: at 160.
    ["tenor trombone", "single tonguing, one amateur limit", 8],
    ["tenor trombone", "single tonguing, exceptional professional", 10.7],
    // hsutrumpets.com: 122 to 130; bonezoneblog 2006: 136 to 144.
    ["trumpet in Bb", "overlap zone single/multiple tonguing", 8.7],
    ["trumpet in Bb", "double tonguing comfortable zone of one player", 9.6],
    // Klopcic 2021 after Dounis, Journal of the American Viola Society, Fall 2023, p. 52: sixteenths at 100.
    ["viola", "spiccato to sautillé changeover", 6.7],
  ] as const;
  for (const [id, technique, perSecond] of kept) {
    assertEquals(most(id, technique, "anchor"), perSecond, technique);
  }
  assert(
    most("tenor trombone", "single tonguing", "planning") > 8,
    "professionals are planned above the amateur",
  );
  assert(most("tenor trombone", "single tonguing", "planning") < 10.7, "and below the exceptional player");
  // Spiccato is planned up to the changeover and not beyond.
  for (const id of ["violin", "viola", "cello", "double bass"]) {
    assert(most(id, "spiccato", "planning") <= 6.7);
  }
});
