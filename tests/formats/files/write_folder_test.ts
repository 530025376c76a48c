/** A folder that holds one study: real files, real processes, killed and disturbed. */
import { assert, assertEquals, assertRejects } from "@std/assert";
import { fileURLToPath } from "node:url";
import { InputError } from "../../../lib/base/errors.ts";
import { LIST } from "../../../lib/formats/files/folder_list.ts";
import { withFolderLock } from "../../../lib/formats/files/folder_lock.ts";
import { checkFolder, writeFolder } from "../../../lib/formats/files/write_folder.ts";
import { inFolder, treeOf } from "./tree_of.ts";
import { versionFiles } from "./write_again_and_again.ts";

const WRITER = fileURLToPath(new URL("./write_again_and_again.ts", import.meta.url));

/** A folder's tree without the list of what is ours; long texts in short. */
async function filesIn(folder: string): Promise<Record<string, string>> {
  const { [LIST]: _list, ...files } = await treeOf(folder);
  return Object.fromEntries(Object.entries(files).map(([name, text]) => [name, inShort(text)]));
}

/** A text of one letter many times, as letter and count. */
function inShort(text: string): string {
  return text.length > 100 && text === text[0]!.repeat(text.length) ? `${text[0]} × ${text.length}` : text;
}

/** The tree that a version of files makes. */
function treeOfVersion(version: string): Record<string, string> {
  const files = versionFiles(version).map(({ name, content }) => [name, inShort(content)]);
  return { ...Object.fromEntries(files), "parts/": "", [`parts of ${version}/`]: "" };
}

Deno.test("folder: a second study leaves nothing of the first, and touches nothing of anybody else", () =>
  inFolder(async (folder) => {
    const out = `${folder}/out`;
    await writeFolder(out, versionFiles("A"));
    assertEquals(await filesIn(out), treeOfVersion("A"));
    await Deno.writeTextFile(`${out}/my notes.txt`, "mine");
    await Deno.writeTextFile(`${out}/parts of A/fingerings.txt`, "mine too");
    const { removed, kept } = await writeFolder(out, versionFiles("B"));
    assertEquals(removed.length, 5);
    assertEquals(kept, []);
    assertEquals(await filesIn(out), {
      ...treeOfVersion("B"),
      "my notes.txt": "mine",
      "parts of A/": "",
      "parts of A/fingerings.txt": "mine too",
    });
  }));

Deno.test("folder: a file of an earlier study that somebody has changed stays, and it is said each time", () =>
  inFolder(async (folder) => {
    await writeFolder(folder, versionFiles("A"));
    await Deno.writeTextFile(`${folder}/only A.csv`, "with my marks");
    for (const _ of [1, 2]) {
      const { kept } = await writeFolder(folder, versionFiles("B"));
      assertEquals(kept, ["only A.csv"]);
      assertEquals((await treeOf(folder))["only A.csv"], "with my marks");
    }
  }));

Deno.test("folder: what was read for a study is neither removed nor replaced", () =>
  inFolder(async (folder) => {
    await writeFolder(folder, versionFiles("A"));
    const reading = [`${folder}/parts/../only A.csv`];
    assertEquals((await writeFolder(folder, versionFiles("B"), { reading })).kept, ["only A.csv"]);
    assert((await treeOf(folder))["only A.csv"]!.startsWith("AAA"));
    const before = await treeOf(folder);
    const error = await assertRejects(() => writeFolder(folder, versionFiles("A"), { reading }), InputError);
    assert(error.message.includes("only A.csv is what is being studied"), error.message);
    assertEquals(await treeOf(folder), before);
  }));

