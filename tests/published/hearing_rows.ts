import Papa from "papaparse";

/** Rows of a table with a header line, as text by column name. */
export function tableRows(text: string): Record<string, string>[] {
  return Papa.parse<Record<string, string>>(text, { header: true, skipEmptyLines: true }).data;
}

/**
 * Tolerance of the loudness standards' examples in sones: 5 % or 0.1 sone, whichever is *smaller*, but never
 * finer than half of the last printed digit.
 */
export function sonesTolerance(printed: string): number {
  const expected = Number(printed);
  const digits = printed.includes(".") ? printed.length - printed.indexOf(".") - 1 : 0;
  return Math.max(Math.min(0.05 * expected, 0.1), 0.5001 * 10 ** -digits);
}
