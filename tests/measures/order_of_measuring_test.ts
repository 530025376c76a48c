import { assertEquals } from "@std/assert";

/** Results by plan, measured by a worker that has measured nothing before. */
function measuredInOrder(names: readonly string[]): Promise<Readonly<Record<string, string>>> {
  const worker = new Worker(import.meta.resolve("../setup/measured_in_order.ts"), { type: "module" });
  const { promise, resolve, reject } = Promise.withResolvers<Readonly<Record<string, string>>>();
  worker.onmessage = ({ data }) => resolve(data);
  worker.onerror = (error) => reject(new Error(error.message));
  worker.postMessage(names);
  return promise.finally(() => worker.terminate());
}

Deno.test("what was measured before changes nothing, to the last digit", async () => {
  const one = await measuredInOrder(["held", "moving", "rotating"]);
  const other = await measuredInOrder(["rotating", "moving", "held"]);
  assertEquals(one.held, other.held);
  assertEquals(one.moving, other.moving);
  assertEquals(one.rotating, other.rotating);
});
