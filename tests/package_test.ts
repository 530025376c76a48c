/**
 * The library in other people's projects: in Deno by nothing but an import map, and as an npm package under Node, where
 * there is no `Deno`. Real projects in folders of their own, real installs, the oldest Node that is promised.
 */
import { assert, assertAlmostEquals, assertEquals, assertStringIncludes } from "@std/assert";
import { join } from "node:path";
import { demoPlans, demoSketch, momentum, realise, sweep } from "ripieno";
import { buildPackage } from "./setup/build_package.ts";
import { audition } from "ripieno/show";
import { PUBLIC_ENTRIES } from "./setup/public_entries.ts";
import { PROJECT, runCommand } from "./setup/run_command.ts";

const NODE_VERSION = "22.23.3";
const ARCH = Deno.build.arch === "aarch64" ? "arm64" : "x64";

async function withFolder(work: (folder: string) => Promise<void>): Promise<void> {
  const folder = await Deno.makeTempDir();
  try {
    await work(folder);
  } finally {
    await Deno.remove(folder, { recursive: true });
  }
}

/** Runs a command that has to go well, and gives what it wrote. */
async function done(folder: string, ...words: readonly string[]): Promise<string> {
  const { ok, output } = await runCommand(words, { folder });
  assert(ok, `${words.join(" ")}\n${output}`);
  return output;
}

/** Examples of the README as files. */
async function writeExamples(folder: string): Promise<readonly string[]> {
  const readme = await Deno.readTextFile(join(PROJECT, "README.md"));
  const examples = [...readme.matchAll(/^```ts\n([\s\S]*?)^```/gm)].map((match) => match[1]!);
  assert(examples.length >= 5, "the README has examples");
  const names = examples.map((_, i) => `example_${i + 1}.ts`);
  await Promise.all(examples.map((text, i) => Deno.writeTextFile(join(folder, names[i]!), text)));
  return names;
}

/** Of some examples those that come through a door first, and what loads a solver; in the project itself all are run. */
function throughEveryDoor(folder: string, examples: readonly string[]): readonly string[] {
  const opened = new Set<string>();
  return examples.filter((name) => {
    const text = Deno.readTextFileSync(join(folder, name));
    const doors = [...text.matchAll(/ from "([^"]+)"/g)].map((match) => match[1]!);
    const isFirst = doors.some((door) => !opened.has(door));
    doors.forEach((door) => opened.add(door));
    return isFirst || text.includes("search(");
  });
}

/** Puts files where the examples of the README look for them. */
async function copyMusic(folder: string): Promise<void> {
  await Deno.mkdir(join(folder, "data", "spate"), { recursive: true });
  await Deno.copyFile(join(PROJECT, "data/spate/tune.abc"), join(folder, "data/spate/tune.abc"));
}

Deno.test("a Deno project with nothing but an import map type-checks the README's examples, and runs some through every door", async () => {
  await withFolder(async (folder) => {
    const imports = Object.fromEntries(PUBLIC_ENTRIES.map(({ name, path }) => [name, join(PROJECT, path)]));
    await Deno.writeTextFile(join(folder, "deno.json"), JSON.stringify({ imports }));
    const examples = await writeExamples(folder);
    await copyMusic(folder);
    await done(folder, "deno", "check", "--quiet", ...examples);
    const all = throughEveryDoor(folder, examples)
      .map((name) => `console.log("${name}");\nawait import("./${name}");\n`).join("");
    await Deno.writeTextFile(join(folder, "all.ts"), all);
    await done(folder, "deno", "run", "--quiet", "--no-check", "-A", "all.ts");
    assert((await Deno.stat(join(folder, "out", "momentum.svg"))).size > 1000);
  });
});

