import { delimiter, dirname, join } from "node:path";
import { installDebianPackages } from "./debian_packages.ts";
import { findProgram } from "./find_program.ts";
import { PROJECT, runCommand } from "./run_command.ts";
import { textIfThere } from "./text_if_there.ts";

/** A Jupyter that can be run: `PYTHON -m nbconvert …` with this environment. */
export interface JupyterPaths {
  /** The Python that has Jupyter. */
  readonly python: string;
  /** Variables that let it find the project's kernel and keep its own files inside the project. */
  readonly env: Readonly<Record<string, string>>;
}

const VENV = join(PROJECT, ".venv");
/** Where systems and tools put the Python of a virtual environment. */
const PYTHON_PLACES = [
  ["bin", "python"],
  ["bin", "python3"],
  ["Scripts", "python.exe"],
  ["bin", "python.exe"],
  ["python.exe"],
];
const REQUIREMENTS = join(PROJECT, ".jupyter", "requirements.txt");
const INSTALLED = join(VENV, "requirements.txt");
const DEBIAN_PYTHON = "/usr/bin/python3";
const PYTHON_NAMES = ["python3", "python", "python3.exe", "python.exe"];

/** What is said where Jupyter cannot be installed. */
const MISSING =
  "Jupyter is missing and could not be installed: give this machine Python 3.10 or newer with venv, pip and " +
  "a way to PyPI, or Debian's package python3-nbconvert.";

/** Variables for everything that starts Jupyter. */
function jupyterEnv(): Record<string, string> {
  const own = join(PROJECT, ".check", "jupyter");
  Deno.mkdirSync(own, { recursive: true });
  return {
    JUPYTER_PATH: join(PROJECT, ".jupyter"),
    JUPYTER_CONFIG_DIR: join(own, "config"),
    JUPYTER_DATA_DIR: join(own, "data"),
    JUPYTER_RUNTIME_DIR: join(own, "runtime"),
    JUPYTER_PLATFORM_DIRS: "1",
    IPYTHONDIR: join(own, "ipython"),
    PYTHONDONTWRITEBYTECODE: "1",
    DENO_NO_UPDATE_CHECK: "1",
    PATH: dirname(Deno.execPath()) + delimiter + (Deno.env.get("PATH") ?? ""), // the kernel is this same deno
  };
}

/**
 * The Jupyter that is installed: the project's own `.venv`, or the one of Debian's packages.
 *
 * @throws when there is none; the message says what to install
 */
export function jupyterPaths(): JupyterPaths {
  const python = readyVenv() ?? (has(DEBIAN_PYTHON, "nbconvert") ? DEBIAN_PYTHON : undefined);
  if (python === undefined) throw new Error(MISSING);
  return { python, env: jupyterEnv() };
}

/**
 * Installs Jupyter where it is missing: exactly the pinned versions into the project's `.venv` from PyPI;
 * where that fails, Debian's packages. A `.venv` of somebody else's making is used as it is where it has Jupyter, and
 * gets it where it has not.
 *
 * @param onStep told what is being done, in words for a line of a terminal
 * @throws when neither can be had; the message says what to install
 */
export async function installJupyter(onStep: (words: string) => void = () => {}): Promise<JupyterPaths> {
  if (readyVenv() !== undefined) return jupyterPaths();
  onStep("Jupyter is missing here: installing it into .venv, once");
  const there = venvPython(VENV);
  if (there !== undefined && !isOurs() && await installInto(there, onStep)) return jupyterPaths();
  const pythons = new Set([DEBIAN_PYTHON, findProgram(...PYTHON_NAMES) ?? DEBIAN_PYTHON]);
  for (const python of pythons) if (await makeVenv(python, onStep)) return jupyterPaths();
  if (!has(DEBIAN_PYTHON, "ensurepip")) {
    onStep("installing Debian's python3-venv");
    if (await installDebianPackages("python3-venv") && await makeVenv(DEBIAN_PYTHON, onStep)) {
      return jupyterPaths();
    }
  }
  if (!has(DEBIAN_PYTHON, "nbconvert")) {
    onStep("installing Debian's python3-nbconvert");
    await installDebianPackages("python3-nbconvert");
  }
  return jupyterPaths();
}

/** Whether JupyterLab, and not only the command-line tools, is there. */
export function hasLab({ python }: JupyterPaths): boolean {
  return has(python, "jupyterlab");
}

/**
 * The Python of a virtual environment, wherever its maker has put it.
 *
 * @param folder the environment's folder
 * @returns its path; undefined where there is none, or none that runs
 */
export function venvPython(folder: string): string | undefined {
  return PYTHON_PLACES.map((steps) => join(folder, ...steps)).find((python) => has(python, "sys"));
}

/** The Python of `.venv`, where it has what is needed: the pinned versions, or, in one not made here, any. */
function readyVenv(): string | undefined {
  const python = venvPython(VENV);
  if (python === undefined || !has(python, "nbconvert")) return undefined;
  const isAsPinned = textIfThere(INSTALLED) === textIfThere(REQUIREMENTS);
  return isAsPinned || (!isOurs() && has(python, "jupyterlab", "nbclient")) ? python : undefined;
}

/** Whether `.venv` was made here: then it may be made anew. */
function isOurs(): boolean {
  return textIfThere(INSTALLED) !== undefined;
}

async function makeVenv(python: string, onStep: (words: string) => void): Promise<boolean> {
  if (!has(python, "ensurepip")) return false;
  onStep(`making .venv with ${python}`);
  if (!(await runCommand([python, "-m", "venv", "--clear", VENV])).ok) return false;
  await Deno.writeTextFile(INSTALLED, ""); // ours from here on, though nothing is in it yet
  const own = venvPython(VENV);
  if (own !== undefined && await installInto(own, onStep)) {
    await Deno.copyFile(REQUIREMENTS, INSTALLED);
    return true;
  }
  await Deno.remove(VENV, { recursive: true });
  return false;
}

async function installInto(python: string, onStep: (words: string) => void): Promise<boolean> {
  if (!has(python, "pip") && !(await runCommand([python, "-m", "ensurepip"])).ok) return false;
  const count = (textIfThere(REQUIREMENTS) ?? "").split("\n").filter((line) => /^\w/.test(line)).length;
  let met = 0;
  const onLine = (line: string) => {
    const name = /^Collecting ([\w.-]+)/.exec(line)?.[1];
    if (name !== undefined) onStep(`fetching package ${++met} of about ${count}: ${name}`);
    if (line.startsWith("Installing collected packages")) onStep(`putting ${met} packages in place`);
  };
  const steady = ["--disable-pip-version-check", "--no-input", "--retries", "2", "--timeout", "60"];
  const words = [python, "-m", "pip", "install", "--progress-bar", "off", ...steady, "-r", REQUIREMENTS];
  return (await runCommand(words, { onLine })).ok;
}

/** Oldest Python that the pinned versions run in. */
const PYTHON_VERSION = [3, 10] as const;

/** Whether a Python can be run, is new enough and has modules. */
function has(python: string, ...modules: readonly string[]): boolean {
  const found = modules.map((module) => `importlib.util.find_spec("${module}")`).join(" and ");
  const isNew = `sys.version_info >= (${PYTHON_VERSION.join(", ")})`;
  const code = `import importlib.util, sys; sys.exit(not (${isNew} and ${found}))`;
  try {
    return new Deno.Command(python, { args: ["-c", code], stdin: "null", stdout: "null", stderr: "null" })
      .outputSync().success;
  } catch {
    return false;
  }
}
