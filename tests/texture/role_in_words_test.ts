import { assertEquals } from "@std/assert";
import type { FigureName } from "../../lib/texture/figures.ts";
import { roleInWords } from "../../lib/texture/role_in_words.ts";

const parts = ["timpani", "violin", "flute", "zorgophone"].map((instrument) => ({ instrument }));
const cell = (part: number, figure: FigureName) => ({ role: "trill" as const, part, figure });

Deno.test("roleInWords(): a roll and a tremolo are called so, not trills", () => {
  const said = (cells: readonly ReturnType<typeof cell>[]) => roleInWords("trill", cells, { parts } as never);
  assertEquals(said([cell(0, "tremolo")]), "roll");
  assertEquals(said([cell(0, "trill")]), "roll");
  assertEquals(said([cell(1, "tremolo")]), "tremolo");
  assertEquals(said([cell(2, "trill")]), "trill");
  assertEquals(said([cell(0, "tremolo"), cell(1, "tremolo")]), "tremolo and roll");
  assertEquals(said([cell(0, "tremolo"), cell(1, "tremolo"), cell(2, "trill")]), "trill, tremolo and roll");
  assertEquals(said([cell(3, "tremolo")]), "tremolo");
  assertEquals(said([]), "trill");
  assertEquals(roleInWords("pad", [cell(0, "tremolo")], { parts } as never), "pad");
});
