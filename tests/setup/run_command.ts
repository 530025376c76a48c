import { fileURLToPath } from "node:url";

/** The project's folder. */
export const PROJECT: string = fileURLToPath(new URL("../..", import.meta.url)).replace(/[/\\]$/, "");

/** How a command ended. */
export interface CommandResult {
  /** Whether its exit code was 0. */
  readonly ok: boolean;
  /** What it wrote, both streams, in this order: stdout, stderr. */
  readonly output: string;
}

/** How a command is run. */
export interface CommandOptions {
  /** Folder to run in; by default the project's. */
  readonly folder?: string;
  /** Variables laid over the present environment. */
  readonly env?: Readonly<Record<string, string>>;
  /** Stopped and failed after this long; by default 15 minutes. */
  readonly limitMinutes?: number;
}

/**
 * Runs a command and gathers what it writes. A missing program is a failure like any other. `deno` is the one that runs
 * this, whether it is on PATH or not.
 */
export async function runCommand(
  words: readonly string[],
  { folder = PROJECT, env = {}, limitMinutes = 15 }: CommandOptions = {},
): Promise<CommandResult> {
  const [name = "", ...args] = words;
  const program = name === "deno" ? Deno.execPath() : name;
  const signal = AbortSignal.timeout(limitMinutes * 60_000);
  try {
    const { success, stdout, stderr } = await new Deno.Command(program, {
      args,
      cwd: folder,
      env: { NO_COLOR: "1", ...env },
      stdin: "null",
      stdout: "piped",
      stderr: "piped",
      signal,
    }).output();
    const output = new TextDecoder().decode(stdout) + new TextDecoder().decode(stderr);
    if (signal.aborted) return { ok: false, output: `${output}\nStopped after ${limitMinutes} minutes.` };
    return { ok: success, output };
  } catch (error) {
    return { ok: false, output: error instanceof Error ? error.message : String(error) };
  }
}
