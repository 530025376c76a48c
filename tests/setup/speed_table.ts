/**
 * `deno run -A tests/setup/speed_table.ts`: times what the README says of speed and writes its table anew. For a machine with
 * nothing else to do.
 */
import { join } from "node:path";
import { PROJECT, runCommand } from "./run_command.ts";
import { type Speed, SPEEDS, speedTable } from "./speeds.ts";

/** What of the output of `deno bench --json` is used; times are in nanoseconds. */
interface BenchOutput {
  readonly cpu: string;
  readonly benches: readonly {
    readonly name: string;
    readonly results: readonly { readonly ok?: { readonly min: number } }[];
  }[];
}

const [BEGIN, END] = ["<!-- speed table -->\n", "<!-- end of speed table -->"];
const README = join(PROJECT, "README.md");

const { ok, output } = await runCommand([
  "deno",
  "bench",
  "-A",
  "--no-check",
  "--json",
  "tests/speed_bench.ts",
], {
  limitMinutes: 60,
});
if (!ok) throw new Error(output);
const { cpu, benches }: BenchOutput = JSON.parse(
  output.slice(output.indexOf("{"), output.lastIndexOf("}") + 1),
);
const seconds = Object.fromEntries(
  Object.entries(SPEEDS).map(([speed, name]) => {
    const quickest = benches.find((bench) => bench.name === name)?.results[0]?.ok?.min;
    if (quickest === undefined) throw new Error(`There is no time for: ${name}.`);
    return [speed, quickest / 1e9];
  }),
) as Record<Speed, number>;

const readme = await Deno.readTextFile(README);
const [before, rest] = readme.split(BEGIN);
const after = rest?.split(END)[1];
if (after === undefined) throw new Error(`README.md has no place for the table: ${BEGIN}${END}`);
const table =
  `Measured on ${navigator.hardwareConcurrency} processors (${cpu}), the quickest of several runs:\n\n${
    speedTable(seconds)
  }`;
await Deno.writeTextFile(README, `${before}${BEGIN}\n${table}\n\n${END}${after}`);
await runCommand(["deno", "fmt", "README.md"]);
console.log(table);
