import { basename, join } from "node:path";
import type { JupyterPaths } from "./jupyter.ts";
import { type CommandResult, PROJECT, runCommand } from "./run_command.ts";

/** What a cell shows: one output, as the notebook format (nbformat 4) stores it. */
export interface NotebookOutput {
  /** `display_data`, `execute_result`, `stream` or `error`. */
  readonly output_type: string;
  /** Each form of what is shown, by media type. */
  readonly data?: Readonly<Record<string, string | readonly string[]>>;
  /** What was printed. */
  readonly text?: string | readonly string[];
  /** Name of an error's class. */
  readonly ename?: string;
  /** An error's message. */
  readonly evalue?: string;
  /** An error as it is shown, line by line. */
  readonly traceback?: readonly string[];
}

/** One cell of a notebook. */
export interface NotebookCell {
  /** `code` or `markdown`. */
  readonly cell_type: string;
  /** What is written in it, whole or line by line. */
  readonly source: string | readonly string[];
  /** What it showed when it was last run. */
  readonly outputs?: readonly NotebookOutput[];
  /** How it stands on the page: whether its outputs are folded. */
  readonly metadata?: { readonly jupyter?: { readonly outputs_hidden?: boolean } };
  /** Its turn in the last run; null if it was not run. */
  readonly execution_count?: number | null;
}

/** A notebook as the file holds it. */
export interface Notebook {
  /** Its cells, in order. */
  readonly cells: readonly NotebookCell[];
}

/** Paths of the project's notebooks, in order of their numbers. */
export function notebookPaths(): readonly string[] {
  const folder = join(PROJECT, "notebooks");
  const names = [...Deno.readDirSync(folder)].filter((one) => one.isFile).map((one) => one.name);
  return names.filter((name) => name.endsWith(".ipynb")).sort().map((name) => join(folder, name));
}

/** Reads a notebook file. */
export function readNotebook(path: string): Notebook {
  return JSON.parse(Deno.readTextFileSync(path));
}

/** A notebook of these code cells, not yet run, as the text of its file. */
export function notebookOf(cells: readonly string[]): string {
  return JSON.stringify({
    cells: cells.map((source, i) => ({
      id: `cell-${i + 1}`,
      cell_type: "code",
      source,
      metadata: {},
      outputs: [],
      execution_count: null,
    })),
    metadata: { kernelspec: { name: "deno", display_name: "Deno", language: "typescript" } },
    nbformat: 4,
    nbformat_minor: 5,
  });
}

/** All code of a notebook as one TypeScript file; a comment above each cell tells where it stands. */
export function joinCells(name: string, { cells }: Notebook): string {
  return cells
    .map((cell, i) => ({ ...cell, heading: `// ${name}, cell ${i + 1}` }))
    .filter((cell) => cell.cell_type === "code")
    .map(({ heading, source }) => `${heading}\n${typeof source === "string" ? source : source.join("")}\n`)
    .join("\n");
}

/**
 * Type-checks and lints the code of notebooks, which neither the kernel nor `deno check` does.
 *
 * @param paths the notebooks
 * @param beside what is to be type-checked in the same go, as words of `deno check`: the library's types are made out once for all
 */
export async function checkCells(
  paths: readonly string[],
  beside: readonly string[] = [],
): Promise<CommandResult> {
  if (paths.length === 0) return { ok: false, output: "There is no notebook." };
  const folder = Deno.makeTempDirSync({ dir: PROJECT, prefix: ".cells_" }); // beside notebooks/: same ../lib
  try {
    Deno.writeTextFileSync(join(folder, ".gitignore"), "*\n");
    const files = paths.map((path) => {
      const file = join(folder, basename(path).replace(/\.ipynb$/, ".ts"));
      Deno.writeTextFileSync(file, joinCells(basename(path), readNotebook(path)));
      return file;
    });
    const types = await runCommand(["deno", "check", "--quiet", ...beside, ...files]);
    const lint = await runCommand(["deno", "lint", ...files]);
    return {
      ok: types.ok && lint.ok,
      output: [types, lint].map(({ ok, output }) => ok ? "" : output).join("\n"),
    };
  } finally {
    Deno.removeSync(folder, { recursive: true });
  }
}

/** Runs all cells of a notebook in its own folder, with a client that loses no output, and writes the result. */
export function executeNotebook(
  { python, env }: JupyterPaths,
  path: string,
  result: string,
): Promise<CommandResult> {
  const script = join(PROJECT, "tests", "setup", "execute_notebook.py");
  return runCommand([python, script, path, result, join(path, "..")], { env });
}

/** What must not be in a notebook that is handed on, in words; empty when it is fit. */
export function notebookFaults({ cells }: Notebook): readonly string[] {
  return cells.flatMap((cell, i) => {
    if (cell.cell_type !== "code") return [];
    const outputs = cell.outputs ?? [];
    const text = JSON.stringify(outputs);
    const faults: string[] = [];
    if (cell.execution_count == null) faults.push("was never run");
    if (outputs.some((one) => one.output_type === "error")) faults.push("shows an error");
    if (outputs.some((one) => one.output_type === "execute_result")) {
      faults.push("ends with a bare expression; end it with `await show(…)`");
    }
    if (text.includes("file://") || text.includes(PROJECT)) faults.push("shows a path of this machine");
    return faults.map((fault) => `cell ${i + 1} ${fault}`);
  });
}

/** A notebook's text as `deno fmt` lays it out. */
async function formatted(text: string): Promise<string> {
  const child = new Deno.Command(Deno.execPath(), {
    args: ["fmt", "--ext", "ipynb", "-"],
    cwd: PROJECT,
    stdin: "piped",
    stdout: "piped",
    stderr: "null",
  }).spawn();
  const input = new Blob([text]).stream().pipeTo(child.stdin);
  const { stdout } = await child.output();
  await input;
  return new TextDecoder().decode(stdout);
}

/** Lays notebooks out as they are kept. They are left out of the formatting of deno.json, see below. */
export async function formatNotebooks(paths: readonly string[]): Promise<void> {
  for (const path of paths) await Deno.writeTextFile(path, await formatted(await Deno.readTextFile(path)));
}

/**
 * Holds notebooks against what `deno fmt` makes of them. `deno fmt --check` cannot be asked: on a notebook that
 * it has not formatted itself on this machine it complains even where it would change nothing.
 */
export async function checkNotebookFormat(paths: readonly string[]): Promise<CommandResult> {
  const faults: string[] = [];
  for (const path of paths) {
    const text = await Deno.readTextFile(path);
    if (await formatted(text) !== text) {
      faults.push(`${basename(path)} is not laid out as it is kept: run \`deno task notebooks\``);
    }
  }
  return { ok: paths.length > 0 && faults.length === 0, output: faults.join("\n") };
}
