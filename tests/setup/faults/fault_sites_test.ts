import { assert, assertEquals } from "@std/assert";
import { faultSites, withFaults } from "./fault_sites.ts";

const CODE =
  "let sum = 0; for (const x of [a, b]) if (x > 1) sum += Math.min(x, 2.5); return !c && a <= b ? sum - 3 : -sum * 2;";

/** What the code gives for some numbers, with one fault awake or none. */
function valuesWith(awake: number | undefined): readonly unknown[] {
  const text = withFaults(
    CODE,
    faultSites("code.ts", CODE).map((site, number) => [number, site] as const)
      .filter(([number]) => number === awake),
  );
  const run = new Function("a", "b", "c", "faultIs", text);
  const numbers = [0, 1, 2, 3, 4];
  return numbers.flatMap((a) => numbers.flatMap((b) => [false, true].map((c) => run(a, b, c, () => true))));
}

Deno.test("every fault that is put into code changes what it does; without one it stays as it is", () => {
  const sites = faultSites("code.ts", CODE);
  assert(sites.length >= 12, `${sites.length} faults`);
  const right = valuesWith(undefined);
  for (const [number, { right: was, wrong }] of sites.entries()) {
    const values = valuesWith(number);
    assert(values.some((value, i) => !Object.is(value, right[i])), `${was} → ${wrong}`);
  }
});

Deno.test("faults asleep change nothing", () => {
  const [first] = faultSites("code.ts", CODE);
  const asleep = new Function("a", "b", "c", "faultIs", withFaults(CODE, [[0, first!]]));
  assertEquals(asleep(2, 3, false, () => false), new Function("a", "b", "c", CODE)(2, 3, false));
});
