/** 600 files changed where their format has joints: each a sound result, or refused in a sentence with its place. */
import { assert, assertEquals } from "@std/assert";

const SCRIPT = new URL("./read_mutants.ts", import.meta.url).pathname;

/** Seeds of the suite; others are tried by `deno run -A tests/formats/read_mutants.ts COUNT SEED`. */
const [FIRST, COUNT] = [1, 600];

async function outcomes(first: number, count: number) {
  const { success, stdout, stderr } = await new Deno.Command("deno", {
    args: ["run", "-A", "--quiet", "--no-check", SCRIPT, String(count), String(first)],
  }).output();
  const lines = new TextDecoder().decode(stdout).trim().split("\n");
  assert(success, new TextDecoder().decode(stderr));
  const failures = lines.slice(0, -1).filter((line) => line.startsWith("{"));
  return {
    failures,
    totals: JSON.parse(lines.at(-1)!) as Readonly<Record<"mutants" | "read" | "refused", number>>,
  };
}

Deno.test("600 mutants are read, measured, written and read again, or refused with a place; none takes 2 seconds or 600 MB", async () => {
  const half = COUNT / 2;
  const halves = await Promise.all([outcomes(FIRST, half), outcomes(FIRST + half, half)]);
  assertEquals(halves.flatMap((h) => h.failures), []);
  const sum = (what: "mutants" | "read" | "refused") => halves.reduce((n, h) => n + h.totals[what], 0);
  assertEquals([sum("mutants"), sum("read") + sum("refused")], [COUNT, COUNT]);
  // Neither refusing everything nor believing everything would be a check.
  assert(sum("read") > COUNT / 4 && sum("refused") > COUNT / 4);
});
