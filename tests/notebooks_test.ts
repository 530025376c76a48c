import { join } from "node:path";
import { assert, assertEquals, assertMatch, assertStringIncludes } from "@std/assert";
import { jupyterPaths } from "./setup/jupyter.ts";
import { launchChromium } from "./setup/chromium.ts";
import {
  checkCells,
  executeNotebook,
  type Notebook,
  notebookFaults,
  notebookOf,
  type NotebookOutput,
  readNotebook,
} from "./setup/notebook.ts";
import { picturesIn } from "./setup/pictures_in.ts";
import { PROJECT, runCommand } from "./setup/run_command.ts";

/** Writes a notebook into a folder of the project that git leaves out, and removes it afterwards. */
async function withNotebook<T>(cells: readonly string[], use: (path: string) => Promise<T>): Promise<T> {
  Deno.mkdirSync(join(PROJECT, ".check"), { recursive: true });
  const folder = Deno.makeTempDirSync({ dir: join(PROJECT, ".check"), prefix: "notebook_" });
  try {
    const path = join(folder, "lesson.ipynb");
    Deno.writeTextFileSync(path, notebookOf(cells));
    return await use(path);
  } finally {
    Deno.removeSync(folder, { recursive: true });
  }
}

/** Runs cells as everybody's Jupyter does, with its ordinary client; errors are kept as outputs. */
function runOrdinarily(cells: readonly string[]): Promise<Notebook> {
  return withNotebook(cells, async (path) => {
    const { python, env } = jupyterPaths();
    const options = ["--to", "notebook", "--execute", "--allow-errors", "--inplace"];
    const { ok, output } = await runCommand([python, "-m", "nbconvert", ...options, path], { env });
    assert(ok, output);
    return readNotebook(path);
  });
}

function outputsOf(notebook: Notebook): readonly (readonly NotebookOutput[])[] {
  return notebook.cells.map((cell) => cell.outputs ?? []);
}

function textOf(value: string | readonly string[] | undefined): string {
  return typeof value === "string" ? value : (value ?? []).join("");
}

/** What parts of the drawings say under the mouse, once a browser has opened an output whose scripts may run. */
async function tooltipsOf(html: string): Promise<readonly string[]> {
  const browser = await launchChromium();
  try {
    const page = await browser.newPage();
    await page.setContent(`<!doctype html><body>${html}</body>`);
    await page.waitForFunction(`document.images.length === 0`, undefined, { timeout: 30_000 });
    return await page.evaluate(
      `[...document.querySelectorAll("svg rect > title")].map((t) => t.textContent)`,
    );
  } finally {
    await browser.close();
  }
}

Deno.test("a notebook of 200 cells that end in `await show(…)` loses no output in the ordinary client", async () => {
  const things = ["`text ${I}`", "[{ bar: I, attacks: 2 * I }]", '"<svg><title>I</title></svg>"', "I"];
  const large = '"<svg><title>I</title>" + "<g></g>".repeat(150_000) + "</svg>"'; // a million characters: sent more slowly
  const cells = Array.from(
    { length: 200 },
    (_, i) => `await show(${(i % 12 === 2 ? large : things[i % 4])?.replaceAll("I", `${i + 1}`)});`,
  );
  const notebook = await runOrdinarily([`import { show } from "ripieno/show";`, ...cells]);
  const shown = outputsOf(notebook).slice(1);
  assertEquals(shown.length, 200);
  const wrong = shown.flatMap((outputs, i) => {
    const { data = {}, output_type } = outputs[0] ?? { output_type: "nothing" };
    const form = ["text/markdown", "text/html", "text/html", "text/plain"][i % 4] ?? "";
    const isThere = outputs.length === 1 && output_type === "display_data" &&
      new RegExp(`\\b${i + 1}\\b`).test(textOf(data[form]));
    return isThere ? [] : [i + 1];
  });
  assertEquals(wrong, [], "numbers of the cells whose output is missing or not their own");
});

