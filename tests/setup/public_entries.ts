/** The doors of the library, as `exports` of deno.json names them. */
import { join } from "node:path";
import { PROJECT } from "./run_command.ts";

/** A door: the name it is imported by, and its file from the project's folder. */
export interface PublicEntry {
  /** For example `ripieno/measures`. */
  readonly name: string;
  /** For example `lib/measures.ts`. */
  readonly path: string;
}

const { name, exports } = JSON.parse(Deno.readTextFileSync(join(PROJECT, "deno.json"))) as {
  readonly name: string;
  readonly exports: Readonly<Record<string, string>>;
};

/** What the library is called where it is imported; Deno's registry has it under a scope. */
export const LIBRARY: string = name.split("/").at(-1)!;

/** All doors, the main one first. */
export const PUBLIC_ENTRIES: readonly PublicEntry[] = Object.entries(exports).map(([door, path]) => ({
  name: `${LIBRARY}${door.slice(1)}`,
  path: path.slice(2),
}));

/** Everything that any door exports at run time, by name. */
export async function allExports(): Promise<Readonly<Record<string, unknown>>> {
  const modules = await Promise.all(PUBLIC_ENTRIES.map(({ name }) => import(name)));
  return Object.assign({}, ...modules);
}
