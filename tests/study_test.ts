/** What a study may do to a machine: real processes with the rights that the task gives them. */
import { assert, assertEquals, assertStringIncludes } from "@std/assert";
import { basename, join } from "node:path";
import { readRequest } from "../lib/request.ts";
import { inFolder } from "./formats/files/tree_of.ts";
import { PROJECT } from "./setup/run_command.ts";
import { studyRights } from "./setup/study_rights.ts";
import { STUDY_TASK, TASKS } from "./setup/study_task.ts";

/** A short tune of our own, and a plan for it. */
const TUNE = `X:1\nT:Brook\nM:4/4\nL:1/4\nQ:1/4=112\nK:G\n"G" D2 G A | "Em" B3 G | "C" c2 B A | "D" A4 |\n`;
const PLAN = "passage,from_bar,to_bar,role,parts\nAll,1,4,lead,Flute 1\nAll,1,4,pad,Horns\n";

/** Tries what its words name, and prints what came of each. */
const PROBE = `
const tries = {
  read: (path) => Deno.readTextFileSync(path),
  write: (path) => Deno.writeTextFileSync(path, "x"),
  make: (path) => Deno.mkdirSync(path),
  remove: (path) => Deno.removeSync(path),
  fetch: (address) => fetch(address).then((answer) => answer.text()),
  connect: (port) => Deno.connect({ port: Number(port) }).then((socket) => socket.close()),
  listen: () => Deno.listen({ port: 0 }).close(),
  import: (address) => import(address),
  env: (name) => Deno.env.get(name),
  run: (program) => new Deno.Command(program, { args: ["--version"] }).outputSync(),
  system: () => Deno.hostname(),
};
const said = {};
for (let i = 0; i < Deno.args.length; i += 2) {
  const [name, thing] = Deno.args.slice(i, i + 2);
  said[name + " " + thing] = await Promise.resolve().then(() => tries[name](thing)).then(() => "done", (e) => e.name);
}
console.log(JSON.stringify(said));
`;

/** What comes of tries in a process with some rights. */
async function probe(
  folder: string,
  rights: readonly string[],
  tries: readonly string[],
): Promise<readonly string[]> {
  const script = join(folder, "probe.js");
  await Deno.writeTextFile(script, PROBE);
  const { stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: ["run", "--quiet", "--no-config", ...rights, script, ...tries.flatMap((one) => one.split(" "))],
    cwd: folder,
    env: { NO_COLOR: "1", SECRET: "1" },
  }).output();
  const text = new TextDecoder().decode(stdout);
  assert(text !== "", new TextDecoder().decode(stderr));
  return Object.values(JSON.parse(text));
}

/** A folder with a score and other things in it, as a person has. */
async function furnish(folder: string): Promise<void> {
  await Deno.writeTextFile(join(folder, "tune.abc"), TUNE);
  await Deno.writeTextFile(join(folder, "diary.txt"), "mine");
  await Deno.mkdir(join(folder, "music", "old"), { recursive: true });
  await Deno.mkdir(join(folder, "private"));
  await Deno.writeTextFile(join(folder, "private", "letter.txt"), "mine");
  await Deno.writeTextFile(join(folder, "music", "tune.abc"), TUNE);
}

function rightsOf(folder: string, ...args: readonly string[]): readonly string[] {
  const request = readRequest(["study", ...args]);
  assert(request !== "help");
  return studyRights(request, folder);
}

