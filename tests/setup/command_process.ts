/**
 * A process that is given commands one after the other, as `command_host.ts` takes them: what a command says and writes is
 * what a process of its own says and writes, without the time it takes to start and to load the library.
 */
import { fileURLToPath } from "node:url";

/** How a command ended, and what it said. */
export interface Ran {
  readonly code: number;
  readonly out: string;
  readonly errors: string;
}

/** Runs a command in a folder; commands wait for each other. */
export type RunCommand = (folder: string, ...args: readonly string[]) => Promise<Ran>;

const HOST = fileURLToPath(new URL("command_host.ts", import.meta.url));

/** A process for commands: starts with the first, and ends with the file of tests it stands in. */
export function commandProcess(): RunCommand {
  let host: { ask: (line: string) => Promise<string> } | undefined;
  let last: Promise<unknown> = Promise.resolve();
  return (cwd, ...args) => {
    const answer = last.then(async () => {
      host ??= startHost();
      return JSON.parse(await host.ask(JSON.stringify({ cwd, args })));
    });
    last = answer.catch(() => {});
    return answer;
  };
}

function startHost(): { ask: (line: string) => Promise<string> } {
  const child = new Deno.Command(Deno.execPath(), {
    args: ["run", "-A", "--quiet", "--no-check", HOST],
    env: { NO_COLOR: "1" },
    stdin: "piped",
    stdout: "piped",
  }).spawn();
  addEventListener("unload", () => child.kill());
  const writer = child.stdin.getWriter();
  const reader = child.stdout.pipeThrough(new TextDecoderStream()).getReader();
  return {
    ask: async (line) => {
      await writer.write(new TextEncoder().encode(`${line}\n`));
      let answer = "";
      while (!answer.endsWith("\n")) {
        const { value, done } = await reader.read();
        if (done) throw new Error(`the process ended: ${line}`);
        answer += value;
      }
      return answer;
    },
  };
}
