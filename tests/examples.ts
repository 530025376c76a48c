/**
 * The examples of the docstrings and of the README as tests: `deno test -A tests/examples.ts`. Each is a module of its own, and
 * all run in one process, where the library is loaded once.
 */
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { examplesIn } from "./setup/examples_in.ts";
import { filesBelow } from "./setup/files_below.ts";
import { PROJECT } from "./setup/run_command.ts";

const folder = join(PROJECT, ".check", "examples");
await Deno.remove(folder, { recursive: true }).catch(() => {});
await Deno.mkdir(folder, { recursive: true });

for (const file of ["README.md", ...filesBelow("lib", ".ts")]) {
  for (const { line, code } of examplesIn(Deno.readTextFileSync(join(PROJECT, file)))) {
    const module = join(folder, `${file.replaceAll("/", "_")}_${line}.ts`);
    Deno.writeTextFileSync(module, code);
    Deno.test(`${file}:${line}`, () => import(pathToFileURL(module).href));
  }
}
