/** A file to write, and the names it may have. */

/** A file to write. */
export interface FileToWrite {
  /** Name inside the folder; folders in it are made, for example `parts/Horn 1.musicxml`. */
  readonly name: string;
  /** Text (saved as UTF-8) or bytes. */
  readonly content: string | Uint8Array;
}

/**
 * What is wrong with a name, as a clause: it would leave the folder, or no file system takes it. Nothing
 * where it will do.
 */
export function problemWithName(name: string): string | undefined {
  if (name === "" || name.endsWith("/")) return "a file has no name";
  // deno-lint-ignore no-control-regex
  if (/[\u0000-\u001f\\]/.test(name)) {
    return `the name "${name}" holds a character that file names cannot have`;
  }
  if (
    name.startsWith("/") || /^[A-Za-z]:/.test(name) ||
    name.split("/").some((s) => s === ".." || s === "." || s === "")
  ) {
    return `the name "${name}" leaves the folder`;
  }
  return undefined;
}
