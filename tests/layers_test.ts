import { join, relative } from "node:path";
import { assertEquals, assertGreater } from "@std/assert";
import { brokenImports, circlesOf, type SourceFile } from "./setup/layers.ts";
import { PROJECT } from "./setup/run_command.ts";

/** All TypeScript files below a folder. */
function sourcesIn(folder: string): readonly SourceFile[] {
  return [...Deno.readDirSync(folder)].flatMap((one) => {
    const path = join(folder, one.name);
    if (one.isDirectory) return sourcesIn(path);
    return path.endsWith(".ts") ? [{ path: relative(PROJECT, path), text: Deno.readTextFileSync(path) }] : [];
  });
}

/** What is found in one file that holds this text. */
function found(path: string, text: string): readonly string[] {
  return brokenImports([{ path, text }]);
}

Deno.test("lib: every import goes one way, as the table of folders has it", () => {
  const sources = sourcesIn(join(PROJECT, "lib"));
  assertGreater(sources.length, 10);
  assertEquals(brokenImports(sources), []);
});

Deno.test("lib: no imports run in a circle, not even those of types", () => {
  assertEquals(circlesOf(sourcesIn(join(PROJECT, "lib"))), []);
});

Deno.test("lib: no folder is a drawer: at most 25 files lie side by side", () => {
  const counts = new Map<string, number>();
  for (const { path } of sourcesIn(join(PROJECT, "lib"))) {
    const folder = path.slice(0, path.lastIndexOf("/"));
    counts.set(folder, (counts.get(folder) ?? 0) + 1);
  }
  assertEquals([...counts].filter(([, count]) => count > 25), []);
});

Deno.test("layers: a circle is found, and a file that only leads to one is not part of it", () => {
  const files = [
    { path: "lib/score/a.ts", text: `import type { B } from "./b.ts";` },
    { path: "lib/score/b.ts", text: `import { c } from "./c.ts";` },
    { path: "lib/score/c.ts", text: `export { a } from "./a.ts";` },
    { path: "lib/score/d.ts", text: `import { a } from "./a.ts";` },
  ];
  assertEquals(circlesOf(files), [["lib/score/a.ts", "lib/score/b.ts", "lib/score/c.ts"]]);
});

