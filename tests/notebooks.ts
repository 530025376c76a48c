/**
 * `deno task notebooks`: runs every notebook and writes it back with its charts, as it is kept in the repository.
 * A notebook that fails, or that would show a path of this machine, is left as it was. `deno task notebooks NAME` runs
 * those whose file names contain NAME.
 */
import { basename, join } from "node:path";
import { installJupyter } from "./setup/jupyter.ts";
import {
  executeNotebook,
  formatNotebooks,
  notebookFaults,
  notebookPaths,
  readNotebook,
} from "./setup/notebook.ts";
import { PROJECT } from "./setup/run_command.ts";

async function main(): Promise<boolean> {
  const jupyter = await installJupyter();
  const scratch = join(PROJECT, ".check");
  Deno.mkdirSync(scratch, { recursive: true });
  const [name = ""] = Deno.args;
  const wanted = notebookPaths().filter((path) => basename(path).includes(name));
  if (wanted.length === 0) throw new Error(`No notebook has "${name}" in its name.`);
  let allWell = true;
  for (const path of wanted) {
    const result = join(scratch, basename(path));
    const { ok, output } = await executeNotebook(jupyter, path, result);
    const faults = ok ? notebookFaults(readNotebook(result)).join("\n") : output.trim();
    if (faults === "") await Deno.copyFile(result, path);
    else allWell = false;
    console.log(faults === "" ? `ok      ${basename(path)}` : `${faults}\nFAILED  ${basename(path)}`);
  }
  await formatNotebooks(wanted);
  return allWell;
}

try {
  Deno.exit(await main() ? 0 : 1);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  Deno.exit(1);
}
