/** Why a folder cannot be written to, in words. */
import { InputError } from "../../base/errors.ts";
import { faultCode } from "../../base/fault_code.ts";

/** An error about writing into a folder. */
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
  EACCES: "this folder may not be written to",
  EPERM: "this folder may not be written to",
  ENOTDIR: "a file stands where a folder is needed",
  EEXIST: "a file stands where a folder is needed",
};

/** What went wrong, in a musician's words where they are known, else in the system's without its paths. */
export function folderProblem(error: unknown): string {
  const code = faultCode(error);
  if (code !== undefined && BY_CODE[code] !== undefined) return BY_CODE[code];
  if (code === "ENOENT") return "the system makes no files there";
  const text = error instanceof Error ? error.message : String(error);
  if (code === "EISDIR") return `a folder stands where the file ${text} is to go`;
  // "ENODEV: no such device, mkdir '/…'": the words in the middle are what is meant.
  const words = text.split("\n")[0]!.replace(/^E[A-Z]+: /, "").replace(/,? \w+ ['"]\/.*$/, "");
  return `the system says "${words.replace(/:? ?['"]?\/\S+/g, "").trim()}"`;
}