Deno.test("a study's process reads what it is given, writes where it is told, and can do nothing else", () =>
  inFolder(async (link) => {
    const folder = await Deno.realPath(link);
    await furnish(folder);
    const heard: string[] = [];
    const onListen = () => {};
    await using server = Deno.serve({ port: 0, hostname: "127.0.0.1", onListen }, (request) => {
      heard.push(request.url);
      return new Response("export default 1", { headers: { "content-type": "text/javascript" } });
    });
    const { port } = server.addr;
    const allowed = ["read music/tune.abc", "write music/old/report.html", "make music/old/charts"];
    const refused = [
      "read diary.txt",
      "read private/letter.txt",
      `read ${join(PROJECT, "README.md")}`,
      "write diary.txt",
      "write music/tune.abc",
      "write music/new.txt",
      "write probe.js",
      "make elsewhere",
      "remove private/letter.txt",
      `write ${join(PROJECT, "lib", "written.ts")}`,
      `fetch http://127.0.0.1:${port}/`,
      `connect ${port}`,
      "listen any",
      `import http://127.0.0.1:${port}/code.js`,
      "env SECRET",
      "env HOME",
      `run ${Deno.execPath()}`,
      "system name",
    ];
    const rights = rightsOf(folder, "music/tune.abc", "--out", "music/old");
    assertEquals(await probe(folder, rights, allowed), allowed.map(() => "done"));
    const came = await probe(folder, rights, refused);
    refused.forEach((what, i) => assert(/^(NotCapable|TypeError)$/.test(came[i]!), `${what}: ${came[i]}`));
    assertEquals(heard, []);
    assertEquals(await Deno.readTextFile(join(folder, "diary.txt")), "mine");
    // The same tries with all rights: they could be done.
    const could = refused.filter((what) => !/^(write \/|write probe|import|remove)/.test(what));
    assertEquals(await probe(folder, ["-A"], could), could.map(() => "done"));
    assertEquals(heard.length, 1);
  }));

Deno.test("a study may read the table of an orchestra that is named, and no file where an orchestra is", () =>
  inFolder(async (link) => {
    const folder = await Deno.realPath(link);
    await furnish(folder);
    const tries = ["read diary.txt", "read private/letter.txt"];
    const named = rightsOf(folder, "--orchestra", "private/letter.txt", "--out", "music/new");
    assertEquals(await probe(folder, named, tries), ["NotCapable", "done"]);
    const known = rightsOf(folder, "--orchestra", "school", "--out", "music/new");
    assertEquals(await probe(folder, known, tries), ["NotCapable", "NotCapable"]);
  }));

Deno.test("every file a study is told to read is one that it may read", () =>
  inFolder(async (link) => {
    const folder = await Deno.realPath(link);
    const ways = [
      ["a.abc"],
      ["a.abc", "b.abc"],
      ...["--plan p.csv --lines l.csv", "--plan p.json --plan q.csv --chords c.csv --roles r.csv"]
        .map((words) => ["a.abc", ...words.split(" ")]),
      ["a.abc", "--rewrite", "w.csv"],
      ["a.abc", "--wish", "w.csv", "--orchestra", "band.csv"],
      ["a.abc", "--listen", "--sound-font", "three.sf2"],
    ];
    for (const words of ways) {
      const named = words.filter((word) => /\.\w+$/.test(word));
      const elsewhere = words.map((word) => named.includes(word) ? `else/where/${word}` : word);
      const [read] = rightsOf(folder, ...elsewhere).filter((word) => word.startsWith("--allow-read="));
      const may = read!.slice("--allow-read=".length).split(",");
      for (const name of named) assert(may.includes(`else/where/${name}`), `${name} of ${words.join(" ")}`);
    }
  }));

Deno.test("a study into a new folder may make that one, and nothing beside it but its own two names", () =>
  inFolder(async (link) => {
    const folder = await Deno.realPath(link);
    await furnish(folder);
    const rights = rightsOf(folder, "tune.abc", "--out", "music/new/first");
    const done = ["make music/new", "make music/new/first", "write music/new/first/report.html"];
    assertEquals(await probe(folder, rights, done), ["done", "done", "done"]);
    const refused = [
      "write music/tune.abc",
      "write music/news.txt",
      "write tune.abc",
      "read private/letter.txt",
    ];
    assertEquals(await probe(folder, rights, refused), refused.map(() => "NotCapable"));
    // Words that make no sense, or ask for help, give no rights at all.
    assertEquals(await probe(folder, studyRights(undefined, folder), ["read tune.abc", "write out"]), [
      "NotCapable",
      "NotCapable",
    ]);
  }));

