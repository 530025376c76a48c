/**
 * `deno task study`: reads nothing but the words it is given, and starts the command line in a process that may touch
 * what these words name and nothing else.
 */
import { resolve } from "node:path";
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

/** Ends of a process that are no crash: done, a fault of ours that it has told, bad input, stopped by hand. */
const PLAIN_ENDS = [0, 1, 2, 130];

/** A survey whose process has ended so often without a score more being done is not started again. */
const MOST_STARTS_IN_VAIN = 4;

/** How many scores of a survey are done, those that were given up among them. */
function scoresDone(out: string): number {
  try {
    const rows = [...Deno.readDirSync(resolve(cwd, out, "rows"))];
    return rows.filter((entry) => entry.isDirectory && !entry.name.startsWith(".")).length;
  } catch {
    return 0;
  }
}

/**
 * Runs the command; a survey is started again where a score has eaten all memory and taken its process along. What it
 * had done is kept, and it knows what was under way.
 */
async function run(request: Request | undefined): Promise<number> {
  const rights = studyRights(request, cwd);
  for (let inVain = 0;;) {
    const before = request?.survey === undefined ? 0 : scoresDone(request.out);
    const child = new Deno.Command(Deno.execPath(), { args: ["run", ...rights, MAIN, ...Deno.args], cwd })
      .spawn();
    running = child;
    const { code } = await child.status;
    if (request?.survey === undefined || isStopped || PLAIN_ENDS.includes(code)) return code;
    inVain = scoresDone(request.out) > before ? 0 : inVain + 1;
    if (inVain === MOST_STARTS_IN_VAIN) return code;
    console.error(`\nThe survey ended by itself (${code}), as where memory runs out. It is started again.`);
  }
}

const cwd = callersFolder();
let running: Deno.ChildProcess | undefined;
let isStopped = false;
for (const signal of Deno.build.os === "windows" ? ["SIGINT"] as const : ["SIGINT", "SIGTERM"] as const) {
  Deno.addSignalListener(signal, () => {
    isStopped = true;
    try {
      running?.kill(signal); // a terminal tells both; whoever stops this one alone means the other
    } catch {
      // It has ended already.
    }
  });
}
Deno.exit(await run(requestOf(Deno.args)));
