/** A source file: where it is, from the project's folder, and what is in it. */
export interface SourceFile {
  /** For example `lib/measures/momentum.ts`. */
  readonly path: string;
  /** The whole text. */
  readonly text: string;
}

/** One import line. */
interface Import {
  readonly specifier: string;
  readonly line: number;
  readonly typesOnly: boolean;
}

/** What each folder of `lib/` may import besides itself and the root files. */
const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  instruments: [],
  hearing: [],
  score: ["instruments"],
  formats: ["score", "instruments"],
  texture: ["score", "instruments"],
  measures: ["texture", "score", "instruments", "hearing"],
  orchestrate: ["measures", "texture", "score", "instruments"],
  show: ["orchestrate", "measures", "texture", "formats", "score", "instruments", "hearing"],
};
const ROOT_FILES = ["lib/units.ts", "lib/errors.ts", "lib/settings.ts", "lib/arguments.ts", "lib/kinds.ts"];
const ENTRY_POINTS = ["lib/mod.ts", "lib/main.ts", "lib/demo.ts"];
/** What a chart may use at run time: words, clocks and look-ups, nothing that computes a result. */
const FOR_CHARTS = /^lib\/(score\/time\.ts|texture\/roles\.ts|instruments\/)/;

/**
 * Finds the import lines that break the order of the folders of `lib/`.
 *
 * @returns one line for each: file, line number, what is imported, and the rule
 */
export function brokenImports(files: readonly SourceFile[]): readonly string[] {
  return files.flatMap(({ path, text }) =>
    importsOf(text).flatMap((one) => {
      const rule = brokenRule(path, one);
      return rule === undefined ? [] : [`${path}:${one.line} imports "${one.specifier}": ${rule}`];
    })
  );
}

/** The rule that an import in a file breaks, in words. */
function brokenRule(path: string, { specifier, typesOnly }: Import): string | undefined {
  if (specifier === "") return "an import names its module in quotes";
  if (ROOT_FILES.includes(path) && !/^\.\/(units|errors|settings|arguments|kinds)\.ts$/.test(specifier)) {
    return "units, errors, settings, arguments and kinds import nothing but each other";
  }
  if (specifier === "ripieno") return "files of lib import files, not the public entry";
  if (specifier.startsWith("@std/")) return "assertions are for tests";
  if (!specifier.startsWith(".")) return undefined;
  const target = new URL(specifier, `file:///${path}`).pathname.slice(1);
  if (ENTRY_POINTS.includes(path)) return undefined;
  if (ENTRY_POINTS.includes(target)) return "nothing imports an entry point";
  if (target.startsWith("data/") || ROOT_FILES.includes(target)) return undefined;
  if (!target.startsWith("lib/")) return "lib imports only lib and data";
  const from = folderOf(path);
  const to = folderOf(target);
  const allowed = MAY_IMPORT[from];
  if (allowed === undefined || MAY_IMPORT[to] === undefined) return "there is no such folder in the table";
  if (from !== to && !allowed.includes(to)) {
    return `${from} may import ${allowed.length === 0 ? "nothing of ours" : allowed.join(", ")}`;
  }
  if (path.startsWith("lib/show/charts/") && from !== to && !typesOnly && !FOR_CHARTS.test(target)) {
    return "charts import types of results and never compute";
  }
  return undefined;
}

/** `lib/show/charts/momentum.ts` belongs to `show`. */
function folderOf(path: string): string {
  return path.split("/").length > 2 ? path.split("/")[1] ?? "" : "";
}

/**
 * Every import in a text, static or dynamic, with its line. A specifier that is not written in quotes is "".
 * Lines of comments do not count.
 */
function importsOf(text: string): readonly Import[] {
  const code = text
    .replace(/^[ \t]*\/\*[\s\S]*?\*\//gm, (comment) => comment.replace(/[^\n]/g, " "))
    .replace(/^[ \t]*\/\/.*$/gm, "");
  const statements = [...code.matchAll(
    /^[ \t]*(?:import|export)\s+(type\s+)?(?:([\w$*][^;"'`{]*)?(\{[^}]*\})?\s*from\s*)["']([^"']+)["']/gm,
  )].map((match) => ({
    specifier: match[4] ?? "",
    index: match.index,
    typesOnly: match[1] !== undefined || (match[2] === undefined && onlyTypes(match[3])),
  }));
  const bare = [...code.matchAll(/^[ \t]*import\s*["']([^"']+)["']/gm)];
  const dynamic = [...code.matchAll(/\bimport\s*\(\s*(?:["']([^"']+)["'])?/g)];
  const others = [...bare, ...dynamic].map((match) => ({
    specifier: match[1] ?? "",
    index: match.index,
    typesOnly: false,
  }));
  return [...statements, ...others].sort((a, b) => a.index - b.index).map((
    { specifier, index, typesOnly },
  ) => ({
    specifier,
    typesOnly,
    line: code.slice(0, index).split("\n").length,
  }));
}

/** `{ type A, type B }` holds types only; `{ type A, b }` does not. */
function onlyTypes(braces: string | undefined): boolean {
  const names = (braces ?? "").replace(/[{}]/g, "").split(",").map((name) => name.trim()).filter(Boolean);
  return names.length > 0 && names.every((name) => name.startsWith("type "));
}
