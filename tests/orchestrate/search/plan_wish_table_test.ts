/** What is asked of plans, as a table and back. */
import { assertEquals, assertThrows } from "@std/assert";
import fc from "fast-check";
import { InputError } from "../../../lib/base/errors.ts";
import { readPlanWishes, writePlanWishes } from "../../../lib/orchestrate/search/plan_wish_table.ts";

Deno.test("whatever is asked comes back from its table as it was", () => {
  const parts = fc.array(fc.constantFrom("Flute 1", "Horns", "Violins I"), { minLength: 1, maxLength: 3 });
  const number = fc.integer({ min: 0, max: 100 }).map((n) => n / 100);
  const some = { requiredKeys: [] as never[] };
  const passage = fc.record(
    {
      momentum: number,
      leadAtLeast: number,
      dynamic: fc.constantFrom("p", "ff"),
      lead: parts,
      play: parts,
      rest: parts,
    },
    some,
  );
  const whole = fc.record(
    {
      freshnessAtLeast: number,
      contour: fc.oneof(
        fc.constantFrom("rise", "fall", "arch", "bowl"),
        fc.array(number, { minLength: 2, maxLength: 6 }),
      ),
      contourAtLeast: number,
      findingsAtMost: number,
      brassAtMost: number,
      play: parts,
      rest: parts,
      favour: parts,
    },
    some,
  );
  fc.assert(
    fc.property(fc.array(passage, { minLength: 1, maxLength: 5 }), whole, (passages, of) => {
      const wishes = {
        passages: passages.map((p, i) => ({
          name: `Passage "${i}", a`,
          fromBar: 4 * i + 1,
          toBar: 4 * i + 4,
          ...p,
        })),
        ...of,
      };
      assertEquals(readPlanWishes(writePlanWishes(wishes)), wishes);
    }),
    { seed: 8, numRuns: 200 },
  );
});

Deno.test("what cannot be used is said with row and column", () => {
  const head = "passage,from_bar,to_bar,momentum,lead,brass_at_most";
  const says = (rows: string, words: string) =>
    assertThrows(() => readPlanWishes(`${head}\n${rows}`, { file: "w.csv" }), InputError, words);
  says("A,1,8,fast,,", '"fast" is not a number');
  says("A,8,1,1,,", "bar 1 comes before bar 8");
  says("A,1,8,1,,0.5", "row of a passage");
  says("whole,,,2,,0.5", "row of the whole");
  says("whole,,,,,0.5\nagain,,,,,0.2", "a second row has no bars");
  assertThrows(
    () => readPlanWishes("passage,from_bar,to_bar,contour\nA,1,8,\nwhole,,,zigzag\n"),
    InputError,
    '"zigzag" is no shape',
  );
  says("A,one,8,1,,", '"one" is not the number of a bar');
  assertThrows(() => readPlanWishes("passage,bars\nA,1-8\n"), InputError, 'no column "from_bar"');
});
