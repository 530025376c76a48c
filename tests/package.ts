/** `deno task package`: the library as an npm package, in out/package, and packed beside it. */
import { join } from "node:path";
import { buildPackage } from "./setup/build_package.ts";
import { PROJECT, runCommand } from "./setup/run_command.ts";

try {
  const folder = join(PROJECT, "out", "package");
  await buildPackage(folder);
  const { ok, output } = await runCommand([
    "npm",
    "pack",
    "--silent",
    "--pack-destination",
    join(PROJECT, "out"),
  ], {
    folder,
  });
  if (!ok) throw new Error(`The package was built in out/package, but npm cannot pack it: ${output.trim()}`);
  console.log(`Built in out/package, packed as out/${output.trim().split("\n").at(-1)}`);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  Deno.exit(1);
}
