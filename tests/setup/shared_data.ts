/** Open datasets that are kept beside the checkout, not in it. */
import { parse } from "node:path";
import Papa from "papaparse";

const BESIDE = new URL("../../../shared/data/", import.meta.url);

/**
 * Files of a dataset beside the checkout.
 *
 * @param folder folder of the dataset
 * @returns where it is, or undefined when it is not there; then one line says so
 */
export function sharedFolder(folder: string): URL | undefined {
  const url = new URL(`${folder}/`, BESIDE);
  try {
    if (Deno.statSync(url).isDirectory) return url;
  } catch {
    // not there
  }
  console.log(
    `The dataset ${parse(folder).base} is not beside the checkout: only the bundled examples are checked.`,
  );
  return undefined;
}

/**
 * Rows of a CSV table of a dataset.
 *
 * @param url the table
 * @returns one record per row, all cells as text
 */
export function csvRows(url: URL): Record<string, string>[] {
  const text = Deno.readTextFileSync(url);
  return Papa.parse<Record<string, string>>(text, { header: true, skipEmptyLines: true }).data;
}
