/** Who plays together, in the short form of a score: `Fl. 1, 2, Ob. 1, Picc. 8va`. */
import { instrumentOf } from "../../instruments/instrument_of.ts";
import { lineName } from "../../instruments/names/line_name.ts";
import { printedName } from "../../instruments/names/printed_name.ts";
import type { Score } from "../../score/model.ts";

/** A part, and how many octaves above what is written it sounds. */
export type PartInOctave = readonly [part: number, octaves: number];

/** Names of parts in score order, each once, the players of one instrument together. */
export function namesInShort(score: Pick<Score, "parts">, parts: readonly PartInOctave[]): string {
  const once = new Map(parts.map((each) => [String(each), each]));
  const sorted = [...once.values()].sort((a, b) => a[0] - b[0]);
  const named = sorted.map(([index, octaves]) => {
    const part = score.parts[index]!;
    const { plain } = printedName({ ...part, instrument: instrumentOf(part.instrument) });
    const { stem, numbers } = lineName(plain);
    const isApart = numbers.length > 0 && plain.startsWith(stem);
    const name = isApart ? stem : plain;
    return {
      key: `${name}|${octaves}`,
      name,
      number: isApart ? plain.slice(stem.length).trim() : "",
      octaves,
    };
  });
  return [...Map.groupBy(named, (n) => n.key).values()].map((own) => {
    const { name, octaves } = own[0]!;
    const numbers = own.map((n) => n.number).filter((n) => n !== "").join(", ");
    return `${name}${numbers === "" ? "" : ` ${numbers}`}${octaveWords(octaves)}`;
  }).join(", ");
}

/** How far from what is written something sounds: ` 8va`, ` 15vb`; nothing where it is the same octave. */
export function octaveWords(octaves: number): string {
  if (octaves === 0) return "";
  const size = ["8", "15", "22"][Math.abs(octaves) - 1] ?? `${Math.abs(octaves)} octaves `;
  return ` ${size}${octaves > 0 ? "va" : "vb"}`;
}
