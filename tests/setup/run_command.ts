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
  /** Told of every line of its first stream as it comes. */
  readonly onLine?: (line: string) => void;
}

/**
 * Runs a command and gathers what it writes. A missing program is a failure like any other. `deno` is the one that runs
 * this, whether it is on PATH or not.
 */
export async function runCommand(
  words: readonly string[],
  { folder = PROJECT, env = {}, limitMinutes = 15, onLine }: CommandOptions = {},
): Promise<CommandResult> {
  const [name = "", ...args] = words;
  const program = name === "deno" ? Deno.execPath() : name;
  const signal = AbortSignal.timeout(limitMinutes * 60_000);
  try {
    const child = new Deno.Command(program, {
      args,
      cwd: folder,
      env: { NO_COLOR: "1", ...env },
      stdin: "null",
      stdout: "piped",
      stderr: "piped",
      signal,
    }).spawn();
    const [{ success }, ...texts] = await Promise.all([
      child.status,
      textOf(child.stdout, onLine),
      textOf(child.stderr),
    ]);
    const output = texts.join("");
    if (signal.aborted) return { ok: false, output: `${output}\nStopped after ${limitMinutes} minutes.` };
    return { ok: success, output };
  } catch (error) {
    return { ok: false, output: error instanceof Error ? error.message : String(error) };
  }
}

async function textOf(
  stream: ReadableStream<Uint8Array<ArrayBuffer>>,
  onLine: (line: string) => void = () => {},
): Promise<string> {
  let text = "";
  let told = 0;
  for await (const piece of stream.pipeThrough(new TextDecoderStream())) {
    text += piece;
    for (let end = text.indexOf("\n", told); end >= 0; end = text.indexOf("\n", told)) {
      onLine(text.slice(told, end));
      told = end + 1;
    }
  }
  return text;
}
