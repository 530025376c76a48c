/**
 * `deno task coverage [PATH …]`: which lines and branches of the library the tests run, the least covered files first; the
 * last line is the whole. Fails below the shares that are asked for, and where no test loads a file that has code. With
 * paths only those tests are run, added to what earlier calls have covered where the first word is `--more`. What runs in
 * threads and in processes of Deno that tests start counts, but for those that are killed.
 */
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import ts from "typescript";
import { filesBelow } from "./setup/files_below.ts";
import { PROJECT, runCommand } from "./setup/run_command.ts";

/** Least shares of lines and branches in percent. */
const ASKED = { lines: 90, branches: 85 };
const FILES_SHOWN = 25;
const LONGEST_MINUTES = 240;

/** Shares of a file in percent. */
interface Covered {
  readonly file: string;
  readonly branches: number;
  readonly lines: number;
}

/** The rows of the table that `deno coverage` prints: file, branches, functions, lines. */
function coveredIn(table: string): readonly Covered[] {
  return table.split("\n").map((line) =>
    line.split("|").map((cell) => cell.trim()).filter((cell) => cell !== "")
  )
    .filter((cells) => cells.length === 4 && /^[\d.]+$/.test(cells[1]!))
    .map(([file, branches, , lines]) => ({ file: file!, branches: Number(branches), lines: Number(lines) }));
}

/** Drops what a process that was killed has written in part: nothing would be read beside it. */
function dropBroken(file: string): void {
  if (Deno.statSync(file).isFile && !Deno.readTextFileSync(file).trimEnd().endsWith("}")) {
    Deno.removeSync(file);
  }
}

/** Whether anything is left of a file beside types and names handed on. */
function hasCode(file: string): boolean {
  const { outputText } = ts.transpileModule(Deno.readTextFileSync(join(PROJECT, file)), {
    compilerOptions: { target: ts.ScriptTarget.ESNext, module: ts.ModuleKind.ESNext },
  });
  return ts.createSourceFile(file, outputText, ts.ScriptTarget.ESNext).statements.some((statement) =>
    !ts.isImportDeclaration(statement) && !ts.isExportDeclaration(statement)
  );
}

const keepsEarlier = Deno.args[0] === "--more";
const paths = Deno.args.slice(keepsEarlier ? 1 : 0);
const folder = join(PROJECT, ".check", "coverage");
if (!keepsEarlier) await Deno.remove(folder, { recursive: true }).catch(() => {});
const words = [
  "deno",
  "test",
  "-A",
  "--no-check",
  "--parallel",
  `--coverage=${folder}`,
  "--coverage-raw-data-only",
];
const tests = await runCommand([...words, ...paths.length > 0 ? paths : ["tests"]], {
  limitMinutes: LONGEST_MINUTES,
});
if (!tests.ok) {
  console.log(
    `${tests.output.trimEnd().split("\n").slice(-20).join("\n")}\nSome tests failed; what they ran counts.`,
  );
}
for (const { name } of Deno.readDirSync(folder)) dropBroken(join(folder, name));
// Not the folders named lib of packages, which tests that start processes load.
const own = pathToFileURL(join(PROJECT, "lib")).href.replace(/[^\w/]/g, "\\$&");
const { ok, output } = await runCommand(["deno", "coverage", `--include=^${own}/`, folder], {
  limitMinutes: 30,
});
const rows = coveredIn(output);
const whole = rows.find(({ file }) => file === "All files");
if (!ok || whole === undefined) {
  console.error(output.trim());
  Deno.exit(1);
}
const least = rows.filter((row) => row !== whole).toSorted((a, b) =>
  a.lines - b.lines || a.branches - b.branches
);
for (const { file, branches, lines } of least.slice(0, FILES_SHOWN)) {
  console.log(
    `${lines.toFixed(1).padStart(6)} % of lines ${branches.toFixed(1).padStart(6)} % of branches  ${file}`,
  );
}
const loaded = new Set(rows.map(({ file }) => `lib/${file}`));
const never = filesBelow("lib", ".ts").filter((file) => !loaded.has(file) && hasCode(file));
for (const file of never.slice(0, FILES_SHOWN)) console.log(`No test loads ${file}.`);
console.log(`${loaded.size - 1} files are loaded, ${never.length} with code are not.`);
console.log(
  `${whole.lines} % of lines and ${whole.branches} % of branches of lib are run by the tests ` +
    `(asked: ${ASKED.lines} and ${ASKED.branches}).`,
);
const isEnough = whole.lines >= ASKED.lines && whole.branches >= ASKED.branches && never.length === 0;
Deno.exit(isEnough ? 0 : 1);
