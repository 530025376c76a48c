/**
 * `deno run -A tests/setup/seeded_faults.ts [COUNT] [SEED] [ROOM]`: how many of 200 small faults in the measures their
 * tests find. A fault is an operator or comparison mistaken for another, a number off by one, a condition turned round;
 * which ones is drawn by a seed. All sleep in one bundle of the tests; for each, the tests of its room and the examples in
 * the comments that come by it are run in a process of its own, the quick ones first, until one fails. Takes half an
 * hour of processor time: run by hand.
 */
import { dirname, join } from "node:path";
import { pathToFileURL } from "node:url";
import { bundleTests, examplesIn } from "./faults/bundle_tests.ts";
import { type FaultSite, faultSites } from "./faults/fault_sites.ts";
import type { TestRun, TestsToRun } from "./faults/run_tests.ts";
import { random } from "./random.ts";
import { PROJECT, runCommand } from "./run_command.ts";

const CODE = "lib/measures";
const TESTS = "tests/measures";
const EXAMPLES = ".check/faults/examples";
const SCRATCH = join(PROJECT, ".check", "faults");
/** Tests that are slow, over open or long scores, or run in processes of their own, where no fault wakes. */
const NOT_ASKED =
  /(on_scores|long_scores|real_scores|order_of_measuring|exact_hearing|mutations|soak)_test\.ts$/;
/** Tests that take longer than this without a fault are left out, in seconds of processor time. */
const SLOW_SECONDS = 20;
/** Tests that take so many times the processor time they took without a fault, and some seconds, have found one. */
const LIMIT = { times: 5, seconds: 20 };

const ROOMS = [...Deno.readDirSync(join(PROJECT, CODE))].filter((one) => one.isDirectory).map((one) =>
  one.name
);

/** A module of tests, what was seen of it without faults, and the room it is of. */
interface TestModule {
  readonly room: string;
  readonly url: string;
  readonly milliseconds: number;
  readonly runs: readonly TestRun[];
}

const [count = 200, seed = 1] = Deno.args.slice(0, 2).map(Number);
const only = Deno.args[2] ?? "";

/** The room of a file below a folder; one that lies beside the rooms belongs to the one it is named after, or to none. */
function roomOf(file: string, top: string): string {
  const [first, ...more] = file.slice(top.length + 1).split("/");
  if (more.length > 0) return first!;
  return ROOMS.find((room) => first!.startsWith(`${room}_`)) ?? "";
}

/** Names of the files below a folder that end so. */
function filesBelow(folder: string, ending: string): readonly string[] {
  return [...Deno.readDirSync(join(PROJECT, folder))].toSorted((a, b) => a.name < b.name ? -1 : 1)
    .flatMap(({ name, isDirectory }) =>
      isDirectory
        ? filesBelow(`${folder}/${name}`, ending)
        : name.endsWith(ending)
        ? [`${folder}/${name}`]
        : []
    );
}

/** Faults drawn by the seed, no two of which overlap. */
function drawFaults(files: readonly string[]): readonly FaultSite[] {
  const sites = files.filter((file) => roomOf(file, CODE).includes(only))
    .flatMap((file) => faultSites(file, Deno.readTextFileSync(join(PROJECT, file))));
  console.log(`${sites.length} faults could be put into ${CODE}.`);
  const next = random(seed);
  const drawn: FaultSite[] = [];
  while (drawn.length < count && sites.length > 0) {
    const [site] = sites.splice(Math.floor(next() * sites.length), 1);
    const overlaps = (other: FaultSite) =>
      other.file === site!.file && other.from < site!.to && site!.from < other.to;
    if (!drawn.some(overlaps)) drawn.push(site!);
  }
  return drawn;
}

/** Runs tests with one fault awake, or none, and says how they went; `undefined` where they did not come to an end. */
async function runTests(tests: TestsToRun, seconds: number): Promise<readonly TestRun[] | undefined> {
  const words = [
    "deno",
    "run",
    "-A",
    "--no-check",
    join(PROJECT, "tests", "setup", "faults", "run_tests.ts"),
  ];
  const limited = [
    "nice",
    "sh",
    "-c",
    `ulimit -t ${Math.ceil(seconds)}; exec "$@"`,
    "tests",
    Deno.execPath(),
  ];
  const { output } = await runCommand([...limited, ...words.slice(1), JSON.stringify(tests)]);
  const line = output.split("\n").find((one) => one.startsWith("RUNS "));
  return line === undefined ? undefined : JSON.parse(line.slice("RUNS ".length));
}

