/** Whether memory is given back after studies. */
import { assert, assertEquals } from "@std/assert";
import { runCommand } from "../setup/run_command.ts";

const SOAK = ["deno", "run", "-A", "--no-check", "--v8-flags=--expose-gc", "tests/setup/soak.ts"];
/** Studies that were kept would take more than twice as much. */
const MOST_MEGABYTES = 1.5;

Deno.test("forty more studies of scores that are known leave no more memory in use than twenty", async () => {
  const { ok, output } = await runCommand([...SOAK, "60", "3", "10"]);
  assert(ok, output);
  const held = [...output.matchAll(/^\d+ studies: ([\d.]+) MB$/gm)].map(([, megabytes]) => Number(megabytes));
  assertEquals(held.length, 3, output);
  assert(held[2]! - held[0]! < MOST_MEGABYTES, output);
});
