/**
 * `deno task lab`: opens JupyterLab with the project's kernel at the list of the lessons. What follows is handed on,
 * such as `--no-browser` or `--port=8890`.
 */
import { join } from "node:path";
import { hasLab, installJupyter, type JupyterPaths } from "./setup/jupyter.ts";
import { notebookPaths } from "./setup/notebook.ts";
import { terminalStep } from "./setup/terminal_step.ts";
import { PROJECT, runCommand } from "./setup/run_command.ts";

async function lab(): Promise<number> {
  const step = terminalStep();
  const jupyter = await installJupyter(step.say).finally(step.end);
  if (!hasLab(jupyter)) {
    throw new Error(
      "JupyterLab is missing: it comes from PyPI, which was not reached; connect and run this again.",
    );
  }
  await trustNotebooks(jupyter);
  const words = [
    "-m",
    "jupyterlab",
    `--ServerApp.root_dir=${join(PROJECT, "notebooks")}`,
    "--KernelSpecManager.allowed_kernelspecs=deno", // lessons are in TypeScript: no Python is offered
    "--MultiKernelManager.default_kernel_name=deno",
    `--LabApp.app_settings_dir=${join(PROJECT, ".jupyter", "lab")}`, // no news; Markdown is shown, not its source
    "--LabApp.default_url=/lab/tree/lessons.md",
    ...(Deno.uid() === 0 ? ["--allow-root"] : []),
    ...Deno.args,
  ];
  const child = new Deno.Command(jupyter.python, { args: words, cwd: PROJECT, env: jupyter.env }).spawn();
  Deno.addSignalListener("SIGINT", () => {}); // JupyterLab hears it too, and asks or stops by itself
  if (Deno.build.os !== "windows") Deno.addSignalListener("SIGTERM", () => child.kill("SIGTERM"));
  return (await child.status).code;
}

/** Marks the lessons as one's own, so that their charts are seen before anything has been run. */
async function trustNotebooks({ python, env }: JupyterPaths): Promise<void> {
  await runCommand([python, "-m", "nbformat.sign", ...notebookPaths()], { env });
}

try {
  Deno.exit(await lab());
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  Deno.exit(1);
}