async function study(cwd: string, ...args: readonly string[]): Promise<{ code: number; text: string }> {
  const { code, stdout, stderr } = await new Deno.Command(Deno.execPath(), {
    args: [...STUDY_TASK, "study", ...args],
    cwd,
    env: { NO_COLOR: "1" },
  }).output();
  return { code, text: [stdout, stderr].map((bytes) => new TextDecoder().decode(bytes)).join("") };
}

Deno.test("a study with its own rights takes files and folders wherever they are and whatever they are called", () =>
  inFolder(async (folder) => {
    await furnish(folder);
    const away = join(folder, "Aria, slow & ü");
    await Deno.mkdir(away);
    await Deno.writeTextFile(join(away, "tune, first.abc"), TUNE);
    await Deno.writeTextFile(join(away, "plan.csv"), PLAN);
    const links = Deno.build.os === "windows" ? [] : [["linked/tune.abc", "--out", "linked/out"]];
    if (links.length > 0) await Deno.symlink(away, join(folder, "linked"));
    if (links.length > 0) await Deno.symlink(join(folder, "tune.abc"), join(away, "tune.abc"));
    const inside = join(folder, "music", "old");
    const rounds: readonly (readonly [string, readonly string[], string])[] = [
      [inside, ["../../tune.abc"], "out"],
      [inside, ["../tune.abc", "--out", ".."], ".."],
      [inside, ["../tune.abc", "--out", "../../away/deep/"], "../../away/deep"],
      [folder, [join(away, "tune, first.abc"), "--plan", join(away, "plan.csv"), "--out", away], away],
      [folder, ["Aria, slow & ü/tune, first.abc", "--out", "Aria, slow & ü/a, b/c"], "Aria, slow & ü/a, b/c"],
      [away, ["tune, first.abc", "--out", "."], "."],
      ...links.map((args) => [folder, args, args.at(-1)!] as const),
    ];
    for (const [cwd, args, out] of rounds) {
      const { code, text } = await study(cwd, ...args);
      assertEquals(code, 0, `${args.join(" ")}\n${text}`);
      assert((await Deno.stat(join(out.startsWith("/") ? "" : cwd, out, "report.html"))).isFile, out);
    }
    const names = [...Deno.readDirSync(folder)].map((one) => one.name).toSorted();
    assertEquals(names.filter((name) => name.startsWith(".")), []);
  }));

Deno.test(
  "a study that is stopped at its task ends as one that is stopped itself, and leaves nothing",
  { ignore: Deno.build.os === "windows" },
  () =>
    inFolder(async (folder) => {
      const child = new Deno.Command(Deno.execPath(), {
        args: [...STUDY_TASK, "study"],
        cwd: folder,
        env: { NO_COLOR: "1" },
        stdout: "null",
        stderr: "piped",
      }).spawn();
      let said = "";
      for await (const piece of child.stderr) {
        said += new TextDecoder().decode(piece);
        if (said.includes("realising")) break;
      }
      child.kill("SIGINT");
      assertEquals((await child.status).code, 130, said);
      assertEquals([...Deno.readDirSync(folder)], []);
    }),
);

Deno.test("the tasks of users have no rights over all, and no network", () => {
  for (const name of ["study", "lab"]) {
    const words = TASKS[name]!.split(" ");
    assertStringIncludes(words.join(" "), "--no-prompt");
    for (const word of words) {
      assert(!/^(-A|--allow-all|-P|-N|--allow-net|--allow-ffi|--allow-env)$/.test(word), `${name}: ${word}`);
    }
  }
  assertEquals(basename(STUDY_TASK.at(-1)!), "study.ts");
});
