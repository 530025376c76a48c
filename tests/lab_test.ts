/** The lessons' list, and JupyterLab as `deno task lab` starts it. */
import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import { basename, join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { findProgram } from "./setup/find_program.ts";
import { hasLab, jupyterPaths, venvPython } from "./setup/jupyter.ts";
import { notebookPaths, readNotebook } from "./setup/notebook.ts";
import { launchChromium } from "./setup/chromium.ts";
import { PROJECT, runCommand } from "./setup/run_command.ts";
import { TASKS } from "./setup/study_task.ts";

/** Lessons in a table: title, file, what a class takes away. */
function lessonsIn(markdown: string, folder: string): readonly (readonly string[])[] {
  const row = new RegExp(`^\\| \\[([^\\]]+)\\]\\(${folder}([^)]+\\.ipynb)\\) *\\| ([^|]+?) *\\|$`, "gm");
  return [...markdown.matchAll(row)].map((match) => match.slice(1));
}

Deno.test("the page that JupyterLab opens on lists every lesson, by its own title, as the README does", async () => {
  const listed = lessonsIn(await Deno.readTextFile(join(PROJECT, "notebooks", "lessons.md")), "");
  const titles = notebookPaths().map((path) => {
    const [first] = readNotebook(path).cells;
    const text = typeof first?.source === "string" ? first.source : (first?.source ?? []).join("");
    return [/^# (?:\d+\.? )?(.+)$/m.exec(text)?.[1], basename(path)];
  });
  assertEquals(listed.map(([, file]) => file), titles.map(([, file]) => file));
  listed.forEach(([title], i) => assert(titles[i]![0]!.startsWith(title!), `${title}: ${titles[i]}`));
  assertEquals(listed, lessonsIn(await Deno.readTextFile(join(PROJECT, "README.md")), "notebooks/"));
});

Deno.test("the Python of a virtual environment is found wherever its maker put it, and only where it runs", async () => {
  const code = "import sys; print(sys.executable)"; // itself, not what some tool has put before it
  const python = (await runCommand([findProgram("python3")!, "-c", code])).output.trim();
  const folder = await Deno.makeTempDir();
  try {
    assertEquals(venvPython(join(folder, "none")), undefined);
    for (const place of ["bin/python", "bin/python3", "Scripts/python.exe", "bin/python.exe", "python.exe"]) {
      const venv = join(folder, place.replaceAll("/", "_"));
      const path = join(venv, place);
      await Deno.mkdir(join(path, ".."), { recursive: true });
      await Deno.symlink(python, path);
      assertEquals(venvPython(venv), path);
      await Deno.remove(path);
      await Deno.symlink(join(folder, "gone"), path); // the Python it was made with has been taken away
      assertEquals(venvPython(venv), undefined);
      await Deno.remove(path);
      await Deno.writeTextFile(path, "#!/bin/sh\nexit 1\n", { mode: 0o755 });
      assertEquals(venvPython(venv), undefined);
    }
    // One that is broken in its usual place and whole in another.
    const mixed = join(folder, "mixed");
    await Deno.mkdir(join(mixed, "bin"), { recursive: true });
    await Deno.symlink(join(folder, "gone"), join(mixed, "bin", "python"));
    await Deno.symlink(python, join(mixed, "bin", "python3"));
    assertEquals(venvPython(mixed), join(mixed, "bin", "python3"));
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
});

/** The first answer of a server that says its address a moment before it listens there; fails if it never does. */
async function firstAnswer(address: string): Promise<Response> {
  for (let tried = 0;; tried++) {
    try {
      return await fetch(address);
    } catch (error) {
      if (!(error instanceof TypeError) || tried === 120) throw error;
      await delay(250);
    }
  }
}

/** Lessons that are run by JupyterLab's own menu. */
const RUN_BY_HAND = ["00_start_here.ipynb", "10_bit_by_bit.ipynb"];
/** The notebook in front. */
const SHOWN = ".jp-NotebookPanel:not(.lm-mod-hidden) .jp-Notebook";
/** Longest that a lesson may take. */
const LESSON_MILLISECONDS = 240_000;
/** How long a page may take to show what is waited for, on a busy machine. */
const PAGE_MILLISECONDS = 120_000;

/** A lesson as it is before anybody has run it. */
function unrun(text: string): string {
  const notebook = JSON.parse(text);
  for (const cell of notebook.cells) {
    if (cell.cell_type === "code") Object.assign(cell, { outputs: [], execution_count: null });
  }
  return JSON.stringify(notebook);
}

/** Pictures of a lesson as somebody else has stored it, which its reader has not said to trust: all are there. */
async function picturesSeen(address: string): Promise<void> {
  const folder = await Deno.makeTempDir({
    dir: await madeFolder(join(PROJECT, "notebooks", "out")),
    prefix: "strange_",
  });
  const browser = await launchChromium();
  try {
    const [name] = RUN_BY_HAND;
    const notebook = JSON.parse(await Deno.readTextFile(join(PROJECT, "notebooks", name!)));
    notebook.metadata.from = folder; // another notebook than the one that this machine trusts
    for (const cell of notebook.cells) cell.source = [...cell.source, ""];
    await Deno.writeTextFile(join(folder, name!), JSON.stringify(notebook));
    const page = await browser.newPage();
    page.setDefaultTimeout(PAGE_MILLISECONDS);
    const place = `out/${basename(folder)}/${name}`;
    await page.goto(`${address}lab/workspaces/${basename(folder)}/tree/${place}?reset`);
    await page.waitForFunction(
      `(([...all]) => all.length > 1 && all.every((i) => i.complete && i.naturalWidth > 0))(
        document.querySelectorAll("${SHOWN} .jp-OutputArea-output img"))`,
    );
    await page.waitForTimeout(1000);
    const seen = await page.evaluate(`(() => {
      const shown = [...document.querySelectorAll("${SHOWN} .jp-OutputArea-output img")];
      for (const fold of document.querySelectorAll("${SHOWN} details")) fold.open = true;
      return [shown.length > 1, shown.every((i) => i.naturalWidth > 300 && i.clientWidth > 300),
        document.querySelectorAll("${SHOWN} .jp-OutputArea-output svg.ripieno-chart").length];
    })()`);
    assertEquals(seen, [true, true, 0], "an untrusted lesson");
  } finally {
    await browser.close();
    await Deno.remove(folder, { recursive: true });
  }
}

/** Opens copies of lessons in a browser, runs all cells from the menu, looks at what they show and plays what they sound. */
async function lessonsRun(address: string): Promise<void> {
  const folder = await Deno.makeTempDir({
    dir: await madeFolder(join(PROJECT, "notebooks", "out")),
    prefix: "lab_",
  });
  const browser = await launchChromium();
  try {
    for (const name of RUN_BY_HAND) {
      const lesson = await Deno.readTextFile(join(PROJECT, "notebooks", name));
      await Deno.writeTextFile(join(folder, name), unrun(lesson));
      const page = await browser.newPage();
      page.setDefaultTimeout(PAGE_MILLISECONDS);
      const faults: string[] = [];
      page.on("pageerror", (error) => faults.push(error.message));
      await page.goto(
        `${address}lab/workspaces/${basename(folder)}/tree/out/${basename(folder)}/${name}?reset`,
      );
      await page.waitForSelector(`${SHOWN} .jp-CodeCell`);
      await page.getByText(/^Deno \| Idle$/).or(page.locator(".jp-Dialog")).first().waitFor();
      const select = page.locator(".jp-Dialog").getByText("Select", { exact: true });
      if (await select.count() > 0) await select.first().click();
      await page.locator("li.lm-MenuBar-item", { hasText: /^Run$/ }).click();
      await page.locator("li.lm-Menu-item", { hasText: /^Run All Cells$/ }).click();
      await page.waitForFunction(
        `[...document.querySelectorAll("${SHOWN} .jp-CodeCell .jp-InputPrompt")].every((p) => /\\d/.test(p.textContent))`,
        undefined,
        { timeout: LESSON_MILLISECONDS },
      );
      const errors = page.locator('[data-mime-type="application/vnd.jupyter.error"]');
      assertEquals(await errors.count(), 0, name);
      const heard = await page.evaluate(`(async () => {
        const sound = document.querySelector("${SHOWN} audio");
        await sound.play();
        for (let waited = 0; waited < 100 && sound.currentTime <= 0.3; waited++) {
          await new Promise((resolve) => setTimeout(resolve, 100));
        }
        return [sound.duration, sound.currentTime];
      })()`) as readonly [number, number];
      assert(heard[0] > 5 && heard[1] > 0.3, `${name}: ${heard}`);
      const folds = await page.evaluate(
        `[...document.querySelectorAll("${SHOWN} .jp-OutputArea-output details")].map((fold) => fold.open)`,
      ) as readonly boolean[];
      assert(folds.length > 0 && !folds.includes(true), `${name}: answers to be guessed are open`);
      assertEquals(faults, [], name);
      await page.close();
    }
  } finally {
    await browser.close();
    await Deno.remove(folder, { recursive: true });
  }
}

async function madeFolder(path: string): Promise<string> {
  await Deno.mkdir(path, { recursive: true });
  return path;
}

Deno.test("JupyterLab starts with the rights of its task, opens on the list of the lessons, shows what strangers have run, and runs lessons by its menu", async () => {
  if (!hasLab(jupyterPaths())) return; // Debian's packages have none
  const [, ...words] = TASKS["lab"]!.split(" ");
  const child = new Deno.Command(Deno.execPath(), {
    args: [...words, "--no-browser", "--port=0", "--IdentityProvider.token="],
    cwd: PROJECT,
    env: { NO_COLOR: "1" },
    stdout: "null",
    stderr: "piped",
  }).spawn();
  let said = "";
  let address: string | undefined;
  const reader = child.stderr.pipeThrough(new TextDecoderStream()).getReader();
  while (address === undefined) {
    const { value, done } = await reader.read();
    if (done) break;
    said += value;
    address = /http:\/\/127\.0\.0\.1:\d+\//.exec(said)?.[0];
  }
  try {
    assert(address !== undefined, said);
    const answer = await firstAnswer(address);
    await answer.body?.cancel();
    assertStringIncludes(answer.url, "/lab/tree/lessons.md");
    const settings = await fetch(`${address}lab/api/settings/@jupyterlab/docmanager-extension:plugin`);
    assertEquals((await settings.json()).schema.properties.defaultViewers.default, {
      markdown: "Markdown Preview",
    });
    const kernels = await (await fetch(`${address}api/kernelspecs`)).json();
    assertEquals([kernels.default, Object.keys(kernels.kernelspecs)], ["deno", ["deno"]]);
    await picturesSeen(address);
    await lessonsRun(address);
  } finally {
    child.kill("SIGTERM");
    await reader.cancel();
    await child.status;
  }
});