/** What may stand in the way of `a.csv` and `parts/b.xml`, and what the message says of it. */
const IN_THE_WAY: readonly (readonly [string, string, (folder: string) => Promise<void>])[] = [
  ["a file of the user", "a.csv is there already", (folder) => Deno.writeTextFile(`${folder}/a.csv`, "mine")],
  ["a folder", "a folder stands where the file a.csv", (folder) => Deno.mkdir(`${folder}/a.csv`)],
  [
    "a link",
    "a.csv is there already and is a link",
    (folder) => Deno.symlink("/etc/hosts", `${folder}/a.csv`),
  ],
  ["a link that leads nowhere", "is a link", (folder) => Deno.symlink("nowhere", `${folder}/a.csv`)],
  ["a file as folder", "where a file stands", (folder) => Deno.writeTextFile(`${folder}/parts`, "mine")],
  ["a link as folder", "parts, which is a link", (folder) => Deno.symlink("/tmp", `${folder}/parts`)],
  ["a changed file", "a.csv has been changed", async (folder) => {
    await writeFolder(folder, [{ name: "a.csv", content: "ours" }]);
    await Deno.writeTextFile(`${folder}/a.csv`, "changed");
  }],
  ["a list that claims too little", "a.csv is there already", async (folder) => {
    await writeFolder(folder, [{ name: "a.csv", content: "ours" }]);
    await Deno.writeTextFile(`${folder}/${LIST}`, "{");
  }],
];

for (const [what, says, make] of IN_THE_WAY) {
  Deno.test(`folder: ${what} in the way is refused before the work and at the writing, and stays`, () =>
    inFolder(async (folder) => {
      await make(folder);
      const before = await treeOf(folder);
      const files = [{ name: "new.csv", content: "x" }, { name: "a.csv", content: "x" }, {
        name: "parts/b.xml",
        content: "x",
      }];
      for (
        const work of [() => checkFolder(folder, files.map((f) => f.name)), () => writeFolder(folder, files)]
      ) {
        const error = await assertRejects(work, InputError);
        assert(error.message.includes(says), error.message);
        assertEquals(await treeOf(folder), before);
      }
    }));
}

Deno.test("folder: a list from elsewhere cannot have files outside the folder removed", () =>
  inFolder(async (folder) => {
    const out = `${folder}/out`;
    await Deno.writeTextFile(`${folder}/precious.txt`, "x");
    await writeFolder(out, [{ name: "a.csv", content: "x" }]);
    const list = JSON.parse(await Deno.readTextFile(`${out}/${LIST}`));
    list.files.push({ name: "../precious.txt", mark: list.files[0].mark });
    await Deno.writeTextFile(`${out}/${LIST}`, JSON.stringify(list));
    await writeFolder(out, [{ name: "b.csv", content: "y" }]);
    assertEquals(await Deno.readTextFile(`${folder}/precious.txt`), "x");
    assertEquals(await filesIn(out), { "b.csv": "y" });
  }));

Deno.test("folder: a link to a folder is followed, and stays a link", () =>
  inFolder(async (folder) => {
    await Deno.mkdir(`${folder}/real`);
    await Deno.symlink("real", `${folder}/out`);
    await writeFolder(`${folder}/out/`, versionFiles("A"));
    await writeFolder(`${folder}/out`, versionFiles("B"));
    assertEquals(await filesIn(`${folder}/real`), treeOfVersion("B"));
    assertEquals((await treeOf(folder))["out"], "-> real");
    await Deno.symlink("gone", `${folder}/loose`);
    for (const work of [checkFolder, (path: string) => writeFolder(path, versionFiles("A"))]) {
      await assertRejects(() => work(`${folder}/loose`, []), InputError, "a link that leads nowhere");
    }
  }));

Deno.test("folder: stopped by its signal, all stands as before, a new folder is not there", () =>
  inFolder(async (folder) => {
    await writeFolder(`${folder}/out`, versionFiles("A"));
    const before = await treeOf(folder);
    for (const name of ["out", "new/one"]) {
      const stop = new AbortController();
      const files = versionFiles("B");
      // Stops in the middle: the third file's content is asked for when two are written.
      const stopping = files.map((file, i) =>
        i !== 2 ? file : Object.defineProperty({ name: file.name, content: "" }, "content", {
          enumerable: true,
          get: () => (stop.abort(), file.content),
        })
      );
      let isStopped = false;
      await writeFolder(`${folder}/${name}`, stopping, { signal: stop.signal }).catch((error) => {
        isStopped = error === stop.signal.reason;
      });
      assert(isStopped);
      assertEquals(await treeOf(folder), before);
    }
  }));

