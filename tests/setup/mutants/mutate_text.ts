/** Text files changed by their lines and signs: ABC tunes and plans. */
import { type Chance, inEncoding, STRANGE_NUMBERS, STRANGE_TEXTS } from "./chance.ts";

/** Pieces of ABC where they should not stand, unfinished, or far too many. */
const STRANGE_ABC: readonly string[] = [
  "(",
  ")",
  "(".repeat(300),
  "((((CDEF))))",
  "(3",
  "(9:2:9999CDE",
  "(3:99999:3CDE",
  "(0CDE",
  "(3:0:0CDE",
  "[[CE]G]",
  "[CEG",
  "]",
  "[]",
  "{",
  "{c{d}e}",
  "}",
  "|:",
  ":|",
  "::::",
  ":|:|:|",
  "[1,2-99999",
  "[1-999999999",
  "|1 C|2",
  "[M:255/1]",
  "[M:0/4]",
  "[M:99999999/4]",
  "[M:none]",
  "[L:1/1000000]",
  "[L:9999/1]",
  "[K:H]",
  "[K:C#dor clef=bass transpose=-9999]",
  "[Q:1/4=60000000]",
  "[Q:0]",
  "[V:9999]",
  "[V:\u202e]",
  "Z9999",
  "Z99999999",
  "z1/1000000",
  "z99999999",
  "C99999999",
  "C///////////////////",
  "C1/0",
  "C٣",
  "C,,,,,,,,,,,,",
  "c''''''''''''",
  "^^^C",
  "=^_C",
  "-",
  "C--C",
  ">>>>>>>>",
  "<C",
  '"',
  '"Dm',
  '"^words"',
  '"N.C."',
  '"H9"',
  "!",
  "!crescendo(!",
  "!>)!",
  "!fff",
  "!unknown!",
  "~~~~",
  "!trill(!",
  "!D.C.!",
  "!segno!!coda!!fine!!D.S.!",
  "$",
  "&",
  "& & &",
  "\\",
  "%",
  "y99999",
  "x9999",
  "\u0000",
  "𝄞",
  "\r",
  "\n\n",
  "\nX:2\nT:Another\nK:G\n",
  "\nw: words * - |\n",
  "\nP:A9999\n",
  "\nI:linebreak $\n",
  "\n%%score (1 2) [3 {4}]\n",
  "\nm:~n = (3n/n/n/\n",
  "\nU:T = !trill!\n",
  "\nV:1 clef=treble-8 octave=99 transpose=1e9\n",
];

/**
 * A mutant of an ABC tune.
 *
 * @param text a sound tune
 * @param chance what decides
 * @returns its bytes, one to four changes further
 */
export function mutateAbc(text: string, chance: Chance): Uint8Array {
  let tune = text;
  for (let k = 1 + chance.below(4); k > 0; k--) tune = changeTune(tune, chance);
  return chance.below(4) === 0 ? inEncoding(tune, chance) : new TextEncoder().encode(tune);
}

function changeTune(text: string, chance: Chance): string {
  const lines = text.split("\n");
  const line = chance.below(lines.length);
  const at = chance.below(text.length + 1);
  switch (chance.below(9)) {
    case 0:
      return lines.toSpliced(line, 1).join("\n");
    case 1:
      return lines.toSpliced(line, 0, ...Array(chance.oneOf([1, 2, 100])).fill(lines[line])).join("\n");
    case 2:
      return lines.toSpliced(line, 1).toSpliced(chance.below(lines.length), 0, lines[line]!).join("\n");
    case 3:
      return withNumber(text, chance);
    case 4:
      return text.slice(0, at) + text.slice(at + 1 + chance.below(12));
    case 5:
      return text.slice(0, at) + text.slice(Math.max(0, at - chance.below(60)));
    default:
      return text.slice(0, at) + chance.oneOf(STRANGE_ABC) + text.slice(at);
  }
}

function withNumber(text: string, chance: Chance): string {
  const numbers = [...text.matchAll(/\d+/g)];
  if (numbers.length === 0) return text;
  const { index, 0: found } = chance.oneOf(numbers);
  return text.slice(0, index) + chance.oneOf(STRANGE_NUMBERS) + text.slice(index + found.length);
}

/**
 * A mutant of a plan.
 *
 * @param text a sound table
 * @param chance what decides
 * @returns its bytes, one to three changes further
 */
export function mutatePlan(text: string, chance: Chance): Uint8Array {
  let rows = text.trimEnd().split("\n").map((row) => row.split(","));
  for (let k = 1 + chance.below(3); k > 0 && rows.length > 0; k--) rows = changeTable(rows, chance);
  const separator = chance.oneOf([",", ",", ",", ",", ",", ";", "\t", "|"]);
  let table = rows.map((row) => row.join(separator)).join("\n");
  if (chance.below(8) === 0) {
    const at = chance.below(table.length);
    table = table.slice(0, at) + chance.oneOf(['"', '""', "\n", ",", ",,,,"]) + table.slice(at);
  }
  return chance.below(4) === 0 ? inEncoding(table, chance) : new TextEncoder().encode(table);
}

function changeTable(rows: readonly (readonly string[])[], chance: Chance): string[][] {
  const table = rows.map((row) => [...row]);
  const row = chance.below(table.length);
  const cells = table[row]!;
  const cell = chance.below(cells.length);
  const other = chance.oneOf(table);
  switch (chance.below(12)) {
    case 0:
      table.splice(row, 1);
      break;
    case 1:
      table.splice(row, 0, ...Array.from({ length: chance.oneOf([1, 50]) }, () => [...cells]));
      break;
    case 2:
      for (const one of table) one.splice(cell, 1);
      break;
    case 3:
      for (const one of table) one.push(one[cell] ?? "");
      break;
    case 4:
    case 9:
    case 10:
    case 11:
      cells[cell] = other[chance.below(4) === 0 ? chance.below(other.length) : cell] ?? "";
      break;
    case 5:
      cells[cell] = `${cells[cell]} + ${cells[cell]}`;
      break;
    case 6:
      cells[cell] = chance.oneOf(STRANGE_TEXTS);
      break;
    default:
      cells[cell] = chance.oneOf(STRANGE_NUMBERS);
  }
  return table;
}
