const ENTITIES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };

// deno-lint-ignore no-control-regex -- the characters that XML allows nowhere
const NOT_ALLOWED = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g;

/** Whether a text has anything to escape or leave out: most have not, and are written by the hundred thousand. */
// deno-lint-ignore no-control-regex -- those again, and halves of characters
const SPECIAL = /[&<>"\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff\ud800-\udfff]/;

/**
 * Text made safe to stand between tags or in an attribute of XML 1.0 and HTML: markup is escaped, characters that XML
 * allows nowhere are left out.
 */
export function escapeMarkup(text: string): string {
  if (!SPECIAL.test(text)) return text;
  return text.replace(NOT_ALLOWED, "").toWellFormed().replace(/[&<>"]/g, (sign) => ENTITIES[sign]!);
}
