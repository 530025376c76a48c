/** What systems say when they refuse something, by the code that they all use. */

/**
 * The code of what a system refused: `ENOENT` where nothing is, `EACCES` where it may not be touched (also where the
 * program itself was started without the right), and so on; undefined for anything else.
 */
export function faultCode(error: unknown): string | undefined {
  const { code, name } = (error ?? {}) as { readonly code?: unknown; readonly name?: unknown };
  if (typeof code === "string") return code;
  return name === "NotCapable" || name === "PermissionDenied" ? "EACCES" : undefined;
}

/** A refusal of our own, in a system's form. */
export function faultOf(code: string, message: string): Error {
  return Object.assign(new Error(message), { code });
}
