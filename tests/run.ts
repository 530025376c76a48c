/**
 * `deno task test`: every check there is, several at once, each reported in one line as it ends.
 * The five slowest tests follow; the last line is `N passed, N failed`, with `N skipped` where checks against open datasets were left out because these
 * are not beside the checkout. The exit code is 1 when anything failed or nothing ran.
 *
 * `deno task test --only NAME` runs the checks whose name contains NAME.
 */
import { basename, join } from "node:path";
import { installChromium } from "./setup/chromium.ts";
import { countTests, slowestTests, type TimedTest } from "./setup/count_tests.ts";
import { filesBelow } from "./setup/files_below.ts";
import { installJupyter, jupyterPaths } from "./setup/jupyter.ts";
import {
  checkCells,
  checkNotebookFormat,
  executeNotebook,
  notebookFaults,
  notebookPaths,
  readNotebook,
} from "./setup/notebook.ts";
import { PUBLIC_ENTRIES } from "./setup/public_entries.ts";
import { PROJECT, runCommand } from "./setup/run_command.ts";
import { countLeftOut } from "./setup/shared_data.ts";

/** One check: what it is called and how it went. */
interface Check {
  readonly name: string;
  readonly run: () => Promise<Outcome>;
}

/** How a check went; the output is shown when something failed. */
interface Outcome {
  readonly passed: number;
  readonly failed: number;
  /** Places where checks against a dataset were left out. */
  readonly skipped?: number;
  /** Its slowest tests, where it is a run of tests. */
  readonly slowest?: readonly TimedTest[];
  readonly output: string;
}

