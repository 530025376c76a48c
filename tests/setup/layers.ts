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

/** What each folder of `lib/` may import besides itself and `base/`. */
const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  base: [],
  instruments: [],
  hearing: [],
  score: ["instruments"],
  formats: ["score", "instruments"],
  texture: ["score", "instruments"],
  harmony: ["texture", "score", "instruments"],
  measures: ["texture", "score", "instruments", "hearing"],
  orchestrate: ["measures", "harmony", "texture", "score", "instruments"],
  survey: ["orchestrate", "measures", "harmony", "texture", "formats", "score", "instruments", "hearing"],
  show: [
    "survey",
    "orchestrate",
    "measures",
    "harmony",
    "texture",
    "formats",
    "score",
    "instruments",
    "hearing",
  ],
};
/**
 * What each room inside a folder may import of that folder besides itself. "." stands for the files that lie in the
 * folder itself; a folder without rooms needs no line.
 */
const MAY_IMPORT_WITHIN: Readonly<Record<string, Readonly<Record<string, readonly string[]>>>> = {
  instruments: {
    ".": [],
    names: ["."],
    special: ["."],
    sound: ["."],
  },
  hearing: {
    ".": [],
    model: ["."],
    standards: [".", "model"],
  },
  formats: {
    files: [],
    sound: ["files"],
    assemble: [],
    page: [],
    "musicxml/read": ["assemble", "files"],
    "musicxml/write": ["assemble", "page"],
    midi: ["assemble", "files"],
    abc: ["assemble", "files"],
    ".": ["abc", "files", "midi", "musicxml/read"],
  },
  texture: {
    ".": [],
    features: ["."],
    clues: [".", "features"],
    judge: [".", "features", "clues"],
    recognise: [".", "features", "clues", "judge"],
  },
  measures: {
    ".": [],
    balance: ["."],
    chords: [".", "balance"],
    momentum: [".", "balance"],
    freshness: ["."],
    fullness: ["."],
    contour: [".", "balance"],
    idiom: ["."],
    passages: [".", "freshness"],
    playability: ["."],
    subsets: ["balance", "momentum"],
    compare: [".", "balance", "contour", "freshness", "fullness", "idiom", "momentum", "playability"],
  },
  orchestrate: {
    plan: [],
    "realise/layers": ["plan"],
    realise: ["plan", "realise/layers"],
    remedies: ["plan"],
    rewrite: ["plan", "realise"],
    suggest: ["plan", "rewrite"],
    search: ["plan", "realise", "rewrite", "suggest"],
    sweep: ["plan", "realise"],
  },
  survey: {
    ".": ["recipes", "run"],
    recipes: [],
    rows: [".", "recipes"],
    run: [".", "recipes", "rows"],
  },
  show: {
    drawing: [],
    panels: ["drawing"],
    titles: ["panels", "drawing"],
    cells: ["drawing"],
    charts: ["titles", "panels", "drawing"],
    "charts/recipes": ["titles", "drawing"],
    "charts/experiments": ["titles", "panels", "drawing"],
    engrave: ["drawing"],
    report: ["charts", "charts/recipes", "drawing", "engrave", "audition", "listen"],
    desk: ["charts", "drawing", "engrave", "report"],
    audition: [],
    "listen/client": [],
    listen: ["listen/client", "audition", "drawing", "engrave"],
    ".": ["cells", "drawing", "audition"],
  },
};
/** Doors and the command line with its words: they may import any room, and nothing imports them. */
const ENTRY_POINTS = ["lib/mod.ts", "lib/main.ts", "lib/request.ts", "lib/demo.ts"];
/** The door of one room, `lib/score.ts`, hands on what lies in that room and in base. */
const DOOR = /^lib\/(\w+)\.ts$/;
/** What a chart may use at run time: words, clocks and look-ups, nothing that computes a result. */
const FOR_CHARTS =
  /^lib\/(score\/(?:time|told_apart)\.ts|texture\/(?:roles|role_in_words)\.ts|instruments\/)/;

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

/**
 * Finds imports that run in a circle, those of types included.
 *
 * @returns for each circle its files, in alphabetical order
 */
