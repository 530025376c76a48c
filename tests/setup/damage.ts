/** Files damaged by chance: bytes flipped, pieces cut out or doubled, elements removed, numbers made absurd. */
import { joinedBytes } from "../../lib/formats/files/joined_bytes.ts";
import { random } from "./random.ts";

/** Numbers no file should hold where it holds one. */
const ABSURD = [
  "0",
  "-1",
  "-99999999999",
  "1e308",
  "999999999999",
  "0.3333",
  "NaN",
  "",
  "x",
  "1e-9",
  "1024",
  "2147483648",
];

/** One change to a text: an element removed, doubled or moved, or numbers made absurd. */
function damageText(text: string, below: (n: number) => number): string {
  const kind = below(4);
  if (kind === 0) {
    // A number, in an element or an attribute.
    const numbers = [...text.matchAll(/(?<=[>"])-?\d+(?:\.\d+)?(?=[<"])/g)];
    const found = numbers[below(Math.max(1, numbers.length))];
    if (!found) return text;
    return text.slice(0, found.index) + ABSURD[below(ABSURD.length)]! +
      text.slice(found.index + found[0].length);
  }
  const tags = [...text.matchAll(/<([a-z-]+)(?:\s[^>]*)?(\/?)>/g)];
  const element = (index: number): readonly [number, number] | undefined => {
    const tag = tags[index];
    if (!tag) return undefined;
    const end = tag[2]
      ? tag.index + tag[0].length
      : text.indexOf(`</${tag[1]}>`, tag.index) + tag[1]!.length + 3;
    return end > tag.index ? [tag.index, end] : undefined;
  };
  const here = element(below(Math.max(1, tags.length)));
  if (!here) return text;
  const [from, to] = here;
  if (kind === 1) return text.slice(0, from) + text.slice(to);
  if (kind === 2) return text.slice(0, to) + text.slice(from, to) + text.slice(to);
  const other = element(below(tags.length));
  return other ? text.slice(0, from) + text.slice(...other) + text.slice(to) : text;
}

/** One change to bytes. */
function damageBytes(bytes: Uint8Array, below: (n: number) => number): Uint8Array {
  const at = below(bytes.length);
  const kind = below(5);
  if (kind === 0) return bytes.slice(0, Math.max(1, at));
  if (kind === 1) return joinedBytes([bytes.subarray(0, at), bytes.subarray(at + 1 + below(8))]);
  if (kind === 2) return joinedBytes([bytes.subarray(0, at), bytes.subarray(Math.max(0, at - below(40)))]);
  const copy = bytes.slice();
  if (kind === 3) copy.fill(below(2) === 0 ? 0xff : 0, at, at + below(6));
  else copy[at] = below(256);
  return copy;
}

/**
 * Damages a file.
 *
 * @param file a sound file
 * @param seed the same seed damages it in the same way
 * @returns the damaged file, one to six changes further
 */
export function damage(file: Uint8Array, seed: number): Uint8Array {
  const next = random(seed);
  const below = (n: number) => Math.floor(next() * n);
  const isText = file[0] === 0x3c;
  let bytes = file;
  if (isText && below(3) > 0) {
    let text = new TextDecoder().decode(file);
    for (let k = 1 + below(5); k > 0; k--) text = damageText(text, below);
    bytes = new TextEncoder().encode(text);
    if (below(4) > 0) return bytes;
  }
  for (let k = 1 + below(5); k > 0 && bytes.length > 0; k--) bytes = damageBytes(bytes, below);
  return bytes;
}
