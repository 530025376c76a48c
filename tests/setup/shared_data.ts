/** Open datasets that are kept beside the checkout, not in it. */
import { parse } from "node:path";
import Papa from "papaparse";

const BESIDE = new URL("../../../shared/data/", import.meta.url);

/** Set to anything where checks against open datasets may not be left out, as where changes are judged. */
export const NEEDS_DATASETS = "RIPIENO_NEEDS_DATASETS";

/** How it is said that checks are left out; the test command counts these lines. */
const LEFT_OUT = "is not beside the checkout: checks against it are left out.";

/**
 * Files of a dataset beside the checkout.
 *
 * @param folder folder of the dataset
 * @returns where it is, or undefined when it is not there; then one line says so
 * @throws when it is not there and {@linkcode NEEDS_DATASETS} is set
 */
export function sharedFolder(folder: string): URL | undefined {
  const url = new URL(`${folder}/`, BESIDE);
  try {
    if (Deno.statSync(url).isDirectory) return url;
  } catch {
    // not there
  }
  const what = `The dataset ${parse(folder).base}`;
  if (Deno.env.get(NEEDS_DATASETS)) {
    throw new Error(`${what} is not beside the checkout, and ${NEEDS_DATASETS} asks for it.`);
  }
  console.log(`${what} ${LEFT_OUT}`);
  return undefined;
}

/**
 * How often checks were left out for want of a dataset.
 *
 * @param output what a run of tests wrote
 * @returns the number of places that asked for one
 */
export function countLeftOut(output: string): number {
  return output.split(LEFT_OUT).length - 1;
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
