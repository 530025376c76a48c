/** Writes two versions of a folder in turn until it is killed: `deno run -A write_again_and_again.ts FOLDER`. */
import { writeFolder } from "../../../lib/formats/files/write_folder.ts";

/** Files of a version; each version has files the other has not. */
export function versionFiles(
  version: string,
): readonly { readonly name: string; readonly content: string }[] {
  const content = version.repeat(20_000);
  return ["one", "two", `only ${version}`].flatMap((name) => [
    { name: `${name}.csv`, content },
    { name: `parts/${name}.xml`, content },
    { name: `parts of ${version}/${name}.xml`, content },
  ]);
}

if (import.meta.main) {
  const folder = Deno.args[0]!;
  console.log("writing");
  for (let i = 0;; i++) await writeFolder(folder, versionFiles(i % 2 === 0 ? "A" : "B"));
}
