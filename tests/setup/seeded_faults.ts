/**
 * `deno run -A tests/setup/seeded_faults.ts [COUNT] [SEED] [ROOM] [NUMBERS]`: how many of 240 small faults in the measures their
 * tests find, room by room, and which they do not. A fault is an operator or comparison mistaken for another, a number off
 * by one, a condition turned round; which ones is drawn by a seed, from every room as many as its share of the code. Those
 * that change nothing are left out (`faults/no_faults.ts`). All sleep in one bundle of the tests; for each, the tests of
 * its room, its published checks and the examples in the comments that come by it are run in a process
 * of its own, the quick ones first, until one fails. With numbers, as `3,17`, only these are asked again, and all others
 * count as found. Takes about ten minutes of processor time: run by hand.
 */
import { dirname, join } from "node:path";
import { pathToFileURL } from "node:url";
import { bundleTests, exampleTests } from "./faults/bundle_tests.ts";
import { type FaultSite, faultSites } from "./faults/fault_sites.ts";
import { isNoFault } from "./faults/no_faults.ts";
import type { TestRun, TestsToRun } from "./faults/run_tests.ts";
import { filesBelow } from "./files_below.ts";
import { random } from "./random.ts";
import { PROJECT, runCommand } from "./run_command.ts";

const CODE = "lib/measures";
const TESTS = "tests/measures";
const PUBLISHED = "tests/published";
const EXAMPLES = ".check/faults/examples";
const SCRATCH = join(PROJECT, ".check", "faults");
/** Published checks that need nothing beside the project, with the room they are asked of. */
const CHECKS: Readonly<Record<string, string>> = {
  foote_2000: "freshness",
  huron_synco: "momentum",
  longuet_higgins_lee_1984: "momentum",
  parncutt_1994: "momentum",
  low_interval_limits: "chords",
  printed_string_rates: "playability",
  rimsky_korsakov_1922: "balance",
  tonguing_tempos: "playability",
};
/** Tests of all measures that are asked of every room. */
const FOR_ALL = /\/(constant_ranges|wrong_arguments)_test\.ts$/;
/** Tests that are slow, over open or long scores, or run in processes of their own, where no fault wakes. */
const NOT_ASKED =
  /(on_scores|long_scores|real_scores|order_of_measuring|exact_hearing|mutations|soak)_test\.ts$/;
/** Files of tests that take longer than this without a fault are left out, in seconds of processor time. */
const SLOW_SECONDS = 30;
/** A single test that takes longer is left out, in milliseconds. */
const SLOW_TEST = 3000;
/** Tests that take so many times the processor time they took without a fault, and some seconds, have found one. */
const LIMIT = { times: 5, seconds: 20 };

const ROOMS = [...Deno.readDirSync(join(PROJECT, CODE))].filter((one) => one.isDirectory).map((one) =>
  one.name
);

/** A module of tests, what was seen of it without faults, and the room it is of. */
interface TestModule {
  readonly room: string;
  readonly url: string;
  readonly runs: readonly TestRun[];
}

const [count = 240, seed = 1] = Deno.args.slice(0, 2).map(Number);
const only = Deno.args[2] ?? "";
const again = Deno.args[3]?.split(",").map(Number);

/** The room of a file below a folder: that of a published check, or the next folder; one that lies beside the rooms belongs to the one it is named after, or to none. */
function roomOf(file: string, top: string): string {
  const [first, ...more] = file.slice(top.length + 1).split("/");
  if (top === PUBLISHED) return CHECKS[first!.replace("_test.ts", "")] ?? "none";
  if (more.length > 0) return first!;
  return ROOMS.find((room) => first!.startsWith(`${room}_`)) ?? "";
}

/** Faults drawn by the seed, no two of which overlap, from every room by its share. */
function drawFaults(files: readonly string[]): readonly FaultSite[] {
  const all = files.filter((file) => roomOf(file, CODE).includes(only))
    .flatMap((file) => faultSites(file, Deno.readTextFileSync(join(PROJECT, file))))
    .filter((site) => !isNoFault(site));
  console.log(`${all.length} faults could be put into ${CODE}.`);
  const next = random(seed);
  return [...Map.groupBy(all, ({ file }) => roomOf(file, CODE)).values()].flatMap((sites) => {
    const asked = Math.ceil(count * sites.length / all.length);
    const drawn: FaultSite[] = [];
    while (drawn.length < asked && sites.length > 0) {
      const [site] = sites.splice(Math.floor(next() * sites.length), 1);
      const overlaps = (other: FaultSite) =>
        other.file === site!.file && other.from < site!.to && site!.from < other.to;
      if (!drawn.some(overlaps)) drawn.push(site!);
    }
    return drawn;
  });
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
  exampleTests(Deno.readTextFileSync(join(PROJECT, file))).map((text, i) => {
    const name = `${EXAMPLES}/${file.slice(CODE.length + 1).replace(/\.ts$/, "")}_${i}.ts`;
    Deno.mkdirSync(join(PROJECT, name, ".."), { recursive: true });
    Deno.writeTextFileSync(join(PROJECT, name), text);
    return name;
  })
);
const rooms = new Set(faults.map(({ file }) => roomOf(file, CODE)));
/** Whether a room's tests are asked: its own, and those of any room where what they share is faulty. */
const isAsked = (room: string) => rooms.has(room) || rooms.has("");
const files = [
  ...filesBelow(TESTS, "_test.ts").filter((file) =>
    FOR_ALL.test(file) || isAsked(roomOf(file, TESTS)) && !NOT_ASKED.test(file)
  ),
  ...filesBelow(PUBLISHED, "_test.ts").filter((file) => isAsked(roomOf(file, PUBLISHED))),
  ...examples.filter((file) => isAsked(roomOf(file, EXAMPLES))),
];
const bundle = join(SCRATCH, "bundle");
await bundleTests(files, faults, bundle);

