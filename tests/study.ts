/**
 * `deno task study`: reads nothing but the words it is given, and starts the command line in a process that may touch
 * what these words name and nothing else.
 */
import { fileURLToPath } from "node:url";
import { readRequest, type Request } from "../lib/request.ts";
import { PROJECT } from "./setup/run_command.ts";
import { studyRights } from "./setup/study_rights.ts";

const MAIN = fileURLToPath(new URL("../lib/main.ts", import.meta.url));

/** A task runs at the project's folder, wherever it was called: files are meant as seen from there. */
function callersFolder(): string {
  const here = Deno.realPathSync(".");
  const called = Deno.env.get("INIT_CWD");
  if (called === undefined || called === "" || here !== Deno.realPathSync(PROJECT)) return here;
  try {
    return Deno.realPathSync(called);
  } catch {
    return here; // a folder that has gone meanwhile
  }
}

/** What is asked for; nothing where it is help, or the words make no sense: the command line says so itself. */
function requestOf(args: readonly string[]): Request | undefined {
  try {
    const request = readRequest(args);
    return request === "help" ? undefined : request;
  } catch {
    return undefined;
  }
}

const cwd = callersFolder();
const rights = studyRights(requestOf(Deno.args), cwd);
const child = new Deno.Command(Deno.execPath(), { args: ["run", ...rights, MAIN, ...Deno.args], cwd })
  .spawn();
for (const signal of Deno.build.os === "windows" ? ["SIGINT"] as const : ["SIGINT", "SIGTERM"] as const) {
  Deno.addSignalListener(signal, () => {
    try {
      child.kill(signal); // a terminal tells both; whoever stops this one alone means the other
    } catch {
      // It has ended already.
    }
  });
}
Deno.exit((await child.status).code);