Deno.test("a chart in a notebook keeps its tooltips, which come alive in a browser, and a display symbol is honoured", async () => {
  const notebook = await runOrdinarily([
    `import { show } from "ripieno/show"; import { parseHTML } from "linkedom";
     const { document } = parseHTML("<html></html>"); const chart = document.createElement("svg");
     chart.innerHTML = "<rect><title>bar 3</title></rect>"; await show(chart);`,
    `await show(Deno.jupyter.md\`**own way**\`);`,
    `await show(Promise.resolve("kept"), { plain: true });`,
  ]);
  const [chart, own, promised] = outputsOf(notebook).map((outputs) => outputs[0]?.data ?? {});
  const html = textOf(chart?.["text/html"]);
  assertEquals(picturesIn(html).length, 1);
  assertStringIncludes(picturesIn(html)[0]!, "<title>bar 3</title>");
  assertEquals(await tooltipsOf(html), ["bar 3"]);
  assertEquals(textOf(own?.["text/markdown"]), "**own way**");
  assertEquals(textOf(promised?.["text/plain"]), "kept");
});

Deno.test("an InputError in a cell is one clean line, without lines of code or paths", async () => {
  const notebook = await runOrdinarily([
    `import { InputError } from "ripieno";
     throw new InputError({ action: "read the plan", problem: "bar 99 is not in the sketch", remedy: "Use 1 to 48" });`,
  ]);
  const [error] = outputsOf(notebook)[0] ?? [];
  assertEquals(error?.output_type, "error");
  assertEquals(error?.ename, "InputError");
  const message = "Cannot read the plan: bar 99 is not in the sketch. Use 1 to 48.";
  assertEquals(error?.evalue, message);
  const lines = (error?.traceback ?? []).join("\n").split("\n").filter((line) => line.trim() !== "");
  assertEquals(lines.length, 1, lines.join("\n"));
  assertStringIncludes(lines[0] ?? "", message);
});

Deno.test("our own runner of notebooks hears even what a bare expression shows, and reports it", async () => {
  const cells = Array.from(
    { length: 20 },
    (_, i) => `console.log("line one"); console.log("line two"); ${i + 1}`,
  );
  await withNotebook(cells, async (path) => {
    const { ok, output } = await executeNotebook(jupyterPaths(), path, path);
    assert(ok, output);
    const notebook = readNotebook(path);
    const seen = outputsOf(notebook).map((outputs) => outputs.map((one) => one.output_type).sort().join());
    assertEquals(seen, cells.map(() => "execute_result,stream"));
    assertEquals(notebookFaults(notebook).length, 20);
    assertMatch(notebookFaults(notebook)[0] ?? "", /^cell 1 ends with a bare expression/);
    assertEquals(Deno.readTextFileSync(path).includes("iopub"), false, "times of day are left out");
  });
});

Deno.test("our own runner fails with the message of a cell that fails", async () => {
  await withNotebook([`throw new RangeError("no such bar");`], async (path) => {
    const { ok, output } = await executeNotebook(jupyterPaths(), path, path);
    assertEquals(ok, false);
    assertStringIncludes(output, "no such bar");
  });
});

Deno.test("what is unfit to be kept in a notebook is named with its cell", () => {
  const cell = { cell_type: "code", source: "x", execution_count: 1 };
  const path = `at file:///somewhere/lib/mod.ts`;
  const faults = notebookFaults({
    cells: [
      { cell_type: "markdown", source: "text" },
      { ...cell, outputs: [{ output_type: "display_data", data: { "text/plain": "fine" } }] },
      { ...cell, execution_count: null },
      { ...cell, outputs: [{ output_type: "error", ename: "Error", traceback: [path] }] },
    ],
  });
  assertEquals(faults, [
    "cell 3 was never run",
    "cell 4 shows an error",
    "cell 4 shows a path of this machine",
  ]);
});