const code = filesBelow(CODE, ".ts");
const faults = drawFaults(code);
await Deno.remove(SCRATCH, { recursive: true }).catch(() => {});
const examples = code.flatMap((file) =>
  examplesIn(Deno.readTextFileSync(join(PROJECT, file))).map((text, i) => {
    const name = `${EXAMPLES}/${file.slice(CODE.length + 1).replace(/\.ts$/, "")}_${i}.ts`;
    Deno.mkdirSync(join(PROJECT, name, ".."), { recursive: true });
    Deno.writeTextFileSync(join(PROJECT, name), text);
    return name;
  })
);
const rooms = new Set(faults.map(({ file }) => roomOf(file, CODE)));
const files = [
  ...filesBelow(TESTS, "_test.ts").filter((file) => rooms.has(roomOf(file, TESTS)) && !NOT_ASKED.test(file)),
  ...examples.filter((file) => rooms.has(roomOf(file, EXAMPLES))),
];
const bundle = join(SCRATCH, "bundle");
await bundleTests(files, faults, bundle);

const modules: TestModule[] = [];
// Examples of one room are run together, since they are short.
const together = Object.values(
  Object.groupBy(files, (file) => file.startsWith(TESTS) ? file : dirname(file)),
);
for (const some of together) {
  const urls = some!.map((file) => pathToFileURL(join(bundle, file.replace(/\.ts$/, ".js"))).href);
  const asked = { fault: null, faults: faults.length, modules: urls.map((url) => ({ url, from: 0 })) };
  const all = await runTests(asked, SLOW_SECONDS) ?? [];
  for (const [i, url] of urls.entries()) {
    const runs = all.filter((run) => run.url === url);
    const broken = runs.length === 0 ? "it takes long" : runs.find(({ failed }) => failed)?.why;
    if (broken !== undefined) console.log(`Left out: ${some![i]}: ${broken}`);
    else {
      const milliseconds = runs.reduce((sum, run) => sum + run.milliseconds, 0);
      modules.push({
        room: roomOf(some![i]!, some![i]!.startsWith(TESTS) ? TESTS : EXAMPLES),
        url,
        milliseconds,
        runs,
      });
    }
  }
}
modules.sort((a, b) => a.milliseconds - b.milliseconds);
const total = modules.reduce((sum, { milliseconds }) => sum + milliseconds, 0) / 1000;
console.log(`${modules.length} modules of tests take ${total.toFixed(0)} s of processor time.`);

/** How it went with a fault; no test may come by it. */
type Fate = "found" | "not seen" | "not reached";

async function fateOf(fault: number): Promise<Fate> {
  const room = roomOf(faults[fault]!.file, CODE);
  const coming = modules.filter((module) => module.room === room)
    .map((module) => ({ ...module, from: module.runs.findIndex(({ reached }) => reached.includes(fault)) }))
    .filter(({ from }) => from >= 0);
  if (coming.length === 0) return "not reached";
  const seconds = coming.reduce((sum, { milliseconds }) => sum + milliseconds, 0) / 1000;
  const asked = coming.map(({ url, from }) => ({ url, from }));
  const runs = await runTests(
    { fault, faults: faults.length, modules: asked },
    LIMIT.seconds + LIMIT.times * seconds,
  );
  return runs === undefined || runs.some(({ failed }) => failed) ? "found" : "not seen";
}

const fates: Record<Fate, number> = { found: 0, "not seen": 0, "not reached": 0 };
for (const [number, { file, line, right, wrong }] of faults.entries()) {
  const fate = await fateOf(number);
  fates[fate]++;
  console.log(`${number + 1} ${fate}: ${file}:${line}: ${right} → ${wrong}`);
}
console.log(
  `${faults.length} faults, seed ${seed}: ${fates.found} found, ${fates["not seen"]} not seen, ` +
    `${fates["not reached"]} not reached: ${(100 * fates.found / faults.length).toFixed(1)} % found.`,
);
