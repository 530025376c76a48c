const ENTITIES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };

/**
 * Text made safe to stand between tags or in an attribute of XML 1.0 and HTML: markup is escaped, characters that XML
 * allows nowhere are left out.
 */
export function escapeMarkup(text: string): string {
  // deno-lint-ignore no-control-regex -- these are the ones
  const allowed = text.replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g, "");
  return allowed.toWellFormed().replace(/[&<>"]/g, (sign) => ENTITIES[sign]!);
}
