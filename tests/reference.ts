/** `deno task reference`: a page for every name of every door, written into out/reference; `index.html` there is the first. */
import { join } from "node:path";
import { PUBLIC_ENTRIES } from "./setup/public_entries.ts";
import { PROJECT, runCommand } from "./setup/run_command.ts";

const folder = join("out", "reference");
const doors = PUBLIC_ENTRIES.map(({ path }) => path);
await Deno.mkdir(join(PROJECT, "out"), { recursive: true });
const { ok, output } = await runCommand([
  "deno",
  "doc",
  "--html",
  "--name=Ripieno",
  `--output=${folder}`,
  ...doors,
]);
console.log(ok ? `The reference stands in ${join(folder, "index.html")}.` : output.trim());
Deno.exit(ok ? 0 : 1);