Deno.test("the type check of cells catches a planted type error, and lint a name that is not used", async () => {
  const good = [`import { hzOf } from "ripieno/score";`, `console.log(hzOf(60));`];
  await withNotebook(good, async (path) => assertEquals((await checkCells([path])).output.trim(), ""));

  const badType = [...good, `const pitch: number = "C4";\nconsole.log(pitch);`];
  const types = await withNotebook(badType, (path) => checkCells([path]));
  assertEquals(types.ok, false);
  assertStringIncludes(types.output, "Type 'string' is not assignable to type 'number'");

  const badOption = [good[0] ?? "", `console.log(hzOf(60, { a4: 442 }));`];
  assertEquals((await withNotebook(badOption, (path) => checkCells([path]))).ok, false);

  const unused = await withNotebook([...good, `const unused = 1;`], (path) => checkCells([path]));
  assertEquals(unused.ok, false);
  assertStringIncludes(unused.output, "no-unused-vars");
});

/** What a cell tries, and whether a lesson may. */
const TRIES: readonly (readonly [string, boolean])[] = [
  [`Deno.readTextFileSync("${join(PROJECT, "data", "spate", "tune.abc")}").slice(0, 1)`, true],
  [`Deno.readTextFileSync("../../README.md").slice(0, 1)`, true],
  [`Deno.mkdirSync("out")`, true],
  [`Deno.writeTextFileSync("out/mine.txt", "mine")`, true],
  [`Deno.writeTextFileSync("mine.txt", "mine")`, false],
  [`Deno.writeTextFileSync("out/../mine.txt", "mine")`, false],
  [`Deno.writeTextFileSync("${join(PROJECT, "lib", "mine.ts")}", "mine")`, false],
  [`Deno.removeSync("lesson.ipynb")`, false],
  [`Deno.readTextFileSync("FOREIGN/letter.txt")`, false],
  [`Deno.readTextFileSync("FOREIGN/tune.abc").slice(0, 1)`, true],
  [`Deno.readDirSync("FOREIGN").toArray().length`, false],
  [`await fetch("http://127.0.0.1:PORT/").then((answer) => answer.text())`, false],
  [`await Deno.connect({ port: PORT }).then((socket) => socket.close())`, false],
  [`Deno.listen({ port: 0 }).close()`, false],
  [`await import("http://127.0.0.1:PORT/code.js").then(() => 1)`, false],
  [`Deno.env.get("PATH")`, false],
  [`Deno.env.toObject()`, false],
  [`new Deno.Command("deno", { args: ["--version"] }).outputSync().code`, false],
  [`Deno.hostname()`, false],
];

Deno.test(
  "a lesson reads the project and anybody's scores, writes into out, and can do nothing else",
  { ignore: Deno.build.os === "windows" },
  async () => {
    const heard: string[] = [];
    await using server = Deno.serve({ port: 0, hostname: "127.0.0.1", onListen: () => {} }, (request) => {
      heard.push(request.url);
      return new Response("export default 1", { headers: { "content-type": "text/javascript" } });
    });
    const foreign = await Deno.makeTempDir();
    await Deno.writeTextFile(join(foreign, "letter.txt"), "mine");
    await Deno.copyFile(join(PROJECT, "data", "spate", "tune.abc"), join(foreign, "tune.abc"));
    const cells = TRIES.map(([code]) =>
      `try { ${code}; console.log("done"); } catch (error) { console.log(error.name); }`
        .replaceAll("FOREIGN", foreign).replaceAll("PORT", `${server.addr.port}`)
    );
    try {
      const outputs = await withNotebook(cells, async (path) => {
        const result = path.replace("lesson", "result");
        const ran = await executeNotebook(jupyterPaths(), path, result);
        assert(ran.ok, ran.output);
        return outputsOf(readNotebook(result));
      });
      const said = outputs.map((each) => each.map((one) => textOf(one.text).trim()).join());
      assertEquals(
        TRIES.map(([code], i) => [code, said[i] === "done"]),
        TRIES.map(([code, may]) => [code, may]),
        said.join(),
      );
      assertEquals(heard, []);
    } finally {
      await Deno.remove(foreign, { recursive: true });
    }
  },
);
