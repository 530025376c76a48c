import { assert, assertEquals } from "@std/assert";
import { fileURLToPath } from "node:url";
import type { ToMeasure } from "../setup/measured_in_order.ts";
import { sharedFolder } from "../setup/shared_data.ts";

/** Results by name, measured by a worker that has measured nothing before. */
function measuredInOrder(what: ToMeasure): Promise<Readonly<Record<string, string>>> {
  const worker = new Worker(import.meta.resolve("../setup/measured_in_order.ts"), { type: "module" });
  const { promise, resolve, reject } = Promise.withResolvers<Readonly<Record<string, string>>>();
  worker.onmessage = ({ data }) => resolve(data);
  worker.onerror = (error) => reject(new Error(error.message));
  worker.postMessage(what);
  return promise.finally(() => worker.terminate());
}

Deno.test("what was measured before changes nothing, to the last digit", async () => {
  const one = await measuredInOrder({ plans: ["held", "moving", "rotating"] });
  const other = await measuredInOrder({ plans: ["rotating", "moving", "held"] });
  assertEquals(one.held, other.held);
  assertEquals(one.moving, other.moving);
  assertEquals(one.rotating, other.rotating);
});

Deno.test("all measures of open scores are the same in any order, to the last digit", async () => {
  const [first, second] = ["openscore-orchestra", "openscore-orchestra-more"].map(sharedFolder);
  if (first === undefined || second === undefined) return;
  // One of each composer's, so that what is kept of one is of no use to the next, and two that share much.
  const scores = [
    ...["Brahms_Op.90_3", "Bach_BWV.1048_1"].map((name) => new URL(`${name}.mxl`, first)),
    ...["Beethoven_Op.68_4", "Beethoven_Op.21_2"].map((name) => new URL(`${name}.mxl`, second)),
  ].map((url) => fileURLToPath(url));
  const [forth, back] = await Promise.all([
    measuredInOrder({ scores }),
    measuredInOrder({ scores: scores.toReversed() }),
  ]);
  assertEquals(Object.keys(forth).length, scores.length);
  // Compared by hand: a difference is one digit in megabytes.
  assertEquals(scores.filter((path) => forth[path] !== back[path]), []);
  for (const path of scores) assert(forth[path]!.length > 50_000, "a study of sixty bars is long");
});