/** What a user under Node might write. */
const USE = `
import { readFile } from "node:fs/promises";
import { demoPlans, demoSketch, momentum, readScore, realise, study, sweep, writeFiles, writeMusicXml } from "ripieno";
import { camOf } from "ripieno/hearing";
import { audition, momentumChart, saveChart, soundFile } from "ripieno/show";
if ("Deno" in globalThis) throw new Error("this was to run without Deno");
const score = realise(demoSketch(), demoPlans().moving);
await writeFiles("out", [{ name: "moving.musicxml", content: writeMusicXml(score) }]);
const read = await readScore("out/moving.musicxml");
await saveChart(momentumChart(momentum(read)), "out/momentum.svg");
const bars = { fromBar: 17, toBar: 17, sampleRate: 24000 } as const;
const heard = audition(score, bars).channels[0]!;
await writeFiles("out", [{ name: "bar.mp3", content: await soundFile(score, bars) }]);
const rows = await sweep(demoPlans().held, { dynamic: ["p", "f"] }, {
  sketch: demoSketch(), layers: { role: "pad" }, workers: 2, stateFile: "out/sweep.jsonl", measures: ["momentum"],
});
console.log(JSON.stringify({
  node: process.version, momentum: momentum(score).whole.momentum, notes: [score.notes.length, read.notes.length],
  findings: study(read).playability.findings.length, sound: heard.reduce((sum, x) => sum + x * x, 0), cam: camOf(1000),
  svg: (await readFile("out/momentum.svg", "utf8")).slice(0, 4), rows: rows.map((row) => row.momentum),
}));
`;

const TSCONFIG = {
  compilerOptions: {
    strict: true,
    module: "nodenext",
    target: "es2024",
    lib: ["es2024", "dom", "esnext.disposable"],
    skipLibCheck: false,
    noEmit: true,
    types: ["node"],
  },
  files: ["use.mts"],
};

Deno.test("the npm package, installed under Node, reads, measures, writes, draws, sweeps in threads, and type-checks", async () => {
  await withFolder(async (folder) => {
    const built = join(folder, "built");
    await buildPackage(built);
    await done(built, "npm", "pack", "--silent", "--pack-destination", folder);
    const packed = [...Deno.readDirSync(folder)].map(({ name }) => name).find((name) =>
      name.endsWith(".tgz")
    )!;
    const project = join(folder, "project");
    await Deno.mkdir(project);
    await Deno.writeTextFile(
      join(project, "package.json"),
      JSON.stringify({ type: "module", private: true }),
    );
    const node = `node-${Deno.build.os}-${ARCH}`;
    const wanted = [join("..", packed), `${node}@${NODE_VERSION}`, "typescript@5.9.3", "@types/node@22"];
    await done(project, "npm", "install", "--silent", "--no-audit", "--no-fund", ...wanted);
    await Deno.writeTextFile(join(project, "use.mts"), USE);
    await Deno.writeTextFile(join(project, "tsconfig.json"), JSON.stringify(TSCONFIG));
    const program = join("node_modules", node, "bin", "node");

    await done(project, program, "node_modules/typescript/bin/tsc");
    const said = JSON.parse(
      await done(
        project,
        program,
        "--disable-warning=ExperimentalWarning",
        "--experimental-strip-types",
        "use.mts",
      ),
    );
    const own = realise(demoSketch(), demoPlans().moving);
    assertEquals(said.node, `v${NODE_VERSION}`);
    assertAlmostEquals(said.momentum, momentum(own).whole.momentum, 1e-9);
    assertEquals(said.notes, [own.notes.length, own.notes.length]);
    assertEquals(said.svg, "<svg");
    const [heard] = audition(own, { fromBar: 17, toBar: 17, sampleRate: 24_000 }).channels;
    assertAlmostEquals(said.sound, heard!.reduce((sum, x) => sum + x * x, 0), 1e-3);
    const rows = await sweep(demoPlans().held, { dynamic: ["p", "f"] }, {
      sketch: demoSketch(),
      layers: { role: "pad" },
      workers: 0,
      measures: ["momentum"],
    });
    rows.forEach((row, i) => assertAlmostEquals(said.rows[i], row.momentum!, 1e-9));

    const study = await done(
      project,
      program,
      "node_modules/ripieno/lib/study.js",
      "study",
      "out/moving.musicxml",
      "--out",
      "report",
    );
    assertStringIncludes(study, "report.html");
    const bad = await runCommand([program, "node_modules/ripieno/lib/study.js", "study", "nothing.xml"], {
      folder: project,
    });
    assertEquals(bad.ok, false);
    assertStringIncludes(bad.output, "there is no such file");
  });
});