Deno.test("lib: only main.ts prints or ends the program", () => {
  const offenders = sourcesIn(join(PROJECT, "lib"))
    .filter(({ path }) => path !== "lib/main.ts")
    .flatMap(({ path, text }) =>
      text.split("\n").flatMap((line, i) =>
        /^(?!\s*(\*|\/\/|\/\*)).*\b(console\.\w+|Deno\.exit|alert)\(/.test(line) ? [`${path}:${i + 1}`] : []
      )
    );
  assertEquals(offenders, []);
});

Deno.test("layers: each way of writing an import is seen, with its line", () => {
  const up = "../../orchestrate/realise/realise.ts";
  const rule = `imports "${up}": measures may import texture, score, instruments, hearing`;
  const ways: Record<string, number> = {
    [`import { realise } from "${up}";`]: 1,
    [`import type { Plan } from "${up}";`]: 1,
    [`import * as all from '${up}';`]: 1,
    [`import all, { realise } from "${up}";`]: 1,
    [`import "${up}";`]: 1,
    [`export { realise } from "${up}";`]: 1,
    [`export type { Plan } from "${up}";`]: 1,
    [`export * from "${up}";`]: 1,
    [`export * as all from "${up}";`]: 1,
    [`\n\nimport {\n  type Plan,\n  realise,\n} from "${up}";`]: 3,
    [`const x = 1;\nconst { realise } = await import("${up}");`]: 2,
    [`const x = 1;\nconst all = import(\n  "${up}"\n);`]: 2,
    [`type P = import("${up}").Plan;`]: 1,
    [`/** Words. */\nimport { realise } from "${up}";`]: 2,
  };
  for (const [text, line] of Object.entries(ways)) {
    assertEquals(found("lib/measures/momentum/momentum.ts", text), [
      `lib/measures/momentum/momentum.ts:${line} ${rule}`,
    ], text);
  }
});

Deno.test("layers: several imports of one file are each judged", () => {
  const text =
    `import { a } from "../score/time.ts";\nimport { b } from "../show/page.ts";\nimport c from "papaparse";`;
  assertEquals(found("lib/texture/features.ts", text), [
    'lib/texture/features.ts:2 imports "../show/page.ts": texture may import score, instruments',
  ]);
});

Deno.test("layers: examples in comments and words that look like imports do not count", () => {
  const text = [
    "/**",
    ' * import { x } from "ripieno";',
    " */",
    '// import "../show/page.ts";',
    'export const list = Array.from("abc");',
    'export const from = "../show/page.ts";',
    'const imported = "import";',
  ].join("\n");
  assertEquals(found("lib/hearing/erb.ts", text), []);
});

const refused: Readonly<Record<string, readonly [path: string, text: string]>> = {
  "hearing may import nothing of ours": ["lib/hearing/erb.ts", `import { a } from "../score/time.ts";`],
  "instruments may import nothing of ours": ["lib/instruments/a.ts", `import { a } from "../score/time.ts";`],
  "score may import instruments": ["lib/score/a.ts", `import { a } from "../formats/abc.ts";`],
  "formats may import score, instruments": ["lib/formats/a.ts", `import { a } from "../texture/roles.ts";`],
  "orchestrate may import measures, harmony, texture, score, instruments": [
    "lib/orchestrate/a.ts",
    `import { a } from "../formats/abc.ts";`,
  ],
  "there is no such folder in the table": ["lib/utils/a.ts", `import { a } from "../score/time.ts";`],
  "files of lib import files, not the public entry": ["lib/show/page.ts", `import { show } from "ripieno";`],
  "assertions are for tests": ["lib/show/page.ts", `import { assert } from "@std/assert";`],
  "nothing imports an entry point": ["lib/show/page.ts", `import { demoScore } from "../demo.ts";`],
  "lib imports only lib and data": ["lib/show/page.ts", `import { assert } from "../../tests/assert.ts";`],
  "base imports nothing but itself": ["lib/base/units.ts", `import { Note } from "@tonaljs/note";`],
  "measures, momentum: may import files of measures itself, balance": [
    "lib/measures/momentum/a.ts",
    `import { a } from "../playability/playability.ts";`,
  ],
  "measures, freshness: may import files of measures itself": [
    "lib/measures/freshness/a.ts",
    `import { a } from "../balance/balance.ts";`,
  ],
  "formats, midi: may import assemble, files": [
    "lib/formats/midi/a.ts",
    `import { a } from "../musicxml/read/read_musicxml.ts";`,
  ],
  "there is no such room in the table of show": [
    "lib/show/sound/a.ts",
    `import { a } from "../drawing/svg.ts";`,
  ],
  "charts import types of results and never compute": [
    "lib/show/charts/momentum.ts",
    `import { momentum } from "../../measures/momentum/momentum.ts";`,
  ],
  "the door of a room hands on that room and base": [
    "lib/measures.ts",
    `export { realise } from "./orchestrate/realise/realise.ts";`,
  ],
  "an import names its module in quotes": ["lib/show/page.ts", `const m = await import(name);`],
};

for (const [rule, [path, text]] of Object.entries(refused)) {
  Deno.test(`layers: refused: ${rule}`, () => {
    const lines = found(path, text);
    assertEquals(lines.length, 1);
    assertEquals(lines[0]?.split(": ").slice(1).join(": "), rule);
  });
}

Deno.test("layers: a chart that mixes a type with a computing function is refused", () => {
  const text = `import { type Momentum, momentum } from "../../measures/momentum/momentum.ts";`;
  assertEquals(found("lib/show/charts/momentum.ts", text).length, 1);
});

const accepted: Readonly<Record<string, string>> = {
  "lib/base/settings.ts": `import { InputError } from "./errors.ts";`,
  "lib/mod.ts": `export { momentum } from "./measures/momentum/momentum.ts";`,
  "lib/measures.ts":
    `export { momentum } from "./measures/momentum/momentum.ts";\nexport { rangeOf } from "./base/settings.ts";`,
  "lib/main.ts": `import { demoScore } from "./demo.ts";\nconst { parseArgs } = await import("node:util");`,
  "lib/instruments/catalogue.ts":
    `import rows from "../../data/instruments.csv" with { type: "text" };\nimport { InputError } from "../base/errors.ts";`,
  "lib/orchestrate/realise/layers/chords.ts":
    `import { a } from "./voice_chord.ts";\nimport { b } from "../../../score/time.ts";`,
  "lib/show/report/report.ts":
    `import { momentum } from "../../measures/momentum/momentum.ts";\nimport { c } from "../charts/momentum.ts";`,
  "lib/show/charts/momentum.ts": [
    `import type { Momentum } from "../../measures/momentum/momentum_results.ts";`,
    `import { type Layer, type Score } from "../../texture/model.ts";`,
    `import { ROLES } from "../../texture/roles.ts";`,
    `import { secondsOf } from "../../score/time.ts";`,
    `import { pitchName } from "../../base/units.ts";`,
    `import { chartDocument } from "../drawing/chart_document.ts";`,
    `import * as Plot from "@observablehq/plot";`,
  ].join("\n"),
};

for (const [path, text] of Object.entries(accepted)) {
  Deno.test(`layers: accepted in ${path}`, () => assertEquals(found(path, text), []));
}

/** Places in `lib` where a declaration stands, by its name. */
function declaredIn(pattern: RegExp): ReadonlyMap<string, readonly string[]> {
  const found = sourcesIn(join(PROJECT, "lib")).flatMap(({ path, text }) =>
    [...text.matchAll(pattern)].map((m) => ({ name: m[1]!, path }))
  );
  return new Map(
    [...Map.groupBy(found, (f) => f.name)].map(([name, list]) => [name, list.map((l) => l.path)]),
  );
}

Deno.test("lib: a name of a type means one thing, and is declared once", () => {
  const types = declaredIn(/^(?:export )?(?:interface|type) ([A-Z]\w*)/gm);
  assertEquals(types.get("Score"), ["lib/score/model.ts"]);
  assertEquals([...types].filter(([, paths]) => paths.length > 1), []);
});

Deno.test("lib: a field that counts bars from 0 is called so; bars that are not are printed, in plans and messages", () => {
  const numbers = declaredIn(
    /^ +(?:readonly )?(bar|fromBar|toBar|ofBar|atBar|endBar)\??: number(?: \| \w+)*;/gm,
  );
  const plan = "lib/orchestrate/plan/plan.ts";
  assertEquals(Object.fromEntries(numbers), {
    bar: ["lib/base/errors.ts"],
    fromBar: [plan],
    toBar: [plan],
  });
});
