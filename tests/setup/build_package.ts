/**
 * The library as an npm package: code bundled from the doors with all tables inside, declarations beside it, and a
 * package.json written from deno.json and from what the code imports.
 */
import { basename, join } from "node:path";
import { build, type Metafile, stop } from "esbuild";
import ts from "typescript";
import { LIBRARY, PUBLIC_ENTRIES } from "./public_entries.ts";
import { PROJECT } from "./run_command.ts";

/** What deno.json says that the package needs. */
interface DenoJson {
  readonly version: string;
  readonly license: string;
  readonly imports: Readonly<Record<string, string>>;
}

/** Oldest Node that has all the library uses. */
const NODE = "22";
/** The command line, and what threads of sweeps and surveys start from: files of the package that are no doors. */
const FURTHER_ENTRIES = [
  "lib/main.ts",
  "lib/orchestrate/search/pool_worker.ts",
  "lib/orchestrate/sweep/sweep_worker.ts",
  "lib/survey/run/survey_worker.ts",
];
/** Types that a package's own types ask for without bringing them along. */
const TYPES_MISSING: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  "@observablehq/plot": { "@types/d3": "7.4.3" },
};
const BIN =
  "#!/usr/bin/env node\nimport { command } from './main.js';\nawait command(process.argv.slice(2));\n";

/**
 * Builds the package.
 *
 * @param folder where it goes; what stands there goes
 * @throws with the compiler's words when the declarations cannot be made
 */
export async function buildPackage(folder: string): Promise<void> {
  await Deno.remove(folder, { recursive: true }).catch(() => {});
  const code = join(folder, "lib");
  await Deno.mkdir(code, { recursive: true });
  const packages = await bundle(code);
  writeDeclarations(code);
  const config: DenoJson = JSON.parse(await Deno.readTextFile(join(PROJECT, "deno.json")));
  await Deno.writeTextFile(join(code, "study.js"), BIN);
  await Deno.writeTextFile(
    join(folder, "package.json"),
    `${JSON.stringify(packageJson(config, packages), null, 2)}\n`,
  );
  await Deno.copyFile(join(PROJECT, "README.md"), join(folder, "README.md"));
}

/** Code of all doors in one folder; says which packages it imports. */
async function bundle(folder: string): Promise<readonly string[]> {
  const entries = [...PUBLIC_ENTRIES.map(({ path }) => path), ...FURTHER_ENTRIES];
  try {
    const { metafile } = await build({
      absWorkingDir: PROJECT,
      entryPoints: entries.map((path) => ({ in: path, out: basename(path, ".ts") })),
      outdir: folder,
      bundle: true,
      splitting: true,
      format: "esm",
      platform: "node",
      target: `node${NODE}`,
      packages: "external",
      charset: "utf8",
      metafile: true,
      logLevel: "silent",
    });
    return packagesIn(metafile);
  } finally {
    await stop();
  }
}

function packagesIn({ outputs }: Metafile): readonly string[] {
  const imported = Object.values(outputs).flatMap(({ imports }) => imports)
    .filter(({ external, path }) => external === true && !path.startsWith("node:"))
    .map(({ path }) => path.split("/").slice(0, path.startsWith("@") ? 2 : 1).join("/"));
  return [...new Set(imported)].toSorted();
}

/** Declarations of all doors. */
function writeDeclarations(folder: string): void {
  const tables = join(PROJECT, ".check", "tables.d.ts");
  Deno.mkdirSync(join(PROJECT, ".check"), { recursive: true });
  Deno.writeTextFileSync(
    tables,
    [
      ...["*.csv", "*.abc"].map((name) =>
        `declare module "${name}" { const text: string; export default text; }\n`
      ),
      `declare module "verovio/*";\n`, // has no types; what is used of it is declared where it is used
    ].join(""),
  );
  const program = ts.createProgram([...PUBLIC_ENTRIES.map(({ path }) => join(PROJECT, path)), tables], {
    module: ts.ModuleKind.ESNext,
    moduleResolution: ts.ModuleResolutionKind.Bundler,
    target: ts.ScriptTarget.ESNext,
    lib: ["lib.dom.d.ts", "lib.dom.iterable.d.ts", "lib.esnext.d.ts"],
    types: ["node"],
    typeRoots: [
      join(PROJECT, "node_modules", "@types"),
      join(PROJECT, "node_modules", ".deno", "node_modules", "@types"),
    ],
    strict: true,
    exactOptionalPropertyTypes: true,
    noUncheckedIndexedAccess: true,
    resolveJsonModule: true,
    allowImportingTsExtensions: true,
    rewriteRelativeImportExtensions: true,
    skipLibCheck: true,
    noCheck: true,
    declaration: true,
    emitDeclarationOnly: true,
    rootDir: join(PROJECT, "lib"),
    outDir: folder,
  });
  const { diagnostics } = program.emit();
  // Whether types are right, the project's own check says; and what is written here is checked where it is installed.
  const faults = [
    ...program.getOptionsDiagnostics(),
    ...program.getGlobalDiagnostics(),
    ...program.getSyntacticDiagnostics(),
    ...diagnostics,
  ];
  if (faults.length === 0) return;
  throw new Error(
    ts.formatDiagnostics(faults.slice(0, 10), {
      getCanonicalFileName: (name) => name,
      getCurrentDirectory: () => PROJECT,
      getNewLine: () => "\n",
    }),
  );
}

/** What npm is told of the package. */
function packageJson({ version, license, imports }: DenoJson, packages: readonly string[]): unknown {
  const versionOf = (wanted: string) => imports[wanted]!.replace(/^npm:.*@/, "");
  const doors = PUBLIC_ENTRIES.map((entry) => {
    const file = `./lib/${basename(entry.path, ".ts")}`;
    return [entry.name.replace(LIBRARY, "."), { types: `${file}.d.ts`, default: `${file}.js` }];
  });
  return {
    name: LIBRARY,
    version,
    license,
    description: "What the secondary parts of an orchestra do, measured and written",
    type: "module",
    engines: { node: `>=${NODE}` },
    bin: { [LIBRARY]: "./lib/study.js" },
    exports: Object.fromEntries(doors),
    dependencies: Object.assign(
      Object.fromEntries(packages.map((one) => [one, versionOf(one)])),
      ...packages.map((one) => TYPES_MISSING[one]),
    ),
  };
}