export function circlesOf(files: readonly SourceFile[]): readonly (readonly string[])[] {
  const targets = new Map(files.map(({ path, text }) => [path, targetsOf(path, text)]));
  const reach = new Map([...targets.keys()].map((path) => [path, reachedFrom(path, targets)]));
  const circles = new Map<string, readonly string[]>();
  for (const [path, reached] of reach) {
    if (!reached.has(path)) continue;
    const circle = [...reached].filter((other) => reach.get(other)?.has(path)).sort();
    circles.set(circle.join(), circle);
  }
  return [...circles.values()];
}

/** The files of ours that a text imports. */
function targetsOf(path: string, text: string): readonly string[] {
  return importsOf(text).filter(({ specifier }) => specifier.startsWith(".")).map((one) =>
    targetOf(path, one.specifier)
  );
}

/** Every file that can be reached from a file by imports; the file itself only where they lead back to it. */
function reachedFrom(
  start: string,
  targets: ReadonlyMap<string, readonly string[]>,
): ReadonlySet<string> {
  const reached = new Set<string>();
  const open = [...(targets.get(start) ?? [])];
  for (let path = open.pop(); path !== undefined; path = open.pop()) {
    if (reached.has(path)) continue;
    reached.add(path);
    open.push(...(targets.get(path) ?? []));
  }
  return reached;
}

/** Where an import leads, from the project's folder. */
function targetOf(path: string, specifier: string): string {
  return new URL(specifier, `file:///${path}`).pathname.slice(1);
}

/** The rule that an import in a file breaks, in words. */
function brokenRule(path: string, { specifier, typesOnly }: Import): string | undefined {
  if (specifier === "") return "an import names its module in quotes";
  const from = folderOf(path);
  if (from === "base" && !/^(\.\/\w+\.ts|node:[\w/]+)$/.test(specifier)) {
    return "base imports nothing but itself";
  }
  if (/^ripieno(\/|$)/.test(specifier)) return "files of lib import files, not the public entry";
  if (specifier.startsWith("@std/")) return "assertions are for tests";
  if (!specifier.startsWith(".")) return undefined;
  const target = targetOf(path, specifier);
  if (ENTRY_POINTS.includes(path)) return undefined;
  if (ENTRY_POINTS.includes(target) || DOOR.test(target)) return "nothing imports an entry point";
  if (target.startsWith("data/") || target.startsWith("lib/base/")) return undefined;
  if (!target.startsWith("lib/")) return "lib imports only lib and data";
  const room = DOOR.exec(path)?.[1];
  if (room !== undefined) {
    return target.startsWith(`lib/${room}/`) ? undefined : "the door of a room hands on that room and base";
  }
  const to = folderOf(target);
  const allowed = MAY_IMPORT[from];
  if (allowed === undefined || MAY_IMPORT[to] === undefined) return "there is no such folder in the table";
  if (from !== to && !allowed.includes(to)) {
    return `${from} may import ${allowed.length === 0 ? "nothing of ours" : allowed.join(", ")}`;
  }
  if (from === to) return brokenRoomRule(from, roomOf(path), roomOf(target));
  if (path.startsWith("lib/show/charts/") && !typesOnly && !FOR_CHARTS.test(target)) {
    return "charts import types of results and never compute";
  }
  return undefined;
}

/** The rule that an import from one room of a folder to another breaks, in words. */
function brokenRoomRule(folder: string, from: string, to: string): string | undefined {
  if (from === to) return undefined;
  const rooms = MAY_IMPORT_WITHIN[folder] ?? {};
  const allowed = rooms[from];
  if (allowed === undefined || rooms[to] === undefined) {
    return `there is no such room in the table of ${folder}`;
  }
  if (allowed.includes(to)) return undefined;
  const names = allowed.map((room) => room === "." ? `files of ${folder} itself` : room);
  return `${folder}, ${from}: may import ${names.length === 0 ? "nothing else there" : names.join(", ")}`;
}

/** `lib/show/charts/momentum.ts` belongs to `show`. */
function folderOf(path: string): string {
  return path.split("/").length > 2 ? path.split("/")[1] ?? "" : "";
}

/** `lib/orchestrate/realise/layers/scale.ts` lies in the room `realise/layers` of its folder. */
function roomOf(path: string): string {
  return path.split("/").slice(2, -1).join("/") || ".";
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
