/**
 * The project reads its own writing: every role and figure of the vocabulary, in every metre, for every instrument that
 * it suits, several layers at once, in generated settings. The seeds were not looked at when rules were chosen: those
 * below 10,000 were.
 */
import { assert, assertEquals, assertGreater } from "@std/assert";
import type { TableFigure } from "../../lib/texture/figures.ts";
import { ANY_SKETCHS_FIGURES, generatedSetting, PLAIN_FIGURES } from "../setup/generated_settings.ts";
import { METRES } from "../setup/generated_sketches.ts";
import { countsOf, readBackOf, rowInWords } from "../setup/read_back.ts";

const SETTINGS = 240;
const FIRST_SEED = 40_000;
/** Least share in each metre; so few settings differ more. */
const FROM_IN_EACH_METRE = 0.965;

/** Sets of figures with the share of cells that is read back: with all of them more parts move that might lead. */
const VOCABULARIES: Readonly<
  Record<string, { readonly figures: readonly TableFigure[]; readonly from: number }>
> = {
  "the figures most scores are made of": {
    figures: PLAIN_FIGURES,
    from: 0.98,
  },
  "all figures": { figures: ANY_SKETCHS_FIGURES, from: 0.98 },
};

for (const [vocabulary, { figures, from }] of Object.entries(VOCABULARIES)) {
  Deno.test(`what the project writes it reads back, ${vocabulary}: in every metre, for every instrument they suit`, () => {
    const settings = Array.from(
      { length: SETTINGS },
      (_, i) => generatedSetting(FIRST_SEED + i, { figures }),
    );
    const rows = settings.map(({ score }) => readBackOf(score));
    const counts = countsOf(rows.flat());
    console.log(`  ${"".padEnd(42)}  cells  role  figure too`);
    for (const count of counts) console.log(`  ${rowInWords(count)}`);
    for (const metre of METRES) {
      const [all] = countsOf(rows.filter((_, i) => settings[i]!.metre === metre).flat());
      console.log(`  ${rowInWords({ ...all!, what: metre })}`);
      assertGreater(all!.role / all!.cells, FROM_IN_EACH_METRE, metre);
    }
    assertEquals(new Set(rows.flat().map((r) => r.written.figure)), new Set(figures.map((f) => f.id)));
    const [all] = counts;
    assertGreater(all!.role / all!.cells, from);
    assertGreater(all!.figure / all!.cells, from);
    assert(counts.every((c) => c.cells > 0));
  });
}