const SCRATCH = join(PROJECT, ".check");
/** Lines of `deno test` about what went well, left out when it is shown what did not. */
const QUIET_LINES = /^(Check |running \d+ tests? from |.* \.\.\. ok \().*\n/gm;
const SLOWEST_SHOWN = 5;
/** How many work at once: one more than there are processors, since some wait for a browser, a kernel or music that is playing. */
const PLACES = Math.max(1, navigator.hardwareConcurrency) + 1;
/** Files that take longest: they begin first, so that none of them is left alone at the end. */
const LONGEST_FILES = [
  "tests/lab_test.ts",
  "tests/package_test.ts",
  "tests/main_test.ts",
  "tests/survey/survey_test.ts",
  "tests/show/listen/listening_page_test.ts",
  "tests/notebooks_test.ts",
  "tests/show/report/report_test.ts",
  "tests/formats/page_round_trip_test.ts",
  "tests/public_arguments_test.ts",
  "tests/measures/real_scores_test.ts",
];
/**
 * Files that have a process of their own: those that start others or a browser, hold whole open scores, have their pictures kept
 * by the name of the file, or define instruments, which all in a process would have.
 */
const STANDS_ALONE =
  /setup\/(open_scores|shared_data|texture_corpus|survey_corpus|annotated\w*|chromium|jupyter|run_command|study_task|command_\w+|terminal_step|busy_thread|engraver|right_arguments)|test_charts|with_report|launchChromium|defineInstrument\(|Deno\.Command|memoryUsage|new Worker/;
/** Processes for the others: in one of its own each would load the library anew. */
const SHARED_PROCESSES = 4;
/** Longest that a run of tests may take on a machine with other work to do. */
const LONGEST_MINUTES = 45;
const NOTHING: Outcome = { passed: 0, failed: 0, output: "" };

/** A check that is one command: passed if its exit code is 0. */
function command(name: string, ...words: readonly string[]): Check {
  return { name, run: async () => outcomeOf(await runCommand(words)) };
}

function outcomeOf({ ok, output }: { readonly ok: boolean; readonly output: string }): Outcome {
  return { passed: ok ? 1 : 0, failed: ok ? 0 : 1, output };
}

/** A check that is a run of `deno test`: counts every test in it. */
function denoTest(name: string, words: readonly string[], env: Readonly<Record<string, string>> = {}): Check {
  const report = join(SCRATCH, `${name.replaceAll(" ", "_")}.xml`);
  return {
    name,
    run: async () => {
      await Deno.remove(report).catch(() => {});
      const command = ["deno", "test", "-A", "--parallel", `--junit-path=${report}`, ...words];
      const { ok, output } = await runCommand(command, {
        limitMinutes: LONGEST_MINUTES,
        env: { DENO_JOBS: String(PLACES), ...env },
      });
      const written = await Deno.readTextFile(report).catch(() => undefined);
      return {
        ...countTests(written, ok),
        skipped: countLeftOut(output),
        slowest: slowestTests(written, SLOWEST_SHOWN),
        output: output.replace(QUIET_LINES, ""),
      };
    },
  };
}

/** Something the checks need: counts only when it cannot be had. */
function need(name: string, install: () => Promise<unknown>): Check {
  return { name, run: async () => (await install(), NOTHING) };
}

/** Runs a notebook in a copy, and looks whether the notebook itself is fit to be handed on. */
async function runNotebook(path: string): Promise<Outcome> {
  const result = join(SCRATCH, basename(path));
  const { ok, output } = await executeNotebook(jupyterPaths(), path, result);
  if (!ok) return outcomeOf({ ok, output });
  const kept = notebookFaults(readNotebook(path)).map((fault) =>
    `as kept, ${fault}; run \`deno task notebooks\``
  );
  const faults = [...notebookFaults(readNotebook(result)), ...kept];
  return outcomeOf({ ok: faults.length === 0, output: faults.join("\n") });
}

/** All files of tests: those with processes of their own, the longest first, and the others. */
function testFiles(): { readonly alone: readonly string[]; readonly together: readonly string[] } {
  const others = filesBelow("tests", "_test.ts").filter((file) => !LONGEST_FILES.includes(file));
  const { alone = [], together = [] } = Object.groupBy(
    others,
    (file) => STANDS_ALONE.test(Deno.readTextFileSync(join(PROJECT, file))) ? "alone" : "together",
  );
  return { alone: [...LONGEST_FILES, ...alone], together };
}

/** Files of tests one after the other in a few processes, also one after the other, since each keeps what its files have made. */
function testsTogether(files: readonly string[]): Check {
  const name = "tests that share a process";
  const runs = Array.from({ length: SHARED_PROCESSES }, (_, i) => {
    const own = files.filter((_, k) => k % SHARED_PROCESSES === i).map((file) =>
      file.replace(/^tests\//, "")
    );
    return denoTest(name, ["--no-check", "tests/together.ts"], { RIPIENO_TEST_FILES: own.join(" ") });
  });
  return {
    name,
    run: async () => {
      const outcomes: Outcome[] = [];
      for (const { run } of runs) outcomes.push(await run());
      const sum = (of: (outcome: Outcome) => number) => outcomes.reduce((all, one) => all + of(one), 0);
      return {
        passed: sum((o) => o.passed),
        failed: sum((o) => o.failed),
        skipped: sum((o) => o.skipped ?? 0),
        slowest: outcomes.flatMap((o) => o.slowest ?? []),
        output: outcomes.filter((o) => o.failed > 0).map((o) => o.output).join("\n"),
      };
    },
  };
}

const TESTS = testFiles();

/** Checks that keep one processor busy each, with what others need first; then the notebooks; then the tests, which share all processors out. */
const checks: readonly (readonly Check[])[] = [
  [
    need("Jupyter", installJupyter),
    need("Chromium", installChromium),
    {
      name: "types of code, examples and notebook cells, and lint of cells",
      run: async () => outcomeOf(await checkCells(notebookPaths(), ["--doc", ".", "README.md"])),
    },
    denoTest("examples", ["--no-check", "tests/examples.ts"]),
    command("format", "deno", "fmt", "--check"),
    { name: "format of notebooks", run: async () => outcomeOf(await checkNotebookFormat(notebookPaths())) },
    command("lint", "deno", "lint"),
    command("documentation", "deno", "doc", "--lint", ...PUBLIC_ENTRIES.map(({ path }) => path)),
  ],
  notebookPaths().map((path) => ({ name: `notebook ${basename(path)}`, run: () => runNotebook(path) })),
  // Types were looked at above, where another check has the other processor.
  [denoTest("tests", ["--no-check", ...TESTS.alone]), testsTogether(TESTS.together)],
];

const only = Deno.args.indexOf("--only");
const isWanted = ({ name }: Check) => only < 0 || name.includes(Deno.args[only + 1] ?? "");
Deno.mkdirSync(SCRATCH, { recursive: true });
let passed = 0;
let failed = 0;
let skipped = 0;
const slowest: TimedTest[] = [];

/** Runs a check and says in a line how it went. */
async function runCheck({ name, run }: Check): Promise<void> {
  const start = performance.now();
  const outcome = await run().catch((error: Error): Outcome => ({
    ...NOTHING,
    failed: 1,
    output: error.message,
  }));
  const seconds = ((performance.now() - start) / 1000).toFixed(1).padStart(6);
  const counts = outcome.passed + outcome.failed > 1
    ? ` (${outcome.passed} passed, ${outcome.failed} failed)`
    : "";
  if (outcome.failed > 0) console.log(outcome.output.trimEnd());
  console.log(`${outcome.failed > 0 ? "FAILED" : "ok    "} ${seconds} s  ${name}${counts}`);
  passed += outcome.passed;
  failed += outcome.failed;
  skipped += outcome.skipped ?? 0;
  slowest.push(...outcome.slowest ?? []);
}

for (const group of checks) {
  const waiting = group.filter(isWanted);
  const lane = async () => {
    for (let check = waiting.shift(); check; check = waiting.shift()) await runCheck(check);
  };
  await Promise.all(Array.from({ length: PLACES }, lane));
}
for (
  const { seconds, name, file } of slowest.toSorted((a, b) => b.seconds - a.seconds).slice(0, SLOWEST_SHOWN)
) {
  console.log(`slow   ${seconds.toFixed(1).padStart(6)} s  ${name} (${file})`);
}
if (skipped > 0) console.log("Skipped: checks against open datasets that are not beside the checkout.");
console.log(`${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ""}`);
Deno.exit(failed > 0 || passed === 0 ? 1 : 0);
