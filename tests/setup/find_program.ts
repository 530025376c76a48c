import { delimiter, join } from "node:path";

/** Full path of the first of these programs on PATH, or undefined. */
export function findProgram(...names: readonly string[]): string | undefined {
  const folders = (Deno.env.get("PATH") ?? "").split(delimiter).filter(Boolean);
  return names.flatMap((name) => folders.map((folder) => join(folder, name))).find(isFile);
}

function isFile(path: string): boolean {
  try {
    return Deno.statSync(path).isFile;
  } catch {
    return false;
  }
}
