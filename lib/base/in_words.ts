/** Values named in messages. */

/** Letters of a text that a message repeats at most. */
const LONGEST_QUOTE = 40;

/**
 * What somebody has given, in a few words: `the text "0.5"`, `the number 7`, `a record without notes`. A text
 * is called one, since quotes alone do not show why `"0.5"` is no number. `fields` are those of the record
 * that was meant.
 */
export function inWords(value: unknown, fields: readonly string[] = []): string {
  if (value === undefined) return "nothing";
  if (value === null || typeof value === "boolean") return String(value);
  if (typeof value === "number") return `the number ${value}`;
  if (typeof value === "string") return value.length > LONGEST_QUOTE ? "a long text" : `the text "${value}"`;
  if (typeof value === "function") return "a function";
  if (isPromise(value)) return "a promise";
  if (Array.isArray(value)) return value.length === 0 ? "an empty list" : "a list";
  if (ArrayBuffer.isView(value)) return "bytes or numbers";
  const missing = fields.find((name) => (value as Readonly<Record<string, unknown>>)[name] === undefined);
  return missing === undefined ? "another record" : `a record without ${missing}`;
}

/** Whether a value is still to come. */
export function isPromise(value: unknown): boolean {
  return typeof value === "object" && value !== null &&
    typeof (value as { then?: unknown }).then === "function";
}