const modules: TestModule[] = [];
// Examples of one room are run together, since they are short.
const together = Object.values(
  Object.groupBy(files, (file) => file.startsWith(EXAMPLES) ? dirname(file) : file),
);
for (const some of together) {
  const urls = some!.map((file) => pathToFileURL(join(bundle, file.replace(/\.ts$/, ".js"))).href);
  const asked = { fault: null, faults: faults.length, modules: urls.map((url) => ({ url })) };
  const all = await runTests(asked, SLOW_SECONDS * urls.length) ?? [];
  for (const [i, url] of urls.entries()) {
    const runs = all.filter((run) => run.url === url);
    const broken = runs.length === 0 ? "it takes long" : runs.find(({ failed }) => failed)?.why;
    if (broken !== undefined) console.log(`Left out: ${some![i]}: ${broken}`);
    else {
      const file = some![i]!;
      const top = [TESTS, EXAMPLES, PUBLISHED].find((folder) => file.startsWith(folder))!;
      modules.push({ room: FOR_ALL.test(file) ? "all" : roomOf(file, top), url, runs });
    }
  }
}
const sum = (values: readonly number[]) => values.reduce((a, b) => a + b, 0);
const total = sum(modules.flatMap(({ runs }) => runs.map((run) => run.milliseconds))) / 1000;
console.log(`${modules.length} modules of tests take ${total.toFixed(0)} s of processor time.`);

/** How it went with a fault; no test may come by it. */
type Fate = "found" | "not seen" | "not reached";

async function fateOf(fault: number): Promise<Fate> {
  const room = roomOf(faults[fault]!.file, CODE);
  const coming = modules.filter((module) => [room, "all"].includes(module.room) || room === "")
    .flatMap(({ url, runs }) => {
      // What one test has worked out may be kept for the next.
      const from = runs.findIndex(({ reached }) => reached.includes(fault));
      const asked = [...runs.keys()].filter((i) =>
        from >= 0 && i >= from && runs[i]!.milliseconds < SLOW_TEST
      );
      return asked.length === 0
        ? []
        : [{ url, asked, milliseconds: sum(asked.map((i) => runs[i]!.milliseconds)) }];
    }).toSorted((a, b) => a.milliseconds - b.milliseconds);
  if (coming.length === 0) return "not reached";
  const seconds = sum(coming.map(({ milliseconds }) => milliseconds)) / 1000;
  const asked = coming.map(({ url, asked }) => ({ url, asked }));
  const runs = await runTests(
    { fault, faults: faults.length, modules: asked },
    LIMIT.seconds + LIMIT.times * seconds,
  );
  return runs === undefined || runs.some(({ failed }) => failed) ? "found" : "not seen";
}

const fates: Fate[] = [];
const inWords = ({ file, line, right, wrong }: FaultSite) => `${file}:${line}: ${right} → ${wrong}`;
for (const [number, fault] of faults.entries()) {
  fates.push(again !== undefined && !again.includes(number + 1) ? "found" : await fateOf(number));
  if (again !== undefined && fates[number] === "found") continue;
  console.log(`${number + 1} ${fates[number]}: ${inWords(fault)}`);
}

/** How many of some faults were found. */
function shareOf(which: (fault: FaultSite) => boolean): string {
  const own = fates.filter((_, i) => which(faults[i]!));
  const of = (fate: Fate) => own.filter((one) => one === fate).length;
  return `${own.length} faults: ${of("found")} found, ${of("not seen")} not seen, ` +
    `${of("not reached")} not reached: ${(100 * of("found") / own.length).toFixed(1)} % found`;
}
console.log("\nNot found:");
faults.forEach((fault, i) => fates[i] === "found" || console.log(`  ${inWords(fault)} (${fates[i]})`));
console.log("");
for (const room of rooms) {
  console.log(
    `${(room || "what they share").padEnd(16)} ${shareOf(({ file }) => roomOf(file, CODE) === room)}`,
  );
}
console.log(`${"all".padEnd(16)} ${shareOf(() => true)}; seed ${seed}`);
