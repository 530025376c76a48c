import { delimiter, dirname, join } from "node:path";
import { installDebianPackages } from "./debian_packages.ts";
import { findProgram } from "./find_program.ts";
import { PROJECT, runCommand } from "./run_command.ts";

/** A Jupyter that can be run: `PYTHON -m nbconvert …` with this environment. */
export interface JupyterPaths {
  /** The Python that has Jupyter. */
  readonly python: string;
  /** Variables that let it find the project's kernel and keep its own files inside the project. */
  readonly env: Readonly<Record<string, string>>;
}

const VENV = join(PROJECT, ".venv");
const VENV_PYTHON = join(VENV, "bin", "python");
const REQUIREMENTS = join(PROJECT, ".jupyter", "requirements.txt");
const INSTALLED = join(VENV, "requirements.txt");
const DEBIAN_PYTHON = "/usr/bin/python3";

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
  const python = venvIsReady() ? VENV_PYTHON : has(DEBIAN_PYTHON, "nbconvert") ? DEBIAN_PYTHON : undefined;
  if (python === undefined) throw new Error(MISSING);
  return { python, env: jupyterEnv() };
}

/**
 * Installs Jupyter where it is missing: exactly the pinned versions into the project's `.venv` from PyPI;
 * where that fails, Debian's packages.
 *
 * @throws when neither can be had; the message says what to install
 */
export async function installJupyter(): Promise<JupyterPaths> {
  if (venvIsReady()) return jupyterPaths();
  const pythons = new Set([DEBIAN_PYTHON, findProgram("python3") ?? DEBIAN_PYTHON]);
  for (const python of pythons) if (await makeVenv(python)) return jupyterPaths();
  if (!has(DEBIAN_PYTHON, "ensurepip") && await installDebianPackages("python3-venv")) {
    if (await makeVenv(DEBIAN_PYTHON)) return jupyterPaths();
  }
  if (!has(DEBIAN_PYTHON, "nbconvert")) await installDebianPackages("python3-nbconvert");
  return jupyterPaths();
}

/** Whether JupyterLab, and not only the command-line tools, is there. */
export function hasLab({ python }: JupyterPaths): boolean {
  return has(python, "jupyterlab");
}

function venvIsReady(): boolean {
  return readText(INSTALLED) === readText(REQUIREMENTS) && has(VENV_PYTHON, "nbconvert");
}

async function makeVenv(python: string): Promise<boolean> {
  if (!has(python, "ensurepip")) return false;
  if (!(await runCommand([python, "-m", "venv", "--clear", VENV])).ok) return false;
  const quick = ["--quiet", "--disable-pip-version-check", "--no-input", "--retries", "2", "--timeout", "60"];
  const { ok } = await runCommand([VENV_PYTHON, "-m", "pip", "install", ...quick, "-r", REQUIREMENTS]);
  if (ok) await Deno.copyFile(REQUIREMENTS, INSTALLED);
  else await Deno.remove(VENV, { recursive: true });
  return ok;
}

/** Whether a Python can be run and has a module. */
function has(python: string, module: string): boolean {
  const code = `import importlib.util, sys; sys.exit(importlib.util.find_spec("${module}") is None)`;
  try {
    return new Deno.Command(python, { args: ["-c", code], stdin: "null", stdout: "null", stderr: "null" })
      .outputSync().success;
  } catch {
    return false;
  }
}

function readText(path: string): string | undefined {
  try {
    return Deno.readTextFileSync(path);
  } catch {
    return undefined;
  }
}
