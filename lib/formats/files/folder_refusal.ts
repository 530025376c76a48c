/** Why a folder cannot be written to, in words. */
import { InputError } from "../../base/errors.ts";

/**
 * An error about writing into a folder.
 *
 * @param problem what is wrong, as a clause
 * @param folder the folder as the user named it
 * @param remedy what to do, as a sentence without its full stop
 * @returns the error
 */
export function folderRefusal(
  problem: string,
  folder: string,
  remedy = "Choose another folder, or free the way, and try again",
): InputError {
  return new InputError({ action: "write the files", problem, where: { file: folder }, remedy });
}

/** What systems say, by their name for it. */
const BY_CODE: Readonly<Record<string, string>> = {
  ENOSPC: "the disk is full",
  EDQUOT: "the space allowed on this disk is used up",
  EROFS: "this disk may only be read",
  ENAMETOOLONG: "a name in its path is too long",
  ELOOP: "a link in its path leads round in a circle",
};

/**
 * What went wrong, in a musician's words where they are known, else in the system's without its paths.
 *
 * @param error what was thrown
 * @returns a clause
 */
export function folderProblem(error: unknown): string {
  const code = (error as { readonly code?: unknown } | null)?.code;
  if (typeof code === "string" && BY_CODE[code] !== undefined) return BY_CODE[code];
  if (
    error instanceof Deno.errors.PermissionDenied || error instanceof Deno.errors.NotCapable ||
    code === "EACCES" || code === "EPERM"
  ) {
    return "this folder may not be written to";
  }
  if (error instanceof Deno.errors.NotADirectory || error instanceof Deno.errors.AlreadyExists) {
    return "a file stands where a folder is needed";
  }
  if (error instanceof Deno.errors.IsADirectory) {
    return `a folder stands where the file ${error.message} is to go`;
  }
  if (error instanceof Deno.errors.NotFound) return "the system makes no files there";
  const text = error instanceof Error ? error.message : String(error);
  // "File name too long (os error 36): stat '…'": the words come first.
  return `the system says "${text.split(/ \(os error|\n/)[0]!.replace(/:? ?['"]?\/\S+/g, "").trim()}"`;
}
