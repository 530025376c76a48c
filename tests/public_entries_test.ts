/** The doors of the library: how many names the main one has, and what each loads. */
import { assert, assertEquals } from "@std/assert";
import { join } from "node:path";
import { PUBLIC_ENTRIES } from "./setup/public_entries.ts";
import { PROJECT } from "./setup/run_command.ts";

/** What `deno` prints as JSON. */
async function denoJson(...args: readonly string[]): Promise<unknown> {
  const { stdout } = await new Deno.Command(Deno.execPath(), { args: [...args], stderr: "null" }).output();
  return JSON.parse(new TextDecoder().decode(stdout));
}

/** Packages that importing a door loads, by name. */
async function packagesOf(path: string): Promise<ReadonlySet<string>> {
  const { modules } = await denoJson("info", "--json", join(PROJECT, path)) as {
    readonly modules: readonly { readonly specifier: string; readonly npmPackage?: string }[];
  };
  const names = modules.map(({ npmPackage }) => npmPackage?.replace(/(?<=.)@.*$/, ""));
  return new Set(names.filter((name) => name !== undefined));
}

/** Names that a door hands on, types included. */
async function namesOf(path: string): Promise<readonly string[]> {
  const { nodes } = await denoJson("doc", "--json", join(PROJECT, path)) as {
    readonly nodes: Readonly<Record<string, { readonly symbols: readonly { readonly name: string }[] }>>;
  };
  return Object.values(nodes).flatMap(({ symbols }) => symbols.map(({ name }) => name));
}

Deno.test("the main door has at most 80 names, types included, and every one is to be had at a room's door too", async () => {
  const [main, ...rooms] = await Promise.all(PUBLIC_ENTRIES.map(({ path }) => namesOf(path)));
  assert(main!.length >= 40 && main!.length <= 80, `${main!.length} names`);
  const elsewhere = new Set(rooms.flat());
  assertEquals(main!.filter((name) => !elsewhere.has(name) && !/^demo/i.test(name)), []);
});

Deno.test("no name is handed on by two rooms", async () => {
  const names = await Promise.all(PUBLIC_ENTRIES.slice(1).map(({ path }) => namesOf(path)));
  const all = names.flat();
  assertEquals(all.filter((name, i) => all.indexOf(name) !== i), []);
});

for (const { name, path } of PUBLIC_ENTRIES) {
  Deno.test(`${name} ${name.endsWith("/show") ? "loads" : "does not load"} the chart library and a document`, async () => {
    const packages = await packagesOf(path);
    for (const drawing of ["@observablehq/plot", "linkedom"]) {
      assertEquals(packages.has(drawing), name.endsWith("/show"), drawing);
    }
  });
}

/** What importing a file loads at once, without what functions load when they are called. */
async function loadedAtOnce(path: string): Promise<ReadonlySet<string>> {
  const { modules, roots } = await denoJson("info", "--json", join(PROJECT, path)) as {
    readonly roots: readonly string[];
    readonly modules: readonly {
      readonly specifier: string;
      readonly dependencies?: readonly {
        readonly code?: { readonly specifier?: string };
        readonly isDynamic?: boolean;
      }[];
    }[];
  };
  const dependencies = new Map(modules.map((one) => [one.specifier, one.dependencies ?? []]));
  const loaded = new Set<string>();
  const open = [...roots];
  for (let one = open.pop(); one !== undefined; one = open.pop()) {
    if (loaded.has(one)) continue;
    loaded.add(one);
    for (const { code, isDynamic } of dependencies.get(one) ?? []) {
      if (code?.specifier !== undefined && !isDynamic) open.push(code.specifier);
    }
  }
  return loaded;
}

Deno.test("the main door loads what reads files, writes folders and starts threads when it is asked for", async () => {
  const loaded = [...await loadedAtOnce("lib/mod.ts")];
  assert(loaded.some((one) => one.endsWith("/lib/measures/momentum/momentum.ts")), "the library is loaded");
  const isForLater = (one: string) => /^(node:|npm:\/?(saxes|fflate)@)/.test(one);
  assertEquals(loaded.filter(isForLater), []);
});
