/** The text of a file that may not be there. */

/** What stands in a file; undefined where there is none that can be read. */
export function textIfThere(path: string): string | undefined {
  try {
    return Deno.readTextFileSync(path);
  } catch {
    return undefined;
  }
}
