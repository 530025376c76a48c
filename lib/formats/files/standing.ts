/** What stands at a path. */

/**
 * What stands at a path, following links; nothing where there is nothing.
 *
 * @param path a path
 * @returns the system's facts, or undefined
 */
export function standing(path: string): Promise<Deno.FileInfo | undefined> {
  return orNothing(Deno.stat(path));
}

/**
 * What stands at a path itself: a link is a link.
 *
 * @param path a path
 * @returns the system's facts, or undefined
 */
export function standingItself(path: string): Promise<Deno.FileInfo | undefined> {
  return orNothing(Deno.lstat(path));
}

async function orNothing(asked: Promise<Deno.FileInfo>): Promise<Deno.FileInfo | undefined> {
  try {
    return await asked;
  } catch (error) {
    if (error instanceof Deno.errors.NotFound) return undefined;
    throw error;
  }
}

/**
 * The mark of a content, by which it is known again: SHA-256 in hexadecimal digits.
 *
 * @param content text (as UTF-8) or bytes
 * @returns 64 digits
 */
export async function markOf(content: string | Uint8Array): Promise<string> {
  const bytes = typeof content === "string" ? new TextEncoder().encode(content) : Uint8Array.from(content);
  return new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)).toHex();
}

/**
 * The mark of a file that stands at a path.
 *
 * @param path a path
 * @returns its mark; nothing where there is no file, or it is a link or a folder
 */
export async function markAt(path: string): Promise<string | undefined> {
  return (await standingItself(path))?.isFile ? markOf(await Deno.readFile(path)) : undefined;
}
