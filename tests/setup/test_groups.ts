/**
 * Test files in groups, each run as one module: what they all load is loaded once, and what one has read or worked out is
 * there for the next.
 */
import { basename, dirname, join, relative } from "node:path";
import { pathToFileURL } from "node:url";

/** Test files that run as one module. */
export interface TestGroup {
  /** The folder they are in. */
  readonly name: string;
  /** Paths of the files, in order. */
  readonly files: readonly string[];
}

/** What is defined stays for the whole process, so that whoever asks for all instruments or figures finds it. */
const DEFINES = /\b(defineInstrument|defineFigure|readInstruments)\(/;

/**
 * Groups of the test files below a folder: one for each folder in it. A file that stands in it itself is alone; so is one
 * with snapshots, which are looked for beside the module that is run, and one that defines instruments or figures.
 *
 * @param folder folder of all tests
 * @returns those alone first, then the others, the largest first: whoever is done takes the next
 */
export function testGroups(folder: string): readonly TestGroup[] {
  const groups = Map.groupBy(testFiles(folder), (path) => {
    const name = relative(folder, path);
    const alone = dirname(name) === "." || hasSnapshots(path) || DEFINES.test(Deno.readTextFileSync(path));
    return alone ? name : name.split(/[/\\]/)[0]!;
  });
  const rank = ({ name, files }: TestGroup) => name.endsWith(".ts") ? -Infinity : -files.length;
  return [...groups].map(([name, files]) => ({ name, files })).toSorted((a, b) => rank(a) - rank(b));
}

/**
 * Writes a module for each group.
 *
 * @param groups the groups
 * @param into folder for the modules
 * @returns paths of what is to be run: the modules, and files that are alone as they are
 */
export function writeTestGroups(groups: readonly TestGroup[], into: string): readonly string[] {
  Deno.mkdirSync(into, { recursive: true });
  return groups.map(({ name, files }) => {
    if (files.length === 1) return files[0]!;
    const path = join(into, `${name}.ts`);
    Deno.writeTextFileSync(path, files.map((file) => `import "${pathToFileURL(file)}";\n`).join(""));
    return path;
  });
}

/** All test files below a folder, in the order of their paths. */
function testFiles(folder: string): readonly string[] {
  return [...Deno.readDirSync(folder)].toSorted((a, b) => (a.name < b.name ? -1 : 1)).flatMap((one) => {
    const path = join(folder, one.name);
    if (one.isDirectory) return testFiles(path);
    return one.name.endsWith("_test.ts") ? [path] : [];
  });
}

function hasSnapshots(path: string): boolean {
  try {
    return Deno.statSync(join(dirname(path), "__snapshots__", `${basename(path)}.snap`)).isFile;
  } catch {
    return false;
  }
}
