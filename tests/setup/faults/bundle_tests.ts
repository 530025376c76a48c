/** The tests and examples of some code, bundled once with all faults asleep in it. */
import { join, relative } from "node:path";
import { pathToFileURL } from "node:url";
import { build, type Plugin, stop } from "esbuild";
import { examplesIn } from "../examples_in.ts";
import { PROJECT } from "../run_command.ts";
import { type FaultSite, withFaults } from "./fault_sites.ts";

const IMPORTS: Readonly<Record<string, string>> =
  JSON.parse(Deno.readTextFileSync(join(PROJECT, "deno.json"))).imports;

/**
 * Bundles files of tests, each as a module of its own that shares the code with the others.
 *
 * @param files names of the files in the project
 * @param faults what is to sleep in the code; its number is its place in the list
 * @param folder where the modules go
 */
export async function bundleTests(
  files: readonly string[],
  faults: readonly FaultSite[],
  folder: string,
): Promise<void> {
  try {
    await build({
      absWorkingDir: PROJECT,
      entryPoints: [...files],
      outdir: folder,
      outbase: PROJECT,
      bundle: true,
      splitting: true,
      format: "esm",
      platform: "node",
      target: "esnext",
      packages: "external",
      logLevel: "error",
      plugins: [faultyCode(faults)],
    });
  } finally {
    await stop();
  }
}

/** Code of the project as it is, but with faults in it, tests that are gathered, and files that know where they stood. */
function faultyCode(faults: readonly FaultSite[]): Plugin {
  return {
    name: "faulty code",
    setup: ({ onResolve, onLoad }) => {
      onResolve({ filter: /^(ripieno|@std\/assert)/ }, ({ path }) => {
        const file = IMPORTS[path];
        return file === undefined ? undefined : { path: join(PROJECT, file) };
      });
      onLoad({ filter: /\.ts$/ }, async ({ path }) => {
        if (path.includes("node_modules")) return undefined;
        const name = relative(PROJECT, path).replaceAll("\\", "/");
        const own = faults.map((fault, number) => [number, fault] as const)
          .filter(([, { file }]) => file === name);
        const url = JSON.stringify(pathToFileURL(path).href);
        const contents = withFaults(await Deno.readTextFile(path), own)
          .replaceAll("import.meta.url", url)
          .replaceAll("import.meta.resolve(", `((to) => new URL(to, ${url}).href)(`)
          .replaceAll("import.meta.main", "false")
          .replaceAll("Deno.test(", "gatherTest(");
        return { contents, loader: "ts" };
      });
    },
  };
}

/**
 * The examples in the comments of a file as tests, one module each.
 *
 * @param text the file
 */
export function exampleTests(text: string): readonly string[] {
  return examplesIn(text).map(({ code }) => {
    const imports = /^import [\s\S]*?;$/gm;
    const lines = code.match(imports) ?? [];
    return `${lines.join("\n")}\nDeno.test("example", async () => {\n${code.replaceAll(imports, "")}\n});\n`;
  });
}
