import { assert, assertEquals, assertRejects } from "@std/assert";
import { InputError } from "../../../lib/base/errors.ts";
import { writeFiles } from "../../../lib/formats/files/write_files.ts";
import { inFolder, treeOf } from "./tree_of.ts";

Deno.test("files: all are written, folders made, older ones replaced, nothing else left", () =>
  inFolder(async (folder) => {
    await Deno.writeTextFile(`${folder}/a.csv`, "old");
    const out = `${folder}/study/one`;
    const paths = await writeFiles(out, [
      { name: "a.csv", content: "new" },
      { name: "parts/Horn 1.musicxml", content: new TextEncoder().encode("<x/>") },
    ]);
    assertEquals(paths, [`${out}/a.csv`, `${out}/parts/Horn 1.musicxml`]);
    await writeFiles(folder, [{ name: "a.csv", content: "new" }]);
    assertEquals(await treeOf(folder), {
      "a.csv": "new",
      "study/": "",
      "study/one/": "",
      "study/one/a.csv": "new",
      "study/one/parts/": "",
      "study/one/parts/Horn 1.musicxml": "<x/>",
    });
  }));

Deno.test("files: when one cannot be written, everything stands as before", () =>
  inFolder(async (folder) => {
    await Deno.writeTextFile(`${folder}/first.csv`, "old");
    await Deno.mkdir(`${folder}/taken`);
    const before = await treeOf(folder);
    const error = await assertRejects(
      () =>
        writeFiles(folder, [
          { name: "first.csv", content: "new" },
          { name: "new folder/second.csv", content: "x" },
          { name: "taken", content: "y" },
        ]),
      InputError,
      "a folder stands where the file taken is to go",
    );
    assert(error.message.startsWith("Cannot write the files: "));
    assertEquals(await treeOf(folder), before);
  }));

Deno.test("files: a file in the way of the folder is named as the reason, and kept", () =>
  inFolder(async (folder) => {
    await Deno.writeTextFile(`${folder}/out`, "precious");
    await assertRejects(
      () => writeFiles(`${folder}/out`, [{ name: "a.csv", content: "x" }]),
      InputError,
      "a file stands where a folder is needed",
    );
    assertEquals(await treeOf(folder), { "out": "precious" });
  }));

Deno.test("files: names that leave the folder, stand twice or are none are refused before anything is written", () =>
  inFolder(async (folder) => {
    for (const name of ["../a", "/a", "a/../../b", "", "a/", "C:a", "a\\b", "a\u0000"]) {
      await assertRejects(
        () => writeFiles(folder, [{ name: "ok", content: "" }, { name, content: "" }]),
        InputError,
      );
    }
    await assertRejects(
      () => writeFiles(folder, [{ name: "a", content: "" }, { name: "a", content: "" }]),
      InputError,
      "stands twice",
    );
    assertEquals(await treeOf(folder), {});
  }));
