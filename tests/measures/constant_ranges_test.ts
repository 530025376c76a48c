/** Where constants make sense, for every table of the measures. */
import { assert, assertEquals } from "@std/assert";
import * as measures from "ripieno/measures";

const rows = Object.entries(measures).filter(([name]) => name.endsWith("_CONSTANTS"))
  .flatMap(([table, constants]) =>
    Object.entries(constants as measures.Constants).map(([name, row]) => [`${table} ${name}`, row] as const)
  );

Deno.test("the usual value of every constant makes sense", () => {
  assert(rows.length > 50);
  for (const [name, row] of rows) {
    const { least, isLeastOut, most } = measures.rangeOf(row);
    assert(row.value <= most && (isLeastOut ? row.value > least : row.value >= least), name);
    // What is divided by may be as small as one likes; a full gap is longer than the usual one.
    if (row.above !== undefined) assertEquals(row.above, name.endsWith(" fullGapTimes") ? 1 : 0, name);
  }
});
