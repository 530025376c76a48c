import { assertEquals, assertThrows } from "@std/assert";
import { InputError } from "ripieno";
import {
  aNumber,
  aPitch,
  oneOf,
  readTable,
  someText,
  under,
  yesOrNo,
} from "../../lib/instruments/data_table.ts";

const columns = {
  instrument: someText,
  low: aPitch,
  players: aNumber,
  sustains: yesOrNo,
  family: oneOf(["brass", "voice"]),
};
const read = (text: string) => readTable(text, { file: "own.csv", columns });

Deno.test("a table is read by its column names, in any order, with quoted commas and a byte-order mark", () => {
  const text = `\uFEFFlow,instrument,family,sustains,players\nBb1,"tuba, small",brass,yes,2\n`;
  assertEquals(read(text), [{
    instrument: "tuba, small",
    low: 34,
    players: 2,
    sustains: true,
    family: "brass",
  }]);
});

Deno.test("a column's header is its field's name in small letters, unless it has one of its own", () => {
  const columns = { lowHz: aNumber, at2Hz: aNumber, figureOf: under("instrument", someText) };
  const rows = readTable("low_hz,at_2_hz,instrument\n31,2,tuba", { file: "own.csv", columns });
  assertEquals(rows, [{ lowHz: 31, at2Hz: 2, figureOf: "tuba" }]);
  const broken = () => readTable("low_hz,at_2_hz,instrument\n31,2,", { file: "own.csv", columns });
  assertThrows(broken, InputError, "(own.csv, row 2, column instrument)");
});

for (
  const [what, row, place] of [
    ["a pitch that is none", "tuba,H1,2,yes,brass", "row 3, column low"],
    ["a number that is none", "tuba,C2,two,yes,brass", "row 3, column players"],
    ["an empty number", "tuba,C2,,yes,brass", "row 3, column players"],
    ["a word that is not on the list", "tuba,C2,2,yes,reeds", "row 3, column family"],
    ["neither yes nor no", "tuba,C2,2,maybe,brass", "row 3, column sustains"],
    ["an empty name", ",C2,2,yes,brass", "row 3, column instrument"],
    ["a cell too many", "tuba,C2,2,yes,brass,more", "row 3, column 6"],
  ] as const
) {
  Deno.test(`a table with ${what} is refused by row and column`, () => {
    const text = `instrument,low,players,sustains,family\ntuba,C2,1,yes,brass\n${row}\n`;
    assertThrows(() => read(text), InputError, `(own.csv, ${place})`);
  });
}

Deno.test("a column missing or unknown is refused by name", () => {
  assertThrows(() => read("instrument,low,players,sustains\n"), InputError, `"family" is missing`);
  assertThrows(() => read("instrument,low,players,sustains,family,colour\n"), InputError, `"colour"`);
  assertThrows(() => read(""), InputError, `"instrument" is missing`);
});
