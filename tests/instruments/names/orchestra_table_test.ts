/** Orchestras as tables: what is read, and one clear sentence for everything that is not. */
import { assert, assertEquals, assertInstanceOf, assertThrows } from "@std/assert";
import fc from "fast-check";
import { InputError } from "../../../lib/base/errors.ts";
import { allInstruments } from "../../../lib/instruments/catalogue.ts";
import { readOrchestra, writeOrchestra } from "../../../lib/instruments/names/orchestra_table.ts";
import { orchestra } from "../../../lib/instruments/orchestra.ts";

const FILE = "band.csv";
const NAMES = ["symphony", "chamber", "strings", "studio", "school"];

Deno.test("every orchestra of the library comes back from its table, with commas, semicolons or tabs, in any order of columns", () => {
  for (const name of NAMES) {
    const table = writeOrchestra(orchestra(name));
    assertEquals(readOrchestra(table), orchestra(name));
    assertEquals(
      readOrchestra(`\uFEFF${table.replaceAll(",", ";").replaceAll("\n", "\r\n")}`),
      orchestra(name),
    );
    assertEquals(readOrchestra(table.replaceAll(",", "\t")), orchestra(name));
    const turned = table.trim().split("\n").map((row) => row.split(",").reverse().join(",")).join("\n");
    assertEquals(readOrchestra(turned), orchestra(name));
  }
});

Deno.test("every instrument of the catalogue is found by each of its names that can only mean one", () => {
  // Accents, points and capitals do not tell names apart.
  const plain = (name: string) =>
    name.toLowerCase().replace("ß", "ss").normalize("NFD").replace(/[^a-z0-9#]/g, "");
  const meanings = Map.groupBy(
    allInstruments().flatMap(({ id, names }) => names.map((name) => [plain(name), id] as const)),
    ([name]) => name,
  );
  const isPlain = (name: string) => new Set(meanings.get(plain(name))!.map(([, id]) => id)).size === 1;
  const misread: string[] = [];
  let read = 0;
  for (const { id, names } of allInstruments()) {
    for (const name of names.filter(isPlain)) {
      read++;
      try {
        const [part] = readOrchestra(`part,instrument\nA,"${name}"`);
        if (part!.instrument !== id) {
          misread.push(`${name} of the ${id} is taken for the ${part!.instrument}`);
        }
      } catch (error) {
        misread.push((error as Error).message);
      }
    }
  }
  assert(read > 800, `${read} names`);
  assertEquals(misread, []);
});

Deno.test("where no players are given the part's name tells, or the usual section", () => {
  const table = "part,instrument,players\nFlutes 1 2,flute,\nSolo,violin,\nTrumpet,trumpet,\nCellos,cello,3";
  assertEquals(readOrchestra(table).map((p) => p.players), [1, 1, 1, 3]);
  const violins = readOrchestra("part,instrument\nViolins,violin")[0]!.players;
  assert(violins > 4, `${violins}`);
});

Deno.test("what cannot be used is said with file, row, column and a remedy", () => {
  const head = "part,instrument,players\n";
  const cases: readonly (readonly [string, RegExp, number | undefined, string | undefined])[] = [
    ["", /it has no rows.*names part, instrument/, undefined, undefined],
    ["part,players\nFlute,1", /it has no column "instrument"/, 1, undefined],
    [`${head.trim()},mood\nFlute,flute,1,gay`, /"mood" is not a column of an orchestra/, 1, undefined],
    [head, /it has no rows.*one row per part/, undefined, undefined],
    [`${head}Flute,flute,1\nHorn,hron,1`, /"hron" is not in the catalogue.*horn in F/, 3, "instrument"],
    [`${head}Theremin,theremin,1`, /"theremin" is not in the catalogue. *.*nearest/, 2, "instrument"],
    [`${head}Flute,,1`, /no instrument is given/, 2, "instrument"],
    [`${head},flute,1`, /the part has no name/, 2, "part"],
    [`${head}Flute + Oboe,flute,1`, /holds a \+/, 2, "part"],
    [`${head}Flute,flute,1\nflute,flute,1`, /"flute" stands in row 2 already/, 3, "part"],
    [`${head}Flute,flute,none`, /"none" is not a number of players/, 2, "players"],
    [`${head}Flute,flute,0`, /"0" is not a number of players/, 2, "players"],
    [`${head}Flute,flute,2.5`, /"2.5" is not a number of players/, 2, "players"],
    [`${head}Flute,flute,1000`, /"1000" is not a number of players.*from 1 to 200/, 2, "players"],
    [`${head}Flute,flute`, /too few fields/, 2, undefined],
    [`${head}"Flute,flute,1`, /quote/, 2, undefined],
  ];
  for (const [text, words, row, column] of cases) {
    const error = assertThrows(() => readOrchestra(text, { file: FILE }), InputError);
    assert(words.test(error.message), `${error.message} against ${words}`);
    assert(error.message.startsWith("Cannot read the orchestra: "), error.message);
    assert(error.message.includes(FILE) && error.message.length <= 300, error.message);
    assertEquals([error.where.row, error.where.column], [row, column], error.message);
  }
});

Deno.test("whatever the text, reading it gives an orchestra or an InputError, nothing else", () => {
  const table = writeOrchestra(orchestra("school"));
  const broken = fc.oneof(
    fc.string({ maxLength: 200, unit: "binary" }),
    fc.array(
      fc.tuple(fc.nat(table.length), fc.constantFrom(",", '"', "\n", ";", "+", "x", "", "-9", "\u0000")),
      {
        minLength: 1,
        maxLength: 5,
      },
    ).map((edits) => edits.reduce((t, [at, by]) => t.slice(0, at) + by + t.slice(at + 1), table)),
  );
  let refused = 0;
  fc.assert(
    fc.property(broken, (text) => {
      try {
        readOrchestra(text, { file: FILE }).forEach((part) => assert(part.players >= 1 && part.name !== ""));
      } catch (error) {
        assertInstanceOf(error, InputError);
        assert(error.message.length <= 300);
        refused++;
      }
    }),
    { seed: 7, numRuns: 400 },
  );
  assert(refused > 50, `${refused}`);
});
