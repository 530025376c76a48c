import { join } from "node:path";
import { PROJECT } from "./run_command.ts";

/**
 * Names of the files below a folder of the project that end so, by their names.
 *
 * @param folder as seen from the project
 * @param ending how their names end
 */
export function filesBelow(folder: string, ending: string): readonly string[] {
  return [...Deno.readDirSync(join(PROJECT, folder))].toSorted((a, b) => a.name < b.name ? -1 : 1)
    .flatMap(({ name, isDirectory }) =>
      isDirectory
        ? filesBelow(`${folder}/${name}`, ending)
        : name.endsWith(ending)
        ? [`${folder}/${name}`]
        : []
    );
}