Deno.test("folder: killed at any moment, it is put right by the next study, and nothing is left over", () =>
  inFolder(async (folder) => {
    const out = `${folder}/deep/out`;
    for (let round = 0; round < 6; round++) {
      if (round === 3) await Deno.writeTextFile(`${out}/my notes.txt`, "mine");
      const process = new Deno.Command("deno", {
        args: ["run", "-A", "--quiet", "--no-check", WRITER, out],
        stdout: "piped",
        stderr: "inherit",
      }).spawn();
      const reader = process.stdout.getReader();
      await reader.read();
      await new Promise((resolve) => setTimeout(resolve, 3 + 17 * round));
      process.kill("SIGKILL");
      await process.status;
      await reader.cancel();
      await writeFolder(out, versionFiles("C"));
      const mine: Record<string, string> = round < 3 ? {} : { "my notes.txt": "mine" };
      assertEquals(await filesIn(out), { ...treeOfVersion("C"), ...mine });
      assertEquals(
        Object.keys(await treeOf(`${folder}/deep`)).filter((name) => !name.startsWith("out/")),
        [],
      );
    }
  }));

Deno.test("folder: two that write at the same time take turns, and one of them stands whole", () =>
  inFolder(async (folder) => {
    const versions = ["A", "B", "C", "D"];
    await Promise.all(versions.map((version) => writeFolder(`${folder}/out`, versionFiles(version))));
    const tree = await treeOf(folder);
    const last = versions.find((version) => tree[`out/only ${version}.csv`] !== undefined)!;
    assertEquals(await filesIn(`${folder}/out`), treeOfVersion(last));
    assertEquals(Object.keys(tree).filter((name) => !name.startsWith("out/")), []);
  }));

Deno.test("folder: one that another process keeps writing to is refused in the end", () =>
  inFolder(async (folder) => {
    await withFolderLock(folder, async () => {
      await assertRejects(
        () => writeFolder(folder, versionFiles("A"), { patienceSeconds: 0.1 }),
        InputError,
        "another study is being written into it",
      );
    });
    assertEquals(await treeOf(folder), {});
  }));

Deno.test(
  "folder: a disk that takes no more leaves all as before",
  { ignore: Deno.build.os === "windows" },
  () =>
    inFolder(async (folder) => {
      await writeFolder(`${folder}/out`, versionFiles("A"));
      const before = await treeOf(folder);
      // A limit on the size of files stands in for a full disk: the system refuses in the middle of a write.
      const script = `import { writeFolder } from "${new URL(
        "../../../lib/formats/files/write_folder.ts",
        import.meta.url,
      )}";
        const files = [{ name: "small.csv", content: "x" }, { name: "big.csv", content: "x".repeat(3e6) }];
        for (const name of ["out", "new"]) await writeFolder(name, files).catch((e) => console.log(e.message));`;
      await Deno.writeTextFile(`${folder}/fill.ts`, script);
      const { stdout } = await new Deno.Command("bash", {
        args: ["-c", `trap '' XFSZ; ulimit -f 1000; exec deno run -A --quiet --no-check "${folder}/fill.ts"`],
        cwd: folder,
        stderr: "inherit",
      }).output();
      await Deno.remove(`${folder}/fill.ts`);
      const said = new TextDecoder().decode(stdout).trim().split("\n");
      assertEquals(said.length, 2, said.join());
      for (const message of said) assert(/^Cannot write the files: .*large.*\. .+\.$/.test(message), message);
      assertEquals(await treeOf(folder), before);
    }),
);
